"""The array types every law takes, and the one broadcasting rule.

Parameters carry the axis of cases, shape `(cases...)` (or `()` for a single case); strokes and
travels add one axis of points behind it, shape `(cases..., points)`. Shapes of cases broadcast against
each other: a rider of shape (n,) on one frame of shape () makes n cases.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import numpy.typing as npt
from numpy.typing import NDArray

Values = NDArray[np.float64]
Marks = NDArray[np.bool_]
Words = NDArray[np.str_]
Scalar = float | NDArray[np.float64]

SAME_PLACE = 1e-9
"""Two places this close, as a fraction of the travel, are the same: above the tolerance of the roots."""


_FLOAT: Any = np.float64
_FLOATS = np.dtype(np.float64)


def values(number: npt.ArrayLike) -> Values:
    """Return `number` as floats of its own shape; a single one as numpy's scalar, which is much faster.

    >>> values([1, 2]).dtype, values(3).shape
    (dtype('float64'), ())
    """
    given: Any = number
    kind = type(given)
    if kind is _FLOAT or (kind is np.ndarray and given.ndim and given.dtype is _FLOATS):
        found: Values = given
    elif kind is float:
        found = _FLOAT(given)
    else:
        found = np.asarray(given, _FLOAT)[()]
    return found


NONE = values(np.nan)
"""A figure that does not exist: NaN of shape ()."""


def per_point(parameter: Scalar) -> Values:
    """Return a parameter of shape (cases...) as (cases..., 1), ready to broadcast against an axis of points.

    >>> per_point(np.zeros(3)).shape
    (3, 1)
    """
    return values(parameter)[..., np.newaxis]


def beside_points(parameter: Scalar) -> Scalar:
    """Return a parameter of shape (cases...) ready to be multiplied with an axis of points.

    As `per_point`, but a single number stays one: it broadcasts by itself, and numpy is much faster with it.

    >>> beside_points(2.0), np.shape(beside_points(np.zeros(3)))
    (2.0, (3, 1))
    """
    return parameter[..., np.newaxis] if isinstance(parameter, np.ndarray) and parameter.ndim else parameter


def at_one_point(found: Values) -> Values:
    """Return what was found at a single point, beside the axis of points or without it, as (cases...).

    >>> at_one_point(np.zeros((3, 1))).shape, at_one_point(values(2.0)).shape
    ((3,), ())
    """
    return values(found[..., 0]) if found.ndim else found


def together(*parts: Scalar, axis: int = -1) -> Values:
    """Return numbers of shape (cases...) each along a new axis, as a rule that of points.

    >>> together(1.0, np.zeros(3)).shape, together(1.0, 2.0).tolist()
    ((3, 2), [1.0, 2.0])
    """
    if any(isinstance(part, np.ndarray) and part.ndim for part in parts):
        return np.stack(np.broadcast_arrays(*parts), axis=axis)
    return np.array(parts, np.float64)


def side_by_side(*parts: Values) -> Values:
    """Return points (cases..., points) of several kinds along the axis of points, for the cases of all.

    >>> side_by_side(np.zeros((3, 2)), np.ones(1)).tolist()
    [[0.0, 0.0, 1.0], [0.0, 0.0, 1.0], [0.0, 0.0, 1.0]]
    """
    if all(part.ndim == 1 for part in parts):
        return np.concatenate(parts)
    cases = np.broadcast_shapes(*(part.shape[:-1] for part in parts))
    return np.concatenate([np.broadcast_to(part, (*cases, part.shape[-1])) for part in parts], axis=-1)


def each(points: Values) -> Iterator[Values]:
    """Return the values (cases...) at each of a few points (cases..., points); the inverse of `together`.

    >>> [float(one) for one in each(together(1.0, 2.0))]
    [1.0, 2.0]
    """
    return iter(points) if points.ndim == 1 else iter(np.moveaxis(points, -1, 0))


def where(mark: Marks | np.bool_, yes: npt.ArrayLike, no: npt.ArrayLike) -> Values:
    """Return `yes` where marked and `no` elsewhere; a single mark takes one of the two as it is.

    >>> float(where(np.bool_(True), 1.0, 2.0)), where(np.array([True, False]), 1.0, 2.0).tolist()
    (1.0, [1.0, 2.0])
    """
    return values(np.where(mark, yes, no)) if mark.ndim else values(yes if mark else no)


def some(marks: Marks | np.bool_) -> bool:
    """Tell whether any case is marked; for a single one numpy takes thirty times as long as Python.

    >>> some(np.bool_(False)), some(np.array([True, False]))
    (False, True)
    """
    return bool(np.count_nonzero(marks)) if marks.ndim else bool(marks)


def picked(samples: Values, index: NDArray[np.intp]) -> Values:
    """Return one sample per case: `samples` (cases..., points) at `index` (cases...).

    Cases that share their samples have an axis of length 1 there.

    >>> picked(values([[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]]), np.array([2, 0])).tolist()
    [3.0, 4.0]
    """
    if samples.ndim == 1 and not index.ndim:
        return values(samples[index])
    cases = samples.shape[:-1]
    starts = np.arange(math.prod(cases)).reshape(cases) * samples.shape[-1]
    return values(samples.reshape(-1)[starts + index])


_BLOCK = 1 << 13
"""Cases worked out at a time: few enough for what they need to stay in the processor's cache."""


def in_blocks(how: Callable[..., Values], *parts: Values) -> Values:
    """Return `how(*parts)` of shape (cases...), many cases block by block; each is worked out by itself.

    >>> in_blocks(np.add, values(np.arange(20_000.0)), values(1.0))[-2:].tolist()
    [19999.0, 20000.0]
    """
    cases = np.broadcast_shapes(*(part.shape for part in parts))
    count = math.prod(cases)
    if count <= _BLOCK:
        return how(*parts)
    found = np.empty(count)
    flat = [np.broadcast_to(part, cases).reshape(-1) if part.ndim else part for part in parts]
    for start in range(0, count, _BLOCK):
        block = slice(start, start + _BLOCK)
        found[block] = how(*(part[block] if part.ndim else part for part in flat))
    return found.reshape(cases)
