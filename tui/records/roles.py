"""What a cell of the records screen is for."""

from __future__ import annotations

from enum import IntEnum


class Role(IntEnum):
    """The role of a cell; the style sheet says how each looks."""

    BASE = 0
    STRONG = 1
    QUIET = 2
    WARNING = 3
    FAULT = 4
    KEY = 5
    HEAD = 6
    CURSOR = 7
    CARET = 8
    HERE = 9
    RULE = 10
