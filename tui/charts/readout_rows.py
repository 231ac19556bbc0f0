"""What the cursor reads, as rows of cells; also the legend of the chart."""

from __future__ import annotations

from collections.abc import Sequence

from tui.charts.cells import Row, cells, fitted
from tui.charts.cursor import END
from tui.charts.look import ChartLook, Role
from tui.charts.readout import Reading, readout
from tui.charts.scene import Scene
from tui.charts.ticks import extent

_GAP = 2
_LONGEST_NAME = 16


def readout_rows(scene: Scene, cursor: float, width: int) -> list[Row]:
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


def _entries(readings: Sequence[Reading], value_width: int, look: ChartLook) -> list[Row]:
    """Return the readings as cells, all of one width: nothing moves when a number gets shorter."""
    names = [cells(reading.name, Role.BASE) for reading in readings]
    width = min(max(map(len, names)), _LONGEST_NAME)
    shown = []
    for reading, name in zip(readings, names, strict=True):
        role = Role.LINE + reading.look
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
