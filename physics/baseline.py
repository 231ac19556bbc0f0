"""How far curves lie from the first one, over places that all of them share."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from physics.arrays import Values, values


def less_first(curves: Sequence[tuple[Values, Values]]) -> tuple[Values, Values]:
    """Return common places (points,), and each curve less the first one there (curves, points).

    `curves` are places, rising, and values, both (points,), in any units; the places of one curve need not be
    those of another. The common ones are all of them together, so that no bend of either curve is lost, and
    between places a curve is straight. NaN where a curve or the first one has no value; beyond the ends of a
    curve its last value holds. Raises ValueError without a curve.

    >>> straight, bent = (values([0, 2]), values([0, 4])), (values([0, 1, 2]), values([0, 3, 4]))
    >>> places, apart = less_first([straight, bent])
    >>> places.tolist(), apart.tolist()
    ([0.0, 1.0, 2.0], [[0.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    """
    if not curves:
        raise ValueError("no curve to take the others from")
    places = np.unique(np.concatenate([at for at, _ in curves]))
    there = np.stack([np.interp(places, at, height) for at, height in curves])
    return values(places), values(there - there[0])
