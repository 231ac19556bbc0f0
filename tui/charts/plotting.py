"""The one adapter around the plotting library: chart data in, rows of cells out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Protocol, cast

import numpy as np

from physics.arrays import Values, values
from tui.charts.canvas import Canvas
from tui.charts.cells import Row, cells
from tui.charts.look import ChartLook, Role
from tui.charts.series import ChartData, Line
from tui.charts.ticks import extent, ticks
from tui.shop_units import ShopUnits

LEAST_COLUMNS, LEAST_ROWS = 10, 4
"""Cells below which labels would collide; a sentence stands there instead."""

_AXIS_ROWS = 2
_MARKER_EVERY = 12
"""Columns between two markers of one line."""
_FAST_EVERY = 3
"""The fast stroke is dotted: one point in so many half columns."""
_BODY = {"braille": ("braille", 2, 4), "block": ("hd", 2, 2), "dot": ("•", 1, 1), "ascii": ("hd", 2, 2)}
"""What a line is made of: the library's name of it, dots across and dots down in a cell."""
_FIRST_CODE = 16
"""Roles travel through the library as palette colours from this one on."""
_STYLED = re.compile(r"\x1b\[(?:38;5;(\d+))?[\d;]*m|([^\x1b]+)")
_TO_ASCII = str.maketrans(
    {"─": "-", "│": "|", "┤": "+", "├": "+", "┬": "+", "┴": "+", "┼": "+", "└": "+", "┘": "+"}
    | dict.fromkeys("▘▝▀", "'") | dict.fromkeys("▖▗▄", ".") | dict.fromkeys("▌▐▚▞▛▙▟▜█", ":")
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Picture:
    """A chart as rows of cells; the canvas stands at the top, from column `left` on, where there is one."""

    rows: list[Row]
    left: int = 0
    canvas: Canvas | None = None


def picture(chart: ChartData, units: ShopUnits, look: ChartLook, width: int, height: int) -> Picture:
    """Draw a chart of so many cells, or say in a sentence why there is none."""
    if width < LEAST_COLUMNS or height < LEAST_ROWS:
        return _sentence("Too small for a chart.", width, height)
    drawn = [line for line in chart.lines if np.isfinite(line.y).any()]
    if not drawn:
        return _sentence(chart.note or "No setup has an answer to draw.", width, height)
    return _Drawing(chart, units, look, width, height).picture(drawn)


def _sentence(text: str, width: int, height: int) -> Picture:
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}".strip()
        lines = [*lines[:-1], joined] if len(joined) <= width else [*lines, word]
    above = max((height - len(lines)) // 2, 0)
    shown = ([""] * above + lines + [""] * height)[:height]
    return Picture([cells(line[:width].ljust(width), Role.BASE) for line in shown])


class _Drawing:
    """One chart on its way through the library."""

    def __init__(self, chart: ChartData, units: ShopUnits, look: ChartLook, width: int, height: int) -> None:
        self._chart, self._units, self._look = chart, units, look
        self._width, self._height = width, height
        self._canvas, self._left = self._axes()
        self._figure = _figure()

    def picture(self, drawn: list[Line]) -> Picture:
        """Draw these lines, the slow strokes over the fast ones, all markers over all lines."""
        self._frame()
        self._level()
        order = sorted(enumerate(drawn), key=lambda item: not item[1].fast)
        points = {number: self._shop(line) for number, line in order}
        for number, line in order:
            self._body(line, *points[number])
        for number, line in order:
            self._markers(line, number / len(drawn), *points[number])
        self._sag()
        rows = _rows(self._figure.build(), self._width, self._height)
        return Picture(
            [_ascii(row) for row in rows] if self._look.glyphs.ascii else rows, self._left, self._canvas
        )

    def _axes(self) -> tuple[Canvas, int]:
        chart, units, rows = self._chart, self._units, self._height - _AXIS_ROWS
        levels = [] if chart.level is None else [values([chart.level.y])]
        low, high = extent([line.y for line in chart.lines] + levels) or (0.0, 1.0)
        if chart.y.from_zero:
            low, high = min(low, 0.0), max(high, 0.0)
        low, high = units.scale(low, chart.y.measure), units.scale(high, chart.y.measure)
        y = ticks(low, high, max(2, min(8, rows // 2)), tight=False)
        end = units.scale(float(chart.place[-1]), chart.x.measure)
        x = ticks(0.0, end, max(2, min(11, self._width // 8)), tight=True)
        left = max(map(len, y.texts)) + 1
        _, dots_x, dots_y = _BODY[self._look.line_style]
        return Canvas(self._width - left, rows, dots_x, dots_y, x, y), left

    def _frame(self) -> None:
        figure, x, y = self._figure, self._canvas.x, self._canvas.y
        figure.clear_data()
        figure.theme("clear")
        figure.plot_size(self._width, self._height)
        figure.xaxes(True, False)
        figure.yaxes(True, False)
        figure.xlim(x.low, x.high)
        figure.ylim(y.low, y.high)
        figure.yticks(y.at, y.texts)
        *texts, last = x.texts
        figure.xticks(x.at, [*texts, f"{last} {self._units.unit(self._chart.x.measure)}".strip()])

    def _level(self) -> None:
        if self._chart.level is not None:
            y = self._units.scale(self._chart.level.y, self._chart.y.measure)
            ends = values([self._canvas.x.low, self._canvas.x.high])
            self._put(*self._canvas.centred(ends, values([y, y])), self._look.glyphs.level, Role.LEVEL, True)

    def _shop(self, line: Line) -> tuple[Values, Values]:
        good = np.isfinite(line.x) & np.isfinite(line.y)
        chart, scale = self._chart, self._units.scale
        return scale(line.x[good], chart.x.measure), scale(line.y[good], chart.y.measure)

    def _body(self, line: Line, x: Values, y: Values) -> None:
        marker, role = _BODY[self._look.line_style][0], Role.LINE + line.look
        at, drawn = self._resampled(x, y, np.linspace(0.0, 1.0, 2 * self._width))
        if line.fast:
            self._put(at[::_FAST_EVERY], drawn[::_FAST_EVERY], marker, role)
        else:
            self._put(at, drawn, marker, role, True)

    def _markers(self, line: Line, offset: float, x: Values, y: Values) -> None:
        count = max(self._width // _MARKER_EVERY, 2)
        # Lines that coincide still show the markers of all of them, one after the other.
        at, drawn = self._resampled(x, y, (np.arange(count) + 0.25 + 0.75 * offset) / count)
        marker = self._look.marker(line.look, fast=line.fast)
        self._put(*self._canvas.centred(at, drawn), marker, Role.LINE + line.look)

    def _sag(self) -> None:
        for point in self._chart.points:
            x = self._units.scale(values([point.x]), self._chart.x.measure)
            y = self._units.scale(values([point.y]), self._chart.y.measure)
            self._put(*self._canvas.centred(x, y), self._look.glyphs.sag, Role.SAG)

    def _resampled(self, x: Values, y: Values, share: Values) -> tuple[Values, Values]:
        axis = self._canvas.x
        at = axis.low + (axis.high - axis.low) * share
        at = values(at[(at >= x[0]) & (at <= x[-1])])
        return at, np.interp(at, x, y)

    def _put(self, x: Values, y: Values, marker: str, role: int, joined: bool = False) -> None:
        if x.size:
            draw = self._figure.plot if joined else self._figure.scatter
            draw(x.tolist(), y.tolist(), marker=marker, color=_FIRST_CODE + role)


class _Figure(Protocol):
    """What is used of the library, which has no types."""

    def clear_data(self) -> None: ...
    def theme(self, name: str) -> None: ...
    def plot_size(self, width: int, height: int) -> None: ...
    def xaxes(self, lower: bool, upper: bool) -> None: ...
    def yaxes(self, left: bool, right: bool) -> None: ...
    def xlim(self, low: float, high: float) -> None: ...
    def ylim(self, low: float, high: float) -> None: ...
    def xticks(self, at: Sequence[float], texts: Sequence[str]) -> None: ...
    def yticks(self, at: Sequence[float], texts: Sequence[str]) -> None: ...
    def plot(self, x: list[float], y: list[float], *, marker: str, color: int) -> None: ...
    def scatter(self, x: list[float], y: list[float], *, marker: str, color: int) -> None: ...
    def build(self) -> str: ...


@cache
def _figure() -> _Figure:
    from plotext._figure import _figure_class  # loading it has no place in a start

    figure = _figure_class()
    figure._limit_size(False, False)  # the panel knows its size, whatever the terminal's is
    return cast("_Figure", figure)


def _rows(built: str, width: int, height: int) -> list[Row]:
    rows = []
    for text in built.split("\n")[:height]:
        row: Row = []
        role = int(Role.AXIS)
        for code, plain in _STYLED.findall(text):
            row += [(letter, int(Role.BASE) if letter == " " else role) for letter in plain]
            role = int(code) - _FIRST_CODE if code else int(Role.AXIS)
        rows.append(row[:width])
    return rows


def _ascii(row: Row) -> Row:
    return [(letter.translate(_TO_ASCII), role) for letter, role in row]
