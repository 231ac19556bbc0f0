"""Draws of what was measured with errors: every error at once, and each alone.

Of the ± of a tool only the limits are known, so every error is drawn uniformly between them (JCGM 100:2008,
4.3.7, second-hand), independently. Only a leverage through measured pairs has an error estimated from its
scatter: it follows Student's t distribution. The draws are the same for every case, so a small change of an
input shifts the bands smoothly.
"""

from __future__ import annotations

import random
from dataclasses import replace
from functools import lru_cache
from typing import Literal

import numpy as np

from physics.air import negative_volume, positive_area, positive_volume
from physics.arrays import Scalar, Values, per_point, values
from physics.case import (
    Air,
    Case,
    Coil,
    EqualisedNegative,
    Load,
    MassCentre,
    Measured,
    MechanicalNegative,
    Negative,
    RiderAndBike,
    ScaleReading,
    SeparateNegative,
    Setup,
    Tolerance,
)
from physics.chamber import LEAST_VOLUME
from physics.leverage import LeverageCurve, curves_of_pairs
from physics.limits import STANDARD_GRAVITY
from physics.pairs import pair_scatter
from physics.stand import axle_share
from physics.wire import wire_answer

Error = Literal["scale", "share", "gauge", "rate", "volume", "friction", "leverage"]

_RIDER, _BIKE, _SHARE, _GAUGE, _RATE, _POSITIVE, _NEGATIVE, _HELD = range(8)
_PAIRS = slice(8, 12)
_ROWS: dict[Error, tuple[int, ...]] = {
    "scale": (_RIDER, _BIKE),
    "share": (_SHARE,),
    "gauge": (_GAUGE,),
    "rate": (_RATE,),
    "volume": (_POSITIVE, _NEGATIVE),
    "friction": (_HELD,),
    "leverage": (8, 9, 10, 11),
}
ERRORS: tuple[Error, ...] = tuple(_ROWS)
_EVERY = 12

DRAWS = 4093
"""Draws with every error."""
_LATTICES = {1: (200, 1), 2: (987, 610), 4: (2039, 817), _EVERY: (DRAWS, 505)}
"""Points and generator by the number of rows; Fibonacci numbers for two, else the least P₂."""
_SEED = 1


@lru_cache(maxsize=8)
def draws(seed: int = _SEED) -> Values:
    """Return every error as a fraction of its limits, −1 to 1, shape (12, DRAWS).

    Rows are weighing the rider, weighing the bike, rider's share, gauge, rate, positive and negative volume,
    position in the band of seal friction, and four for a leverage through measured pairs.

    >>> draws().shape, round(float(np.abs(draws()).max()), 6)
    ((12, 4093), 0.999756)
    """
    return _frozen(_lattice(_EVERY, seed))


@lru_cache(maxsize=32)
def alone(error: Error, seed: int = _SEED) -> Values:
    """Return draws (12, draws) of one error without the others."""
    rows = list(_ROWS[error])
    found = np.zeros((_EVERY, _LATTICES[len(rows)][0]))
    found[rows] = _lattice(len(rows), seed)
    return _frozen(found)


def _lattice(rows: int, seed: int) -> Values:
    """Return the points of a rank-1 lattice (rows, points), uniform in −1 to 1 in every row.

    Point i of row j is i aʲ mod n, shifted by a random integer (Korobov's generator with a shift, Sloan and
    Joe, Lattice Methods for Multiple Integration, from memory). Each row takes the middle of each of n equal
    intervals once: an error alone in one row has no noise, two and more have far less than random draws.
    """
    count, generator = _LATTICES[rows]
    steps = np.array([pow(generator, row, count) for row in range(rows)])
    chance = random.Random(seed)  # numpy's takes longer to load than the draws take
    moved = np.array([int(count * chance.random()) for _ in range(rows)])
    places = (np.arange(count) * steps[:, None] + moved[:, None]) % count
    return values((places + 0.5) * (2 / count) - 1)


def _frozen(found: Values) -> Values:
    found.setflags(write=False)
    return found


def errors_in(setup: Setup, case: Case) -> tuple[Error, ...]:
    """Return the errors that apply to a setup; a coil has no gauge, a scale reading no share."""
    limits, spring, pairs = case.tolerance, setup.spring, case.frame.leverage
    is_air = isinstance(spring, Air)
    if isinstance(spring, Coil):
        rated = bool(rate_limit(spring, case.frame.stroke, limits) > 0)
    else:
        rated = limits.rate > 0 and isinstance(spring.negative, MechanicalNegative)
    there: dict[Error, bool] = {
        "scale": limits.scale > 0,
        "share": limits.share > 0 and not isinstance(case.load, ScaleReading),
        "gauge": is_air and limits.gauge > 0,
        "rate": rated,
        "volume": is_air and limits.volume > 0,
        "friction": bool(values(setup.friction) > 0),
        "leverage": isinstance(pairs, Measured) and pair_scatter(pairs) is not None,
    }
    return tuple(error for error in ERRORS if there[error])


def scattered_load(load: Load, static: Values, limits: Tolerance, off: Values) -> Values:
    """Return the actual static wheel force [N], (draws,), NaN if nothing is left to carry.

    Rider and bike are two weighings, a scale under the wheel is one and includes the posture. With a centre
    of mass the ± of the share applies to all that was weighed.
    """
    rider, bike = limits.scale * off[_RIDER], limits.scale * off[_BIKE]
    share = limits.share * off[_SHARE]
    match load:
        case RiderAndBike():
            shift = load.rider_share * rider + load.bike_share * bike + load.rider_mass * share
        case MassCentre():
            shift = axle_share(load) * (rider + bike) + load.total_mass * np.cos(load.slope) * share
        case _:
            shift = rider
    force = static + STANDARD_GRAVITY * shift
    return values(np.where(force > 0, force, np.nan))


def held(setup: Setup, off: Values) -> Values:
    """Return the shaft force [N] of seal friction that helps the spring where the wheel stopped, (draws,).

    Dry friction holds the wheel anywhere within its band, depending on its path: uniform over ±F_f.
    """
    return values(setup.friction * off[_HELD])


def scattered_lever(case: Case, lever: LeverageCurve, off: Values) -> LeverageCurve:
    """Return the actual leverage, one case per draw, `lever` itself unless it is from pairs.

    Every curve is closed on the stroke of the shock. One that turns back is NaN.
    """
    pairs = case.frame.leverage
    scatter = pair_scatter(pairs) if isinstance(pairs, Measured) else None
    return lever if scatter is None else curves_of_pairs(case.frame, scatter.drawn(off[_PAIRS]))


def scattered_setup(setup: Setup, case: Case, off: Values) -> Setup:
    """Return a solved setup with the actual spring, one case per draw.

    Every pressure has the same gauge error, each chamber its own volume error. Impossible values, a chamber
    smaller than the swept volume or a negative pressure, are NaN.
    """
    limits, spring = case.tolerance, setup.spring
    if isinstance(spring, Coil):
        limit = rate_limit(spring, case.frame.stroke, limits)
        return replace(setup, spring=_really_coil(spring, values(1 + limit * off[_RATE])))
    return replace(setup, spring=_really_air(spring, values(case.frame.stroke), limits, off))


def rate_limit(coil: Coil, full: Scalar, limits: Tolerance) -> Values:
    """Return the ± of a coil's rate, as a fraction, on a stroke of `full` [m]."""
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
    """Return the numbers, NaN unless above the least."""
    return values(np.where(numbers > least, numbers, np.nan))
