"""The canvas of a chart: which cell a value falls into, the same way the plotting library sees it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from physics.arrays import Values
from tui.charts.ticks import Ticks


@dataclass(frozen=True, slots=True)
class Canvas:
    """`columns` by `rows` cells, each of `dots_x` by `dots_y` dots, between the ends of two axes."""

    columns: int
    rows: int
    dots_x: int
    dots_y: int
    x: Ticks
    y: Ticks

    def column(self, x: float) -> int:
        """Return the column of a place on the x axis, counted from the left, inside the canvas."""
        return int(_cells(np.asarray([x]), self.x, self.columns, self.dots_x)[0])

    def row(self, y: float) -> int | None:
        """Return the row of a value, counted from the top; None for one that is outside or no number."""
        if not math.isfinite(y) or not self.y.low <= y <= self.y.high:
            return None
        return self.rows - 1 - int(_cells(np.asarray([y]), self.y, self.rows, self.dots_y)[0])

    def centred(self, x: Values, y: Values) -> tuple[Values, Values]:
        """Return places at the middle of their cells: a marker lands in the cell its line runs through."""
        return (
            _middles(_cells(x, self.x, self.columns, self.dots_x), self.x, self.columns),
            _middles(_cells(y, self.y, self.rows, self.dots_y), self.y, self.rows),
        )


def _cells(places: Values, axis: Ticks, cells: int, dots: int) -> Values:
    share = np.clip((places - axis.low) / (axis.high - axis.low), 0.0, 1.0)
    return np.floor(np.floor(np.round(share * (cells * dots - 1) + 0.5, 8)) / dots)


def _middles(cell: Values, axis: Ticks, cells: int) -> Values:
    return axis.low + (axis.high - axis.low) * cell / max(cells - 1, 1)
