"""The figures that a symptom speaks of, of a setup and of changes of it, answered."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from physics.advise_changes import Trial
from physics.advise_limits import Bar, barred
from physics.arrays import Values
from physics.case import Case, Setup, Target
from physics.faults import Refused
from physics.solve import solved
from physics.stand import Stand
from physics.sweep import SweptSetup, sweep

Mark = Literal[
    "sag_fraction", "starting_wheel", "support_50", "bottom_ratio", "end_ramp", "energy_from_sag",
    "natural_frequency", "critical_damping",
]  # fmt: skip
"""A figure by its name in `Feel`."""


@dataclass(frozen=True, slots=True)
class Feel:
    """Figures of one setup, SI, NaN where there is none: those of the riding curve, which is what is felt.

    Sag and breakaway force alone are of slow air. `static` is the wheel force W_s [N] they are taken under,
    `sag_as_aimed` the sag as the target counts it. Definitions in `physics.figures`.
    """

    static: float
    sag_as_aimed: float
    sag_fraction: float
    starting_wheel: float
    support_50: float
    bottom_ratio: float
    end_ramp: float
    energy_from_sag: float
    natural_frequency: float
    critical_damping: float

    def share_to(self, then: Feel, mark: Mark) -> float:
        """Return the change of a figure as a share of what it was, NaN where it was nothing."""
        before, after = getattr(self, mark), getattr(then, mark)
        return float((after - before) / abs(before)) if before else math.nan

    def aside_to(self, then: Feel, mark: Mark) -> float:
        """Return the size of a change nobody asked for, as a share; that of a starting force is of the load.

        A coil starts at a few newtons: doubling those is next to nothing to a rider.
        """
        if mark == "starting_wheel":
            return abs(then.starting_wheel - self.starting_wheel) / self.static
        return abs(self.share_to(then, mark))


def rebound_change(before: float, after: float) -> float:
    """Return critical damping at the shaft [N s/m] after over before, NaN where there is none before.

    Critical is 2√(k_w m)·L² at sag. A rebound damping c is the share c/c_crit of it; the share stays where c
    changes as c_crit does, so 1.12 asks for 12 % more rebound damping, which is slower.
    """
    return after / before if before else math.nan


def feel_of(swept: SweptSetup, static: Values, target: Target) -> Feel:
    """Return the figures of a setup of a single case under a static wheel force [N]."""
    sag, ride = swept.sag, swept.riding
    return Feel(
        static=float(static),
        sag_as_aimed=float(sag.wheel_fraction if target.of == "travel" else sag.stroke_fraction),
        sag_fraction=float(sag.wheel_fraction),
        starting_wheel=float(swept.figures.starting_wheel),
        support_50=float(ride.support_50),
        bottom_ratio=float(ride.bottom_ratio),
        end_ramp=float(ride.end_ramp),
        energy_from_sag=float(ride.energy_from_sag),
        natural_frequency=float(ride.natural_frequency),
        critical_damping=float(ride.critical_damping),
    )


def now_of(case: Case, index: int, bike: Stand) -> tuple[Setup, Feel, bool]:
    """Return a setup with its settings in place, its figures and whether it settles."""
    static = bike.load.static_wheel_force
    setup = solved(case.setups[index], bike.lever, case.shop, case.target, static)
    swept = sweep(replace(case, setups=(setup,), ride=None)).setups[0]
    return setup, feel_of(swept, static, case.target), bool(swept.state == "ok")


@dataclass(frozen=True, slots=True)
class Tried:
    """The figures of every change that is sound, settles and keeps the limits; `barred` what others broke."""

    found: tuple[tuple[Trial, Feel], ...]
    barred: frozenset[Bar]


def tried(case: Case, asked: Iterable[Trial]) -> Tried:
    """Return the figures of every change that may be offered."""
    left = tuple(asked)
    while left:
        try:
            found = sweep(replace(case, setups=tuple(trial.setup for trial in left), ride=None))
        except Refused as refused:
            bad = {fault.field[1] for fault in refused.faults if fault.field[0] == "setup"}
            if not bad:
                raise
            left = tuple(trial for place, trial in enumerate(left) if place not in bad)
        else:
            static = found.load.static_wheel_force
            pairs = [(t, s) for t, s in zip(left, found.setups, strict=True) if s.state == "ok"]
            broken = [barred(swept) for _, swept in pairs]
            kept = (
                (trial, feel_of(swept, static, case.target))
                for (trial, swept), bars in zip(pairs, broken, strict=True)
                if not bars
            )
            return Tried(tuple(kept), frozenset[Bar]().union(*broken))
    return Tried((), frozenset())
