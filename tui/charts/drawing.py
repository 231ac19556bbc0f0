"""Scene → picture: what goes where on the plot, or the sentence that stands there instead."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from rich.cells import cell_len

from physics.arrays import Values, values
from tui.charts.canvas import Canvas
from tui.charts.cells import Row, cells, fitted
from tui.charts.look import Role
from tui.charts.plotting import AXIS_ROWS, DOTS, Plot
from tui.charts.scene import Scene
from tui.charts.series import Level, Line
from tui.charts.ticks import extent, ticks

LEAST_COLUMNS, LEAST_ROWS = 10, 4
"""Cells below which labels would collide."""

_MARKER_EVERY, _MARKER_APART = 12, 3
"""Columns between two markers of one line, and at least so many per line between those of two lines."""
_DASHES = ((1, 0), (9, 5), (3, 4))
"""Half columns drawn and left out of the lines of one colour, one after the other."""
_SLOW_EVERY = 3
"""The slow curve is dotted: one point in so many half columns."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A plot as rows of cells; its canvas, where it has one, begins at the top in column `left`."""

    rows: list[Row]
    left: int = 0
    canvas: Canvas | None = None


def picture(scene: Scene, width: int, height: int) -> Picture:
    """Draw a scene in so many cells, or say in a sentence why it cannot be."""
    if width < LEAST_COLUMNS or height < LEAST_ROWS:
        return sentence("Too small for a chart.", width, height)
    lines = [line for line in scene.chart.lines if np.isfinite(line.y).any()]
    if not lines:
        return sentence(scene.chart.note or "No setup has an answer to draw.", width, height)
    canvas, left = _canvas(scene, width, height)
    plot = Plot(canvas, left, scene.look.line_style, scene.units.unit(scene.chart.x.measure))
    _level(plot, scene, canvas)
    _lines(plot, scene, canvas, lines)
    _sag(plot, scene, canvas)
    rows = plot.rows()
    _name_level(rows, scene, canvas, left)
    return Picture(rows, left, canvas)


def sentence(text: str, width: int, height: int) -> Picture:
    """Return words, folded, half way down so many cells."""
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}".strip()
        lines = [*lines[:-1], joined] if cell_len(joined) <= width else [*lines, word]
    above = max((height - len(lines)) // 2, 0)
    shown = ([""] * above + lines + [""] * height)[:height]
    return Picture([fitted(cells(line, Role.BASE), width, "") for line in shown])


def _canvas(scene: Scene, width: int, height: int) -> tuple[Canvas, int]:
    chart, rows = scene.chart, height - AXIS_ROWS
    levels = [] if chart.level is None else [values([chart.level.y])]
    low, high = extent([line.y for line in chart.lines] + levels) or (0.0, 1.0)
    if chart.y.from_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    y = ticks(scene.y(low), scene.y(high), max(2, min(8, rows // 2)), tight=False)
    first, last = (scene.x(float(place)) for place in chart.place[[0, -1]])
    x = ticks(first, last, max(2, min(11, width // 8)), tight=True)
    left = max(map(len, y.texts)) + 1
    return Canvas(width - left, rows, *DOTS[scene.look.line_style], x, y), left


def _lines(plot: Plot, scene: Scene, canvas: Canvas, lines: list[Line]) -> None:
    """Draw the riding curves over the slow ones, and all markers over all lines."""
    order = sorted(enumerate(lines), key=lambda item: not item[1].slow)
    points = {number: _finite(line, scene) for number, line in order}
    for number, line in order:
        share = np.linspace(0.0, 1.0, 2 * canvas.columns)
        if line.slow:
            plot.dots(*_along(canvas, *points[number], share[::_SLOW_EVERY]), Role.LINE + line.look)
            continue
        for dash in _dashed(share, scene.look.before(line.look)):
            plot.line(*_along(canvas, *points[number], dash), Role.LINE + line.look)
    count = max(canvas.columns // max(_MARKER_EVERY, _MARKER_APART * len(lines)), 2)
    for number, line in order:
        # Lines that coincide still show the markers of all of them, one after the other.
        share = (np.arange(count) + 0.25 + 0.75 * number / len(lines)) / count
        place = canvas.centred(*_along(canvas, *points[number], share))
        plot.dots(*place, Role.LINE + line.look, scene.look.marker(line.look, slow=line.slow))


def _dashed(share: Values, before: int) -> list[Values]:
    """Return the shares of the x axis in pieces; of lines of one colour the first is whole."""
    drawn, left_out = _DASHES[before % len(_DASHES)]
    if not left_out:
        return [share]
    return [share[start : start + drawn] for start in range(0, share.size, drawn + left_out)]


def _finite(line: Line, scene: Scene) -> tuple[Values, Values]:
    good = np.isfinite(line.x) & np.isfinite(line.y)
    return scene.x(line.x[good]), scene.y(line.y[good])


def _along(canvas: Canvas, x: Values, y: Values, share: Values) -> tuple[Values, Values]:
    """Return a line's points at shares of the x axis, as far as the line goes."""
    at = canvas.x.low + (canvas.x.high - canvas.x.low) * share
    at = values(at[(at >= x[0]) & (at <= x[-1])])
    return at, np.interp(at, x, y)


def _level(plot: Plot, scene: Scene, canvas: Canvas) -> None:
    if scene.chart.level is not None:
        ends = values([canvas.x.low, canvas.x.high])
        heights = values([scene.y(scene.chart.level.y)] * 2)
        plot.line(*canvas.centred(ends, heights), Role.LEVEL, scene.look.glyphs.level)


def _sag(plot: Plot, scene: Scene, canvas: Canvas) -> None:
    points = scene.chart.points
    x = scene.x(values([point.x for point in points]))
    y = scene.y(values([point.y for point in points]))
    plot.dots(*canvas.centred(x, y), Role.SAG, scene.look.glyphs.sag)


def _name_level(rows: list[Row], scene: Scene, canvas: Canvas, left: int) -> None:
    """Write the name of the level into its own line, where nothing else runs through it."""
    level: Level | None = scene.chart.level
    place = None if level is None else canvas.row(scene.y(level.y))
    if level is None or place is None:
        return
    row, label = rows[place], cells(f" {level.name} {scene.written(level.y)} ", Role.LEVEL)
    first = len(row) - len(label) - 2
    if first > left and all(role == Role.LEVEL for _, role in row[first:]):
        row[first : first + len(label)] = label
