"""The interval in which a sampled curve first reaches a level, also where the peak hides between samples."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics.arrays import Marks, Values, picked, values
from physics.roots import Here, Law, bracketed_root


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
