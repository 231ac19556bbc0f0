"""What is left between readings and law, over the stroke: drawn in cells, level zero through the middle."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from physics.fit import Fit
from tui.bench.aside_text import Role
from tui.charts.cells import Row, cells
from tui.charts.look import ChartLook
from tui.shop_units import Measure, ShopUnits

Cells = NDArray[np.intp]

_ROWS = 7
_LEAST_ROOM = 20
_IN, _OUT = 1, 2
_MARKS = {_IN: "i", _OUT: "o"}
"""Letters, which every terminal has; all else that meets in one cell is the third."""
_MIXED = "x"
LEGEND = "i going in, o coming out, x both."


def drawn_residuals(found: Fit, full: float, width: int, look: ChartLook, units: ShopUnits) -> list[Row]:
    """Return the lines of the plot over 0 to `full` [m] of stroke; none where there is no room."""
    largest = float(np.max(np.abs(found.residual)))
    labels = [units.plain(sign * largest, Measure.FORCE) for sign in (1, -1)]
    margin = max(map(len, labels)) + 1
    room = width - margin
    if room < _LEAST_ROOM:
        return []
    marks = _marked(found, full, largest, room)
    names = [f"+{labels[0]}", *[""] * (_ROWS - 2), labels[1]]
    names[_ROWS // 2] = "0"
    rows = [
        cells(f"{name:>{margin - 1}} ", Role.QUIET) + _line(marks[place], place == _ROWS // 2, look)
        for place, name in enumerate(names)
    ]
    return [*rows, _axis(margin, room, full, units)]


def _marked(found: Fit, full: float, largest: float, room: int) -> Cells:
    """Return what stands in each cell (rows, columns): the sum of the ways of the readings there."""
    height = 1 - found.residual / (largest or 1.0)
    row = np.clip(np.round(height / 2 * (_ROWS - 1)), 0, _ROWS - 1).astype(np.intp)
    column = np.clip(np.round(found.loop.stroke / full * (room - 1)), 0, room - 1).astype(np.intp)
    ways = np.where(found.loop.way > 0, _IN, _OUT)
    marks = np.zeros((_ROWS, room), dtype=np.intp)
    np.bitwise_or.at(marks, (row, column), ways)
    return marks


def _line(marks: Cells, is_middle: bool, look: ChartLook) -> Row:
    blank = (look.glyphs.level if is_middle else " ", Role.QUIET)
    return [blank if not mark else (_MARKS.get(int(mark), _MIXED), Role.BASE) for mark in marks]


def _axis(margin: int, room: int, full: float, units: ShopUnits) -> Row:
    end = units.show(full, Measure.TRAVEL)
    middle = "stroke"
    gap = max(room - 1 - len(end) - len(middle), 2)
    text = f"0{' ' * (gap // 2)}{middle}{' ' * (gap - gap // 2)}{end}"
    return cells(" " * margin + text, Role.QUIET)
