"""The array types every law takes, and the one broadcasting rule.

Parameters carry the axis of cases, shape `(cases...)` (or `()` for a single case); strokes and
travels add one axis of points behind it, shape `(cases..., points)`. Shapes of cases broadcast against
each other: a rider of shape (n,) on one frame of shape () makes n cases.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from numpy.typing import NDArray

Values = NDArray[np.float64]
Marks = NDArray[np.bool_]
Words = NDArray[np.str_]
Scalar = float | NDArray[np.float64]

NONE: Values = np.asarray(np.nan)
"""A figure that does not exist: NaN of shape (), read-only."""
NONE.flags.writeable = False

SAME_PLACE = 1e-9
"""Two places this close, as a fraction of the travel, are the same: above the tolerance of the roots."""


def values(number: npt.ArrayLike) -> Values:
    """Return `number` as a float array of its own shape.

    >>> values([1, 2]).dtype, values(3).shape
    (dtype('float64'), ())
    """
    return np.asarray(number, dtype=np.float64)


def per_point(parameter: Scalar) -> Values:
    """Return a parameter of shape (cases...) as (cases..., 1), ready to broadcast against an axis of points.

    >>> per_point(np.zeros(3)).shape
    (3, 1)
    """
    return values(parameter)[..., np.newaxis]


def picked(samples: Values, index: NDArray[np.intp]) -> Values:
    """Return one sample per case: `samples` (cases..., points) at `index` (cases...).

    Cases that share their samples have an axis of length 1 there.

    >>> picked(values([[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]]), np.array([2, 0])).tolist()
    [3.0, 4.0]
    """
    cases = samples.shape[:-1]
    starts = np.arange(math.prod(cases)).reshape(cases) * samples.shape[-1]
    return values(samples.reshape(-1)[starts + index])
