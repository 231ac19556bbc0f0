"""What a cell of the screen is for, and how each of these roles looks: one table for all widgets."""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum


class Role(IntEnum):
    """What a cell is for; one in the look of a setup or a line has `SETUP` plus the look's number."""

    BASE = 0
    STRONG = 1
    QUIET = 2
    WARNING = 3
    CAUTION = 4
    FAULT = 5
    WRONG = 6
    """A value that cannot be used."""
    KEY = 7
    TITLE = 8
    HEAD = 9
    HEADING = 10
    LABEL = 28
    RULE = 11
    HERE = 12
    """Where the cursor is, beside the cell that has it."""
    VALUE = 13
    SOLVED = 14
    CHANGE = 15
    CURSOR = 16
    CURSOR_SOLVED = 17
    EDIT = 18
    """A value being typed."""
    CARET = 19
    STALE = 20
    """What belongs to an older job."""
    BAR = 21
    SHOCK = 22
    PATH = 23
    MARK = 24
    AXIS = 25
    LEVEL = 26
    SAG = 27
    SETUP = 32


_BOLD, _MUTED, _ACCENT = "text-style: bold;", "color: $text-muted;", "color: $text-accent;"
STYLES: dict[Role, str] = {
    Role.STRONG: _BOLD,
    Role.QUIET: _MUTED,
    Role.WARNING: f"color: $text-warning; {_BOLD}",
    Role.CAUTION: "color: $text-warning;",
    Role.FAULT: f"color: $text-error; {_BOLD}",
    Role.WRONG: "color: $text-error;",
    Role.KEY: f"{_ACCENT} {_BOLD}",
    Role.TITLE: _BOLD,
    Role.HEAD: "color: $text-secondary;",
    Role.HEADING: f"color: $text-secondary; {_BOLD}",
    Role.RULE: _MUTED,
    Role.HERE: f"{_ACCENT} {_BOLD}",
    Role.SOLVED: f"{_ACCENT} {_BOLD}",
    Role.CHANGE: _ACCENT,
    Role.CURSOR: "text-style: bold reverse;",
    Role.CURSOR_SOLVED: f"{_ACCENT} text-style: bold reverse;",
    Role.EDIT: f"background: $panel; {_BOLD}",
    Role.CARET: "text-style: bold reverse;",
    Role.STALE: _MUTED,
    Role.SHOCK: _ACCENT,
    Role.PATH: _MUTED,
    Role.MARK: _BOLD,
}
"""How a role looks in a style sheet, like its widget where not named; a chart has its theme's colours."""


def class_of(role: Role) -> str:
    """Return the component class of a role."""
    return f"cell--{role.name.lower().replace('_', '-')}"


def classes_of(roles: Iterable[Role]) -> set[str]:
    """Return the component classes of roles."""
    return {class_of(role) for role in roles}


def style_sheet(widget: str) -> str:
    """Return the rules for all roles in a kind of widget."""
    rules = " ".join(f"& > .{class_of(role)} {{ {style} }}" for role, style in STYLES.items())
    return f"{widget} {{ {rules} }}"
