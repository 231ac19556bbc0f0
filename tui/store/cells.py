"""Cells of a CSV table that no spreadsheet runs as a formula, and that come back exactly as they were.

A spreadsheet may run what begins with one of a few signs (CSV injection; CWE-1236). An apostrophe in front
makes it text; a cell that begins with an apostrophe gets one more, so that taking one off is always right.
Where a decimal comma is usual a semicolon may end a cell, and a line end may anywhere: what follows one of
these inside a cell is treated alike.
"""

from __future__ import annotations

import re

SIGN = "'"
_RUN = "=+\\-@\uff1d\uff0b\uff0d\uff20"
"""Signs a formula begins with, the wide forms of East Asian keyboards among them (from memory)."""
_RISKY = re.compile(f"['\t\r\n]| *[{_RUN}]")
_INSIDE = re.compile(f"([;\t\r\n])(?='* *[{_RUN}])")
_INSIDE_SIGNED = re.compile(f"([;\t\r\n])'(?='* *[{_RUN}])")


def defused(text: str) -> str:
    """Return text as a cell."""
    inside = _INSIDE.sub(r"\1'", text)
    return SIGN + inside if _RISKY.match(inside) else inside


def restored(cell: str) -> str:
    """Return the text of a cell."""
    return _INSIDE_SIGNED.sub(r"\1", cell.removeprefix(SIGN))
