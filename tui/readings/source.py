"""The text of a file that another program wrote: any usual encoding, and what is no text is refused."""

from __future__ import annotations

import codecs
from pathlib import Path

from tui.jobs.faults import reason_of
from tui.readings.kinds import UnusableReadings

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
_ACCEPTED = "a table saved as CSV is accepted"


def text_of_file(path: Path) -> str:
    """Return the text of a file; raises `UnusableReadings` where there is none."""
    try:
        with path.open("rb") as source:
            data = source.read(LARGEST + 1)
    except (OSError, ValueError) as trouble:
        reason = reason_of(trouble)
        raise UnusableReadings(f"{reason[:1].lower()}{reason[1:]}; {_ACCEPTED}") from trouble
    if len(data) > LARGEST:
        raise UnusableReadings(f"larger than {LARGEST // 10**6} MB; {_ACCEPTED}")
    return decoded(data)


def decoded(data: bytes) -> str:
    """Return the text in the bytes of a file; raises `UnusableReadings` for what is no text."""
    if data.startswith(_SPREADSHEETS):
        raise UnusableReadings(f"a spreadsheet as its own program keeps it; {_ACCEPTED}")
    text = _text(data)
    if "\0" in text:
        raise UnusableReadings(f"no text; {_ACCEPTED}")
    return text


def _text(data: bytes) -> str:
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return data.decode(encoding, errors="replace")
    # Every second byte of plain figures is zero in UTF-16, also where no mark says so.
    for start, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        if len(data) > 3 and not any(data[start:400:2]):
            return data.decode(encoding, errors="replace")
    try:
        return data.decode()
    except UnicodeDecodeError:
        # What older spreadsheets of Western countries write; only numbers and units matter.
        return data.decode("cp1252", errors="replace")
