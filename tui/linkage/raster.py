"""Lines drawn with characters: braille, blocks, points, or the slanted strokes of plain ASCII."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.arrays import Values, values
from tui.charts.cells import Cell
from tui.charts.look import LineStyle

_DOTS: dict[LineStyle, tuple[int, int]] = {"braille": (2, 4), "block": (2, 2), "dot": (1, 1), "ascii": (1, 1)}
"""Dots across and down in a cell."""
_BRAILLE = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]])
_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
_QUADRANT = np.array([[1, 2], [4, 8]])
_STEEP = 3
"""Cells one way for one the other from which a line counts as level or upright."""

Dash = tuple[int, int]
"""Dots drawn in a row and then left out."""
WHOLE: Dash = (1, 0)


@dataclass(frozen=True, slots=True)
class Paper:
    """So many cells to draw on, the square that is shown of the world, and what lines are made of.

    `scale` is dots across per unit; `left` and `top` are the world's place in the middle of the first dot.
    """

    columns: int
    rows: int
    style: LineStyle
    left: float
    top: float
    scale: float

    @classmethod
    def around(cls, places: Values, columns: int, rows: int, style: LineStyle, margin: int) -> Paper:
        """Return the paper on which all `places` (n, 2) fit in the middle, `margin` cells left free aside.

        A cell is taken to be twice as high as wide.
        """
        across, down = _DOTS[style]
        low, high = places.min(axis=0), places.max(axis=0)
        wide, tall = np.maximum(high - low, 1e-9)
        room_x = max((columns - 2 * margin) * across - 1, 1)
        room_y = max(rows * down - 1, 1)
        squeeze = 2 * across / down
        scale = min(room_x / wide, room_y * squeeze / tall)
        middle = (low + high) / 2
        left = middle[0] - (columns * across - 1) / 2 / scale
        top = middle[1] + (rows * down - 1) / 2 / (scale / squeeze)
        return cls(columns, rows, style, float(left), float(top), float(scale))

    @property
    def fine(self) -> bool:
        """Whether a cell holds more than one dot: lines are told apart by dashes then, else by characters."""
        return _DOTS[self.style] != (1, 1)

    def holds(self, cell: tuple[int, int]) -> bool:
        """Return whether a cell is on the paper."""
        return 0 <= cell[0] < self.columns and 0 <= cell[1] < self.rows

    def dots(self, places: Values) -> Values:
        """Return where places (n, 2) are, in dots from the left and from the top."""
        across, down = _DOTS[self.style]
        squeeze = 2 * across / down
        x = (places[:, 0] - self.left) * self.scale
        y = (self.top - places[:, 1]) * self.scale / squeeze
        return values(np.stack([x, y], axis=1))

    def cell(self, place: Sequence[float]) -> tuple[int, int]:
        """Return the column and row of a place, which may be off the paper."""
        across, down = _DOTS[self.style]
        x, y = np.rint(self.dots(values([place]))[0])
        return int(x // across), int(y // down)


def lines(paper: Paper, starts: Values, ends: Values, dash: Dash = WHOLE) -> NDArray[np.int64]:
    """Return the dots (dots, 3) of lines from `starts` to `ends` (n, 2): x, y and the number of the line.

    Dots outside the paper are left out.
    """
    across, down = _DOTS[paper.style]
    first, last = paper.dots(starts), paper.dots(ends)
    found = []
    for number, (a, b) in enumerate(zip(first, last, strict=True)):
        count = int(np.ceil(np.abs(b - a).max())) + 1
        step = np.arange(count)
        step = step[step % sum(dash) < dash[0]]
        dots = np.rint(a + (b - a) * (step / max(count - 1, 1))[:, None]).astype(np.int64)
        found.append(np.column_stack([dots, np.full(len(dots), number)]))
    joined = np.concatenate(found) if found else np.empty((0, 3), np.int64)
    inside = (joined[:, :2] >= 0).all(axis=1) & (joined[:, 0] < paper.columns * across)
    return joined[inside & (joined[:, 1] < paper.rows * down)]


def points(paper: Paper, places: Values) -> NDArray[np.int64]:
    """Return the dots of single places (n, 2)."""
    return lines(paper, places, places)


def strokes(
    paper: Paper, dots: NDArray[np.int64], role: int, plain: Sequence[str]
) -> dict[tuple[int, int], Cell]:
    """Return the cells that dots fill, by column and row.

    Where a cell is one dot, `plain` is what it shows, one character per line.
    """
    across, down = _DOTS[paper.style]
    if across * down == 1:
        return {(x, y): (plain[line], role) for x, y, line in dots.tolist()}
    braille = paper.style == "braille"
    weight = _BRAILLE if braille else _QUADRANT
    bits = np.zeros((paper.rows, paper.columns), np.int64)
    x, y = dots[:, 0], dots[:, 1]
    np.bitwise_or.at(bits, (y // down, x // across), weight[y % down, x % across])
    filled = np.argwhere(bits)
    return {(x, y): (_letter(int(bits[y, x]), braille), role) for y, x in filled.tolist()}


def _letter(bits: int, braille: bool) -> str:
    return chr(0x2800 + bits) if braille else _QUADRANTS[bits]


def slants(paper: Paper, starts: Values, ends: Values) -> list[str]:
    """Return for each line the plain character nearest to its direction."""
    if paper.style != "ascii":
        return ["•"] * len(starts)
    return [_slant(*step) for step in (paper.dots(ends) - paper.dots(starts)).tolist()]


def _slant(across: float, down: float) -> str:
    if abs(down) * _STEEP <= abs(across):
        return "-"
    if abs(across) * _STEEP <= abs(down):
        return "|"
    return "\\" if across * down > 0 else "/"
