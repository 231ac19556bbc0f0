"""The tables of points and bars as lines of cells, and what stands in which line."""

from __future__ import annotations

import math
from collections.abc import Collection
from typing import NamedTuple

from tui.bench.dialogs_literal import literal
from tui.bench.edit import Edit
from tui.charts.cells import Row, cells, fitted
from tui.glyphs import Glyphs
from tui.linkage.roles import Role, letter
from tui.linkage.sketch import Sketch
from tui.linkage.state import COLUMNS, WHAT, LinkageState, Part
from tui.linkage.state_cells import Spot, faulty_rows, shown, spot_of
from tui.shop_units import ABSENT

_LEAD = 4
"""Cells before a row: that it is selected or faulty, and the letter of its point."""
_WIDTHS = {Part.POINTS: (12, 8, 8, 9), Part.BARS: (14, 14), Part.KNOWN: (14, 14, 9), Part.LEVEL: (14, 14)}
_NUMBERS = {Part.POINTS: (1, 2)}
"""Columns that stand to the right."""
_HEADS = {
    Part.POINTS: ("name", "x", "y", "what"),
    Part.BARS: ("from", "to", "long"),
    Part.KNOWN: ("from", "to", "long"),
    Part.LEVEL: ("from", "to", "tilted"),
}


class Table(NamedTuple):
    """The lines of all tables and the row that each line belongs to, None for headings."""

    lines: list[Row]
    owners: list[tuple[Part, int] | None]


def tables(state: LinkageState, width: int, glyphs: Glyphs) -> Table:
    """Return every table under its heading."""
    found = Table([], [])
    wrong = faulty_rows(state)
    for part in (part for part in state.parts if part is not Part.DRAWING):
        _put(found, _heading(state, part, width, glyphs), None)
        for row in range(state.rows(part)):
            _put(found, _line(state, part, row, wrong, width, glyphs), (part, row))
        if not state.rows(part):
            _put(found, cells("    none yet", Role.QUIET), None)
    return Table([fitted(line, width, glyphs.ellipsis) for line in found.lines], found.owners)


def _put(table: Table, line: Row, owner: tuple[Part, int] | None) -> None:
    table.lines.append(line)
    table.owners.append(owner)


def _heading(state: LinkageState, part: Part, width: int, glyphs: Glyphs) -> Row:
    here = state.part is part
    title = cells(
        f"{glyphs.selected if here else ' '} {part.value.upper()}", Role.TITLE if here else Role.HEAD
    )
    head = fitted(title, _LEAD + _WIDTHS[part][0], glyphs.ellipsis)
    unit = "mm" if state.sketch.known is None else "px"
    for column, word in list(enumerate(_HEADS[part]))[1:]:
        named = f"{word} {unit}" if column in _NUMBERS.get(part, ()) else word
        head += _column(cells(named, Role.HEAD), part, column, glyphs)
    return head


def _line(
    state: LinkageState, part: Part, row: int, wrong: Collection[tuple[Part, int]], width: int, glyphs: Glyphs
) -> Row:
    here = (state.part, state.row) == (part, row)
    mark = glyphs.selected if here else glyphs.fault if (part, row) in wrong else " "
    line = cells(f"{mark} ", Role.FAULT if (part, row) in wrong else Role.HERE)
    line += cells(f"{letter(row)} " if part is Part.POINTS else "  ", Role.VALUE)
    for column in range(COLUMNS[part]):
        line += _cell(state, (part, row, column), (part, row) in wrong, glyphs)
    if part is Part.BARS:
        line += cells(_length(state.sketch, row), Role.QUIET)
    if part is Part.LEVEL:
        line += cells(_tilt(state.sketch), Role.QUIET)
    return line


def _cell(state: LinkageState, spot: Spot, wrong: bool, glyphs: Glyphs) -> Row:
    part, _row, column = spot
    here = spot == spot_of(state)
    if here and state.edit is not None:
        return _edited(state.edit, _WIDTHS[part][column])
    role = Role.CURSOR if here else Role.FAULT if wrong else Role.VALUE
    text = literal(shown(state.sketch, spot), glyphs) or ABSENT
    if part is not Part.POINTS and column < 2 and text in state.sketch.names:
        text = f"{letter(state.sketch.names.index(text))} {text}"
    return _column(cells(text, role), part, column, glyphs)


def _column(text: Row, part: Part, column: int, glyphs: Glyphs) -> Row:
    """Return text in its column, a gap behind it; numbers stand to the right."""
    width = _WIDTHS[part][column] if column < len(_WIDTHS[part]) else len(text) + 1
    if part is Part.POINTS and column == WHAT:  # the last one takes the room there is
        width = max(width, len(text) + 1)
    text = text if len(text) < width else fitted(text, width - 1, glyphs.ellipsis, text[-1][1])
    blank: Row = [(" ", int(Role.BASE))] * (width - 1 - len(text))
    ordered = blank + text if column in _NUMBERS.get(part, ()) else text + blank
    return [*ordered, (" ", int(Role.BASE))]


def _edited(edit: Edit, width: int) -> Row:
    """Return what is being typed with its caret; of a long text the part around it."""
    typed = [*cells(edit.text, Role.EDIT), (" ", int(Role.EDIT))]
    caret = len(cells(edit.text[: edit.caret], Role.EDIT))
    typed[caret] = (typed[caret][0] or " ", int(Role.CARET))
    first = max(caret - (width - 2), 0)
    return [*(typed[first:] + [(" ", int(Role.EDIT))] * width)[: width - 1], (" ", int(Role.BASE))]


def _length(sketch: Sketch, row: int) -> str:
    """Return how long a bar is as drawn."""
    ends = [sketch.places.get(name) for name in sketch.bars[row]]
    if ends[0] is None or ends[1] is None:
        return ABSENT
    return f"{math.dist(ends[0], ends[1]):.1f} {'mm' if sketch.known is None else 'px'}"


def _tilt(sketch: Sketch) -> str:
    """Return how far the picture is off level as typed."""
    tilt = sketch.off_level
    return ABSENT if math.isnan(tilt) else f"{math.degrees(abs(tilt)):.1f} deg"


def column_at(part: Part, x: int) -> int:
    """Return the column of a part at a place in its row."""
    ends = [_LEAD + sum(_WIDTHS[part][: column + 1]) for column in range(COLUMNS[part])]
    return next((column for column, end in enumerate(ends) if x < end), COLUMNS[part] - 1)
