"""Axes with round numbers, the grid of dots, and the adapter to the plotting library."""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from physics.arrays import Values
from physics.frozen import NamedTuple
from tui.kit.look import LineStyle
from tui.kit.roles import Role

if TYPE_CHECKING:
    from tui.kit.cells import CellRow

_ROUND = (1.0, 2.0, 2.5, 5.0, 10.0)
_LESS_ROUND = {1.5: 0.2, 2.5: 0.02, 3.0: 0.2, 4.0: 0.15, 6.0: 0.25, 7.5: 0.2, 8.0: 0.25}
"""Steps for a loose axis that shows less often: each as good as a round one that leaves this fraction more of
the axis empty."""
_FEW = 0.3
"""The same for an axis of a single step, divided by the number of steps."""
_SLACK = 1e-9


class Ticks(NamedTuple):
    """Ends of an axis and the round numbers between them, with their texts."""

    low: float
    high: float
    at: tuple[float, ...]
    texts: tuple[str, ...]


def ticks(low: float, high: float, most: int, *, tight: bool) -> Ticks:
    """Return at most `most` round numbers, two or more.

    A tight axis keeps its ends. A loose one rounds them outwards to whole steps, so that the numbers are
    equally far apart from end to end, and stay where they are while a value changes little; with zero inside
    it has three numbers at least.
    """
    if not high > low:
        middle = abs(low) or 1.0
        low, high = low - middle / 2, high + middle / 2
    intervals = max(most - 1, 1)
    step = _step(high - low, intervals)
    if not tight:
        low, high, step = _outwards(low, high, intervals)
    slack = _slack(low, high, step)
    first, last = math.ceil(low / step - slack), math.floor(high / step + slack)
    at = tuple(number * step for number in range(first, last + 1))
    power = math.floor(math.log10(step) + _SLACK)
    is_finer = abs(step / 10.0**power % 1 - 0.5) < 1e-6 and step < 10  # 2.5 has a digit more than 2 and 5
    digits = max(0, -power) + is_finer
    return Ticks(low, high, at, tuple(f"{place + 0.0:.{digits}f}" for place in at))


def with_ends(axis: Ticks, texts: tuple[str, str], room: tuple[float, float]) -> Ticks:
    """Return the axis with its ends labelled by `texts`; numbers closer to an end than its room are dropped.

    `room` at the low and the high end is a fraction of the axis.
    """
    span = axis.high - axis.low
    first, last = axis.low + room[0] * span, axis.high - room[1] * span
    kept = [(at, text) for at, text in zip(axis.at, axis.texts, strict=True) if first < at < last]
    ends = (axis.low, texts[0]), (axis.high, texts[1])
    at, written = zip(ends[0], *kept, ends[1], strict=True)
    return axis._replace(at=at, texts=written)


def _outwards(low: float, high: float, intervals: int) -> tuple[float, float, float]:
    """Return the ends in whole steps, and the step that leaves least empty in at most so many intervals."""
    scale = 10.0 ** math.floor(math.log10((high - low) / intervals))
    best = math.inf, low, high, high - low
    for step in (scale * power * nice for power in (1.0, 10.0) for nice in {*_ROUND, *_LESS_ROUND}):
        slack = _slack(low, high, step)
        first, last = math.floor(low / step + slack), math.ceil(high / step - slack)
        count = max(last - first, 1)
        if count > intervals:
            continue
        nice = round(step / 10.0 ** math.floor(math.log10(step) + _SLACK), 6)
        empty = 1.0 - (high - low) / (count * step)
        best = min(best, (empty + _LESS_ROUND.get(nice, 0.0) + _FEW / count, first * step, last * step, step))
    return best[1:] if best[0] < math.inf else _outwards(low, high, intervals + 1)  # zero within one step


def _slack(low: float, high: float, step: float) -> float:
    """Return the rounding tolerance in steps: larger if the numbers are much larger than a step."""
    return max(_SLACK, 4 * sys.float_info.epsilon * max(abs(low), abs(high)) / step)


def _step(span: float, intervals: int) -> float:
    least = span / intervals
    scale = 10.0 ** math.floor(math.log10(least))
    return next(scale * nice for nice in _ROUND if scale * nice >= least * (1 - _SLACK))


def extent(parts: list[Values]) -> tuple[float, float] | None:
    """Return the smallest and largest finite number, None if there is none."""
    finite = [part[np.isfinite(part)] for part in parts]
    together = np.concatenate(finite) if finite else np.empty(0)
    if together.size == 0:
        return None
    return float(together.min()), float(together.max())


