"""The chart panel as rows of cells: title, plot, cursor and what the cursor reads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tui.charts.cells import Row, cells, fitted
from tui.charts.look import ChartLook, Role
from tui.charts.plotting import LEAST_ROWS, Picture
from tui.charts.readout import Reading, place, readout, value_at
from tui.charts.series import ChartData
from tui.shop_units import ShopUnits

STALE_WORDS = "STALE: last good answer"
HIGHLIGHT = 128
"""Added to the role of a cell the cursor stands on."""

_GAP = 3
_LONGEST_NAME = 16


@dataclass(frozen=True, slots=True)
class Layout:
    """Rows of the panel: title, plot, readout."""

    title: int
    plot: int
    readout: int


def layout(width: int, height: int, chart: ChartData, units: ShopUnits, look: ChartLook) -> Layout:
    """Share out the rows; the plot goes first, then the title, then as much readout as fits."""
    spare = max(height - LEAST_ROWS, 0)
    title = min(spare, 1)
    wanted = len(_readout_rows(chart, units, look, 0.0, width))
    lines = max(min(spare - title, wanted, 1 + height // 4), 0)
    return Layout(title, height - title - lines, lines)


def rows(
    chart: ChartData,
    units: ShopUnits,
    look: ChartLook,
    drawn: Picture,
    shares: Layout,
    width: int,
    cursor: float,
    *,
    stale: bool,
) -> list[Row]:
    """Return every row of the panel."""
    title = [_title(chart, units, look, width, stale)][: shares.title]
    plot = with_cursor(chart, units, look, drawn, cursor)
    below = _readout_rows(chart, units, look, cursor, width)[: shares.readout]
    return title + plot + below + [cells(" " * width, 0)] * (shares.readout - len(below))


def _title(chart: ChartData, units: ShopUnits, look: ChartLook, width: int, stale: bool) -> Row:
    row: Row = []
    if stale:
        row += cells(f"{look.glyphs.stale} {STALE_WORDS}", Role.STALE) + cells("  ", Role.BASE)
    row += cells(chart.title, Role.TITLE)
    if chart.lines:
        y, x = units.unit(chart.y.measure), units.unit(chart.x.measure)
        row += cells(f" ({y})" if y else "", Role.AXIS) + cells(f" over {chart.x.label} ({x})", Role.AXIS)
    return fitted(row, width, look.glyphs.ellipsis)


def with_cursor(
    chart: ChartData, units: ShopUnits, look: ChartLook, drawn: Picture, cursor: float
) -> list[Row]:
    """Return the plot with the cursor on its axis and on every line."""
    canvas = drawn.canvas
    if canvas is None:
        return drawn.rows
    plot = [list(row) for row in drawn.rows]
    x = place(chart, cursor)
    column = drawn.left + canvas.column(units.scale(x, chart.x.measure))
    plot[canvas.rows][column] = (look.glyphs.cursor, Role.CURSOR)
    for line in chart.lines:
        row = canvas.row(units.scale(value_at(line, x), chart.y.measure))
        if row is not None:
            plot[row][column] = (look.marker(line.look, fast=line.fast), Role.LINE + line.look + HIGHLIGHT)
    return plot


def _readout_rows(
    chart: ChartData, units: ShopUnits, look: ChartLook, cursor: float, width: int
) -> list[Row]:
    if not chart.lines:
        return []
    read = readout(chart, units, cursor)
    value_width = _value_width(chart, units)
    entries = [cells(f"at {read.where}", Role.TITLE)]
    entries += [_entry(reading, look, value_width) for reading in read.readings]
    # Every entry as wide as the widest, so that nothing jumps when a number gets shorter.
    each = max(map(len, entries[1:]))
    first = len(_widest_place(chart, units))
    per_row = max((width - first) // (each + _GAP), 1)
    lines = [entries[1:][start : start + per_row] for start in range(0, len(entries) - 1, per_row)]
    blank = cells(" " * _GAP, Role.BASE)
    shown = []
    for number, line in enumerate(lines):
        row = fitted(entries[0] if number == 0 else [], first, look.glyphs.ellipsis)
        for entry in line:
            row += blank + fitted(entry, each, look.glyphs.ellipsis)
        shown.append(fitted(row, width, look.glyphs.ellipsis))
    return shown


def _entry(reading: Reading, look: ChartLook, value_width: int) -> Row:
    marker = cells(look.marker(reading.look, fast=reading.fast), Role.LINE + reading.look)
    name = cells(f" {reading.name}", Role.BASE)
    if len(name) > _LONGEST_NAME:
        name = fitted(name, _LONGEST_NAME, look.glyphs.ellipsis)
    fast = " fast" if reading.fast else ""
    return marker + name + cells(f"{fast} {reading.value:>{value_width}}", Role.BASE)


def _value_width(chart: ChartData, units: ShopUnits) -> int:
    ends = [end for line in chart.lines for end in (line.y.min(), line.y.max())]
    return max(len(units.show(float(end), chart.y.measure)) for end in ends)


def _widest_place(chart: ChartData, units: ShopUnits) -> str:
    return f"at {units.show(float(chart.place[-1]), chart.x.measure)} {chart.x.label}"


def text_of(shown: Sequence[Row]) -> str:
    """Return rows as plain text, a line each."""
    return "\n".join("".join(text for text, _ in row) for row in shown)
