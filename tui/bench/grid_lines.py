"""One panel as lines of cells: its title, its fields, and what is wrong with them in words beside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import IntEnum
from textwrap import wrap
from typing import NamedTuple

from tui.bench.dialogs_literal import literal
from tui.bench.edit import Edit
from tui.bench.fields_row import Panel, Row
from tui.bench.fields_typed import unit_taken
from tui.bench.state import BenchState
from tui.bench.state_cautions import caution_at, left_out_at
from tui.bench.state_cells import Cell, Look, cell_of
from tui.charts.cells import Row as Cells
from tui.charts.cells import cells, fitted
from tui.charts.look import ChartLook
from tui.glyphs import Glyphs
from tui.jobs.faults import JobFault
from tui.shop_units import ABSENT

LABEL = 18
"""Cells for the name of a field."""

_FIELD = 2 + LABEL
_FAULT_LINES = 7

Faults = Mapping[tuple[int, int], Sequence[JobFault]]


class Role(IntEnum):
    """What a cell of the panels is for; the marker of a setup has `SETUP` plus the number of its look."""

    BASE = 0
    TITLE = 1
    RULE = 2
    HEAD = 3
    LABEL = 4
    HERE = 5
    VALUE = 6
    SOLVED = 7
    QUIET = 8
    FAULT = 9
    CURSOR = 10
    CURSOR_SOLVED = 11
    EDIT = 12
    CARET = 13
    CAUTION = 14
    SETUP = 16


class Drawn(NamedTuple):
    """The lines of a panel and the row that each belongs to; None for its title and its headings."""

    lines: tuple[Cells, ...]
    rows: tuple[int | None, ...]

    def span(self, row: int) -> tuple[int, int]:
        """Return the first and the last line of a row, the heading above it among them."""
        places = [place for place, owner in enumerate(self.rows) if owner == row]
        first = places[0]
        return (first - 1 if first > 1 and self.rows[first - 1] is None else first), places[-1]


def height_of(state: BenchState, index: int, faults: Faults, width: int, look: ChartLook) -> int:
    """Return how many lines a panel has, without drawing it."""
    rows = state.panels[index].rows
    wrong = [fault for place in range(len(rows)) for fault in faults.get((index, place), ())]
    headed = sum(bool(row.head) for row in rows)
    return 1 + len(rows) + headed + sum(len(_fault(fault, width, look)) for fault in wrong)


def drawn(state: BenchState, index: int, faults: Faults, width: int, look: ChartLook) -> Drawn:
    """Return one panel of the state, `width` cells wide."""
    panel = state.panels[index]
    lines, rows = [_title(state, index, panel, width, look)], [None]
    owners: list[int | None] = list(rows)
    for place, row in enumerate(panel.rows):
        if row.head:
            lines.append(fitted(cells(row.head, Role.HEAD), width, look.glyphs.ellipsis))
            owners.append(None)
        told = [line for fault in faults.get((index, place), ()) for line in _fault(fault, width, look)]
        here = index == state.panel and place == state.rows[index]
        lines += [_line(state, row, here, bool(told), width, look), *told]
        owners += [place] * (1 + len(told))
    return Drawn(tuple(lines), tuple(owners))


def _title(state: BenchState, index: int, panel: Panel, width: int, look: ChartLook) -> Cells:
    here = index == state.panel
    rule = ("=" if here else "-") if look.glyphs.ascii else ("━" if here else "─")
    title = cells(f"{rule}{rule} ", Role.RULE)
    if panel.setup is not None:
        title += cells(f"{look.marker(panel.setup)} ", Role.SETUP + panel.setup)
    title += cells(f"{literal(panel.title, look.glyphs)} ", Role.TITLE)
    if is_selected_setup(state, panel) and not here:
        title += cells("selected ", Role.RULE)
    kind = cells(f" {panel.kind} {rule}{rule}" if panel.kind else "", Role.RULE)
    title = fitted(title, min(len(title), width - len(kind)), look.glyphs.ellipsis, Role.TITLE)
    return fitted([*title, *[(rule, int(Role.RULE))] * (width - len(title) - len(kind)), *kind], width, rule)


def is_selected_setup(state: BenchState, panel: Panel) -> bool:
    """Return whether a panel shows the setup that is selected."""
    return panel.setup is not None and panel.setup == state.setup


def _line(state: BenchState, row: Row, here: bool, wrong: bool, width: int, look: ChartLook) -> Cells:
    glyphs = look.glyphs
    label = _mark(state, row, here, wrong, glyphs)
    label += fitted(cells(row.label, Role.HERE if here else Role.LABEL), LABEL, glyphs.ellipsis, Role.LABEL)
    room = max(width - _FIELD, 0)
    if here and state.edit is not None:
        unit = unit_taken(state.job, row, state.edit.text, state.units)
        return fitted(label + _edit(state.edit, unit, room), width, glyphs.ellipsis)
    value = _value(cell_of(state, row), state.stale, here, wrong, room, look)
    return fitted(label + fitted(value, room, glyphs.ellipsis, value[-1][1]), width, glyphs.ellipsis)


def _mark(state: BenchState, row: Row, here: bool, wrong: bool, glyphs: Glyphs) -> Cells:
    """Return what stands before a field: that it is the selected one, cannot be used, or wants care."""
    if here:
        return cells(f"{glyphs.selected} ", Role.HERE)
    if wrong:
        return cells(f"{glyphs.fault} ", Role.FAULT)
    care = caution_at(state, row) or left_out_at(state, row)
    return cells(f"{glyphs.caution} ", Role.CAUTION) if care else cells("  ", Role.LABEL)


def _value(cell: Cell, stale: bool, here: bool, wrong: bool, room: int, look: ChartLook) -> Cells:
    mark = look.glyphs.solved if cell.look is Look.SOLVED else " "
    mark = look.glyphs.unconfirmed if cell.unconfirmed else mark
    text = ABSENT if cell.look is Look.ABSENT else literal(cell.text, look.glyphs)
    role, quiet = _roles(cell.look, here, wrong)
    behind = _behind(cell, stale)
    shown = cells(f"{mark} {text}", role)
    extra = cells(f"  {behind}" if behind else "", quiet)
    # What does not fit whole is left out: half a number is another number.
    whole = shown + extra if len(shown) + len(extra) <= room else shown
    return whole + [(" ", int(role if here else Role.BASE))] * (room - len(whole))


def _behind(cell: Cell, stale: bool) -> str:
    """Return what stands behind a value: how it came to be, or the same in the shop's unit."""
    if cell.look is Look.SOLVED:
        return "old" if stale else "solved"
    if cell.look is Look.USUAL:
        return "assumed" if cell.text[:1].isdigit() else ""
    return cell.in_shop_units


