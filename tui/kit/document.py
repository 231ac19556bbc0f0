"""What the views beside the panels are made of: headings, told text and columns of figures, as cells."""

from __future__ import annotations

from collections.abc import Sequence
from enum import IntEnum
from textwrap import wrap

from tui.kit.cells import CellRow, cells, literal
from tui.kit.glyphs import Glyphs
from tui.kit.look import ChartLook

_GAP = 2
"""Cells between two columns."""


class Role(IntEnum):
    """What a cell of a view is for; the name of a setup has `SETUP` plus the number of its look."""

    BASE = 0
    TITLE = 1
    HEADING = 2
    QUIET = 3
    STRONG = 4
    CAUTION = 5
    STALE = 6
    SETUP = 16


def heading(text: str) -> list[CellRow]:
    """Return a heading with a gap above it."""
    return [[], cells(text.upper(), Role.HEADING)]


def told(text: str, width: int, glyphs: Glyphs, role: Role = Role.BASE) -> list[CellRow]:
    """Return text in lines no wider than `width`; a caution bears its mark."""
    mark = f"{glyphs.caution} " if role is Role.CAUTION else ""
    return [cells(line, role) for line in wrap(literal(mark + text, glyphs), max(width, 10))]


def setup_name(name: str, setup: int, look: ChartLook) -> CellRow:
    """Return a setup's marker and name in its own colour."""
    return cells(f"{look.marker(setup)} {literal(name, look.glyphs)}", Role.SETUP + setup % len(look.lines))


def columns(table: Sequence[Sequence[str | CellRow]], heads: int = 1, gap: int = _GAP) -> list[CellRow]:
    """Return rows of figures under each other: the first column left, the others right, the heads first."""
    rows = [[_cell(part, place < heads) for part in row] for place, row in enumerate(table)]
    widths = [max(len(row[i]) for row in rows if i < len(row)) for i in range(max(map(len, rows), default=0))]
    return [_line(row, widths, gap) for row in rows]


def named_columns(
    names: Sequence[tuple[str, str]], body: Sequence[Sequence[str | CellRow]], width: int
) -> list[CellRow]:
    """Return columns under names with their units: beside them, or below them where that is too wide."""
    rows = columns([[f"{name} {unit}".strip() for name, unit in names], *body])
    if max(map(len, rows)) <= width:
        return rows
    return columns([[name for name, _ in names], [unit for _, unit in names], *body], heads=2, gap=1)


def _cell(part: str | CellRow, in_head: bool) -> CellRow:
    return cells(part, Role.STRONG if in_head else Role.BASE) if isinstance(part, str) else part


def _line(row: Sequence[CellRow], widths: Sequence[int], gap: int) -> CellRow:
    line: CellRow = []
    for place, (cell, width) in enumerate(zip(row, widths, strict=False)):
        blank = cells(" " * (width - len(cell)), Role.BASE)
        line += cell + blank if place == 0 else cells(" " * gap, Role.BASE) + blank + cell
    return line
