"""The text of a file as numbered rows, the ones that a cell in quotation marks goes on over made one."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tui.readings.kinds import UnusableReadings

MOST = 50_000
"""Most rows taken."""
LONGEST = 10_000
"""Longest row taken [characters]."""
_OPEN_QUOTE = re.compile(r'(?:^|[;,|\t])\s*"[^"]*$')
_BALANCED = re.compile(r'"[^"]*"')
_ROWS_OF_A_CELL = 4
Row = tuple[int, str]
"""A row of text with its number in the file, from 1."""


def rows_of(text: str) -> list[Row]:
    """Return the rows that hold something; raises `UnusableReadings` where there are too many or too long."""
    rows = [(number, row) for number, row in enumerate(re.split(r"\r\n|\r|\n", text), 1) if row.strip()]
    if len(rows) > MOST:
        raise UnusableReadings(f"{len(rows)} lines; at most {MOST} are accepted")
    for number, row in rows:
        if len(row) > LONGEST:
            what = f"line {number}: {len(row)} characters"
            raise UnusableReadings(f"{what}; at most {LONGEST} in a line are accepted")
    # Spreadsheets take such a line as word of the separator.
    return _joined([(number, row) for number, row in rows if not re.fullmatch(r"sep=.", row.strip())])


def _joined(rows: Sequence[Row]) -> list[Row]:
    """Return the rows, a cell in quotation marks that goes on over several of them made whole.

    Only words above columns do so. A mark that nothing closes soon is just a mark.
    """
    found: list[Row] = []
    place = 0
    while place < len(rows):
        whole, taken = _whole([row for _number, row in rows[place : place + _ROWS_OF_A_CELL]])
        found.append((rows[place][0], whole))
        place += taken
    return found


def _whole(rows: Sequence[str]) -> tuple[str, int]:
    if '"' in rows[0] and _OPEN_QUOTE.search(_BALANCED.sub("", rows[0])):
        for taken in range(2, len(rows) + 1):
            whole = " ".join(rows[:taken])
            if whole.count('"') % 2 == 0:
                return whole, taken
    return rows[0], 1
