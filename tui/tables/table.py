"""The text of a table as heads and lines of cells, with any separator, and the numbers in its cells.

Numbers are as people and spreadsheets write them: decimal point or comma, with or without thousands
separators.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Mapping, Sequence
from itertools import islice
from pathlib import Path

from physics.frozen import dataclass
from tui.job.tree import clean
from tui.tables.source import Row, UnusableReadings, rows_of, text_of_file

POINT, COMMA = ".", ","
MARKS = (POINT, COMMA)
"""Decimal marks."""


def _pattern(mark: str, other: str) -> re.Pattern[str]:
    whole = rf"\d+|[1-9]\d{{0,2}}(?:(?P<part>[{other}' ’\u00a0\u2009\u202f])\d{{3}})(?:(?P=part)\d{{3}})*"
    return re.compile(rf"[+-]?(?:(?:{whole})(?:\{mark}\d*)?|\{mark}\d+)(?:[eE][+-]?\d+)?")


_PATTERNS = {POINT: _pattern(POINT, COMMA), COMMA: _pattern(COMMA, POINT)}


def number_as(cell: str, mark: str) -> float | None:
    """Return the number in a cell with the decimal `mark`, None if it holds none."""
    cell = cell.replace("−", "-")
    found = _PATTERNS[mark].fullmatch(cell)
    if found is None:
        return None
    number = float(cell.replace(found["part"] or " ", "").replace(mark, POINT))
    return number if math.isfinite(number) else None


def number_in(cell: str) -> float | None:
    """Return the number in a cell by itself: a single mark is taken as the decimal mark."""
    return min(readings(cell).values(), key=abs, default=None)


def readings(cell: str) -> Mapping[str, float]:
    """Return the possible numbers of a cell, by decimal mark."""
    found = {mark: number_as(cell, mark) for mark in MARKS}
    return {mark: number for mark, number in found.items() if number is not None}


def is_number(cell: str) -> bool:
    """Return whether a cell holds a number in any notation."""
    return any(number_as(cell, mark) is not None for mark in MARKS)


def mark_of(cells: Sequence[str]) -> str | None:
    """Return the decimal mark common to related cells, None if ambiguous."""
    sure = {mark for cell in cells if len(found := readings(cell)) == 1 for mark in found}
    return sure.pop() if len(sure) == 1 else None


def is_open(cell: str) -> bool:
    """Return whether a cell is ambiguous: one number with decimals, another with thousands."""
    return len(set(readings(cell).values())) > 1


def mark_within(cells: Sequence[str], most: float) -> str | None:
    """Return the only decimal mark with which no number of a column exceeds `most`, None if there is none."""
    fitting = [mark for mark in MARKS if all(abs(number_as(cell, mark) or 0.0) <= most for cell in cells)]
    return fitting[0] if len(fitting) == 1 else None


MOST_COLUMNS = 500
"""Most columns taken."""
_SIGNS = ("\t", ";", "|", " ", ",")
"""Separators of cells, a blank for any blanks: the first of those that split most lines into numbers."""
_LOOKED_AT = 1000
"""Lines from which the separator is determined."""
COMMENTS = ("#", "%", "//", "!")
"""Signs that begin a comment."""
_MOST_HEADS = 2


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a file: its number, from 1, and its cells."""

    number: int
    cells: tuple[str, ...]

    def cell(self, place: int) -> str:
        """Return a cell, empty if the line has fewer."""
        return self.cells[place] if place < len(self.cells) else ""


@dataclass(frozen=True, slots=True)
class RawTable:
    """A table as written: heads of each column, nearest line first, and the lines below.

    `places` are the columns that hold numbers, from 0; `sign` is the separator.
    """

    name: str
    heads: tuple[tuple[str, ...], ...]
    body: tuple[Line, ...]
    places: tuple[int, ...]
    sign: str


def table_at(path: Path) -> RawTable:
    """Return the table in a file; raises `UnusableReadings` if there is none, or `OSError`."""
    return table_of(text_of_file(path), path.name)


