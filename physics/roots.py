"""Safeguarded Newton's method on a whole axis of cases at once, and the first crossing of a sampled curve.

Guarantee: if `law` is finite and continuous between `low` and `high`, not positive at `low` and not negative
at `high`, the root lies in a bracket with that property no wider than the tolerance, or no further than
`NEAR` from a position at which values and slopes agree about it to a tenth of the tolerance. Derivatives only
speed it up: they may be zero, infinite, NaN or wrong. Every `PATIENCE`-th evaluation bisects the bracket
regardless of Newton, so the worst case is `PATIENCE` log₂(width/tolerance) evaluations, 410 for a bracket
from −1 to 1; a smooth law takes one to four.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from physics.arrays import Marks, Values, per_point, picked, some, values, where
from physics.frozen import dataclass

RELATIVE_TOLERANCE = 1e-12
"""Width of the final bracket relative to the larger end of the initial one."""
NEAR = 1e-10
"""Length of a step of Newton's method, relative likewise, up to which it may be the last."""
PATIENCE = 10
MOST_STEPS = 450
_WRONG = 0.1
"""Share by which the slopes at both ends of a bracket may be off the rise between them, to be trusted."""

Here = tuple[Values, Values]
"""Value and derivative of a law at one position."""
Law = Callable[[Values], Here]
End = tuple[Values, Values, Values] | Values
"""A position, with value and derivative there; of several cases one array, (3, cases...)."""


@dataclass(frozen=True, slots=True)
class Roots:
    """Root of each case, NaN if there is none, and the number of evaluations."""

    at: Values
    evaluations: int


def _end(at: Values, value: Values, slope: Values) -> End:
    if at.ndim == value.ndim == slope.ndim == 0:
        return at, value, slope
    if at.shape == value.shape == slope.shape:
        return np.array([at, value, slope])
    return np.array(np.broadcast_arrays(at, value, slope))


def _chosen(mark: Marks, yes: End, no: End) -> End:
    """Return one end where marked and the other elsewhere."""
    if not mark.ndim:
        return yes if mark else no
    return np.where(mark, *(_of_cases(end, mark.ndim) for end in (yes, no)))


def _of_cases(end: End, axes: int) -> Values:
    """Return an end with at least this number of axes of cases, those added in front."""
    parts = np.asarray(end)
    missing = axes + 1 - parts.ndim
    return parts.reshape(3, *(1,) * missing, *parts.shape[1:]) if missing > 0 else parts


def _start(left: End, right: End) -> Values:
    """Return the root of the inverse cubic x(value) through both ends, the middle if that is outside.

    For a smooth law over a short bracket it is close to the root.
    """
    (low, below, rising), (high, above, leaving) = left, right
    width, rise = high - low, above - below
    share = -below / rise
    rest = 1.0 - share
    bend = rest * (rise / rising - width) - share * (rise / leaving - width)
    wanted = low + share * (width + rest * bend)
    return where((wanted >= low) & (wanted <= high), wanted, low + 0.5 * width)


def _agrees(left: End, right: End, step: Values, tolerance: Values) -> Marks:
    """Mark cases in which the root is a `step` from the end that was evaluated last, within the tolerance.

    To first order in the share by which the mean slope is off the rise between the ends, to second order in
    the step by the bend of the law there: what either leaves open is a tenth of the tolerance at most.
    """
    (low, below, rising), (high, above, leaving) = left, right
    width, mean, length = high - low, 0.5 * (rising + leaving), abs(step)
    off = abs((above - below) / (mean * width) - 1.0)
    doubt = length * (off + abs((leaving - rising) / mean) * (length / width))
    return np.asarray((off <= _WRONG) & (doubt <= 0.1 * tolerance))


def bracketed_root(law: Law, low: Values, high: Values, ends: tuple[Here, Here] | None = None) -> Roots:
    """Return where `law`, which maps positions (cases...) to value and derivative, rises through zero.

    `low` and `high` broadcast to the shape of the cases; `ends` are the values of `law` there, if already
    known. A case without a change of sign from not positive to not negative, or whose value becomes NaN on
    the way, is NaN.

    >>> root = bracketed_root(lambda x: (x * x - 2.0, 2.0 * x), values(0.0), values(2.0))
    >>> round(float(root.at), 12), root.evaluations < 10
    (1.414213562373, True)
    """
    evaluations = 0 if ends else 2
    at_low, at_high = ends or (law(low), law(high))
    left, right = _end(low, *at_low), _end(high, *at_high)
    changes = np.asarray((left[1] <= 0) & (right[1] >= 0))
    tolerance = values(RELATIVE_TOLERANCE * np.maximum(abs(low), abs(high)))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        here = root = _start(left, right)
        open_, closed = changes & _wide(left, right, tolerance), changes & ~changes
        while some(open_):
            last = _end(here, *law(here))
            left, right = _closer(left, right, last)
            evaluations += 1
            if evaluations % PATIENCE == 0:
                left, right, last = _halved(law, left, right, last)
                evaluations += 1
            at, value, slope = last
            step = value / slope
            open_ = open_ & _wide(left, right, tolerance)
            near = open_ & (abs(step) <= NEAR / RELATIVE_TOLERANCE * tolerance)
            if some(near):
                closes = near & _agrees(left, right, step, tolerance)
                root, closed, open_ = where(closes, at - step, root), closed | closes, open_ & ~closes
            if evaluations >= MOST_STEPS or not some(open_):
                break
            # Beyond the root by the tolerance: then both ends of the bracket are soon close to it.
            here = _inside(left, right, at - (step + np.copysign(tolerance, step)))
        if some(changes & ~closed):
            root = where(closed, root, _chord(left, right))
        return Roots(where(changes, root, np.nan), evaluations)


