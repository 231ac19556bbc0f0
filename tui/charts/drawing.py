"""Scene → rows of cells: plot or sentence, values at the cursor, title, and the panel of all three."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from rich.cells import cell_len

from physics.arrays import Values, values
from tui.charts.plotting import AXIS_ROWS, DOTS, Canvas, Plot, extent, ticks
from tui.charts.series import ChartData, Line, Scene
from tui.charts.views import END, START
from tui.kit.cells import CellRow, cells, fitted
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.shop_units import ShopUnits

LEAST_COLUMNS, LEAST_ROWS = 10, 4
"""Least size of a plot: in a smaller one labels would collide [cells]."""

_MARKER_EVERY, _MARKER_APART = 12, 3
"""Columns between two markers of a line, and at least so many times the number of lines."""
_DASHES = ((1, 0), (9, 5), (3, 4))
"""Half columns drawn and left out in the first, second and third line of one colour."""
_SLOW_EVERY = 3
"""Half columns from one dot of a slow curve to the next."""


class Picture(NamedTuple):
    """A plot as rows of cells; its canvas, if it has one, begins at the top in column `left`."""

    rows: list[CellRow]
    left: int = 0
    canvas: Canvas | None = None


def picture(scene: Scene, width: int, height: int) -> Picture:
    """Return a scene drawn in `width` by `height` cells, or a sentence why it cannot be drawn."""
    if width < LEAST_COLUMNS or height < LEAST_ROWS:
        return sentence("Too small for a chart.", width, height)
    lines = [line for line in scene.chart.lines if np.isfinite(line.y).any()]
    if not lines:
        return sentence(scene.chart.note or "No setup has an answer to draw.", width, height)
    canvas, left = _canvas(scene, width, height)
    plot = Plot(canvas, left, scene.look.line_style, scene.units.unit(scene.chart.x.measure))
    if scene.chart.level is not None:
        ends, heights = values([canvas.x.low, canvas.x.high]), values([scene.y(scene.chart.level.y)] * 2)
        plot.line(*canvas.centred(ends, heights), Role.LEVEL, scene.look.glyphs.level)
    _lines(plot, scene, canvas, lines)
    x, y = (values([getattr(point, axis) for point in scene.chart.points]) for axis in ("x", "y"))
    plot.dots(*canvas.centred(scene.x(x), scene.y(y)), Role.SAG, scene.look.glyphs.sag)
    rows = plot.rows()
    _name_level(rows, scene, canvas, left)
    return Picture(rows, left, canvas)


def sentence(text: str, width: int, height: int) -> Picture:
    """Return wrapped text half way down `width` by `height` cells."""
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
    points: dict[int, tuple[Values, Values]] = {}
    share = np.linspace(0.0, 1.0, 2 * canvas.columns)
    for number, line in order:
        known = np.isfinite(line.x) & np.isfinite(line.y)
        points[number] = scene.x(line.x[known]), scene.y(line.y[known])
        if line.slow:
            plot.dots(*_along(canvas, *points[number], share[::_SLOW_EVERY]), Role.SETUP + line.look)
            continue
        drawn, left_out = _DASHES[scene.look.before(line.look) % len(_DASHES)]
        for start in range(0, share.size, drawn + left_out) if left_out else (0,):
            dash = share[start : start + drawn] if left_out else share
            plot.line(*_along(canvas, *points[number], dash), Role.SETUP + line.look)
    count = max(canvas.columns // max(_MARKER_EVERY, _MARKER_APART * len(lines)), 2)
    for number, line in order:
        # The markers of lines that coincide alternate, so that all of them show.
        share = (np.arange(count) + 0.25 + 0.75 * number / len(lines)) / count
        place = canvas.centred(*_along(canvas, *points[number], share))
        plot.dots(*place, Role.SETUP + line.look, scene.look.marker(line.look, slow=line.slow))


def _along(canvas: Canvas, x: Values, y: Values, share: Values) -> tuple[Values, Values]:
    """Return the points of a line at fractions of the x axis, within the ends of the line."""
    at = canvas.x.low + (canvas.x.high - canvas.x.low) * share
    at = values(at[(at >= x[0]) & (at <= x[-1])])
    return at, np.interp(at, x, y)


def _name_level(rows: list[CellRow], scene: Scene, canvas: Canvas, left: int) -> None:
    """Write the name of the level into its own line, where no other line crosses it."""
    level = scene.chart.level
    if level is None or (place := canvas.row(scene.y(level.y))) is None:
        return
    row, label = rows[place], cells(f" {level.name} {scene.written(level.y)} ", Role.LEVEL)
    first = len(row) - len(label) - 2
    if first > left and all(role == Role.LEVEL for _, role in row[first:]):
        row[first : first + len(label)] = label


class Reading(NamedTuple):
    """One line at the cursor: its name, its look, the value with its unit, and that in slow compression."""

    name: str
    look: int
    value: str
    slow: str | None = None


class Readout(NamedTuple):
    """Where the cursor is and the values of all lines there."""

    where: str
    readings: tuple[Reading, ...]


def place(chart: ChartData, cursor: float) -> float:
    """Return the place of the cursor on the x axis, SI."""
    return float(np.interp(cursor, chart.fraction, chart.place))


def value_at(line: Line, x: float) -> float:
    """Return the value of a line at x, SI, NaN where it has none."""
    return float(np.interp(x, line.x, line.y))


def readout(chart: ChartData, units: ShopUnits, cursor: float) -> Readout:
    """Return the values of all lines at the cursor (fraction of the wheel travel, 0 to 1)."""
    x = place(chart, cursor)
    shown = [(line, units.show(value_at(line, x), chart.y.measure)) for line in chart.lines]
    slow = {line.look: text for line, text in shown if line.slow}
    there = ((line.name, line.look, text, slow.get(line.look)) for line, text in shown if not line.slow)
    return Readout(units.show(x, chart.x.measure), tuple(Reading(*one) for one in there))


_GAP = 2
_LONGEST_NAME = 16


def readout_rows(scene: Scene, cursor: float, width: int) -> list[CellRow]:
    """Return the values of all lines, as many in a row as fit, after the place of the cursor."""
    read = readout(scene.chart, scene.units, cursor)
    if not read.readings:
        return []
    ends = extent([line.y for line in scene.chart.lines]) or (0.0,)
    entries = _entries(read.readings, max(len(scene.written(end)) for end in ends), scene.look)
    first = len(f"at {readout(scene.chart, scene.units, END).where}")
    if first + len(entries[0]) > width:  # the values matter more than the place, which the axis shows too
        first = 0
    per_row = max((width - first + _GAP * (not first)) // (len(entries[0]) + _GAP), 1)
    ellipsis = scene.look.glyphs.ellipsis
    shown = []
    for start in range(0, len(entries), per_row):
        row = fitted(cells("" if start or not first else f"at {read.where}", Role.TITLE), first, ellipsis)
        for entry in entries[start : start + per_row]:
            row += (cells(" " * _GAP, Role.BASE) if row else []) + entry
        shown.append(fitted(row, width, ellipsis))
    return shown


def _entries(readings: Sequence[Reading], value_width: int, look: ChartLook) -> list[CellRow]:
    """Return the readings as cells, all of one width, so that nothing moves when a number gets shorter."""
    names = [cells(reading.name, Role.BASE) for reading in readings]
    width = min(max(map(len, names)), _LONGEST_NAME)
    shown = []
    for reading, name in zip(readings, names, strict=True):
        role = Role.SETUP + reading.look
        entry = cells(f"{look.marker(reading.look)} ", role) + fitted(name, width, look.glyphs.ellipsis)
        entry += cells(f" {reading.value:>{value_width}}", Role.BASE)
        if reading.slow is not None:
            entry += cells(f" {look.marker(reading.look, slow=True)} ", role)
            entry += cells(f"{reading.slow:>{value_width}}", Role.BASE)
        shown.append(entry)
    return shown


STALE_WORDS, STALE_WORD = "STALE: last good answer", "STALE"
HIGHLIGHT = 256
"""Added to the role of a cell at the cursor."""


class Layout(NamedTuple):
    """Width of the panel, and the numbers of rows of title, plot and readout."""

    width: int
    title: int
    plot: int
    readout: int


def layout(scene: Scene, width: int, height: int) -> Layout:
    """Return the layout: the plot has priority, then the title, then as much of the readout as fits."""
    spare = max(height - LEAST_ROWS, 0)
    title = min(spare, 1)
    wanted = len(readout_rows(scene, START, width))
    lines = min(spare - title, wanted, 1 + height // 4)
    return Layout(width, title, height - title - lines, lines)


def rows(scene: Scene, drawn: Picture, shares: Layout, cursor: float, *, stale: bool) -> list[CellRow]:
    """Return all rows of the panel."""
    readout = readout_rows(scene, cursor, shares.width)[: shares.readout]
    return [_title(scene, shares.width, stale)][: shares.title] + _with_cursor(scene, drawn, cursor) + readout


def _title(scene: Scene, width: int, stale: bool) -> CellRow:
    """Return the title with the longest explanation that fits."""
    chart, glyphs = scene.chart, scene.look.glyphs
    row: CellRow = []
    for left_out, kept in enumerate(_around(scene)):
        words = STALE_WORD if left_out else STALE_WORDS
        row = cells(f"{glyphs.stale} {words}", Role.STALE) + cells("  ", Role.BASE) if stale else []
        row += cells(chart.title, Role.TITLE) + cells(kept, Role.AXIS)
        if len(row) <= width:
            break
    return fitted(row, width, glyphs.ellipsis)


def _around(scene: Scene) -> list[str]:
    """Return the explanations of a chart after its title, from the longest to none.

    The name of the x axis is left out before the legends: the axis has its unit anyway.
    """
    chart, glyphs = scene.chart, scene.look.glyphs
    if not chart.lines:
        return [""]
    y, x = scene.units.unit(chart.y.measure), scene.units.unit(chart.x.measure)
    unit, over = f" ({y})" if y else "", f" over {chart.x.label} ({x})"
    slow = glyphs.slow_words if any(line.slow for line in chart.lines) else ""
    legends = (chart.movement, slow, f"{glyphs.sag}: sag" if chart.points else "")
    told = [f"  {glyphs.between} {legend}" for legend in legends if legend]
    fewer = [unit + "".join(told[:count]) for count in range(len(told), -1, -1)]
    return [unit + over + "".join(told), *fewer, ""] if told else [unit + over, unit, ""]


def _with_cursor(scene: Scene, drawn: Picture, cursor: float) -> list[CellRow]:
    """Return the plot with the cursor on its axis and on all lines."""
    canvas = drawn.canvas
    if canvas is None:
        return drawn.rows
    plot = [list(row) for row in drawn.rows]
    x = place(scene.chart, cursor)
    column = drawn.left + canvas.column(scene.x(x))
    plot[canvas.rows][column] = (scene.look.glyphs.cursor, Role.CURSOR)
    for line in sorted(scene.chart.lines, key=lambda line: not line.slow):  # the riding curve on top
        row = canvas.row(scene.y(value_at(line, x)))
        if row is not None and plot[row][column][1] % HIGHLIGHT == Role.SAG:  # a sag point stays visible
            plot[row][column] = plot[row][column][0], Role.SAG + HIGHLIGHT
        elif row is not None:
            marker = scene.look.marker(line.look, slow=line.slow)
            plot[row][column] = marker, Role.SETUP + line.look + HIGHLIGHT
    return plot
