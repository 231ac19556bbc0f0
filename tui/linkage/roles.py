"""What the cells of the linkage screen are for, and what marks a point in each set of characters."""

from __future__ import annotations

from enum import IntEnum

from tui.glyphs import LETTERS, Glyphs


class Role(IntEnum):
    """What a cell is for."""

    BASE = 0
    TITLE = 1
    HEAD = 2
    QUIET = 3
    VALUE = 4
    HERE = 5
    FAULT = 6
    CURSOR = 7
    EDIT = 8
    CARET = 9
    BAR = 10
    SHOCK = 11
    PATH = 12
    MARK = 13
    STALE = 14
    KEY = 15


FIXED, PIVOT, AXLE, EYE = range(4)
WHAT_WORDS = ("fixed", "pivot", "axle", "eye")
_MARKS = {False: "▲●◎◆", True: "#o@*"}


def mark(kind: int, glyphs: Glyphs) -> str:
    """Return what marks a kind of point: its shape tells it, whatever the colours."""
    return _MARKS[glyphs.ascii][kind]


def letter(index: int) -> str:
    """Return the letter of a point by its place in the table; small ones and then none after the first 26."""
    return (LETTERS + LETTERS.lower() + "?")[min(index, 2 * len(LETTERS))]
