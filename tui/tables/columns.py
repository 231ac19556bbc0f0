"""Assignment of the columns of a table to quantities."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING, TypeVar

from physics.frozen import dataclass
from physics.units import Dimension
from tui.saying import printable
from tui.tables.heads import Role, Subject, role_by_words, unit_in
from tui.tables.questions import ColumnsUnclear, Told, Unclear, UnitsMissing, checked_factor
from tui.tables.source import UnusableReadings, unusable
from tui.tables.table import (
    COMMA,
    POINT,
    RawTable,
    is_open,
    mark_of,
    mark_within,
    number_as,
    number_in,
    readings,
)

if TYPE_CHECKING:
    from physics.arrays import Values


@dataclass(frozen=True, slots=True)
class Column:
    """The column of a quantity, from 0, its unit as written and SI per unit."""

    role: Role
    place: int
    unit: str
    factor: float


def columns_of(table: RawTable, subject: Subject, told: Told) -> tuple[Column, ...]:
    """Return the columns of a subject; raises `Unclear` if a question has to be answered first."""
    return by_heads(table, lambda heads: _columns(table, heads, subject, told))


Found = TypeVar("Found")


def by_heads(table: RawTable, read: Callable[[Sequence[str]], Found]) -> Found:
    """Return `read` of the column heads: of the nearest line alone if that is sufficient."""
    width = max(table.places[-1] + 1, len(table.body[0].cells))
    nearest = list(table.heads[0]) if table.heads else [""] * width
    try:
        return read(nearest)
    except Unclear:
        if len(table.heads) < 2:
            raise
    return read([" ".join(words).strip() for words in zip_longest(*reversed(table.heads), fillvalue="")])


def _columns(table: RawTable, heads: Sequence[str], subject: Subject, told: Told) -> tuple[Column, ...]:
    places = places_in(table, heads, subject, told)
    units = {role: _unit(heads[place], role, told) for role, place in places.items()}
    missing = [role for role, unit in units.items() if unit is None]
    if missing:
        raise UnitsMissing(missing, subject)
    return tuple(
        Column(role, place, unit := units[role] or "", checked_factor(unit, role) if unit else 1.0)
        for role, place in places.items()
    )


def _unit(head: str, role: Role, told: Told) -> str | None:
    """Return the unit of a column, None if neither its head nor an answer gives it."""
    unit = unit_in(head, role.dimension) or told.units.get(role.word)
    return "" if unit is None and role.dimension is Dimension.FRACTION else unit


def places_in(table: RawTable, heads: Sequence[str], subject: Subject, told: Told) -> dict[Role, int]:
    """Return the columns as told, else those of the fullest set in which each role occurs once.

    Raises `ColumnsUnclear`, or `UnusableReadings` for a column that the table does not have.
    """
    if beyond := [place + 1 for place in told.columns.values() if not 0 <= place < len(heads)]:
        raise UnusableReadings(f"there is no column {beyond[0]}; use 1 to {len(heads)}")
    if told.columns:
        return {role: told.columns[role.word] for role in subject.roles if role.word in told.columns}
    named: dict[Role, list[int]] = {}
    unnamed = []
    for place in table.places:
        known, role = role_by_words(heads[place], subject)
        if role is not None:
            named.setdefault(role, []).append(place)
        elif not known:
            unnamed.append(place)
    chosen = _set_of(named, subject)
    if chosen is None:
        # A column with only a unit, if a single role has that dimension.
        for dimension in {role.dimension for role in subject.roles}:
            wanting = [role for role in subject.roles if role.dimension is dimension and role not in named]
            fitting = [place for place in unnamed if unit_in(heads[place], dimension) is not None]
            if len(wanting) == 1 and fitting:
                named[wanting[0]] = fitting
        chosen = _set_of(named, subject)
    if chosen is None and len(table.places) == len(subject.bare) == 2:
        # In a table of two columns the remaining ones, in order.
        taken = [place for places in named.values() for place in places]
        left = [place for place in unnamed if place not in taken]
        missing = (role for role in subject.bare if role not in named)
        named |= {role: [place] for role, place in zip(missing, left, strict=False)}
        chosen = _set_of(named, subject)
    if chosen is None:
        raise ColumnsUnclear(_open_words(named, len(heads), subject), heads, subject)
    return {role: named[role][0] for role in chosen}


def _set_of(named: Mapping[Role, Sequence[int]], subject: Subject) -> tuple[Role, ...] | None:
    return next(
        (roles for roles in subject.sets if all(len(named.get(role, ())) == 1 for role in roles)), None
    )


def _open_words(named: Mapping[Role, Sequence[int]], count: int, subject: Subject) -> str:
    for role, places in named.items():
        if len(places) > 1:
            which = " and ".join(str(place + 1) for place in places)
            return f"columns {which} are both {role.name}"
    names = [role.name for role in subject.roles]
    last = "or" if len(subject.sets) > 1 else "and"
    return f"which of {count} columns are {', '.join(names[:-1])} {last} {names[-1]} is unclear"


_LONGEST = 30


@dataclass(frozen=True, slots=True, eq=False)
class Numbers:
    """The columns of a table, their numbers [SI] by role, and the line of the file each row stands in."""

    columns: tuple[Column, ...]
    of: Mapping[Role, Values]
    lines: tuple[int, ...]


def numbers_of(table: RawTable, subject: Subject, told: Told) -> Numbers:
    """Return the numbers of a table; raises `Unclear` if a question has to be answered first.

    Raises `UnusableReadings` with every fault by its line.
    """
    import numpy as np  # imported late: help and the first frame must not wait for it

    columns = columns_of(table, subject, told)
    cells = [[line.cell(column.place) for line in table.body] for column in columns]
    marks = marks_in(table.sign, columns, cells)
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


def marks_in(sign: str, columns: Sequence[Column], cells: Sequence[Sequence[str]]) -> list[str | None]:
    """Return the decimal mark of each column by its cells, None if it remains ambiguous.

    A column's own numbers decide first, then those of all columns, then what is too large for a bike.
    """
    of_all = mark_of([cell for own in cells for cell in own])
    found = []
    for column, own in zip(columns, cells, strict=True):
        mark = mark_of(own) or of_all or mark_within(own, column.role.most / column.factor)
        # If commas separate the cells, only the point is left as decimal mark.
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
        return "a number is missing; use a number"
    shown = f'"{printable(cell if len(cell) <= _LONGEST else f"{cell[:_LONGEST]}...")}"'
    if is_open(cell):
        ways = " or ".join(f"{number:.15g}" for number in readings(cell).values())
        return f"{shown} may be thousands or decimals; use {ways}"
    return f"{shown} is not a number; use a number"
