"""Roles of cells, and their styles: one table for all widgets."""

from __future__ import annotations

from enum import IntEnum

from physics.frozen import NamedTuple


class Role(IntEnum):
    """Role of a cell; the look of a setup or line is `SETUP` plus its number."""

    BASE = 0
    STRONG = 1
    QUIET = 2
    WARNING = 3
    CAUTION = 4
    FAULT = 5
    WRONG = 6
    """An invalid value."""
    KEY = 7
    TITLE = 8
    HEAD = 9
    HEADING = 10
    LABEL = 28
    RULE = 11
    HERE = 12
    """The line of the cursor, besides the cursor itself."""
    VALUE = 13
    SOLVED = 14
    CHANGE = 15
    CURSOR = 16
    CURSOR_SOLVED = 17
    RESTING = 29
    """The cursor of a part without focus."""
    RESTING_SOLVED = 30
    EDIT = 18
    """A value being typed."""
    CARET = 19
    STALE = 20
    """Results of an older job."""
    BAR = 21
    SHOCK = 22
    PATH = 23
    MARK = 24
    AXIS = 25
    LEVEL = 26
    SAG = 27
    SETUP = 32


class Dress(NamedTuple):
    """Style of a role: theme variables for text and background (empty: those of the widget), attributes."""

    colour: str = ""
    bold: bool = False
    reverse: bool = False
    underline: bool = False
    ground: str = ""


_MUTED, _ACCENT, _WARNING, _ERROR, _SECONDARY = (
    f"text-{name}" for name in ("muted", "accent", "warning", "error", "secondary")
)
STYLES: dict[Role, Dress] = {
    Role.STRONG: Dress(bold=True),
    Role.QUIET: Dress(_MUTED),
    Role.WARNING: Dress(_WARNING, bold=True),
    Role.CAUTION: Dress(_WARNING, bold=True),
    Role.FAULT: Dress(_ERROR, bold=True),
    Role.WRONG: Dress(_ERROR),
    Role.KEY: Dress(_ACCENT, bold=True),
    Role.TITLE: Dress(bold=True),
    Role.HEAD: Dress(_SECONDARY),
    Role.HEADING: Dress(_SECONDARY, bold=True),
    Role.RULE: Dress(_MUTED),
    Role.HERE: Dress(_ACCENT, bold=True),
    Role.SOLVED: Dress(_ACCENT, bold=True),
    Role.CHANGE: Dress(_ACCENT),
    Role.CURSOR: Dress(bold=True, reverse=True),
    Role.CURSOR_SOLVED: Dress(_ACCENT, bold=True, reverse=True),
    Role.RESTING: Dress(bold=True, underline=True),
    Role.RESTING_SOLVED: Dress(_ACCENT, bold=True, underline=True),
    Role.EDIT: Dress(bold=True, ground="panel"),
    Role.CARET: Dress(bold=True, reverse=True),
    Role.STALE: Dress(_MUTED),
    Role.SHOCK: Dress(_ACCENT),
    Role.PATH: Dress(_MUTED),
    Role.MARK: Dress(bold=True),
}
"""Styles of roles; others look like their widget. Charts have the colours of the theme's chart look."""
