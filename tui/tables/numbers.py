"""Numbers as people and spreadsheets write them: point or comma for decimals, thousands parted or not."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence

POINT, COMMA = ".", ","
MARKS = (POINT, COMMA)
"""Signs that decimals may follow."""


def _pattern(mark: str, other: str) -> re.Pattern[str]:
    whole = rf"\d+|[1-9]\d{{0,2}}(?:(?P<part>[{other}' ’\u00a0\u2009\u202f])\d{{3}})(?:(?P=part)\d{{3}})*"
    return re.compile(rf"[+-]?(?:(?:{whole})(?:\{mark}\d*)?|\{mark}\d+)(?:[eE][+-]?\d+)?")


_PATTERNS = {POINT: _pattern(POINT, COMMA), COMMA: _pattern(COMMA, POINT)}


def number_as(cell: str, mark: str) -> float | None:
    """Return the number in a cell whose decimals follow `mark`, None where it holds none."""
    cell = cell.replace("−", "-")
    found = _PATTERNS[mark].fullmatch(cell)
    if found is None:
        return None
    number = float(cell.replace(found["part"] or " ", "").replace(mark, POINT))
    return number if math.isfinite(number) else None


def number_in(cell: str) -> float | None:
    """Return the number in a cell by itself: a single mark is taken for that of decimals."""
    return min(readings(cell).values(), key=abs, default=None)


def readings(cell: str) -> Mapping[str, float]:
    """Return the numbers that a cell may be, by the mark of the decimals."""
    found = {mark: number_as(cell, mark) for mark in MARKS}
    return {mark: number for mark, number in found.items() if number is not None}


def is_number(cell: str) -> bool:
    """Return whether a cell holds a number, whichever way it is written."""
    return any(number_as(cell, mark) is not None for mark in MARKS)


def mark_of(cells: Sequence[str]) -> str | None:
    """Return the mark of the decimals in cells that go together, None where they leave it open."""
    sure = {mark for cell in cells if len(found := readings(cell)) == 1 for mark in found}
    return sure.pop() if len(sure) == 1 else None


def is_open(cell: str) -> bool:
    """Return whether a cell is one number with decimals and another one with thousands."""
    return len(set(readings(cell).values())) > 1


def mark_within(cells: Sequence[str], most: float) -> str | None:
    """Return the only mark with which no number of a column is beyond `most`, None where there is none."""
    fitting = [mark for mark in MARKS if all(abs(number_as(cell, mark) or 0.0) <= most for cell in cells)]
    return fitting[0] if len(fitting) == 1 else None
