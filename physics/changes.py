"""What can be changed on a setup: one step each way, and what brings it to its target sag.

Step sizes: common practice, no source. A change inside an air spring comes with the pressure that keeps
the sag, as it would be set in the shop; a coil goes to the next rate in stock.

The figures of a change are those of the values written down, which are rounded: a `Writer` turns a
change into the setup of its written values.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Literal

import numpy as np

from physics.arrays import Scalar, Values, values
from physics.buyable import buyable_coils, either_side
from physics.carried import Carried, carried
from physics.case import Air, Case, Coil, EqualisedNegative, SeparateNegative, Setup, Target
from physics.chamber import LEAST_VOLUME
from physics.coil import fit_cautions
from physics.frozen import dataclass
from physics.shock import with_pressure
from physics.solve import coil_force_due, solved, solved_pressure
from physics.spacing import MOST_SPACERS, spacer_counts
from physics.stand import Stand, stand

Mark = Literal[
    "sag_fraction", "starting_wheel", "support_50", "bottom_ratio", "end_ramp", "energy_from_sag",
    "natural_frequency", "critical_damping",
]  # fmt: skip
"""A figure by its name in `physics.advise.Feel`."""

Turned = Literal[
    "pressure", "rate", "preload", "positive_spacers", "negative_spacers", "negative_pressure", "bumper"
]
"""The setting that a change adjusts."""

SAG_STEP = 0.03
"""Step of the sag, a fraction of the wheel travel."""
NEGATIVE_STEP = 0.10
"""Step of a negative chamber's gauge pressure, a fraction of it."""
BUMPER_STEP = 0.25
"""Step of a bumper's force, a fraction of it."""
PRELOAD_STEP = 0.001
"""Step of the preload [m] if the thread pitch is not known."""
OWN = 0.03
"""Relative difference in rate below which another spring is not worth fitting."""
MOST_TURNS = 3.0
"""Largest preload considered if the maker's limit is not known, in turns."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One change: the setting, up or down, and the complete setup with it.

    `mark` is the figure it is meant to bring to that of the other wheel, None for any other change.
    """

    turned: Turned
    more: bool
    setup: Setup
    mark: Mark | None = None


Writer = Callable[[Trial], Setup | None]
"""Returns the setup of the written values of a change, None if they cannot be written."""


def exactly(trial: Trial) -> Setup | None:
    """Write a change without rounding."""
    return trial.setup


def written_down(found: Iterable[Trial], setup: Setup, write: Writer) -> Iterator[Trial]:
    """Yield every change as written; one that rounds to no change is left out."""
    for trial in found:
        if not all(math.isfinite(number) for number in settings(trial.setup)):
            continue
        made = write(trial)
        was, then = (turned_value(one, trial.turned) for one in (setup, made or setup))
        if made is not None and (then > was if trial.more else then < was):
            yield replace(trial, setup=made)


def settings(setup: Setup) -> tuple[float, ...]:
    """Return the numbers that may be adjusted on a setup, in a fixed order; zero if absent."""
    spring = setup.spring
    bumper = 0.0 if setup.bumper is None else float(setup.bumper.force)
    if isinstance(spring, Coil):
        return 0.0 if spring.rate is None else float(spring.rate), float(spring.preload), bumper
    negative = spring.negative
    second = (
        (float(negative.spacers), float(getattr(negative, "pressure", 0.0)))
        if isinstance(negative, EqualisedNegative | SeparateNegative)
        else (0.0, 0.0)
    )
    pressure = 0.0 if spring.pressure is None else float(spring.pressure)
    return pressure, float(spring.positive_spacers), *second, bumper


def turned_value(setup: Setup, turned: Turned) -> float:
    """Return the value [SI] of a setting in a setup."""
    if turned == "bumper":
        return 0.0 if setup.bumper is None else float(setup.bumper.force)
    if turned in ("negative_spacers", "negative_pressure"):
        negative = getattr(setup.spring, "negative", None)
        return float(getattr(negative, turned.removeprefix("negative_")))
    number = getattr(setup.spring, turned)
    return math.nan if number is None else float(number)


