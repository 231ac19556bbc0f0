"""Force over stroke as measured, and the direction of the shaft at each reading."""

from __future__ import annotations

import numpy as np

from physics.arrays import Values, values
from physics.faults import Unfit
from physics.frozen import dataclass

_SLACK = 0.02
"""Backward step, relative to the span, that is not a turn: play and rounding of the reading."""
_AT_TURN = 0.002
"""Distance, relative to the span, within which neighbouring readings at a turn are at the same place."""
_LARGEST = 1e6
"""Forces from here on [N] are not those of a shock."""
_HAIR = 1e-5
"""Overshoot of full stroke [m] that is rounding of the reading."""
PAST = 5e-4
"""Readings past full stroke by up to this [m] are left out: compliance of tester and bottom-out stop."""


@dataclass(frozen=True, slots=True)
class Loop:
    """Readings of one shock, each (readings,): stroke used [m], force [N] on the shaft, direction.

    The `way` is +1 compressing, where friction adds to the force, −1 extending, and 0 at
    a turning point, where friction may act either way.
    """

    stroke: Values
    force: Values
    way: Values

    @property
    def both(self) -> bool:
        """Whether there are readings in both directions."""
        return bool(np.any(self.way > 0) and np.any(self.way < 0))


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Readings a fit does not use: strokes [m] of those past full stroke, count of those at a turn."""

    past: Values
    turning: int

    @property
    def count(self) -> int:
        """Number of readings left out."""
        return len(self.past) + self.turning


def loop_of(stroke: Values, force: Values) -> Loop:
    """Return readings (readings,) in the order taken, with directions from the turning points of the stroke.

    >>> loop_of(values([0.00, 0.02, 0.04, 0.02, 0.00]), values([0, 2, 4, 1, 0])).way.tolist()
    [1.0, 1.0, 0.0, -1.0, -1.0]
    """
    stroke, force = values(stroke), values(force)
    return Loop(stroke, force, ways(stroke))


def ways(stroke: Values) -> Values:
    """Return the direction at each stroke (readings,) [m]: 0 at a turning point, all 0 without motion."""
    way = np.zeros(len(stroke))
    if len(stroke) < 2:
        return way
    span = float(np.ptp(stroke))
    first = last = 0
    heading = 0.0
    turns = []
    for place in range(1, len(stroke)):
        step = float(stroke[place] - stroke[last])
        if heading == 0.0:
            if abs(step) > _SLACK * span:
                heading, last = np.sign(step), place
        elif step * heading >= 0:
            last = place
        elif abs(step) > _SLACK * span:
            way[first : last + 1] = heading
            turns.append(last)
            first, last, heading = last + 1, place, -heading
    way[first:] = heading
    for turn in turns:
        # Readings next to a turn are at the same place.
        apart = np.flatnonzero(np.abs(stroke - stroke[turn]) > _AT_TURN * span)
        after = int(np.searchsorted(apart, turn))
        start = apart[after - 1] + 1 if after else 0
        end = apart[after] if after < len(apart) else len(stroke)
        way[start:end] = 0.0
    return way


def usable(loop: Loop, full: float) -> tuple[Loop, LeftOut]:
    """Return the readings usable for a fit on a shock of stroke `full` [m], and those left out.

    Raises `Unfit` if readings cannot be from such a shock, or are all at one place.
    """
    known = np.isfinite(loop.stroke) & (np.abs(loop.force) < _LARGEST)
    if not np.all(known):
        raise Unfit("not_numbers", reading=float(np.argmin(known)))
    outside = (loop.stroke < -_SLACK * full) | (loop.stroke > full + PAST + _HAIR)
    if np.any(outside):
        place = int(np.argmax(outside))
        raise Unfit("beyond_stroke", reading=float(place), stroke=float(loop.stroke[place]), full=full)
    _check_span(loop, full)
    past = loop.stroke > full + _HAIR
    kept = ~past & (loop.way != 0)
    left_out = LeftOut(loop.stroke[past], int(np.count_nonzero(~past & ~kept)))
    used = Loop(loop.stroke[kept], loop.force[kept], loop.way[kept])
    _check_span(used, full)
    return used, left_out


def _check_span(loop: Loop, full: float) -> None:
    if len(loop.stroke) < 2:
        raise Unfit("too_few", readings=float(len(loop.stroke)), needed=4.0)
    if np.ptp(loop.stroke) < 1e-3 * full:
        raise Unfit("one_place", stroke=float(np.mean(loop.stroke)))
