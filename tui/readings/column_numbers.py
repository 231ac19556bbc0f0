"""The numbers in the columns of a table, in SI, every fault told by its line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tui.jobs.faults import printable
from tui.readings.columns import Column, columns_of
from tui.readings.kinds import unusable
from tui.readings.numbers import COMMA, MARKS, POINT, is_open, mark_of, mark_within, number_as, number_in
from tui.readings.questions import Told
from tui.readings.roles import Role, Subject
from tui.readings.table import RawTable

if TYPE_CHECKING:
    from physics.arrays import Values

_LONGEST = 30


@dataclass(frozen=True, slots=True, eq=False)
class Numbers:
    """The columns of a table, their numbers [SI] by role, and the line of the file each row stands in."""

    columns: tuple[Column, ...]
    of: Mapping[Role, Values]
    lines: tuple[int, ...]


def numbers_of(table: RawTable, subject: Subject, told: Told) -> Numbers:
    """Return the numbers of a table; raises `Unclear` where something is to be asked first.

    Raises `UnusableReadings` with every fault by its line.
    """
    import numpy as np  # help and the first frame must not wait for it

    columns = columns_of(table, subject, told)
    cells = [[line.cell(column.place) for line in table.body] for column in columns]
    marks = _marks(table.sign, columns, cells)
    found = [[_number(cell, mark) for cell in own] for own, mark in zip(cells, marks, strict=True)]
    faults = [
        f"line {line.number}: {_fault(line.cell(columns[numbers.index(None)].place))}"
        for line, numbers in zip(table.body, zip(*found, strict=True), strict=True)
        if None in numbers
    ]
    if faults:
        raise unusable(faults)
    si = {
        column.role: np.array(own, dtype=np.float64) * column.factor
        for column, own in zip(columns, found, strict=True)
    }
    return Numbers(columns, si, tuple(line.number for line in table.body))


def _marks(sign: str, columns: Sequence[Column], cells: Sequence[Sequence[str]]) -> list[str | None]:
    """Return the mark of the decimals in each column, None where nothing decides between two.

    A column's own numbers decide first, then those of all columns, then what is too much for a bike.
    """
    of_all = mark_of([cell for own in cells for cell in own])
    found = []
    for column, own in zip(columns, cells, strict=True):
        mark = mark_of(own) or of_all or mark_within(own, column.role.most / column.factor)
        # Where a comma parts the cells, the point is what is left for decimals.
        if mark is None and sign == COMMA and not any(COMMA in cell for cell in own):
            mark = POINT
        found.append(mark)
    return found


def _number(cell: str, mark: str | None) -> float | None:
    if mark is None:
        return None if is_open(cell) else number_in(cell)
    number = number_as(cell, mark)
    return number_in(cell) if number is None else number


def _fault(cell: str) -> str:
    if not cell:
        return "a number is missing; a number is accepted"
    shown = f'"{printable(cell if len(cell) <= _LONGEST else f"{cell[:_LONGEST]}...")}"'
    if is_open(cell):
        readings = [number for mark in MARKS if (number := number_as(cell, mark)) is not None]
        ways = " or ".join(f"{number:.15g}" for number in readings)
        return f"{shown} may be thousands or decimals; {ways} is accepted"
    return f"{shown} is no number; a number is accepted"
