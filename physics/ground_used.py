"""Travel used on a fitted ground, with its uncertainty.

The band of a result covers a damper 20 % harder or softer and a mass 5 % more or less than identified from
the log, and the error of reproducing the log itself. Reproducing the log checks the numerics, not the damper:
with a damper that is too soft, a ground that follows the wheel still reproduces it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics.arrays import Values, values
from physics.frozen import dataclass
from physics.ground_fit import Told
from physics.log import LAST_TENTH, REARMED_STOP, REARMED_TENTH, Estimate, entered
from physics.motion import Lane

DAMPER_BAND, MASS_BAND = 0.20, 0.05
"""Changes of damper and mass, as fractions, that the band covers."""
TOUCHING = 0.999
"""Fraction of the travel that counts as contact with the stop in a simulated ride."""
GIVEN_BACK = 0.03
"""Largest error of the reproduced 95 % travel, as a fraction of the travel, for a result to be given."""
MASS_TOLD = 0.15
"""Largest relative difference between identified and entered mass. Beyond it rider, spring or sensor zero are
not as entered."""


@dataclass(frozen=True, slots=True)
class Used:
    """Travel used on a ground: wheel travel [m], and counts over its duration.

    `share` (10,) is the fraction of time in each tenth of the travel. The intervals are the band; those of
    the log itself have zero width.
    """

    mean: Estimate
    travel_95: Estimate
    travel_99: Estimate
    deepest: float
    last_tenth_entries: Estimate
    stop_meetings: Estimate
    share: Values


@dataclass(frozen=True, slots=True)
class GivenBack:
    """How well the ridden setup reproduces the log: error of 95 % travel and r.m.s. error of the travel [m].

    `mass` and `damper` are the identified sprung mass and damper relative to the entered ones, `friction` [N]
    the identified seal friction. `whole` says whether all is good enough for a result to be given.
    """

    error_95: float
    rms: float
    mass: float
    damper: float
    friction: float
    whole: bool


CHANGES = ((1 - DAMPER_BAND, 1.0), (1 + DAMPER_BAND, 1.0), (1.0, 1 - MASS_BAND), (1.0, 1 + MASS_BAND))
"""Factors on damper and mass for the band."""


def changed_lane(lane: Lane, damping: float, mass: float) -> Lane:
    """Return a lane with its damper and its sprung mass multiplied by factors."""
    damped = lane.damping if damping == 1.0 else values(lane.damping * damping)
    return replace(lane, damping=damped, mass=lane.mass * mass)


def band_of(sample: Values, travel: Values, back: GivenBack, full: float) -> Values:
    """Return by how much the figures of a ride may be lower and higher (2, 5).

    `sample` (1 + changes, stretches, points) [m] is the travel without change and with each change, on some
    stretches of `travel`. Errors of damper and mass are independent and add in quadrature.
    """
    figures = values([figures_of(one, full) for one in sample])
    # Scale counts to the whole ride.
    moved = figures[1:] - figures[0]
    moved[:, 3:] *= travel.size / sample[0].size
    damper, mass = moved[:2], moved[2:]
    down = np.hypot(np.minimum(damper, 0).min(axis=0), np.minimum(mass, 0).min(axis=0))
    up = np.hypot(np.maximum(damper, 0).max(axis=0), np.maximum(mass, 0).max(axis=0))
    least = np.maximum(1.0, 0.1 * figures_of(travel, full))
    least[:3] = np.hypot(FLOOR * full, back.error_95)
    return values([down + least, up + least])


FLOOR = 0.010
"""Error of the fit itself, as a fraction of the travel, with unsprung mass and friction not quite as entered.

With everything known nine of ten errors are below 0.6 % of the travel. The changes of the band leave unsprung
mass and friction as they are.
"""


def given_back_of(log: Values, again: Values, full: float, told: Told) -> GivenBack:
    """Return how well a simulated ride (stretches, points) [m] reproduces the log.

    `full` [m] is the travel, `told` the setup as identified.

    >>> log = values([[0.010, 0.020, 0.030]])
    >>> back = given_back_of(log, values(log + 0.001), 0.150, Told(1.0, 0.9, 12.0))
    >>> round(back.error_95, 6), round(back.rms, 6), back.whole
    (0.001, 0.001, True)
    """
    error = float(np.quantile(again, 0.95) - np.quantile(log, 0.95))
    rms = float(np.sqrt(np.mean((again - log) ** 2)))
    whole = abs(error) <= GIVEN_BACK * full and abs(told.mass - 1) <= MASS_TOLD
    return GivenBack(error, rms, told.mass, told.damper, told.friction, whole)


def figures_of(travel: Values, full: float) -> Values:
    """Return mean, 95 % and 99 % travel [m], entries into the last tenth, and stop contacts."""
    share = travel / full
    entries = sum(int(entered(one, LAST_TENTH, REARMED_TENTH).sum()) for one in share)
    meetings = sum(int(entered(one, TOUCHING, REARMED_STOP).sum()) for one in share)
    return values([travel.mean(), *np.quantile(travel, [0.95, 0.99]), entries, meetings])


def used_of(travel: Values, band: Values, full: float) -> Used:
    """Return the travel used; `band` (2, 5) is by how much its figures may be lower and higher."""
    value = figures_of(travel, full)
    low, high = np.maximum(value - band[0], 0.0), value + band[1]
    high[:3] = np.minimum(high[:3], np.maximum(full, value[:3]))
    mean, travel_95, travel_99, entries, meetings = (
        Estimate(*map(float, one)) for one in zip(value, low, high, strict=True)
    )
    tenths = np.bincount(np.clip(travel / full * 10, 0, 9).astype(np.intp).ravel(), minlength=10)
    share = values(tenths / travel.size)
    return Used(mean, travel_95, travel_99, float(travel.max()), entries, meetings, share)
