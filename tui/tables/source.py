"""Readings of a shock as data, and the rows of a file with a table of them."""

from __future__ import annotations

import codecs
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from physics.frozen import dataclass
from tui.job.faults import reason_of
from tui.job.tree import clean
from tui.saying import first_of

if TYPE_CHECKING:
    from physics.fit import AskedFriction
    from physics.loop import Loop


@dataclass(frozen=True, slots=True, eq=False)
class LoopRead:
    """Force over stroke, its source in a few words, and the friction given with it, None for none.

    `alone` is whether it is that of a coil by itself instead of a whole shock.
    """

    loop: Loop
    source: str
    friction: AskedFriction | None = None
    alone: bool = False


@dataclass(frozen=True, slots=True)
class CyclingRead:
    """Gauge pressures [Pa] at full extension before and after one cycle."""

    before: float
    after: float


@dataclass(frozen=True, slots=True)
class SagRead:
    """A sag in the measure of the target: a length [m] or a share."""

    sag: float
    is_share: bool


Readings = LoopRead | CyclingRead | SagRead


class UnusableReadings(ValueError):
    """Readings or a table that cannot be used, a line for each fault.

    Tabs and terminal controls are removed from quotations of a file.
    """

    def __init__(self, *lines: str) -> None:
        self.lines = tuple(map(clean, lines))
        super().__init__("\n".join(self.lines))


_TOLD = 12
"""Faults of one table told one by one."""


def unusable(faults: Sequence[str]) -> UnusableReadings:
    """Return the faults of a table, the first of them told one by one."""
    return UnusableReadings(*first_of(faults, _TOLD, str, lambda more: f"and {more} more lines like these"))


LARGEST = 8_000_000
"""Largest file taken [bytes]."""
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
"""Marks at the start of a file, the longer ones before those they begin with."""
_SPREADSHEETS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
_ACCEPTED = "use a table saved as CSV"


def text_of_file(path: Path) -> str:
    """Return the text of a file; raises `UnusableReadings` if there is no such text."""
    return decoded(bytes_of_file(path, LARGEST))


def bytes_of_file(path: Path, largest: int) -> bytes:
    """Return the bytes of a file of at most `largest`; raises `UnusableReadings`."""
    data = first_bytes_of_file(path, largest + 1)
    if len(data) > largest:
        raise UnusableReadings(f"larger than {largest // 10**6} MB; {_ACCEPTED}")
    return data


def first_bytes_of_file(path: Path, count: int) -> bytes:
    """Return the first `count` bytes of a file, fewer of a shorter one; raises `UnusableReadings`."""
    try:
        with path.open("rb") as source:
            return source.read(count)
    except (OSError, ValueError) as trouble:
        reason = reason_of(trouble)
        raise UnusableReadings(f"{reason[:1].lower()}{reason[1:]}; {_ACCEPTED}") from trouble


def decoded(data: bytes) -> str:
    """Return the text of a file's bytes; raises `UnusableReadings` if they are not text."""
    if data.startswith(_SPREADSHEETS):
        raise UnusableReadings(f"a spreadsheet file; {_ACCEPTED}")
    text = _text(data)
    if "\0" in text:
        raise UnusableReadings(f"not text; {_ACCEPTED}")
    if _OF_JOB.search(text[:_HEAD]):
        raise UnusableReadings(f"a job file, not a table; {_ACCEPTED}")
    return text


_OF_JOB = re.compile(r"^\s*format\s*=\s*\d+\s*(#.*)?$", re.MULTILINE)
"""A line that every job file has near its start."""
_HEAD = 5000
"""Characters of a file searched for that line."""


def _text(data: bytes) -> str:
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return data.decode(encoding, errors="replace")
    # Every second byte of plain digits is zero in UTF-16, even without a byte order mark.
    for start, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        if len(data) > 3 and not any(data[start:400:2]):
            return data.decode(encoding, errors="replace")
    try:
        return data.decode()
    except UnicodeDecodeError:
        # The encoding of older Western spreadsheets; only numbers and units matter.
        return data.decode("cp1252", errors="replace")


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
    """Return the rows that are not empty; raises `UnusableReadings` if there are too many or too long."""
    rows = [(number, row) for number, row in enumerate(re.split(r"\r\n|\r|\n", text), 1) if row.strip()]
    if len(rows) > MOST:
        raise UnusableReadings(f"{len(rows)} lines; use at most {MOST}")
    for number, row in rows:
        if len(row) > LONGEST:
            what = f"line {number}: {len(row)} characters"
            raise UnusableReadings(f"{what}; use at most {LONGEST} in a line")
    # By such a line spreadsheets are told the separator.
    return _joined([(number, row) for number, row in rows if not re.fullmatch(r"sep=.", row.strip())])


def _joined(rows: Sequence[Row]) -> list[Row]:
    """Return the rows, with a quoted cell that spans several of them joined.

    Only column heads span rows. A quotation mark that is not soon closed is an ordinary character.
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
