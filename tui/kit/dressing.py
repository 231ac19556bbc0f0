"""Rendering of documents as rows of cells, for the views."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar

from tui.kit.cells import CellRow, cells, fitted
from tui.kit.document import (
    UNITS,
    Block,
    Cell,
    Document,
    Drawing,
    Heading,
    Labelled,
    Paragraph,
    SetupName,
    Table,
)
from tui.kit.look import ChartLook, Glyphs, folded, literal
from tui.kit.roles import Role

Draw = Callable[[int], list[CellRow]]
"""Draws something in a width in cells."""

_KEPT: ContextVar[list[Document] | None] = ContextVar("kept", default=None)


@contextmanager
def documents_kept() -> Iterator[list[Document]]:
    """Collect the documents rendered inside this context, for export of a view."""
    documents: list[Document] = []
    token = _KEPT.set(documents)
    try:
        yield documents
    finally:
        _KEPT.reset(token)


def dressed(
    document: Document, width: int, look: ChartLook, drawn: Mapping[str, Draw] | None = None
) -> list[CellRow]:
    """Return a document as rows of cells; `drawn` has the drawings for its placeholders, by name."""
    if (kept := _KEPT.get()) is not None:
        kept.append(document)
    return [row for block in document.blocks for row in _block(document, block, width, look, drawn or {})]


def _block(
    document: Document, block: Block, width: int, look: ChartLook, drawn: Mapping[str, Draw]
) -> list[CellRow]:
    match block:
        case Heading(text):
            return heading(document.spoken(block, text), width, look.glyphs)
        case Paragraph(text, role):
            said = document.spoken(block, text)
            rows = (
                told(said, width - len(block.lead), look.glyphs, role)
                if block.of is None
                else _told_of(block.of, said, width, look, role)
            )
            hung = [
                cells(" " * len(block.lead) if place else block.lead, role) + row
                for place, row in enumerate(rows)
            ]
            return [[], *hung] if block.gap and hung else hung
        case Labelled():
            return _labelled(block, width, look.glyphs)
        case SetupName():
            return [_name(block, look)]
        case Table():
            return _table(block, width, look)
        case Drawing(name):
            return drawn[name](width)


def heading(text: str, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return a heading with a gap above it."""
    return [[], *told(text.upper(), width, glyphs, Role.HEADING)]


def told(text: str, width: int, glyphs: Glyphs, role: Role = Role.BASE) -> list[CellRow]:
    """Return text wrapped to `width`, no lines for no text; cautions get their mark."""
    mark = _mark(glyphs, role) if text else ""
    return [cells(line, role) for line in folded(literal(mark + text, glyphs), max(width, 10))]


def _told_of(setup: SetupName, text: str, width: int, look: ChartLook, role: Role) -> list[CellRow]:
    """Return text behind the name of the setup that it is of."""
    name = _name(setup, look)
    lead = "".join(letter for letter, _ in name)
    first, *others = told(f"{lead}: {text}", width, look.glyphs, role)
    at = len(_mark(look.glyphs, role))
    return [first[:at] + (name + first[at + len(name) :])[: len(first) - at], *others]


def _mark(glyphs: Glyphs, role: Role) -> str:
    """Return what stands in front of a text in a role: the mark of a caution, else nothing."""
    return f"{glyphs.caution} " if role is Role.CAUTION else ""


def setup_name(name: str, setup: int, look: ChartLook) -> CellRow:
    """Return a setup's marker and name in its own colour."""
    return cells(f"{look.marker(setup)} {literal(name, look.glyphs)}", Role.SETUP + setup % len(look.lines))


