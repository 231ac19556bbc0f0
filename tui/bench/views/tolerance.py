"""Tolerance bands drawn in cells: one line per setup over a common scale, with an arrow at the target."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from physics.frozen import NamedTuple
from physics.tolerance import Band
from tui.bench.state import BenchState
from tui.bench.views.here import NOTHING_YET, View
from tui.kit.cells import CellRow, cells, fitted
from tui.kit.dressing import dressed, setup_name, told
from tui.kit.look import ChartLook, Glyphs
from tui.kit.roles import Role
from tui.shop_units import Measure, ShopUnits
from tui.subjects.tolerance import document, spread_of

_NAME = 10
"""Width of the setup name before its line [cells]."""
_LEAST_ROOM = 12
_EDGE = 0.06
"""Margin on either side, as a fraction of the range."""


Bands = Sequence[tuple[str, Band]]
"""Name and band of each setup."""
Writing = tuple[Measure, ShopUnits]


class _Scale(NamedTuple):
    """Scale of a line of `room` cells."""

    first: float
    last: float
    room: int

    def column(self, number: float) -> int:
        edge = _EDGE * (self.last - self.first) or 1.0
        return round((number - self.first + edge) / (self.last - self.first + 2 * edge) * (self.room - 1))


def _bands(bands: Bands, look: ChartLook, writing: Writing, target: float, width: int) -> list[CellRow]:
    """Return the lines, none without numbers or room.

    A line is thin from the 5 to the 95 % quantile and thick from 25 to 75 %, with the setup's marker at 50 %.
    A line without a quantile at an end has an arrow there.
    """
    edges = [edge for _name, band in bands for edge in _edges(band) if np.isfinite(edge)]
    room = width - _NAME
    if not edges or room < _LEAST_ROOM:
        return []
    known = edges if np.isnan(target) else [*edges, target]
    scale = _Scale(min(known), max(known), room)
    rows = [
        fitted(setup_name(name, index, look), _NAME - 1, look.glyphs.ellipsis)
        + cells(" ", Role.BASE)
        + _line(band, scale, index, look)
        for index, (name, band) in enumerate(bands)
    ]
    below = [_numbers(scale, writing)]
    if np.isfinite(target):
        below.append(_wanted(target, scale, writing, look.glyphs))
    return rows + [cells(" " * _NAME, Role.BASE) + row for row in below]


def _edges(band: Band) -> tuple[float, ...]:
    return tuple(float(edge) for edge in (band.low, band.lower, band.middle, band.upper, band.high))


def _line(band: Band, scale: _Scale, index: int, look: ChartLook) -> CellRow:
    row, role = cells(" " * scale.room, Role.BASE), Role.SETUP + index % len(look.lines)
    low, lower, middle, upper, high = _edges(band)
    if np.isnan(_edges(band)).all():
        return row
    glyphs = look.glyphs
    for start, end, letter in ((low, high, glyphs.thin), (lower, upper, glyphs.thick)):
        first = 0 if np.isnan(start) else scale.column(start)
        last = scale.room - 1 if np.isnan(end) else scale.column(end)
        row[first : last + 1] = cells(letter * (last + 1 - first), role)
    if np.isnan(low):
        row[0] = (glyphs.left, role)
    if np.isnan(high):
        row[-1] = (glyphs.right, role)
    if np.isfinite(middle):
        row[scale.column(middle)] = (look.marker(index), role)
    return row


def _numbers(scale: _Scale, writing: Writing) -> CellRow:
    measure, units = writing
    row = cells(" " * scale.room, Role.QUIET)
    for number in (scale.first, scale.last):
        text = units.plain(number, measure)
        start = min(max(scale.column(number) - len(text) // 2, 0), scale.room - len(text))
        row[start : start + len(text)] = cells(text, Role.QUIET)
    return row


def _wanted(target: float, scale: _Scale, writing: Writing, glyphs: Glyphs) -> CellRow:
    """Return an arrow at the target, with its number on the side with more room."""
    measure, units = writing
    at, text = scale.column(target), f"target {units.show(target, measure)}"
    if at + 2 + len(text) <= scale.room:
        return cells(f"{' ' * at}{glyphs.up} {text}", Role.STRONG)
    return cells(f"{text} {glyphs.up}".rjust(at + 1), Role.STRONG)


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view of every setup of the last valid answer."""
    if state.answer is None:
        return told(NOTHING_YET, width, look.glyphs)
    answer, units = state.answer.answer, state.units
    spreads = [(setup.name, spread_of(state.answer, i)) for i, setup in enumerate(answer.setups)]
    sags = [(name, spread.sag) for name, spread in spreads]
    ends = [(name, spread.bottom_ratio) for name, spread in spreads]
    drawn = {
        "sag": partial(_bands, sags, look, (Measure.FRACTION, units), float(answer.target.sag)),
        "bottom_ratio": partial(_bands, ends, look, (Measure.RATIO, units), np.nan),
    }
    return dressed(document(state.answer, units), width, look, drawn)


VIEW = View(lines)