def _closer(left: End, right: End, here: End) -> tuple[End, End]:
    """Move the end that `here` improves; a NaN value moves the one above."""
    value = here[1]
    return _chosen(value <= 0, here, left), _chosen(~(value < 0), here, right)


def _halved(law: Law, left: End, right: End, here: End) -> tuple[End, End, End]:
    """Bisect the bracket; return its better position too, middle or `here`: Newton loses no progress."""
    middle = values(0.5 * (left[0] + right[0]))
    there = _end(middle, *law(middle))
    return *_closer(left, right, there), _chosen(abs(there[1]) < abs(here[1]), there, here)


def _wide(left: End, right: End, tolerance: Values) -> Marks:
    """Mark cases in which neither end is a root, nor both are closer than the tolerance."""
    return (right[0] - left[0] > tolerance) & (left[1] < 0) & (right[1] > 0)


def _inside(left: End, right: End, wanted: Values) -> Values:
    """Replace positions that are not between the ends by the middle."""
    low, high = left[0], right[0]
    return where((wanted > low) & (wanted < high), wanted, 0.5 * (low + high))


def _chord(left: End, right: End) -> Values:
    """Return the root of the straight line through both ends, or an end that is one; NaN if that is."""
    (low, below, _), (high, above, _) = left, right
    return where(above > 0, low + below / (below - above) * (high - low), high + 0.0 * above)


def of_one_point(law: Law) -> Law:
    """Return a law of positions (cases..., points) as one of positions (cases...).

    A single case is asked as a single number, with which numpy is much faster than with an array of one.
    """

    def at_one(here: Values) -> Here:
        if not here.ndim:
            return law(here)
        value, slope = law(per_point(here))
        return value[..., 0], slope[..., 0]

    return at_one


@dataclass(frozen=True, slots=True)
class Crossing:
    """Bracket of the first crossing (cases...), the curve at its ends, and whether the crossing exists."""

    low: Values
    high: Values
    ends: tuple[Here, Here]
    found: Marks

    def of_case(self, index: int) -> tuple[Values, Values, tuple[Here, Here]]:
        """Return the bracket of one case of an axis of them, and the curve at its ends."""
        (below, rising), (above, leaving) = self.ends
        ends = (below[index], rising[index]), (above[index], leaving[index])
        return self.low[index], self.high[index], ends


def first_crossing(at: Values, height: Values, slope: Values, law: Law) -> Crossing:
    """Return where a curve first rises from below zero to zero or above.

    `height` and `slope` are its samples at `at` (..., samples), NaN where there is no curve; `law` maps
    positions (...) to the same two. Between two negative samples it is searched for a peak where the tangents
    at both suggest that it might reach zero, so that a single peak between two samples is not missed.

    >>> def parabola(x):
    ...     return 1.0 - 4.0 * (x - 0.5) ** 2, -8.0 * (x - 0.5)
    >>> at = values([-0.5, -0.1, 1.1])
    >>> found = first_crossing(at, *parabola(at), parabola)
    >>> bool(found.found), float(found.low), round(float(found.high), 9)
    (True, -0.1, 0.5)
    """
    first = (height >= 0).argmax(axis=-1)
    both = np.array([np.maximum(first - 1, 0), first])
    (low, high), (below, above), (rising, leaving) = (picked(part, both) for part in (at, height, slope))
    found = np.asarray(above >= 0)  # without a crossing the first sample, below zero, is both ends
    crossing = Crossing(low, high, ((below, rising), (above, leaving)), found)
    if not _turns(slope):
        return crossing
    ahead = np.where(found, first - 1, height.shape[-1])
    doubtful = _may_hide(at, height, slope) & (np.arange(height.shape[-1] - 1) < ahead[..., None])
    while doubtful.any():
        crossing, doubtful = _look_inside(at, law, crossing, doubtful)
    return crossing


def _turns(slope: Values) -> bool:
    """Tell whether there can be a peak: a curve that falls nowhere has none, and most do not fall."""
    return not slope.min() >= 0


def _may_hide(at: Values, height: Values, slope: Values) -> Marks:
    """Mark intervals that rise at the start and fall at the end with tangents that meet at zero or above."""
    before, after = slope[..., :-1], slope[..., 1:]
    turns = (before > 0) & (after < 0)
    if not turns.any():
        return turns
    rise = np.diff(height, axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = (rise - after * np.diff(at, axis=-1)) / (before - after)
        meeting = height[..., :-1] + before * reach
    return np.asarray(turns & (meeting >= 0))


def _look_inside(at: Values, law: Law, crossing: Crossing, doubtful: Marks) -> tuple[Crossing, Marks]:
    """Resolve the first doubtful interval of each case: it replaces the crossing or is dropped."""
    index = np.argmax(doubtful, axis=-1)
    low, high = picked(at, index), picked(at, index + 1)

    def fall(here: Values) -> tuple[Values, Values]:
        slope = law(here)[1]
        return values(-slope), np.full_like(slope, np.nan)

    peak = bracketed_root(fall, low, high).at
    ends = law(low), law(peak)
    hit = np.any(doubtful, axis=-1) & (ends[1][0] >= 0)
    left = doubtful & ~hit[..., None] & (np.arange(doubtful.shape[-1]) != index[..., None])
    better = Crossing(
        low=np.where(hit, low, crossing.low),
        high=np.where(hit, peak, crossing.high),
        ends=(_swapped(hit, ends[0], crossing.ends[0]), _swapped(hit, ends[1], crossing.ends[1])),
        found=crossing.found | hit,
    )
    return better, left


def _swapped(hit: Marks, new: Here, old: Here) -> Here:
    return values(np.where(hit, new[0], old[0])), values(np.where(hit, new[1], old[1]))
