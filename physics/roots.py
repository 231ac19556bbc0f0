"""Safeguarded Newton's method on a whole axis of cases at once, and the first crossing of a sampled curve.

Guarantee: if `law` is finite and continuous between `low` and `high`, not positive at `low` and not negative
at `high`, the root lies in a bracket with that property no wider than the tolerance, or than `SHORT` if
its chord and the tangents at both ends agree about the root to a tenth of the tolerance. Derivatives only
speed it up: they may be zero, infinite, NaN or wrong. Every `PATIENCE`-th evaluation bisects the bracket
regardless of Newton, so the worst case is `PATIENCE` log₂(width/tolerance) evaluations, 410 for a bracket
from −1 to 1; a smooth law takes two to four.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np

from physics.arrays import Marks, Values, per_point, picked, values, where
from physics.frozen import dataclass

RELATIVE_TOLERANCE = 1e-12
"""Width of the final bracket relative to the larger end of the initial one."""
SHORT = 1e-6
"""Width, relative likewise, from which on a bracket may be closed by what lies at its ends."""
PATIENCE = 10
MOST_STEPS = 450
_SHORT = SHORT / RELATIVE_TOLERANCE

Here = tuple[Values, Values]
"""Value and derivative of a law at one position."""
Law = Callable[[Values], Here]


@dataclass(frozen=True, slots=True)
class Roots:
    """Root of each case, NaN if there is none, and the number of evaluations."""

    at: Values
    evaluations: int


@dataclasses.dataclass(slots=True)
class _Bracket:
    """Positions where `law` is not positive (`low`) and not negative (`high`), with value and slope there."""

    low: Values
    high: Values
    below: Values
    above: Values
    rising: Values
    leaving: Values

    def take(self, here: Values, value: Values, slope: Values) -> None:
        """Move the end that `here` improves; a NaN value collapses the bracket from above."""
        under, over = value <= 0, ~(value < 0)
        self.low, self.below = where(under, here, self.low), where(under, value, self.below)
        self.high, self.above = where(over, here, self.high), where(over, value, self.above)
        self.rising, self.leaving = where(under, slope, self.rising), where(over, slope, self.leaving)

    def middle(self) -> Values:
        return values((self.low + self.high) / 2)

    def inside(self, wanted: Values) -> Values:
        """Replace positions outside the bracket by its middle."""
        return where((wanted > self.low) & (wanted < self.high), wanted, self.middle())

    def chord(self) -> Values:
        """Return the root of the straight line through both ends, or an end that is a root."""
        share = self.below / (self.below - self.above)
        return where(self.above > 0, self.low + share * (self.high - self.low), self.high)

    def open(self, tolerance: Values) -> Marks:
        """Mark cases without a root so far."""
        width = self.high - self.low
        wide = (width > tolerance) & (self.below < 0) & (self.above > 0)
        short = wide & (width <= _SHORT * tolerance)
        return np.asarray(
            wide & ~(short & self._agrees(0.1 * tolerance)) if np.count_nonzero(short) else wide
        )

    def _agrees(self, tolerance: Values) -> Marks:
        """Mark cases in which the chord and the tangents at both ends have one root."""
        chord = self.chord()
        left, right = self.low - self.below / self.rising, self.high - self.above / self.leaving
        return np.asarray(np.maximum(np.abs(left - chord), np.abs(right - chord)) <= tolerance)

    def start(self) -> Values:
        """Return the root of the inverse cubic x(value) through both ends, the middle if that is outside.

        For a smooth law over a short bracket it is close to the root.
        """
        width, rise = self.high - self.low, self.above - self.below
        share = -self.below / rise
        bend = (1 - share) * (rise / self.rising - width) - share * (rise / self.leaving - width)
        return self.inside(values(self.low + share * (width + (1 - share) * bend)))


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
    (below, rising), (above, leaving) = ends or (law(low), law(high))
    bracket = _Bracket(low, high, below, above, rising, leaving)
    changes = (below <= 0) & (above >= 0)
    tolerance = RELATIVE_TOLERANCE * np.maximum(np.abs(low), np.abs(high))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        here = bracket.start()
        while np.count_nonzero(changes & bracket.open(tolerance)) and evaluations < MOST_STEPS:
            value, slope = law(here)
            bracket.take(here, value, slope)
            evaluations += 1
            if evaluations % PATIENCE == 0:
                here, value, slope = _halved(law, bracket, here, value, slope)
                evaluations += 1
            # Beyond the root by the tolerance: then both ends of the bracket are soon close to it.
            step = value / slope
            here = bracket.inside(here - (step + np.copysign(tolerance, step)))
        found = changes & ~np.isnan(bracket.below + bracket.above)
        return Roots(where(found, bracket.chord(), np.nan), evaluations)


def _halved(
    law: Law, bracket: _Bracket, here: Values, value: Values, slope: Values
) -> tuple[Values, Values, Values]:
    """Bisect the bracket; return the better of its middle and `here`, so that Newton never loses progress."""
    middle = bracket.middle()
    value_there, slope_there = law(middle)
    bracket.take(middle, value_there, slope_there)
    nearer = np.abs(value_there) < np.abs(value)
    pairs = ((middle, here), (value_there, value), (slope_there, slope))
    here, value, slope = (where(nearer, there, old) for there, old in pairs)
    return here, value, slope


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
    over = height >= 0
    found = np.asarray(over.any(axis=-1))
    first = np.where(found, over.argmax(axis=-1), height.shape[-1])
    before, after = np.maximum(first - 1, 0), np.minimum(first, height.shape[-1] - 1)
    ends = tuple((picked(height, index), picked(slope, index)) for index in (before, after))
    crossing = Crossing(picked(at, before), picked(at, after), (ends[0], ends[1]), found)
    doubtful = _may_hide(at, height, slope) & (np.arange(height.shape[-1] - 1) < first[..., None] - 1)
    while doubtful.any():
        crossing, doubtful = _look_inside(at, law, crossing, doubtful)
    return crossing


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
