"""What is really there in place of what the tools said: draws of the errors of scale, gauge, spring, volumes.

Of the ± of a tool nothing is known but that it holds, so every error is drawn evenly between its limits
(JCGM 100:2008, 4.3.7, second-hand), each on its own. The draws are the same for every case: a nudge moves the
bands, never the dice.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Literal

import numpy as np

from physics.air import negative_volume, positive_area, positive_volume
from physics.arrays import Scalar, Values, per_point, values
from physics.case import (
    STANDARD_GRAVITY,
    Air,
    Case,
    Coil,
    EqualisedNegative,
    Load,
    MassCentre,
    MechanicalNegative,
    Negative,
    RiderAndBike,
    SeparateNegative,
    Setup,
    Tolerance,
)
from physics.chamber import LEAST_VOLUME
from physics.load import axle_share
from physics.wire_answer import wire_answer

Error = Literal["scale", "gauge", "rate", "volume"]

DRAWS = 4000
"""Draws with every error in them."""
_ALONE = 200
"""Draws more for each error alone."""
_SEED = 1
_RIDER, _BIKE, _GAUGE, _RATE, _POSITIVE, _NEGATIVE = range(6)
_ROWS: dict[Error, tuple[int, ...]] = {
    "scale": (_RIDER, _BIKE),
    "gauge": (_GAUGE,),
    "rate": (_RATE,),
    "volume": (_POSITIVE, _NEGATIVE),
}
ALONE: dict[Error, slice] = {
    error: slice(DRAWS + place * _ALONE, DRAWS + (place + 1) * _ALONE) for place, error in enumerate(_ROWS)
}
"""Where among the draws each error is alone."""


@lru_cache(maxsize=1)
def draws() -> Values:
    """Return the errors as shares of their limits, −1 to 1, shape (6, draws).

    Rows are weighing the rider, weighing the bike, gauge, rate, positive and negative volume. The first
    `DRAWS` columns have them all, then come `ALONE` for each of scale, gauge, rate and volume with nothing
    else. Every row takes the middle of each of as many equal slices as it has draws, in random order: an
    error alone then has no noise.
    """
    dice = np.random.default_rng(_SEED)
    found = np.zeros((6, DRAWS + len(_ROWS) * _ALONE))
    found[:, :DRAWS] = _sliced(dice, 6, DRAWS)
    for error, rows in _ROWS.items():
        found[list(rows), ALONE[error]] = _sliced(dice, len(rows), _ALONE)
    found.setflags(write=False)
    return found


def _sliced(dice: np.random.Generator, rows: int, count: int) -> Values:
    middles = (np.arange(count) + 0.5) * (2 / count) - 1
    return values(dice.permuted(np.tile(middles, (rows, 1)), axis=1))


def scattered_load(load: Load, static: Values, limits: Tolerance, off: Values) -> Values:
    """Return the static wheel force [N] that is really there, (draws,), NaN where nothing is left to carry.

    Rider and bike are two weighings, a scale under the wheel is one. Posture is taken as it is.
    """
    rider, bike = off[_RIDER], off[_BIKE]
    match load:
        case RiderAndBike():
            shift = load.rider_share * rider + load.bike_share * bike
        case MassCentre():
            shift = axle_share(load) * (rider + bike)
        case _:
            shift = rider
    force = static + STANDARD_GRAVITY * limits.scale * shift
    return values(np.where(force > 0, force, np.nan))


def scattered_setup(setup: Setup, case: Case, off: Values) -> Setup:
    """Return a solved setup with the spring that is really there, one case a draw.

    Every pressure is off by the same gauge, each chamber by a volume of its own. What cannot be, a chamber
    smaller than what the stroke takes out of it or a pressure below none, is NaN.
    """
    limits, spring = case.tolerance, setup.spring
    if isinstance(spring, Coil):
        limit = rate_limit(spring, case.frame.stroke, limits)
        return replace(setup, spring=_really_coil(spring, values(1 + limit * off[_RATE])))
    return replace(setup, spring=_really_air(spring, values(case.frame.stroke), limits, off))


def rate_limit(coil: Coil, full: Scalar, limits: Tolerance) -> Values:
    """Return how far off the rate of a coil may be either way, as a fraction, on a stroke of `full` [m]."""
    known = wire_answer(coil, full) if limits.rate_of_wire else None
    return values(limits.rate) if known is None else known.band


def _really_coil(coil: Coil, factor: Values) -> Coil:
    if coil.stage_rate is not None:
        return replace(coil, stage_rate=values(coil.stage_rate * per_point(factor)))
    return replace(coil, rate=None if coil.rate is None else values(coil.rate * factor))


def _really_air(air: Air, full: Values, limits: Tolerance, off: Values) -> Air:
    gauge = limits.gauge * off[_GAUGE]
    room = positive_volume(air) - positive_area(air) * full
    pressure = None if air.pressure is None else _above(0.0, values(air.pressure + gauge))
    wider = _above(LEAST_VOLUME, values(room + limits.volume * off[_POSITIVE])) - room
    negative = _really_negative(air.negative, gauge, limits, off)
    return replace(air, pressure=pressure, positive_volume=air.positive_volume + wider, negative=negative)


def _really_negative(negative: Negative, gauge: Values, limits: Tolerance, off: Values) -> Negative:
    match negative:
        case MechanicalNegative():
            return replace(negative, rate=values(negative.rate * (1 + limits.rate * off[_RATE])))
        case SeparateNegative() | EqualisedNegative():
            room = negative_volume(negative)
            wider = _above(LEAST_VOLUME, values(room + limits.volume * off[_NEGATIVE])) - room
            negative = replace(negative, volume=negative.volume + wider)
    if isinstance(negative, SeparateNegative):
        return replace(negative, pressure=_above(0.0, values(negative.pressure + gauge)))
    return negative


def _above(least: float, numbers: Values) -> Values:
    """Return the numbers, NaN in place of those that are not above the least."""
    return values(np.where(numbers > least, numbers, np.nan))
