"""Force over stroke as it was read, and which way the shaft was going at each reading."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics.arrays import Values, values
from physics.unfit import Unfit

_SLACK = 0.02
"""Share of the span that a stroke may step back without having turned: play and rounding of the reading."""

_LARGEST = 1e6
"""Forces from here on [N] are none of a shock."""


@dataclass(frozen=True, slots=True)
class Loop:
    """Readings of one shock, each (readings,): stroke used [m], force [N] on the shaft, way.

    The `way` is +1 where the shaft was going in, so that friction adds to the force, −1 coming out, and 0
    where that is not known; then all are taken to lie in the middle between in and out.
    """

    stroke: Values
    force: Values
    way: Values


def loop_of(stroke: Values, force: Values) -> Loop:
    """Return readings (readings,) in the order they were taken, their ways from where the stroke turns."""
    stroke, force = values(stroke), values(force)
    return Loop(stroke, force, ways(stroke))


def ways(stroke: Values) -> Values:
    """Return the way at each stroke (readings,) [m]; all 0 where the shaft went one way only.

    The reading at a turn belongs to the way that led there.
    """
    way = np.zeros(len(stroke))
    if len(stroke) < 2:
        return way
    slack = _SLACK * float(np.ptp(stroke))
    first = last = 0
    heading = 0.0
    turns = 0
    for place in range(1, len(stroke)):
        step = float(stroke[place] - stroke[last])
        if heading == 0.0:
            if abs(step) > slack:
                heading, last = np.sign(step), place
        elif step * heading >= 0:
            last = place
        elif abs(step) > slack:
            way[first : last + 1] = heading
            first, last, heading, turns = last + 1, place, -heading, turns + 1
    way[first:] = heading
    return way if turns else np.zeros(len(stroke))


def check(loop: Loop, full: float) -> None:
    """Raise `Unfit` where readings cannot be from a shock of stroke `full` [m], or are all of one place."""
    known = np.isfinite(loop.stroke) & (np.abs(loop.force) < _LARGEST)
    if not np.all(known):
        raise Unfit("not_numbers", reading=float(np.argmin(known)))
    outside = (loop.stroke < -_SLACK * full) | (loop.stroke > (1 + _SLACK / 4) * full)
    if np.any(outside):
        place = int(np.argmax(outside))
        raise Unfit("beyond_stroke", reading=float(place), stroke=float(loop.stroke[place]), full=full)
    if len(loop.stroke) < 2:
        raise Unfit("too_few", readings=float(len(loop.stroke)), needed=4.0)
    if np.ptp(loop.stroke) < 1e-3 * full:
        raise Unfit("one_place", stroke=float(np.mean(loop.stroke)))