def _roles(came: Look, here: bool, wrong: bool) -> tuple[Role, Role]:
    """Return the roles of a value and of what stands behind it."""
    solved = came is Look.SOLVED
    if here:
        selected = Role.CURSOR_SOLVED if solved else Role.CURSOR
        return selected, selected
    if came in (Look.USUAL, Look.ABSENT):
        return Role.QUIET, Role.QUIET
    return Role.FAULT if wrong else Role.SOLVED if solved else Role.VALUE, Role.QUIET


def _edit(edit: Edit, unit: str, room: int) -> Cells:
    """Return the text being typed with its caret and the unit it will take; of a long one a part."""
    typed = cells(edit.text, Role.EDIT)
    caret = len(cells(edit.text[: edit.caret], Role.EDIT))
    typed.append((" ", int(Role.EDIT)))
    typed[caret] = (typed[caret][0] or " ", int(Role.CARET))
    first = max(caret - max(room - 3, 0), 0)
    shown = cells("  ", Role.EDIT) + typed[first:] + cells(unit, Role.QUIET)
    return (shown + [(" ", int(Role.EDIT))] * room)[:room]


def _fault(fault: JobFault, width: int, look: ChartLook) -> list[Cells]:
    text = literal(f"{fault.what}; {fault.accepted}", look.glyphs)
    lines = wrap(text, max(width - 4, 8), max_lines=_FAULT_LINES, placeholder=f" {look.glyphs.ellipsis}")
    return [fitted(cells(f"    {line}", Role.FAULT), width, look.glyphs.ellipsis) for line in lines]
