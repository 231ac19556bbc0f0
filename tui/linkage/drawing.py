"""Drawing of a linkage with characters: braille, blocks, points, or slanted ASCII strokes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from physics.arrays import Values, values
from physics.frozen import dataclass
from tui.kit.cells import Cell, CellRow
from tui.kit.look import LETTERS, Glyphs, LineStyle
from tui.kit.roles import Role
from tui.linkage.sketch import Bar, Moved, Sketch

_DOTS: dict[LineStyle, tuple[int, int]] = {"braille": (2, 4), "block": (2, 2), "dot": (1, 1), "ascii": (1, 1)}
"""Dots per cell, horizontally and vertically."""
_BRAILLE = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]])
_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
_QUADRANT = np.array([[1, 2], [4, 8]])
_STEEP = 3
"""Slope in cells from which a line counts as horizontal or vertical."""

Canvas = dict[tuple[int, int], Cell]
"""Cells by column and row."""
Dash = tuple[int, int]
"""Numbers of dots drawn and left out."""
WHOLE: Dash = (1, 0)


@dataclass(frozen=True, slots=True)
class Paper:
    """The drawing area: its cells, the part of the plane it shows, and its line style.

    `scale` is horizontal dots per unit; `left` and `top` are the coordinates of the centre of the first dot.
    """

    columns: int
    rows: int
    style: LineStyle
    left: float
    top: float
    scale: float

    @classmethod
    def around(cls, places: Values, columns: int, rows: int, style: LineStyle, margin: int) -> Paper:
        """Return a paper with all `places` (n, 2) centred and margins of `margin` cells at the sides.

        Cells are assumed to be twice as high as wide.
        """
        across, down = _DOTS[style]
        squeeze = 2 * across / down
        low, high = places.min(axis=0), places.max(axis=0)
        wide, tall = np.maximum(high - low, 1e-9)
        room_x = max((columns - 2 * margin) * across - 1, 1)
        room_y = max(rows * down - 1, 1)
        scale = min(room_x / wide, room_y * squeeze / tall)
        x, y = (low + high) / 2
        left = x - (columns * across - 1) / 2 / scale
        top = y + (rows * down - 1) / 2 / (scale / squeeze)
        return cls(columns, rows, style, float(left), float(top), float(scale))

    @property
    def fine(self) -> bool:
        """Whether a cell has more than one dot: then lines differ by dashes, else by characters."""
        return _DOTS[self.style] != (1, 1)

    def holds(self, cell: tuple[int, int]) -> bool:
        """Return whether a cell is on the paper."""
        return 0 <= cell[0] < self.columns and 0 <= cell[1] < self.rows

    def dots(self, places: Values) -> Values:
        """Return positions (n, 2) in dots from the left and from the top."""
        across, down = _DOTS[self.style]
        x = (places[:, 0] - self.left) * self.scale
        y = (self.top - places[:, 1]) * self.scale / (2 * across / down)
        return values(np.stack([x, y], axis=1))

    def cell(self, place: Sequence[float]) -> tuple[int, int]:
        """Return column and row of a position, which may be off the paper."""
        across, down = _DOTS[self.style]
        x, y = np.rint(self.dots(values([place]))[0])
        return int(x // across), int(y // down)


def line_dots(paper: Paper, starts: Values, ends: Values, dash: Dash = WHOLE) -> NDArray[np.int64]:
    """Return the dots (dots, 3) of lines from `starts` to `ends` (n, 2): x, y and index of the line.

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