def trials(setup: Setup, bike: Stand, sag: float) -> tuple[Trial, ...]:
    """Return every change of a setup that settles at `sag`, a fraction of the wheel travel.

    `setup` is solved. A change the coil does not fit is left out; one the air spring cannot hold is refused
    when it is answered, or has no pressure (NaN).
    """
    spring = setup.spring
    found = _of_coil(setup, spring) if isinstance(spring, Coil) else _of_air(setup, spring, bike, sag)
    return (*(trial for trial in found if fits(trial.setup, setup, bike)), *_of_bumper(setup))


def at_sag(setup: Setup, bike: Stand, sag: Scalar) -> Setup:
    """Return a setup with the rate or pressure for a sag, a fraction (cases...) of the wheel travel."""
    spring = setup.spring
    asked = replace(spring, rate=None) if isinstance(spring, Coil) else replace(spring, pressure=None)
    static, case = bike.load.static_wheel_force, bike.case
    return solved(replace(setup, spring=asked), bike.lever, case.shop, Target(sag, "travel"), static)


def fits(changed: Setup, setup: Setup, bike: Stand) -> bool:
    """Return whether a changed coil raises no new caution of fit."""
    if not (isinstance(changed.spring, Coil) and isinstance(setup.spring, Coil)):
        return True
    stroke = float(bike.lever.stroke)
    before, after = (
        {caution.code for caution in fit_cautions(coil, stroke)} for coil in (setup.spring, changed.spring)
    )
    return after <= before


def next_rates(coil: Coil) -> tuple[float, ...]:
    """Return the rates in stock [N/m] next below and above a coil's own, more than `OWN` apart from it.

    >>> next_rates(Coil(80_000.0, 0.0, 5000.0))
    (75000.0, 85000.0)
    """
    if coil.rate is None:
        return ()
    rate = float(coil.rate)
    pair = (either_side(coil, values(rate * (1 - OWN)))[0], either_side(coil, values(rate * (1 + OWN)))[1])
    return tuple(float(found) for found in pair if found > 0)


def _of_coil(setup: Setup, coil: Coil) -> Iterator[Trial]:
    for rate in next_rates(coil):
        yield Trial("rate", rate > float(coil.rate or 0.0), _with(setup, replace(coil, rate=rate)))
    step = coil.thread_pitch or PRELOAD_STEP
    most = most_preload(coil)
    wound = float(coil.preload)
    for preload in (wound - step, wound + step):
        if preload >= -1e-9 and (preload < wound or preload <= most + 1e-9):
            yield Trial("preload", preload > wound, _with(setup, replace(coil, preload=max(preload, 0.0))))


def most_preload(coil: Coil) -> float:
    """Return the largest preload [m] considered: the maker's limit, or `MOST_TURNS` if it is not known.

    >>> round(most_preload(Coil(80_000.0, 0.0, 5000.0, thread_pitch=0.0015)), 6)
    0.0045
    """
    turns = MOST_TURNS if coil.max_preload_turns is None else coil.max_preload_turns
    return turns * (coil.thread_pitch or PRELOAD_STEP)


def _of_air(setup: Setup, air: Air, bike: Stand, sag: float) -> Iterator[Trial]:
    for wanted in (sag - SAG_STEP, sag + SAG_STEP):
        if 0 < wanted < 1:
            yield Trial("pressure", wanted < sag, at_sag(setup, bike, wanted))
    for turned, more, changed in _inside(air, bike):
        yield Trial(turned, more, at_sag(_with(setup, changed), bike, sag))


def _inside(air: Air, bike: Stand) -> Iterator[tuple[Turned, bool, Air]]:
    """Yield the air spring with one internal change, its pressure still to be solved."""
    room = spacer_counts(air, bike.lever.stroke)
    count = float(air.positive_spacers)
    for spacers in (count - 1, count + 1):
        if spacers in room:
            yield "positive_spacers", spacers > count, replace(air, positive_spacers=spacers)
    negative = air.negative
    if isinstance(negative, EqualisedNegative | SeparateNegative):
        count = float(negative.spacers)
        for spacers in (count - 1, count + 1):
            left = float(negative.volume) - spacers * float(negative.spacer_volume)
            if 0 <= spacers <= MOST_SPACERS and float(negative.spacer_volume) > 0 and left > LEAST_VOLUME:
                changed = replace(negative, spacers=spacers)
                yield "negative_spacers", spacers > count, replace(air, negative=changed)
    if isinstance(negative, SeparateNegative):
        outside, inside = float(bike.case.shop.pressure), float(negative.pressure)
        for share in (-NEGATIVE_STEP, NEGATIVE_STEP):
            pressure = inside + share * (inside - outside)
            yield "negative_pressure", share > 0, replace(air, negative=replace(negative, pressure=pressure))