def table_of(text: str, name: str) -> RawTable:
    """Return the table in the text of a file; raises `UnusableReadings` if there is none."""
    rows = rows_of(text)
    told = [row for row in rows if not row[1].lstrip().startswith(COMMENTS)]
    # A comma separates cells only if blanks do not: `0,5 120` is two numbers, as are `0.5, 120` and
    # `0.5,120`.
    sign = max(_SIGNS, key=lambda sign: sum(_parts(row, sign) for _number, row in told[:_LOOKED_AT]))
    lines = tuple(_line(row, sign) for row in told)
    first = next((place for place, line in enumerate(lines) if _are_numbers(line.cells)), None)
    if first is None:
        raise UnusableReadings("no line with two numbers; use a table with one line for each reading")
    count = len(lines[first].cells)
    start = _start(lines, first, count)
    heads = _heads([row for _number, row in told[:start]], sign, count)
    if not heads:
        # Some programs write the heads as a comment.
        above = [row.lstrip(" #%/!") for number, row in rows if number < lines[start].number]
        heads = _heads(above, sign, count)
    places = tuple(place for place, cell in enumerate(lines[first].cells) if is_number(cell))
    return RawTable(name, heads, lines[start:], places, sign)


def _parts(row: str, sign: str) -> bool:
    if sign not in row:
        return False
    cells = cells_of(row, sign)
    if sign == " " and any(cell.startswith(",") or cell.endswith(",") for cell in cells):
        return False
    return _are_numbers(cells)


def _line(row: Row, sign: str) -> Line:
    cells = cells_of(row[1], sign)
    while cells and not cells[-1]:
        cells.pop()
    if len(cells) > MOST_COLUMNS:
        what = f"line {row[0]}: {len(cells)} columns"
        raise UnusableReadings(f"{what}; use at most {MOST_COLUMNS}")
    return Line(row[0], tuple(cells))


def cells_of(row: str, sign: str) -> list[str]:
    """Return the cells of a row separated by `sign`, a blank for any blanks."""
    around: str | None
    if sign == " ":
        cells, around = re.findall(r'"[^"]*"|[^ \t]+', row), ' "'
    elif '"' in row:
        # Line by line, so that an unpaired quotation mark affects no other line.
        cells, around = next(csv.reader([row], delimiter=sign, skipinitialspace=True), []), None
    else:
        cells, around = row.split(sign), None
    if row.replace("\t", " ").isprintable():
        return [cell.strip(around) for cell in cells]
    return [clean(cell).strip(around) for cell in cells]


def _are_numbers(cells: Sequence[str]) -> bool:
    """Return whether cells form a reading: two numbers or more."""
    return sum(1 for _ in islice(filter(is_number, cells), 2)) == 2


def _start(lines: Sequence[Line], first: int, count: int) -> int:
    """Return the first line of numbers: a faulty line directly above them counts as one, not as a head.

    A line with its last cells left empty, as of a sensor that is not ready yet, has fewer cells.
    """
    start = first
    while start and _may_be_numbers(lines[start - 1].cells, count):
        start -= 1
    return start


def _may_be_numbers(cells: Sequence[str], count: int) -> bool:
    """Return whether cells above those of a line of numbers are one themselves."""
    if len(cells) == count:
        return any(map(is_number, cells))
    return 0 < len(cells) < count and all(is_number(cell) for cell in cells)


def _heads(above: Sequence[str], sign: str, count: int) -> tuple[tuple[str, ...], ...]:
    """Return the heads of the columns, nearest line first: names and units may be on two lines."""
    found: list[tuple[str, ...]] = []
    for row in above[: -_MOST_HEADS - 1 : -1]:
        cells = cells_of(row, sign)
        if sign == " " and len(cells) != count:
            # Heads that contain a blank are separated by more than one.
            cells = [clean(cell).strip(' "') for cell in re.split(r" {2,}|\t+", row.strip())]
        if len(cells) < count or any(map(is_number, cells)):
            break
        found.append(tuple(cells[:count]))
    return tuple(found)
