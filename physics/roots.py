"""A safeguarded Newton iteration on a whole axis of cases at once.

Guarantee: where `law` is finite and continuous between `low` and `high`, not above zero at `low` and not
below it at `high`, the answer lies in a bracket with that property that is no wider than the tolerance.
Slopes only make it quick: they may be zero, infinite, NaN or plainly wrong. A bracket that has not
halved in `PATIENCE` steps is halved by force, so it takes at most (`PATIENCE` + 1) log₂(width/tolerance)
evaluations; a smooth law takes about five.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from physics.arrays import Marks, Values, values

RELATIVE_TOLERANCE = 1e-13
"""Widest final bracket, as a share of the first one."""
ROUNDING = 4 * float(np.finfo(np.float64).eps)
"""No bracket is asked to be narrower than this share of its larger end."""
PATIENCE = 6
MOST_STEPS = 320

Law = Callable[[Values], tuple[Values, Values]]


class Status(IntEnum):
    """How a case ended."""

    FOUND = 0
    NO_CHANGE_OF_SIGN = 1
    NOT_A_NUMBER = 2


@dataclass(frozen=True, slots=True)
class Roots:
    """Root of each case, NaN where `status` (a `Status` a case) is not FOUND, and the evaluations it took."""

    at: Values
    status: NDArray[np.int_]
    evaluations: int


@dataclass(slots=True)
class _Bracket:
    low: Values
    high: Values
    below: Values
    above: Values

    def take(self, here: Values, value: Values) -> None:
        """Move the end that `here` improves."""
        under, over = value <= 0, value >= 0
        self.low, self.below = np.where(under, here, self.low), np.where(under, value, self.below)
        self.high, self.above = np.where(over, here, self.high), np.where(over, value, self.above)

    def secant(self) -> Values:
        """Return where a straight line between the ends meets zero."""
        return values(self.low - self.below * (self.high - self.low) / (self.above - self.below))

    def middle(self) -> Values:
        return values(self.low + (self.high - self.low) / 2)

    def best(self) -> Values:
        """Return the end that is nearer to zero in value."""
        return values(np.where(np.abs(self.below) <= np.abs(self.above), self.low, self.high))


def bracketed_root(law: Law, low: Values, high: Values) -> Roots:
    """Return where `law`, which maps positions (cases...) to value and slope, rises through zero.

    `low` and `high` broadcast to the shape of the cases. A case without a change of sign from not above
    to not below zero, or one whose value turns out NaN on the way, is NaN with its status.
    """
    below, above = law(low)[0], law(high)[0]
    low, high, below, above = (values(part) for part in np.broadcast_arrays(low, high, below, above))
    bracket = _Bracket(low, high, below, above)
    status = _first_status(below, above)
    width = high - low
    tolerance = np.maximum(
        RELATIVE_TOLERANCE * np.abs(width), ROUNDING * np.maximum(np.abs(low), np.abs(high))
    )
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        here = _inside(bracket.secant(), bracket)
        waited = np.zeros(width.shape, dtype=int)
        evaluations = 2
        while np.any(_open(bracket, tolerance, status)) and evaluations < MOST_STEPS:
            value, slope = law(here)
            evaluations += 1
            status = np.where((status == Status.FOUND) & np.isnan(value), Status.NOT_A_NUMBER, status)
            bracket.take(here, value)
            halved = bracket.high - bracket.low <= width / 2
            width = np.where(halved, bracket.high - bracket.low, width)
            waited = np.where(halved, 0, waited + 1)
            here = _following(here, value / slope, bracket, tolerance, waited >= PATIENCE)
    return Roots(values(np.where(status == Status.FOUND, bracket.best(), np.nan)), status, evaluations)


def _first_status(below: Values, above: Values) -> NDArray[np.int_]:
    """Return NOT_A_NUMBER, NO_CHANGE_OF_SIGN or, where the bracket is good, FOUND: it will be."""
    lost = np.isnan(below) | np.isnan(above)
    changes = (below <= 0) & (above >= 0)
    good = np.where(changes, Status.FOUND, Status.NO_CHANGE_OF_SIGN)
    return np.asarray(np.where(lost, Status.NOT_A_NUMBER, good), dtype=int)


def _open(bracket: _Bracket, tolerance: Values, status: NDArray[np.int_]) -> Marks:
    wide = bracket.high - bracket.low > tolerance
    return np.asarray((status == Status.FOUND) & wide & (bracket.below != 0) & (bracket.above != 0))


def _inside(wanted: Values, bracket: _Bracket) -> Values:
    inside = (wanted > bracket.low) & (wanted < bracket.high)
    return values(np.where(inside, wanted, bracket.middle()))


def _following(here: Values, step: Values, bracket: _Bracket, tolerance: Values, tired: Marks) -> Values:
    """Return the next position: Newton's inside the bracket, else the middle.

    A step is never shorter than the tolerance: the last one reaches over the root and closes the bracket.
    """
    step = np.copysign(np.maximum(np.abs(step), tolerance), step)
    wanted = np.where(tired, np.nan, here - step)
    return _inside(values(wanted), bracket)
