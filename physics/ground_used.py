"""How much of the travel is used on a ground that was found, and how far off that may be.

What is said has a band: the answer with the damper 20 % harder or softer and the mass 5 % more or less than
the log tells, and what giving the log back costs. Giving the log back finds bad arithmetic, not a wrong
damper: a ground that follows the wheel explains one that is too soft.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from physics.arrays import Values, values
from physics.ground_fit import Told
from physics.log import LAST_TENTH, REARMED_STOP, REARMED_TENTH, Estimate, entered
from physics.motion import Lane

DAMPER_BAND, MASS_BAND = 0.20, 0.05
"""How far damper and mass may be off: the band of what is said."""
TOUCHING = 0.999
"""Share of the travel that counts as a meeting with the stop in a ride."""
GIVEN_BACK = 0.03
"""Largest error of the log's own 95 % travel, as a share of the travel, with which an answer is given."""
MASS_TOLD = 0.15
"""Largest difference between the mass that the log tells and the known one: beyond it rider, spring or the
sensor's zero are not what was typed."""


@dataclass(frozen=True, slots=True)
class Used:
    """How much of the travel was used on a ground: lengths of wheel travel [m], counts over its time.

    `share` (10,) is the share of the time in each tenth of the travel. Estimates hold the band; the log's own
    have none.
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
    """How well the ridden setup gives the log back: errors of 95 % travel and r.m.s. of the travel [m].

    `mass` and `damper` are the sprung mass and the damper that the log tells, as ratios to the known ones,
    `friction` [N] that of the seals. `whole` says whether all is
    well enough for an answer to be given.
    """

    error_95: float
    rms: float
    mass: float
    damper: float
    friction: float
    whole: bool


CHANGES = ((1 - DAMPER_BAND, 1.0), (1 + DAMPER_BAND, 1.0), (1.0, 1 - MASS_BAND), (1.0, 1 + MASS_BAND))
"""Factors of damper and mass of the band."""


def changed_lane(lane: Lane, damping: float, mass: float) -> Lane:
    """Return a lane with factors on its damper and its sprung mass."""
    damped = lane.damping if damping == 1.0 else values(lane.damping * damping)
    return replace(lane, damping=damped, mass=lane.mass * mass)


def band_of(sample: Values, travel: Values, back: GivenBack, full: float) -> Values:
    """Return how far the figures of a ride go down and up (2, 5).

    `sample` (1 + changes, stretches, points) [m] is its travel without a change and with each, on stretches
    of `travel`. Damper and mass are independent of each other, and each is off to one side at a time.
    """
    figures = values([figures_of(one, full) for one in sample])
    # Counts are of the whole ride.
    moved = figures[1:] - figures[0]
    moved[:, 3:] *= travel.size / sample[0].size
    damper, mass = moved[:2], moved[2:]
    down = np.hypot(np.minimum(damper, 0).min(axis=0), np.minimum(mass, 0).min(axis=0))
    up = np.hypot(np.maximum(damper, 0).max(axis=0), np.maximum(mass, 0).max(axis=0))
    least = np.maximum(1.0, 0.1 * figures_of(travel, full))
    least[:3] = np.hypot(FLOOR * full, back.error_95)
    return values([down + least, up + least])


FLOOR = 0.005
"""Share of the travel that the fit itself may be off with all else known."""


def given_back_of(log: Values, again: Values, full: float, told: Told) -> GivenBack:
    """Return how well a ride (stretches, points) [m] gives the log back.

    `full` [m] is the travel, `told` what the log tells.

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
    """Return mean, 95 and 99 % travel [m], entries into the last tenth and meetings with the stop."""
    share = travel / full
    entries = sum(int(entered(one, LAST_TENTH, REARMED_TENTH).sum()) for one in share)
    meetings = sum(int(entered(one, TOUCHING, REARMED_STOP).sum()) for one in share)
    return values([travel.mean(), *np.quantile(travel, [0.95, 0.99]), entries, meetings])


def used_of(travel: Values, band: Values, full: float) -> Used:
    """Return what is used, its `band` (2, 5) how far figures go down and up."""
    value = figures_of(travel, full)
    low, high = np.maximum(value - band[0], 0.0), value + band[1]
    high[:3] = np.minimum(high[:3], np.maximum(full, value[:3]))
    mean, travel_95, travel_99, entries, meetings = (
        Estimate(*map(float, one)) for one in zip(value, low, high, strict=True)
    )
    tenths = np.bincount(np.clip(travel / full * 10, 0, 9).astype(np.intp).ravel(), minlength=10)
    share = values(tenths / travel.size)
    return Used(mean, travel_95, travel_99, float(travel.max()), entries, meetings, share)
