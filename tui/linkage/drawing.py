"""The mechanism drawn: bars, shock, the path of the axle, and a mark and a letter at every point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from physics.arrays import Values, values
from tui.charts.cells import Cell, Row
from tui.charts.look import LineStyle
from tui.glyphs import Glyphs
from tui.linkage.moving import Moved
from tui.linkage.raster import WHOLE, Dash, Paper, lines, points, slants, strokes
from tui.linkage.roles import AXLE, EYE, FIXED, PIVOT, Role, letter, mark
from tui.linkage.sketch import Bar, Sketch

_MARGIN = 3
"""Columns left free on both sides, for the letters of the outermost points."""
_LEAST_COLUMNS, _LEAST_ROWS = 16, 5
_PATH_DOTS = 24
_DASHED: Dash = (2, 2)
_DOTTED: Dash = (1, 3)

Canvas = dict[tuple[int, int], Cell]


@dataclass(frozen=True, slots=True, eq=False)
class Figure:
    """A linkage at one place: its points (points, 2), y up, what joins them, and where the axle goes.

    `letters` is the number of each point in the table, `path` (places, 2) is empty where nothing moves.
    """

    names: tuple[str, ...]
    letters: tuple[int, ...]
    places: Values
    bars: tuple[Bar, ...]
    fixed: tuple[str, ...]
    axle: str
    shock: Bar
    path: Values


_NO_PATH = values(np.empty((0, 2)))


def figure_moved(moved: Moved, share: float) -> Figure:
    """Return a linkage at a share of its stroke."""
    linkage, motion = moved.linkage, moved.motion
    step = round(share * (len(motion.stroke) - 1))
    axle = linkage.names.index(linkage.axle)
    path = values(motion.places[:: max(len(motion.stroke) // _PATH_DOTS, 1), axle])
    return Figure(
        linkage.names,
        tuple(range(len(linkage.names))),
        values(motion.places[step]),
        linkage.bars,
        linkage.fixed,
        linkage.axle,
        linkage.shock,
        path,
    )


def figure_typed(sketch: Sketch) -> Figure:
    """Return a linkage as it is typed, as far as its points have sound numbers."""
    known = sketch.places
    joined = (sketch.bars, (sketch.shock,))
    bars, shock = (tuple(bar for bar in bars if bar[0] in known and bar[1] in known) for bars in joined)
    return Figure(
        tuple(known),
        tuple(sketch.names.index(name) for name in known),
        values(np.array(list(known.values()), np.float64).reshape(-1, 2)),
        bars,
        tuple(point.name for point in sketch.points if point.fixed),
        sketch.axle,
        shock[0] if shock else ("", ""),
        _NO_PATH,
    )


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """What is drawn: a figure, the one that was good before it or None, and all the room they need (n, 2).

    `point` and `bar` are the ones selected in the tables.
    """

    figure: Figure
    room: Values
    before: Figure | None = None
    point: str = ""
    bar: Bar | None = None


def drawn(view: View, width: int, height: int, style: LineStyle, glyphs: Glyphs) -> list[Row]:
    """Return the picture in so many cells; bars over the path, marks over bars."""
    rows: list[Row] = [[(" ", int(Role.BASE))] * width for _ in range(height)]
    if width < _LEAST_COLUMNS or height < _LEAST_ROWS or not len(view.room):
        return rows
    paper = Paper.around(view.room, width, height, style, _MARGIN)
    canvas: Canvas = {}
    if view.before is not None:
        canvas |= _stale(paper, view.before)
    canvas |= strokes(paper, points(paper, view.figure.path), Role.PATH, "." * len(view.figure.path))
    canvas |= _shock(paper, view.figure, glyphs)
    canvas |= _bars(paper, view.figure, view.figure.bars, Role.BAR)
    if view.bar in view.figure.bars and view.bar is not None:
        canvas |= _bars(paper, view.figure, (view.bar,), Role.HERE)
    canvas |= _marks(paper, view, canvas, glyphs)
    for (x, y), cell in canvas.items():
        if 0 <= x < width and 0 <= y < height:
            rows[y][x] = cell
    return rows


def _ends(figure: Figure, bars: Sequence[Bar]) -> tuple[Values, Values]:
    """Return where bars start and end, both (bars, 2)."""
    index = np.array([[figure.names.index(name) for name in bar] for bar in bars], np.int64).reshape(-1, 2)
    return values(figure.places[index[:, 0]]), values(figure.places[index[:, 1]])


def _bars(paper: Paper, figure: Figure, bars: Sequence[Bar], role: Role) -> Canvas:
    starts, ends = _ends(figure, bars)
    return strokes(paper, lines(paper, starts, ends), role, slants(paper, starts, ends))


def _stale(paper: Paper, figure: Figure) -> Canvas:
    """Return the bars of an older figure, dotted."""
    dots = lines(paper, *_ends(figure, figure.bars), _DOTTED if paper.fine else WHOLE)
    return strokes(paper, dots, Role.STALE, "." * len(figure.bars))


def _shock(paper: Paper, figure: Figure, glyphs: Glyphs) -> Canvas:
    """Return the shock, a dashed line or one of other characters."""
    shocks = [figure.shock] if all(figure.shock) else []
    starts, ends = _ends(figure, shocks)
    plain = "=" if glyphs.ascii else "∘"
    return strokes(
        paper, lines(paper, starts, ends, _DASHED if paper.fine else WHOLE), Role.SHOCK, plain * len(shocks)
    )


def _marks(paper: Paper, view: View, lined: Canvas, glyphs: Glyphs) -> Canvas:
    """Return the marks of all points, and beside each its letter where no other mark stands."""
    figure = view.figure
    cells = [paper.cell(place) for place in figure.places.tolist()]
    marks: Canvas = {
        cell: (mark(_kind(figure, name), glyphs), int(Role.HERE if name == view.point else Role.MARK))
        for name, cell in zip(figure.names, cells, strict=True)
    }
    for name, number, (x, y) in zip(figure.names, figure.letters, cells, strict=True):
        beside = [(x + 1, y), (x - 1, y), (x, y - 1), (x, y + 1)]
        free = [cell for cell in beside if cell not in marks and paper.holds(cell)]
        # A letter on a line is read as well as one beside it, but not the other way round.
        free.sort(key=lambda cell: cell in lined)
        if free:
            marks[free[0]] = (letter(number), int(Role.HERE if name == view.point else Role.VALUE))
    return marks


def _kind(figure: Figure, name: str) -> int:
    if name in figure.fixed:
        return FIXED
    if name == figure.axle:
        return AXLE
    return EYE if name in figure.shock else PIVOT
