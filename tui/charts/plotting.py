"""The one adapter around the plotting library: points on a canvas in, rows of cells out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from typing import Protocol, cast

from physics.arrays import Values
from tui.charts.canvas import Canvas
from tui.charts.cells import Row
from tui.charts.look import LineStyle, Role

AXIS_ROWS = 2
DOTS: dict[LineStyle, tuple[int, int]] = {"braille": (2, 4), "block": (2, 2), "dot": (1, 1), "ascii": (2, 2)}
"""Dots across and down in a cell of a line."""

_BODY: dict[LineStyle, str] = {"braille": "braille", "block": "hd", "dot": "•", "ascii": "hd"}
_FIRST_CODE = 16
"""Roles travel through the library as palette colours from this one on."""
_STYLED = re.compile(r"\x1b\[(?:38;5;(\d+))?[\d;]*m|([^\x1b]+)")
_TO_ASCII = str.maketrans(
    {"─": "-", "│": "|", "┤": "+", "├": "+", "┬": "+", "┴": "+", "┼": "+", "└": "+", "┘": "+"}
    | dict.fromkeys("▘▝▀", "'") | dict.fromkeys("▖▗▄", ".") | dict.fromkeys("▌▐▚▞▛▙▟▜█", ":")
)  # fmt: skip


class _Draw(Protocol):
    def __call__(self, x: list[float], y: list[float], *, marker: str, color: int) -> None: ...


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
    @property
    def plot(self) -> _Draw: ...
    @property
    def scatter(self) -> _Draw: ...
    def build(self) -> str: ...


@cache
def _figure() -> _Figure:
    from plotext._figure import _figure_class  # loading it has no place in a start

    figure = _figure_class()
    figure._limit_size(False, False)  # the panel knows its size, whatever the terminal's is
    return cast("_Figure", figure)


class Plot:
    """One plot in the making, on a figure of its own that is cleared first."""

    def __init__(self, canvas: Canvas, left: int, style: LineStyle, unit: str) -> None:
        self._style = style
        self._width, self._height = left + canvas.columns, canvas.rows + AXIS_ROWS
        figure = self._figure = _figure()
        figure.clear_data()
        figure.theme("clear")
        figure.plot_size(self._width, self._height)
        figure.xaxes(True, False)
        figure.yaxes(True, False)
        figure.xlim(canvas.x.low, canvas.x.high)
        figure.ylim(canvas.y.low, canvas.y.high)
        figure.yticks(canvas.y.at, canvas.y.texts)
        *texts, last = canvas.x.texts
        figure.xticks(canvas.x.at, [*texts, f"{last} {unit}".strip()])

    def line(self, x: Values, y: Values, role: int, marker: str | None = None) -> None:
        """Draw a line through the points, of the line style or of one character."""
        self._put(self._figure.plot, x, y, role, marker)

    def dots(self, x: Values, y: Values, role: int, marker: str | None = None) -> None:
        """Draw the points alone, of the line style or of one character."""
        self._put(self._figure.scatter, x, y, role, marker)

    def _put(self, draw: _Draw, x: Values, y: Values, role: int, marker: str | None) -> None:
        if x.size:  # the library has no empty lines
            draw(x.tolist(), y.tolist(), marker=marker or _BODY[self._style], color=_FIRST_CODE + role)

    def rows(self) -> list[Row]:
        """Return the finished plot."""
        lines = self._figure.build().split("\n")[: self._height]
        if self._style == "ascii":
            lines = [line.translate(_TO_ASCII) for line in lines]
        return [_row(line)[: self._width] for line in lines]


def _row(line: str) -> Row:
    row: Row = []
    role = int(Role.AXIS)
    for code, plain in _STYLED.findall(line):
        row += [(letter, int(Role.BASE) if letter == " " else role) for letter in plain]
        role = int(code) - _FIRST_CODE if code else int(Role.AXIS)
    return row