def _of_bumper(setup: Setup) -> Iterator[Trial]:
    if setup.bumper is None:
        return
    for share in (-BUMPER_STEP, BUMPER_STEP):
        bumper = replace(setup.bumper, force=float(setup.bumper.force) * (1 + share))
        yield Trial("bumper", share > 0, replace(setup, bumper=bumper))


def _with(setup: Setup, spring: Coil | Air) -> Setup:
    return replace(setup, spring=spring)


_PRELOADS_TRIED = 13


def to_target(setup: Setup, bike: Stand, static: Values | None = None) -> tuple[Trial, ...]:
    """Return the changes that bring a solved setup to its target sag, smallest first.

    Air: the pressure. A coil: preload within its limit, else a rate in stock with its preload, else one
    with the present preload. `static` is a wheel force [N] instead of the load of the case. Not all of
    them may be offered, nor does each reach the target.
    """
    load = bike.load.static_wheel_force if static is None else static
    spring = setup.spring
    if isinstance(spring, Coil):
        found = _coil_to_target(setup, spring, bike, load)
        return tuple(trial for trial in found if fits(trial.setup, setup, bike))
    case = bike.case
    pressure = solved_pressure(setup, bike.lever, case.shop, case.target, load)
    ready = with_pressure(setup, pressure)
    return (Trial("pressure", settings(ready)[0] > settings(setup)[0], ready),)


def _coil_to_target(setup: Setup, coil: Coil, bike: Stand, static: Values) -> Iterator[Trial]:
    case, most, wound = bike.case, most_preload(coil) + 1e-9, float(coil.preload)
    if coil.stage_rate is not None:
        # Its force is not linear in the preload: a few values are tried, the nearest is taken.
        for preload in np.linspace(0.0, most_preload(coil), _PRELOADS_TRIED):
            tight = replace(coil, preload=float(preload))
            yield Trial("preload", preload > wound, replace(setup, spring=tight))
        return
    if coil.rate is not None and coil.rate > 0:
        stroke, force = coil_force_due(setup, bike.lever, case.shop, case.target, static)
        preload = float(force / coil.rate - stroke)
        if 0 <= preload <= most:
            yield Trial("preload", preload > wound, replace(setup, spring=replace(coil, preload=preload)))
    if coil.rate is None:
        return
    rate, least = float(coil.rate), []
    coil = replace(coil, preload=min(wound, most_preload(coil)))
    for choice in buyable_coils(replace(setup, spring=coil), bike.lever, case.shop, case.target, static):
        found, preload = float(choice.rate), float(choice.preload_for_target)
        if not np.isfinite(found):
            continue
        if preload <= most:
            spring = replace(coil, rate=found, preload=preload)
            yield Trial("rate", found > rate, replace(setup, spring=spring))
        least.append(Trial("rate", found > rate, replace(setup, spring=replace(coil, rate=found))))
    yield from least


@dataclass(frozen=True, slots=True)
class ByMeasuredSag:
    """The load implied by a measured sag, and the change that would hold it at target sag.

    `trial` is None if no setting does.
    """

    carried: Carried
    trial: Trial | None

    @property
    def load(self) -> float:
        """The wheel force [N] implied."""
        return self.carried.load

    @property
    def entered(self) -> float:
        """The wheel force [N] as typed."""
        return self.carried.entered


def by_measured_sag(case: Case, setup: Setup, sag: float, of: str) -> ByMeasuredSag:
    """Return what a sag [m] measured at the wheel (`of` travel) or at the shock implies for one setup.

    `setup` is solved. Raises `Unfit` for a sag that implies no load.
    """
    read = Target(case.target.sag, "travel" if of == "travel" else "stroke")
    there = carried(replace(case, setups=(setup,), target=read), 0, sag)
    found = to_target(setup, stand(replace(case, setups=(setup,))), np.asarray(there.load))
    return ByMeasuredSag(there, next(iter(found), None))
