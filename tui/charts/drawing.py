"""Scene → picture: what goes where on the plot, or the sentence that stands there instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from rich.cells import cell_len

from physics.arrays import Values, values
from tui.charts.plotting import AXIS_ROWS, DOTS, Canvas, Plot, extent, ticks
from tui.charts.series import ChartData, Level, Line, Scene
from tui.charts.views import END, START
from tui.kit.cells import Cell, CellRow, cells, fitted
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.shop_units import ShopUnits

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

    rows: list[CellRow]
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
            plot.dots(*_along(canvas, *points[number], share[::_SLOW_EVERY]), Role.SETUP + line.look)
            continue
        for dash in _dashed(share, scene.look.before(line.look)):
            plot.line(*_along(canvas, *points[number], dash), Role.SETUP + line.look)
    count = max(canvas.columns // max(_MARKER_EVERY, _MARKER_APART * len(lines)), 2)
    for number, line in order:
        # Lines that coincide still show the markers of all of them, one after the other.
        share = (np.arange(count) + 0.25 + 0.75 * number / len(lines)) / count
        place = canvas.centred(*_along(canvas, *points[number], share))
        plot.dots(*place, Role.SETUP + line.look, scene.look.marker(line.look, slow=line.slow))


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


def _name_level(rows: list[CellRow], scene: Scene, canvas: Canvas, left: int) -> None:
    """Write the name of the level into its own line, where nothing else runs through it."""
    level: Level | None = scene.chart.level
    place = None if level is None else canvas.row(scene.y(level.y))
    if level is None or place is None:
        return
    row, label = rows[place], cells(f" {level.name} {scene.written(level.y)} ", Role.LEVEL)
    first = len(row) - len(label) - 2
    if first > left and all(role == Role.LEVEL for _, role in row[first:]):
        row[first : first + len(label)] = label


@dataclass(frozen=True, slots=True)
class Reading:
    """One line at the cursor: its name, its look, the value with its unit, and the same moved slowly."""

    name: str
    look: int
    value: str
    slow: str | None = None


@dataclass(frozen=True, slots=True)
class Readout:
    """Where the cursor stands and what every line says there."""

    where: str
    readings: tuple[Reading, ...]


def place(chart: ChartData, cursor: float) -> float:
    """Return the place of the cursor on the x axis, SI."""
    return float(np.interp(cursor, chart.fraction, chart.place))


def value_at(line: Line, x: float) -> float:
    """Return the value of a line at x, SI, NaN where it has none."""
    return float(np.interp(x, line.x, line.y))


def readout(chart: ChartData, units: ShopUnits, cursor: float) -> Readout:
    """Read every line of the chart at the cursor (fraction of wheel travel)."""
    x, measure = place(chart, cursor), chart.y.measure
    slow = {line.look: units.show(value_at(line, x), measure) for line in chart.lines if line.slow}
    readings = tuple(
        Reading(line.name, line.look, units.show(value_at(line, x), measure), slow.get(line.look))
        for line in chart.lines
        if not line.slow
    )
    return Readout(units.show(x, chart.x.measure), readings)


_GAP = 2
_LONGEST_NAME = 16


def readout_rows(scene: Scene, cursor: float, width: int) -> list[CellRow]:
    """Return the readings of every line, as many to a row as fit, and the cursor's place before the first."""
    read = readout(scene.chart, scene.units, cursor)
    if not read.readings:
        return []
    entries = _entries(read.readings, _value_width(scene), scene.look)
    first = _place_width(scene)
    if first + len(entries[0]) > width:  # the values count for more than the place, which stands on the axis
        first = 0
    per_row = max((width - first + _GAP * (not first)) // (len(entries[0]) + _GAP), 1)
    ellipsis = scene.look.glyphs.ellipsis
    shown = []
    for start in range(0, len(entries), per_row):
        row = cells("" if start else f"at {read.where}", Role.TITLE) if first else []
        row = fitted(row, first, ellipsis)
        for entry in entries[start : start + per_row]:
            row += (cells(" " * _GAP, Role.BASE) if row else []) + entry
        shown.append(fitted(row, width, ellipsis))
    return shown


def _entries(readings: Sequence[Reading], value_width: int, look: ChartLook) -> list[CellRow]:
    """Return the readings as cells, all of one width: nothing moves when a number gets shorter."""
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


def _value_width(scene: Scene) -> int:
    ends = extent([line.y for line in scene.chart.lines]) or (0.0,)
    return max(len(scene.written(end)) for end in ends)


def _place_width(scene: Scene) -> int:
    return len(f"at {readout(scene.chart, scene.units, END).where}")


STALE_WORDS, STALE_WORD = "STALE: last good answer", "STALE"
HIGHLIGHT = 256
"""Added to the role of a cell the cursor stands on."""


@dataclass(frozen=True, slots=True)
class Layout:
    """Width of the panel, and its rows: title, plot, readout."""

    width: int
    title: int
    plot: int
    readout: int


def layout(scene: Scene, width: int, height: int) -> Layout:
    """Share out the rows; the plot goes first, then the title, then as much readout as fits."""
    spare = max(height - LEAST_ROWS, 0)
    title = min(spare, 1)
    wanted = len(readout_rows(scene, START, width))
    lines = min(spare - title, wanted, 1 + height // 4)
    return Layout(width, title, height - title - lines, lines)


def rows(scene: Scene, drawn: Picture, shares: Layout, cursor: float, *, stale: bool) -> list[CellRow]:
    """Return every row of the panel."""
    title = [_title(scene, shares.width, stale)][: shares.title]
    readout = readout_rows(scene, cursor, shares.width)[: shares.readout]
    return title + _with_cursor(scene, drawn, cursor) + readout


def _title(scene: Scene, width: int, stale: bool) -> CellRow:
    """Return the title with as much around it as fits; what does not fit goes as a whole."""
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
    """Return what explains a chart beside its title, from all of it to nothing.

    The x axis bears its unit anyway, so that its name goes before the legends do.
    """
    chart, glyphs = scene.chart, scene.look.glyphs
    if not chart.lines:
        return [""]
    y, x = scene.units.unit(chart.y.measure), scene.units.unit(chart.x.measure)
    unit, over = f" ({y})" if y else "", f" over {chart.x.label} ({x})"
    legends = [chart.movement] if chart.movement else []
    legends += [glyphs.slow_words] if any(line.slow for line in chart.lines) else []
    legends += [f"{glyphs.sag}: sag"] if chart.points else []
    told = [f"  {glyphs.between} {legend}" for legend in legends]
    fewer = [unit + "".join(told[:count]) for count in range(len(told), -1, -1)]
    return [unit + over + "".join(told), *fewer, ""] if told else [unit + over, unit, ""]


def _with_cursor(scene: Scene, drawn: Picture, cursor: float) -> list[CellRow]:
    """Return the plot with the cursor on its axis and on every line."""
    canvas = drawn.canvas
    if canvas is None:
        return drawn.rows
    plot = [list(row) for row in drawn.rows]
    x = place(scene.chart, cursor)
    column = drawn.left + canvas.column(scene.x(x))
    plot[canvas.rows][column] = (scene.look.glyphs.cursor, Role.CURSOR)
    for line in sorted(scene.chart.lines, key=lambda line: not line.slow):  # the riding curve on top
        row = canvas.row(scene.y(value_at(line, x)))
        if row is not None:
            plot[row][column] = _read(plot[row][column], line, scene.look)
    return plot


def _read(cell: Cell, line: Line, look: ChartLook) -> Cell:
    """Return a cell of a line as the cursor shows it; a sag point stays one."""
    if cell[1] % HIGHLIGHT == Role.SAG:
        return cell[0], Role.SAG + HIGHLIGHT
    return look.marker(line.look, slow=line.slow), Role.SETUP + line.look + HIGHLIGHT
