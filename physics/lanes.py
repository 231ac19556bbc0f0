"""Arithmetic for one set of equations on two kinds of number: floats for one lane, arrays (lanes,) for many.

A numpy operation has some twenty times the overhead of a float operation. So a few lanes run one by one on
floats, many together on arrays, with the same code.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Protocol

import numpy as np

Number = Any
"""A float for one lane, an array (lanes,) for many."""
Mark = Any
"""A bool for one lane, an array (lanes,) for many."""
Table = Any
"""A table: a list of rows for one lane; for many, all rows, the first row of each lane, and the last cell."""


class Maths(Protocol):
    """Operations that are written differently for floats and for arrays."""

    def any(self, mark: Mark) -> bool:
        """Return whether any lane is marked."""

    def where(self, mark: Mark, yes: Number, no: Number) -> Number:
        """Return `yes` where marked, else `no`."""

    def largest(self, one: Number, other: Number) -> Number:
        """Return the larger of two numbers."""

    def least(self, one: Number, other: Number) -> Number:
        """Return the smaller of two numbers."""

    def beyond(self, number: Number, most: Number) -> Number:
        """Return the excess over the range 0 to `most`: positive above it, negative below, zero inside."""

    def sqrt(self, number: Number) -> Number:
        """Return the square root."""

    def lost(self, lapse: Number) -> Number:
        """Return 1 − e^−lapse."""

    def row(self, table: Table, at: Number) -> tuple[Number, Sequence[Number]]:
        """Return the position within a cell of a table and its row; the end cells extend beyond the ends."""

    def rubbed(self, u0: Number, u1: Number, slowing: Number, h: float) -> tuple[Number, Number]:
        """Return by how much friction reduces speed and displacement over a step `h` from speed u0 to u1.

        u1 is the speed without friction. Coulomb friction: decelerates by `slowing` down to rest, and then
        sticks unless the driving acceleration exceeds `slowing`.
        """


class Floats:
    """One lane in plain floats.

    >>> Floats().row([(0.0, 10.0), (10.0, 20.0)], 1.25)
    (0.25, (10.0, 20.0))
    >>> Floats().rubbed(0.5, 1.5, 2.0, 0.125)  # friction of 2 m/s² over 1/8 s
    (0.25, 0.015625)
    """

    any = staticmethod(bool)

    def where(self, mark: Mark, yes: Number, no: Number) -> Number:
        """Return one number where marked and the other elsewhere."""
        return yes if mark else no

    def largest(self, one: Number, other: Number) -> Number:
        """Return the larger of two numbers."""
        return one if one > other else other

    def least(self, one: Number, other: Number) -> Number:
        """Return the smaller of two numbers."""
        return one if one < other else other

    def beyond(self, number: Number, most: Number) -> Number:
        """Return by how much a number is above `most`, or below zero."""
        return number - most if number > most else number if number < 0.0 else 0.0

    def sqrt(self, number: Number) -> Number:
        """Return the square root."""
        return math.sqrt(number)

    def lost(self, lapse: Number) -> Number:
        """Return 1 − e^−lapse."""
        return -math.expm1(-lapse)

    def row(self, table: Table, at: Number) -> tuple[Number, Sequence[Number]]:
        """Return the place within a cell of a table and its row."""
        cell = int(at)
        last = len(table) - 1
        if at < 0:
            cell = 0
        elif cell > last:
            cell = last
        return at - cell, table[cell]

    def rubbed(self, u0: Number, u1: Number, slowing: Number, h: float) -> tuple[Number, Number]:
        """Return by how much friction lowers speed and way of a step."""
        pull = (u1 - u0) / h
        first = pull - slowing if u0 > 0 else pull + slowing
        if u0 * first < 0 and abs(u0) < abs(first) * h:
            sliding = -u0 / first
        elif u0:
            return (pull - first) * h, 0.5 * h * h * (pull - first)
        else:
            sliding = 0.0
        rest = h - sliding
        then = pull - slowing if pull > slowing else pull + slowing if pull < -slowing else 0.0
        way = 0.5 * u0 * sliding + 0.5 * then * rest * rest
        return u1 - then * rest, h * (u0 + 0.5 * pull * h) - way


class Arrays:
    """Many lanes in arrays (lanes,)."""

    def any(self, mark: Mark) -> bool:
        """Return whether any lane is marked."""
        return bool(np.count_nonzero(mark))

    def where(self, mark: Mark, yes: Number, no: Number) -> Number:
        """Return one number where marked and the other elsewhere."""
        return np.where(mark, yes, no)

    def largest(self, one: Number, other: Number) -> Number:
        """Return the larger of two numbers."""
        return np.maximum(one, other)

    def least(self, one: Number, other: Number) -> Number:
        """Return the smaller of two numbers."""
        return np.minimum(one, other)

    def beyond(self, number: Number, most: Number) -> Number:
        """Return by how much a number is above `most`, or below zero."""
        return number - np.minimum(np.maximum(number, 0.0), most)

    def sqrt(self, number: Number) -> Number:
        """Return the square root."""
        return np.sqrt(number)

    def lost(self, lapse: Number) -> Number:
        """Return 1 − e^−lapse."""
        return -np.expm1(-lapse)

    def row(self, table: Table, at: Number) -> tuple[Number, Sequence[Number]]:
        """Return the place within a cell of a table and its row."""
        rows, first, last = table
        # Of a lane that has left all bounds the place is NaN.
        cell = np.fmin(np.fmax(at, 0.0), last).astype(np.intp)
        return at - cell, rows.take(cell + first, 0).T

    def rubbed(self, u0: Number, u1: Number, slowing: Number, h: float) -> tuple[Number, Number]:
        """Return by how much friction lowers speed and way of a step."""
        pull = (u1 - u0) / h
        first = pull - np.copysign(slowing, u0)
        turns = (u0 * first < 0) & (np.abs(u0) < np.abs(first) * h)
        sliding = np.where(turns, -u0 / np.where(turns, first, 1.0), np.where(u0 == 0, 0.0, h))
        rest = h - sliding
        then = pull - np.minimum(np.maximum(pull, -slowing), slowing)
        on = sliding < h
        way = np.where(on, 0.5 * u0 * sliding + 0.5 * then * rest * rest, h * (u0 + 0.5 * first * h))
        end = np.where(on, then * rest, u0 + first * h)
        return u1 - end, h * (u0 + 0.5 * pull * h) - way
