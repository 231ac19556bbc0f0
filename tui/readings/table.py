"""The text of a tester's file as lines of cells, whatever parts them; a comma may be a decimal sign."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass

from tui.jobs.clean import clean

_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?")
_SURE = ("\t", ";", "|")
"""Signs that part cells and are nothing else."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a file: its number there, from 1, and its cells."""

    number: int
    cells: tuple[str, ...]

    @property
    def is_numbers(self) -> bool:
        """Whether it is a line of readings: two numbers or more."""
        return sum(number_in(cell) is not None for cell in self.cells) >= 2


def number_in(cell: str) -> float | None:
    """Return the number a cell holds, None where it holds something else; thousands are not parted."""
    cell = cell.replace("−", "-")
    return float(cell.replace(",", ".")) if _NUMBER.fullmatch(cell) else None


def lines_of(text: str) -> tuple[Line, ...]:
    """Return the lines that hold something; those that begin with # are for people."""
    rows = [(place, row) for place, row in enumerate(text.splitlines(), 1) if row.strip()]
    rows = [(place, row) for place, row in rows if not row.lstrip().startswith("#")]
    sign = _separator([row for _place, row in rows])
    return tuple(Line(place, _cells(row, sign)) for place, row in rows)


def _separator(rows: list[str]) -> str:
    """Return the sign between cells, a blank for any blanks.

    A comma parts cells only where blanks do not: `0,5 120` is two numbers, `0.5, 120` and `0.5,120` as well.
    """
    for sign in _SURE:
        if sum(sign in row for row in rows) * 2 > len(rows):
            return sign
    blanks = sum(
        all(number_in(cell) is not None for cell in row.split()) and " " in row.strip() for row in rows
    )
    commas = sum("," in row for row in rows)
    return "," if commas * 2 > len(rows) and blanks * 2 <= len(rows) else " "


def _cells(row: str, sign: str) -> tuple[str, ...]:
    if sign == " ":
        return tuple(clean(cell) for cell in row.split())
    # Cells in quotation marks may hold the sign; line by line, so that a lone mark spoils no other.
    cells = next(csv.reader([row.replace("\0", "")], delimiter=sign, skipinitialspace=True), [])
    return tuple(clean(cell).strip() for cell in cells)
