"""The chart panel as rows of cells: title, plot with its cursor, readout."""

from __future__ import annotations

from dataclasses import dataclass

from tui.charts.cells import Cell, Row, cells, fitted
from tui.charts.cursor import START
from tui.charts.drawing import LEAST_ROWS, Picture
from tui.charts.look import ChartLook, Role
from tui.charts.readout import place, value_at
from tui.charts.readout_rows import readout_rows
from tui.charts.scene import Scene
from tui.charts.series import Line

STALE_WORDS, STALE_WORD = "STALE: last good answer", "STALE"
HIGHLIGHT = 128
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


def rows(scene: Scene, drawn: Picture, shares: Layout, cursor: float, *, stale: bool) -> list[Row]:
    """Return every row of the panel."""
    title = [_title(scene, shares.width, stale)][: shares.title]
    readout = readout_rows(scene, cursor, shares.width)[: shares.readout]
    return title + _with_cursor(scene, drawn, cursor) + readout


def _title(scene: Scene, width: int, stale: bool) -> Row:
    """Return the title with as much around it as fits; what does not fit goes as a whole."""
    chart, glyphs = scene.chart, scene.look.glyphs
    row: Row = []
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


def _with_cursor(scene: Scene, drawn: Picture, cursor: float) -> list[Row]:
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
    return look.marker(line.look, slow=line.slow), Role.LINE + line.look + HIGHLIGHT