def _labelled(block: Labelled, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return a muted label and its value."""
    first, *others = told(block.line, width, glyphs) or [[]]
    label = len(cells(literal(f"{block.label}:", glyphs), Role.LABEL))
    return [[(text, int(Role.QUIET)) for text, _ in first[:label]] + first[label:], *others]


def _name(block: SetupName, look: ChartLook) -> CellRow:
    return cells(block.lead, Role.BASE) + setup_name(block.name, block.place, look)


_SHORT_NAME = 14
"""Width to which the names of setups in a table are cut before a column would be left out [cells]."""


def least_width(document: Document, look: ChartLook) -> int:
    """Return the width that the tables of a document need for all their columns, long names cut."""
    tables = [block for block in document.blocks if isinstance(block, Table)]
    return max((_width_of(_rows(one, look, _SHORT_NAME), one) for one in tables), default=0)


def _width_of(rows: list[list[str | CellRow]], table: Table) -> int:
    return max(map(len, columns(rows, table.heads, table.gap)), default=0)


def _rows(table: Table, look: ChartLook, longest: int | None = None) -> list[list[str | CellRow]]:
    """Return the cells of a table, names of setups cut to the `longest`."""

    def part(cell: str | Cell | SetupName) -> str | CellRow:
        if isinstance(cell, Cell):
            return cells(literal(cell.text, look.glyphs), cell.role)
        if isinstance(cell, SetupName):
            name = _name(cell, look)
            is_long = longest is not None and len(name) > longest
            return fitted(name, longest or 0, look.glyphs.ellipsis) if is_long else name
        return literal(cell, look.glyphs)

    return [[part(cell) for cell in row] for row in table.rows]


def _table(table: Table, width: int, look: ChartLook) -> list[CellRow]:
    rows, short = _rows(table, look), _rows(table, look, _SHORT_NAME)
    if table.units:
        names = [literal(str(name), look.glyphs) for name in table.rows[0]]
        return named_columns(list(zip(names, table.units, strict=True)), rows[1:], width)
    if table.last_from is not None and width < max(table.last_from, _width_of(short, table)):
        rows, short = [row[:-1] for row in rows], [row[:-1] for row in short]
    shown = columns(rows, table.heads, table.gap)
    if max(map(len, shown), default=0) > width:
        shown = columns(short, table.heads, table.gap)
    if max(map(len, shown), default=0) > width:
        shown = _whole(short, table.heads, width, look.glyphs)
    if table.note is not None:
        place, text = table.note
        shown[place:place] = told(text, width, look.glyphs)
    return shown


def _whole(rows: list[list[str | CellRow]], heads: int, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return as many whole columns as fit, with narrow gaps; a mark in the first row tells of missing ones.

    A clipped number would be wrong.
    """
    for count in range(max(map(len, rows)), 1, -1):
        kept = [row[:count] for row in rows]
        if count < len(rows[0]):
            kept[0] = [*kept[0], glyphs.ellipsis]
        shown = columns(kept, heads, 1)
        if max(map(len, shown)) <= width:
            return shown
    return columns(rows, heads, 1)


def columns(table: Sequence[Sequence[str | CellRow]], heads: int = 1, gap: int = 2) -> list[CellRow]:
    """Return aligned rows: the first column left, the others right, the heads first."""
    rows = []
    for number, parts in enumerate(table):
        is_head = number < heads
        role = Role.STRONG if is_head else Role.BASE
        names = [is_head or not place for place in range(len(parts))]
        rows.append([_part(part, role, is_name) for part, is_name in zip(parts, names, strict=True)])
    widths = [max(len(row[i]) for row in rows if i < len(row)) for i in range(max(map(len, rows), default=0))]
    return [_line(row, widths, gap) for row in rows]


def _part(part: str | CellRow, role: Role, is_name: bool) -> CellRow:
    """Return a cell; the unit in the name of a row or column is muted."""
    if not isinstance(part, str):
        return part
    unit = _UNIT.search(part) if is_name else None
    start = unit.start() if unit else len(part)
    return cells(part[:start], role) + cells(part[start:], Role.QUIET)


_UNIT = re.compile(rf"(?:^| )(?:x static|{'|'.join(map(re.escape, UNITS))})$")


def named_columns(
    names: Sequence[tuple[str, str]], body: Sequence[Sequence[str | CellRow]], width: int
) -> list[CellRow]:
    """Return columns with names and units, the units beside the names, or below if that is too wide."""
    rows = columns([[f"{name} {unit}".strip() for name, unit in names], *body])
    if max(map(len, rows)) <= width:
        return rows
    return columns([[name for name, _ in names], [unit for _, unit in names], *body], heads=2, gap=1)


def _line(row: Sequence[CellRow], widths: Sequence[int], gap: int) -> CellRow:
    line: CellRow = []
    for place, (cell, width) in enumerate(zip(row, widths, strict=False)):
        blank = cells(" " * (width - len(cell)), Role.BASE)
        line += cell + blank if place == 0 else cells(" " * gap, Role.BASE) + blank + cell
    return line
