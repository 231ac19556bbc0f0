"""A table of leverage over shock stroke as one over wheel travel, which is how a frame is described here."""

from __future__ import annotations

import numpy as np

from physics.arrays import Values, values
from physics.case import Table

_LONGEST_STEP = 1 / 20
"""Longest step between rows, as a share of the stroke: wider apart, a cubic over travel is another curve."""


def table_over_travel(stroke: Values, ratio: Values) -> Table:
    """Return leverage over wheel travel, from rows (rows,) of stroke [m] and L = dw/dx there.

    L(x) is the shape-preserving cubic through the rows, as L(w) is of a table over travel, and
    w(x) = ∫₀ˣ L dx′ its exact integral. Rows are added between those that are far apart. `stroke` starts at 0
    and increases, `ratio` is positive; scipy raises `ValueError` for strokes that do not increase.
    """
    from scipy.interpolate import PchipInterpolator

    curve = PchipInterpolator(stroke, ratio)
    steps = np.ceil(np.diff(stroke) / (_LONGEST_STEP * stroke[-1]) - 1e-9).astype(np.intp)
    places = np.interp(_counted(steps), np.arange(len(stroke)), stroke)
    return Table(values(curve.antiderivative()(places)), values(curve(places)))


def _counted(steps: np.typing.NDArray[np.intp]) -> Values:
    """Return places along the rows, a whole number at each, with so many steps between them."""
    parts = [row + np.arange(count) / count for row, count in enumerate(np.maximum(steps, 1))]
    return values(np.concatenate([*parts, [len(steps)]]))