def dot_cells(paper: Paper, dots: NDArray[np.int64], role: int, plain: Sequence[str]) -> Canvas:
    """Return the cells that dots fill.

    If a cell is one dot, it shows the character of its line in `plain`.
    """
    across, down = _DOTS[paper.style]
    if across * down == 1:
        return {(x, y): (plain[line], role) for x, y, line in dots.tolist()}
    braille = paper.style == "braille"
    weight = _BRAILLE if braille else _QUADRANT
    bits = np.zeros((paper.rows, paper.columns), np.int64)
    x, y = dots[:, 0], dots[:, 1]
    np.bitwise_or.at(bits, (y // down, x // across), weight[y % down, x % across])
    return {
        (x, y): (chr(0x2800 + int(bits[y, x])) if braille else _QUADRANTS[int(bits[y, x])], role)
        for y, x in np.argwhere(bits).tolist()
    }


def slants(paper: Paper, starts: Values, ends: Values) -> list[str]:
    """Return for each line the ASCII character nearest to its direction."""
    if paper.style != "ascii":
        return ["•"] * len(starts)
    found = []
    for across, down in (paper.dots(ends) - paper.dots(starts)).tolist():
        if abs(down) * _STEEP <= abs(across):
            found.append("-")
        elif abs(across) * _STEEP <= abs(down):
            found.append("|")
        else:
            found.append("\\" if across * down > 0 else "/")
    return found


FIXED, PIVOT, AXLE, EYE = range(4)
WHAT_WORDS = ("fixed", "pivot", "axle", "eye")
_MARKS = {False: "▲●◎◆", True: "#o@*"}


def mark(kind: int, glyphs: Glyphs) -> str:
    """Return the mark of a kind of point, distinguished by shape, not by colour."""
    return _MARKS[glyphs.ascii][kind]


def letter(index: int) -> str:
    """Return the letter of a point by its index: capitals, then small letters, then none."""
    return (LETTERS + LETTERS.lower() + "?")[min(index, 2 * len(LETTERS))]


_MARGIN = 3
"""Margin on both sides for the letters of the outermost points [columns]."""
_LEAST_COLUMNS, _LEAST_ROWS = 16, 5
_PATH_DOTS = 24
_DASHED: Dash = (2, 2)
_DOTTED: Dash = (1, 3)


@dataclass(frozen=True, slots=True, eq=False)
class Figure:
    """A linkage in one position: points (points, 2), y up, bars, and the path of the axle.

    `letters` has the index of each point in the table; `path` (positions, 2) is empty if nothing moves.
    """

    names: tuple[str, ...]
    letters: tuple[int, ...]
    places: Values
    bars: tuple[Bar, ...]
    fixed: tuple[str, ...]
    axle: str
    shock: Bar
    path: Values


def figure_moved(moved: Moved, share: float) -> Figure:
    """Return a linkage at a fraction of its stroke."""
    linkage, motion = moved.linkage, moved.motion
    names, letters = linkage.names, tuple(range(len(linkage.names)))
    places = values(motion.places[round(share * (len(motion.stroke) - 1))])
    every = max(len(motion.stroke) // _PATH_DOTS, 1)
    path = values(motion.places[::every, names.index(linkage.axle)])
    return Figure(names, letters, places, linkage.bars, linkage.fixed, linkage.axle, linkage.shock, path)


def figure_typed(sketch: Sketch) -> Figure:
    """Return a linkage as typed, as far as its points have valid numbers."""
    known = sketch.places
    return Figure(
        tuple(known),
        tuple(sketch.names.index(name) for name in known),
        values(np.array(list(known.values()), np.float64).reshape(-1, 2)),
        tuple(bar for bar in sketch.bars if known.keys() >= set(bar)),
        tuple(point.name for point in sketch.points if point.fixed),
        sketch.axle,
        sketch.shock if known.keys() >= set(sketch.shock) else ("", ""),
        values(np.empty((0, 2))),
    )


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """What to draw: a figure, the last valid one before it or None, and positions to keep visible (n, 2).

    `point` and `bar` are those selected in the tables.
    """

    figure: Figure
    room: Values
    before: Figure | None = None
    point: str = ""
    bar: Bar | None = None


def draw(view: View, width: int, height: int, style: LineStyle, glyphs: Glyphs) -> list[CellRow]:
    """Return the drawing in a number of cells: path, bars over it, marks on top."""
    rows: list[CellRow] = [[(" ", int(Role.BASE))] * width for _ in range(height)]
    if width < _LEAST_COLUMNS or height < _LEAST_ROWS or not len(view.room):
        return rows
    paper = Paper.around(view.room, width, height, style, _MARGIN)
    figure = view.figure
    canvas: Canvas = {}
    if view.before is not None:
        canvas |= _strokes(paper, view.before, view.before.bars, Role.STALE, ".", _DOTTED)
    path = line_dots(paper, figure.path, figure.path)
    canvas |= dot_cells(paper, path, Role.PATH, "." * len(figure.path))
    shock = (figure.shock,) if all(figure.shock) else ()
    canvas |= _strokes(paper, figure, shock, Role.SHOCK, "=" if glyphs.ascii else "∘", _DASHED)
    canvas |= _strokes(paper, figure, figure.bars, Role.BAR)
    if view.bar in figure.bars and view.bar is not None:
        canvas |= _strokes(paper, figure, (view.bar,), Role.HERE)
    canvas |= _marks(paper, view, canvas, glyphs)
    for (x, y), cell in canvas.items():
        if 0 <= x < width and 0 <= y < height:
            rows[y][x] = cell
    return rows


def _strokes(
    paper: Paper, figure: Figure, bars: Sequence[Bar], role: Role, plain: str = "", dash: Dash = WHOLE
) -> Canvas:
    """Return bars as cells, dashed if cells are fine enough, else with `plain` or slanted characters."""
    index = np.array([[figure.names.index(name) for name in bar] for bar in bars], np.int64).reshape(-1, 2)
    starts, ends = values(figure.places[index[:, 0]]), values(figure.places[index[:, 1]])
    dots = line_dots(paper, starts, ends, dash if paper.fine else WHOLE)
    return dot_cells(paper, dots, role, plain * len(bars) or slants(paper, starts, ends))


def _marks(paper: Paper, view: View, lined: Canvas, glyphs: Glyphs) -> Canvas:
    """Return the marks of all points, each with its letter beside it if no other mark is there."""
    figure = view.figure
    cells = [paper.cell(place) for place in figure.places.tolist()]
    roles = {**dict.fromkeys(figure.shock, EYE), figure.axle: AXLE, **dict.fromkeys(figure.fixed, FIXED)}
    marks: Canvas = {
        cell: (mark(roles.get(name, PIVOT), glyphs), int(Role.HERE if name == view.point else Role.MARK))
        for name, cell in zip(figure.names, cells, strict=True)
    }
    for name, number, (x, y) in zip(figure.names, figure.letters, cells, strict=True):
        beside = [(x + 1, y), (x - 1, y), (x, y - 1), (x, y + 1)]
        free = [cell for cell in beside if cell not in marks and paper.holds(cell)]
        # A letter on a line is readable, but prefer a free cell.
        free.sort(key=lambda cell: cell in lined)
        if free:
            marks[free[0]] = (letter(number), int(Role.HERE if name == view.point else Role.VALUE))
    return marks
