"""A safeguarded Newton iteration on a whole axis of cases at once.

Guarantee: where `law` is finite and continuous between `low` and `high`, not above zero at `low` and not
below it at `high`, the answer lies in a bracket with that property that is no wider than the tolerance.
Slopes only make it quick: they may be zero, infinite, NaN or plainly wrong. Every
`PATIENCE`-th evaluation halves the bracket whatever Newton thinks, so it takes at most
`PATIENCE` log₂(width/tolerance) of them, 410 for a bracket from −1 to 1; a smooth law takes three to five.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from physics.arrays import Marks, Values, picked, values

RELATIVE_TOLERANCE = 1e-12
"""Widest final bracket, as a share of the larger end of the first one."""
PATIENCE = 10
MOST_STEPS = 450

Here = tuple[Values, Values]
"""Value and slope of a law at one place."""
Law = Callable[[Values], Here]


@dataclass(frozen=True, slots=True)
class Roots:
    """Root of each case, NaN where there is none to find, and the evaluations it took."""

    at: Values
    evaluations: int


@dataclass(slots=True)
class _Bracket:
    """Where `law` is not above (`low`) and not below zero (`high`), with its values there."""

    low: Values
    high: Values
    below: Values
    above: Values

    def take(self, here: Values, value: Values) -> None:
        """Move the end that `here` improves; a value that is no number closes in on itself from above."""
        under, over = value <= 0, ~(value < 0)
        np.copyto(self.low, here, where=under)
        np.copyto(self.below, value, where=under)
        np.copyto(self.high, here, where=over)
        np.copyto(self.above, value, where=over)

    def middle(self) -> Values:
        return values((self.low + self.high) / 2)

    def inside(self, wanted: Values) -> Values:
        """Return the middle in place of what does not lie inside."""
        inside = (wanted > self.low) & (wanted < self.high)
        return wanted if inside.all() else values(np.where(inside, wanted, self.middle()))

    def best(self) -> Values:
        """Return the end that is nearer to zero in value."""
        return values(np.where(np.abs(self.below) <= np.abs(self.above), self.low, self.high))

    def open(self, tolerance: Values) -> Marks:
        return np.asarray((self.high - self.low > tolerance) & (self.below < 0) & (self.above > 0))


def bracketed_root(law: Law, low: Values, high: Values, ends: tuple[Here, Here] | None = None) -> Roots:
    """Return where `law`, which maps positions (cases...) to value and slope, rises through zero.

    `low` and `high` broadcast to the shape of the cases; `ends` is what `law` says there, if that is known
    already. A case without a change of sign from not above to not below zero, or one whose value turns out
    NaN on the way, is NaN.
    """
    evaluations = 0 if ends else 2
    (below, rising), (above, leaving) = ends or (law(low), law(high))
    cases = np.broadcast(low, high, below, above).shape
    bracket = _Bracket(*(np.full(cases, part) for part in (low, high, below, above)))
    changes = (bracket.below <= 0) & (bracket.above >= 0)
    tolerance = RELATIVE_TOLERANCE * np.maximum(np.abs(bracket.low), np.abs(bracket.high))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        here = _start(bracket, rising, leaving)
        while (changes & bracket.open(tolerance)).any() and evaluations < MOST_STEPS:
            value, slope = law(here)
            bracket.take(here, value)
            evaluations += 1
            if evaluations % PATIENCE == 0:
                here, value, slope = _halved(law, bracket, here, value, slope)
                evaluations += 1
            # Never shorter than the tolerance: the last step reaches over the root and closes the bracket.
            step = value / slope
            here = bracket.inside(here - np.copysign(np.maximum(np.abs(step), tolerance), step))
    found = changes & ~np.isnan(bracket.below + bracket.above)
    return Roots(values(np.where(found, bracket.best(), np.nan)), evaluations)


def _start(bracket: _Bracket, rising: Values, leaving: Values) -> Values:
    """Return where the cubic x(value) through both ends, with the law's slopes there, passes zero.

    The middle where it leaves the bracket. For a smooth law over a short bracket it is nearly the root.
    """
    width, rise = bracket.high - bracket.low, bracket.above - bracket.below
    share = -bracket.below / rise
    bend = (1 - share) * (rise / rising - width) - share * (rise / leaving - width)
    return bracket.inside(values(bracket.low + share * (width + (1 - share) * bend)))


def _halved(
    law: Law, bracket: _Bracket, here: Values, value: Values, slope: Values
) -> tuple[Values, Values, Values]:
    """Halve the bracket; return the better of its middle and `here`, so that Newton loses no ground."""
    middle = bracket.middle()
    value_there, slope_there = law(middle)
    bracket.take(middle, value_there)
    nearer = np.abs(value_there) < np.abs(value)
    pairs = ((middle, here), (value_there, value), (slope_there, slope))
    here, value, slope = (values(np.where(nearer, there, old)) for there, old in pairs)
    return here, value, slope


@dataclass(frozen=True, slots=True)
class Crossing:
    """Bracket of the first crossing (cases...), what the curve does at its ends, and whether it exists."""

    low: Values
    high: Values
    ends: tuple[Here, Here]
    found: Marks


def first_crossing(at: Values, height: Values, slope: Values, law: Law) -> Crossing:
    """Return where a curve first gets from below zero to zero or above.

    `height` and `slope` are its samples at `at` (..., samples), NaN where there is no curve; `law` maps
    positions (...) to the same two. Between two samples below zero it is asked for its peak where
    the tangents at both say that it might reach zero: one peak between two samples cannot slip through.
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
    """Mark the intervals that rise into and fall out of a point where the tangents meet at zero or above."""
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
    """Settle the first doubtful interval of each case: it takes the crossing's place or drops out."""
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
