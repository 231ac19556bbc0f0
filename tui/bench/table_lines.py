"""The lines of the table as cells: header, headings, figures, and the mark of the cursor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

from tui.bench.dialogs_literal import literal
from tui.bench.table_columns import MARK, Columns
from tui.bench.table_rows import SAME, TableRow
from tui.charts.cells import Row, cells, fitted
from tui.charts.look import ChartLook
from tui.shop_units import ABSENT

TOO_LONG = "too big"
"""Stands for a number that its column cannot hold: a cut number would be another number."""


class Role(IntEnum):
    """What a cell of the table is for; the name of a setup has `SETUP` plus the number of its look."""

    BASE = 0
    HEADER = 1
    HEADING = 2
    LABEL = 3
    CURSOR = 4
    UNIT = 5
    VALUE = 6
    CHANGE = 7
    QUIET = 8
    STALE = 9
    STALE_WORD = 10
    SETUP = 16


@dataclass(frozen=True, slots=True)
class TableView:
    """All that the lines of the table depend on; `first` is the top row, `cursor` the selected one.

    `unconfirmed` are the setups that stand on values nobody has typed or confirmed.
    """

    rows: tuple[TableRow, ...]
    names: tuple[str, ...]
    columns: Columns
    look: ChartLook
    selected: int
    stale: bool
    cursor: int
    first: int
    unconfirmed: frozenset[int] = frozenset()


def table_lines(view: TableView, width: int, height: int) -> list[Row]:
    """Return `height` lines of `width` cells."""
    shown = view.rows[view.first : view.first + max(height - 1, 0)]
    lines = [_header(view, len(shown))]
    lines += [_line(view, view.first + place, row) for place, row in enumerate(shown)]
    lines += [[] for _ in range(height - len(lines))]
    return [fitted(line, width, view.look.glyphs.ellipsis) for line in lines[:height]]


def _header(view: TableView, shown: int) -> Row:
    glyphs, plan = view.look.glyphs, view.columns
    above = glyphs.up if view.first else " "
    below = glyphs.down if view.first + shown < len(view.rows) else " "
    room = plan.label + (1 + plan.unit if plan.unit else 0) - 1
    word, role = _corner(view, room)
    line = cells(f"{above}{below} ", Role.HEADER) + fitted(cells(word, role), room, glyphs.ellipsis)
    for setup in plan.setups:
        line += _right(_name(view, setup), plan.value, glyphs.ellipsis)
        if setup and plan.change:
            line += _right(cells("to first", Role.HEADER), plan.change, glyphs.ellipsis)
    return line


def _corner(view: TableView, room: int) -> tuple[str, Role]:
    """Return the longest word that fits the corner of the header."""
    if view.stale:
        return _longest(("STALE: last good answer", "STALE, last good", "STALE"), room), Role.STALE_WORD
    shown = view.columns.setups
    if len(shown) < len(view.names):
        numbers = ", ".join(str(setup + 1) for setup in shown) + f" of {len(view.names)}"
        word = "setups" if len(shown) > 1 else "setup"
        return _longest((f"{word} {numbers}", numbers), room), Role.HEADER
    return "figures", Role.HEADER


def _longest(words: Sequence[str], room: int) -> str:
    return next((word for word in words if len(word) <= room), words[-1])


def _name(view: TableView, setup: int) -> Row:
    glyphs = view.look.glyphs
    chosen = glyphs.selected if setup == view.selected and len(view.names) > 1 else ""
    doubt = f"{glyphs.unconfirmed} " if setup in view.unconfirmed else ""
    text = f"{chosen}{view.look.marker(setup)} {doubt}{literal(view.names[setup], glyphs)}"
    return cells(text, Role.SETUP + setup % len(view.look.lines))


def _line(view: TableView, place: int, row: TableRow) -> Row:
    glyphs, plan = view.look.glyphs, view.columns
    if row.is_heading:
        return cells(" " * MARK + row.label.upper(), Role.HEADING)
    role = Role.CURSOR if place == view.cursor else Role.LABEL
    mark = f"{glyphs.selected} " if place == view.cursor else " " * MARK
    line = cells(mark, role) + fitted(cells(row.label, role), plan.label, glyphs.ellipsis, role)
    if plan.unit:
        line += cells(" ", Role.BASE) + fitted(cells(row.unit, Role.UNIT), plan.unit, glyphs.ellipsis)
    for setup in plan.setups:
        line += _numbers(view, row, setup)
    return line


def _numbers(view: TableView, row: TableRow, setup: int) -> Row:
    plan, ellipsis = view.columns, view.look.glyphs.ellipsis
    text = row.values[setup]
    if not plan.unit and row.unit and text != ABSENT:
        text = f"{text} {row.unit}"
    line = _right(cells(_whole(text, plan.value), _role(view, text, Role.VALUE)), plan.value, ellipsis)
    if setup and plan.change:
        change = row.changes[setup]
        role = _role(view, change, Role.CHANGE)
        line += _right(cells(_whole(change, plan.change), role), plan.change, ellipsis)
    return line


def _role(view: TableView, text: str, role: Role) -> Role:
    if text in (ABSENT, SAME):
        return Role.QUIET
    return Role.STALE if view.stale else role


def _whole(text: str, width: int) -> str:
    return text if len(text) < width else TOO_LONG


def _right(text: Row, width: int, ellipsis: str) -> Row:
    """Return cells moved to the right edge, at least one blank in front."""
    room = max(width - 1, 0)
    kept = fitted(text, room, ellipsis, text[-1][1] if text else 0) if len(text) > room else text
    return [(" ", int(Role.BASE))] * (width - len(kept)) + kept