class Canvas(NamedTuple):
    """`columns` by `rows` cells, each of `dots_x` by `dots_y` dots, between the ends of two axes."""

    columns: int
    rows: int
    dots_x: int
    dots_y: int
    x: Ticks
    y: Ticks

    def column(self, x: float) -> int:
        """Return the column of a position on the x axis, from the left, clamped to the canvas."""
        return int(_cells(np.asarray([x]), self.x, self.columns, self.dots_x)[0])

    def row(self, y: float) -> int | None:
        """Return the row of a value, from the top; None if it is outside or NaN."""
        if not math.isfinite(y) or not self.y.low <= y <= self.y.high:
            return None
        return self.rows - 1 - int(_cells(np.asarray([y]), self.y, self.rows, self.dots_y)[0])

    def centred(self, x: Values, y: Values) -> tuple[Values, Values]:
        """Return positions moved to the centres of their cells, so that markers are in their line's cells."""
        along, up = _cells(x, self.x, self.columns, self.dots_x), _cells(y, self.y, self.rows, self.dots_y)
        span = self.x.high - self.x.low, self.y.high - self.y.low
        across = self.x.low + span[0] * along / max(self.columns - 1, 1)
        return across, self.y.low + span[1] * up / max(self.rows - 1, 1)

    def dotted(self, x: Values, y: Values) -> tuple[Values, Values]:
        """Return positions moved to the centres of their dots, each of these once."""
        wide, high = self.columns * self.dots_x, self.rows * self.dots_y
        each = np.unique(_dots(x, self.x, wide) * high + _dots(y, self.y, high))
        along, up = np.divmod(each, high)
        across = self.x.low + (self.x.high - self.x.low) * along / max(wide - 1, 1)
        return across, self.y.low + (self.y.high - self.y.low) * up / max(high - 1, 1)


def _cells(places: Values, axis: Ticks, cells: int, dots: int) -> Values:
    return np.floor(_dots(places, axis, cells * dots) / dots)


def _dots(places: Values, axis: Ticks, count: int) -> Values:
    """Return the number of the dot, of `count` along an axis, on which the library puts each place."""
    share = np.clip((places - axis.low) / (axis.high - axis.low), 0.0, 1.0)
    return np.floor(np.round(share * (count - 1) + 0.5, 8))


AXIS_ROWS = 2
DOTS: dict[LineStyle, tuple[int, int]] = {"braille": (2, 4), "block": (2, 2), "dot": (1, 1), "ascii": (2, 2)}
"""Dots per cell, horizontally and vertically, by line style."""

_BODY: dict[LineStyle, str] = {"braille": "braille", "block": "hd", "dot": "•", "ascii": "hd"}
_FIRST_CODE = 16
"""Roles are encoded as palette colours from this number up."""
_STYLED = re.compile(r"\x1b\[(?:38;5;(\d+))?[\d;]*m|([^\x1b]+)")
_TO_ASCII = str.maketrans(
    {"─": "-", "│": "|", "┤": "+", "├": "+", "┬": "+", "┴": "+", "┼": "+", "└": "+", "┘": "+"}
    | dict.fromkeys("▘▝▀", "'") | dict.fromkeys("▖▗▄", ".") | dict.fromkeys("▌▐▚▞▛▙▟▜█", ":")
)  # fmt: skip


@cache
def _figure() -> Any:  # noqa: ANN401 - the library has no types
    from plotext._figure import _figure_class  # too slow for the start of the program

    figure = _figure_class()
    figure._limit_size(False, False)  # the panel has the size, whatever the terminal's is
    return figure


class Plot:
    """One plot, drawn on the library's figure, which is cleared first."""

    def __init__(self, canvas: Canvas, left: int, style: LineStyle, unit: str) -> None:
        self._style = style
        self._width, self._height = left + canvas.columns, canvas.rows + AXIS_ROWS
        figure = self._figure = _figure()
        figure.clear_data()
        figure.theme("clear")
        figure.plot_size(self._width, self._height)
        *texts, last = canvas.x.texts
        figure.xaxes(True, False)
        figure.xlim(canvas.x.low, canvas.x.high)
        figure.xticks(canvas.x.at, [*texts, f"{last} {unit}".strip()])
        figure.yaxes(True, False)
        figure.ylim(canvas.y.low, canvas.y.high)
        figure.yticks(canvas.y.at, canvas.y.texts)

    def line(self, x: Values, y: Values, role: int, marker: str | None = None) -> None:
        """Draw a line through points, in the line style or with one character."""
        self._put(self._figure.plot, x, y, role, marker)

    def dots(self, x: Values, y: Values, role: int, marker: str | None = None) -> None:
        """Draw points only, in the line style or with one character."""
        self._put(self._figure.scatter, x, y, role, marker)

    def _put(self, draw: Callable[..., None], x: Values, y: Values, role: int, marker: str | None) -> None:
        if x.size:  # the library has no empty lines
            draw(x.tolist(), y.tolist(), marker=marker or _BODY[self._style], color=_FIRST_CODE + role)

    def rows(self) -> list[CellRow]:
        """Return the finished plot."""
        lines = self._figure.build().split("\n")[: self._height]
        if self._style == "ascii":
            lines = [line.translate(_TO_ASCII) for line in lines]
        rows = []
        for line in lines:
            row: CellRow = []
            role = int(Role.AXIS)
            for code, plain in _STYLED.findall(line):
                # Cells that are alike are one: a large chart has a hundred thousand.
                cells = {letter: (letter, int(Role.BASE) if letter == " " else role) for letter in {*plain}}
                row += map(cells.__getitem__, plain)
                role = int(code) - _FIRST_CODE if code else int(Role.AXIS)
            rows.append(row[: self._width])
        return rows
