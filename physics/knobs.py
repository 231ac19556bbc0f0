"""What a mechanic can turn, swap or pump on a spring to make it ride another way at the same sag.

An air spring has its spacers, the pressure of a negative chamber with a valve of its own and, where other
cans are to be had, volumes and port, the spacers then as they stand; its set pressure follows from the sag.
A coil has its rate, which one buys; its preload follows from the sag.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from physics.air import negative_volume, positive_area, positive_volume
from physics.arrays import Marks, Values, values
from physics.case import Air, Ambient, Case, Coil, EqualisedNegative, SeparateNegative, Setup, Target
from physics.cautions import PUMPS_REACH
from physics.chamber import LEAST_VOLUME
from physics.inputs_setup import SETUP_INPUTS
from physics.leverage import LeverageCurve
from physics.shock import air_of, coil_of, with_pressure, with_rate
from physics.solve import coil_force_due, solved_pressure
from physics.spacing import MOST_SPACERS
from physics.stand import Stand

MOST_PRELOAD = 0.004
"""Preload [m] a coil may take where its turns and pitch are not known: common practice, no source."""
VOLUME_REACH, NEGATIVE_REACH, PORT_REACH = (0.7, 1.3), (0.3, 2.0), (0.02, 0.35)
"""How far cans that are to be had reach: shares of the volumes as they stand, of the stroke for the port."""
_INPUTS = {one.name: one for one in SETUP_INPUTS}


@dataclass(frozen=True, slots=True)
class Knob:
    """One number of a setup, by its name in the job file, between two ends [SI]; `whole` marks a count."""

    name: str
    low: float
    high: float
    whole: bool = False

    def now(self, setup: Setup) -> float:
        """Return where it stands, held within its ends; the middle where it is still to be solved."""
        here = _INPUTS[self.name].read(setup)
        middle = (self.low + self.high) / 2
        return float(np.clip(middle if here is None else float(values(here)), self.low, self.high))


@dataclass(frozen=True, slots=True)
class Hardware:
    """A setup and its knobs on a bike, every setting of which sits at `sag` under the rider."""

    setup: Setup
    bike: Stand
    sag: Target
    knobs: tuple[Knob, ...]

    def possible(self, numbers: Values) -> Marks:
        """Return which settings (knobs, n) leave air in every chamber."""
        setup = self._turned(numbers)
        shape = numbers.shape[1:]
        if isinstance(setup.spring, Coil):
            return np.ones(shape, dtype=bool)
        room = positive_volume(setup.spring) - positive_area(setup.spring) * self.bike.lever.stroke
        left = room > LEAST_VOLUME
        if isinstance(setup.spring.negative, SeparateNegative | EqualisedNegative):
            left = left & (negative_volume(setup.spring.negative) > LEAST_VOLUME)
        return np.broadcast_to(left, shape)

    def at_sag(self, numbers: Values) -> Setup:
        """Return the settings (knobs, n) as one setup of n cases, its pressure or preload put for the sag.

        NaN there where none does it, or only a pressure that label or pump forbid.
        """
        setup = self._turned(numbers)
        asked = self.bike.lever, self.bike.case.shop, self.sag, self.bike.load.static_wheel_force
        if isinstance(setup.spring, Coil):
            return _preloaded(setup, *asked)
        pressure = solved_pressure(setup, *asked)
        highest = _highest(setup.spring, self.bike.case)
        return with_pressure(setup, values(np.where(pressure <= highest, pressure, np.nan)))

    def _turned(self, numbers: Values) -> Setup:
        return _with(self.setup, self.knobs, numbers)


def hardware(setup: Setup, bike: Stand, sag: Target, *, cans: bool = False) -> Hardware:
    """Return what can be turned on a setup; with `cans` volumes and port in place of spacers."""
    if isinstance(setup.spring, Coil):
        plain = replace(setup.spring, rate=None, stage_start=None, stage_rate=None, wire=None)
        bare = replace(setup, spring=plain, mass=None)
        return Hardware(bare, bike, sag, _coil_knobs(bare, bike, sag))
    knobs = _can_knobs(setup, bike) if cans else _spacer_knobs(setup)
    return Hardware(setup, bike, sag, (*knobs, *_valve_knobs(setup, bike.case)))


def _with(setup: Setup, knobs: Sequence[Knob], numbers: Iterable[Values]) -> Setup:
    for knob, number in zip(knobs, numbers, strict=True):
        setup = _INPUTS[knob.name].put(setup, number)
    return setup


def _preloaded(setup: Setup, lever: LeverageCurve, shop: Ambient, sag: Target, static: Values) -> Setup:
    """Return coils of known rates with the preload c = F/k − x that makes the sag."""
    stroke, force = coil_force_due(setup, lever, shop, sag, static)
    coil = coil_of(setup)
    rate = values(np.nan if coil.rate is None else coil.rate)
    preload = values(force / rate - stroke)
    # At the stiff end of its knob a coil has none, and rounding must not make that less than none.
    return replace(setup, spring=replace(coil, preload=np.maximum(preload, 0.0)))


def _coil_knobs(setup: Setup, bike: Stand, sag: Target) -> tuple[Knob, ...]:
    """Return the rates from the softest, with all the preload there may be, to the stiffest, with none."""
    coil, case = coil_of(setup), bike.case
    static = bike.load.static_wheel_force
    stroke, force = coil_force_due(with_rate(setup, 0.0), bike.lever, case.shop, sag, static)
    most = MOST_PRELOAD
    if coil.max_preload_turns is not None and coil.thread_pitch is not None:
        most = coil.max_preload_turns * coil.thread_pitch
    if not float(force) > 0 or not float(stroke) > 0:
        return (Knob("rate", np.nan, np.nan),)
    return (Knob("rate", float(force / (stroke + most)), float(force / stroke)),)


def _spacer_knobs(setup: Setup) -> tuple[Knob, ...]:
    spring = air_of(setup)
    knobs, second = [], spring.negative
    if float(values(spring.positive_spacer_volume)) > 0:
        knobs.append(_count("positive_spacers", float(values(spring.positive_spacers))))
    if isinstance(second, SeparateNegative | EqualisedNegative) and float(values(second.spacer_volume)) > 0:
        knobs.append(_count("negative_spacers", float(values(second.spacers))))
    return tuple(knobs)


def _valve_knobs(setup: Setup, case: Case) -> tuple[Knob, ...]:
    spring = air_of(setup)
    if not isinstance(spring.negative, SeparateNegative):
        return ()
    return (Knob("negative_pressure", float(case.shop.pressure), _highest(spring, case)),)


def _highest(spring: Air, case: Case) -> float:
    """Return the highest pressure [Pa absolute] one may pump: the label's, else where common pumps end."""
    outside = float(case.shop.pressure)
    limit = outside + PUMPS_REACH if spring.max_pressure is None else spring.max_pressure
    return max(limit, outside)


def _count(name: str, now: float) -> Knob:
    return Knob(name, 0.0, float(max(MOST_SPACERS, round(now))), whole=True)


def _can_knobs(setup: Setup, bike: Stand) -> tuple[Knob, ...]:
    spring = air_of(setup)
    knobs = [_around("positive_volume", spring.positive_volume, VOLUME_REACH)]
    if isinstance(spring.negative, SeparateNegative | EqualisedNegative):
        knobs.append(_around("negative_volume", spring.negative.volume, NEGATIVE_REACH))
    if isinstance(spring.negative, EqualisedNegative):
        knobs.append(_around("port", bike.lever.stroke, PORT_REACH))
    return tuple(knobs)


def _around(name: str, here: float | Values, reach: tuple[float, float]) -> Knob:
    low, high = reach
    return Knob(name, float(values(here)) * low, float(values(here)) * high)
