"""The figures that a complaint speaks of, of a setup and of changes of it, answered."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from typing import Literal

from physics.advise_changes import Trial
from physics.arrays import Values
from physics.case import Air, Case, SeparateNegative, Setup
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
    """Figures of one setup, SI, as `physics.figures` defines them, NaN where there is none.

    `static` is the wheel force W_s [N] they are taken under.
    """

    static: float
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


def feel_of(swept: SweptSetup, static: Values) -> Feel:
    """Return the figures of a setup of a single case under a static wheel force [N]."""
    read = (float(getattr(swept.figures, field.name)) for field in fields(Feel)[2:])
    return Feel(float(static), float(swept.sag.wheel_fraction), *read)


def now_of(case: Case, index: int, bike: Stand) -> tuple[Setup, Feel, bool]:
    """Return a setup with its settings in place, its figures and whether it settles."""
    static = bike.load.static_wheel_force
    setup = solved(case.setups[index], bike.lever, case.shop, case.target, static)
    swept = sweep(replace(case, setups=(setup,))).setups[0]
    return setup, feel_of(swept, static), bool(swept.state == "ok")


def tried(case: Case, asked: Iterable[Trial]) -> list[tuple[Trial, Feel]]:
    """Return the figures of every change that is sound and leaves the wheel settled, within the label."""
    left = tuple(asked)
    while left:
        try:
            found = sweep(replace(case, setups=tuple(trial.setup for trial in left)))
        except Refused as refused:
            bad = {fault.field[1] for fault in refused.faults if fault.field[0] == "setup"}
            if not bad:
                raise
            left = tuple(trial for place, trial in enumerate(left) if place not in bad)
        else:
            static, pairs = found.load.static_wheel_force, zip(left, found.setups, strict=True)
            return [
                (trial, feel_of(s, static)) for trial, s in pairs if s.state == "ok" and not _over_label(s)
            ]
    return []


def _over_label(swept: SweptSetup) -> bool:
    """Return whether anything would be pumped above the label's limit."""
    spring = swept.setup.spring
    if not isinstance(spring, Air) or spring.max_pressure is None or swept.air is None:
        return False
    highest = float(swept.air.set_pressure)
    if isinstance(spring.negative, SeparateNegative):
        highest = max(highest, float(spring.negative.pressure))
    return highest > spring.max_pressure
