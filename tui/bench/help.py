"""The help: every action with its keys and what it does, from the list that the keys themselves come from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from tui.bench.dialogs_page import Page, Paragraph, Tone
from tui.glyphs import Glyphs

_NAMES = {"pageup": "PgUp", "pagedown": "PgDn"}
"""Keys that stand on a keyboard in other letters than in the framework."""

_KEYS = 20
"""Columns for the keys of an action."""


class Action(Protocol):
    """What the help needs to know of an action."""

    @property
    def keys(self) -> Sequence[str]:
        """Its keys: characters, or names as the framework has them."""

    @property
    def meaning(self) -> str:
        """What it does."""


class Group(Protocol):
    """Actions that belong together."""

    @property
    def title(self) -> str:
        """The heading above them."""

    @property
    def actions(self) -> Sequence[Action]:
        """The actions in order."""


def help_page(groups: Sequence[Group], glyphs: Glyphs, intro: Sequence[str] = ()) -> Page:
    """Return the help for all actions; `intro` stands above them."""
    return Page("Keys", help_lines(groups, intro), glyphs)


def help_lines(groups: Sequence[Group], intro: Sequence[str] = ()) -> tuple[Paragraph, ...]:
    """Return a line per action under the headings of the groups."""
    lines = [Paragraph(text) for text in intro]
    for group in groups:
        lines.append(Paragraph(group.title, Tone.HEAD))
        for action in group.actions:
            keys = " or ".join(map(key_name, action.keys))
            lines.append(Paragraph(action.meaning, indent=_KEYS, lead=keys))
    return tuple(lines)


def key_name(key: str) -> str:
    """Return a key as it stands on a keyboard: `ctrl+s` is "Ctrl+S"."""
    *held, last = key.split("+") if len(key) > 1 else [key]
    name = _NAMES.get(last, last)
    name = name.capitalize() if len(name) > 1 and name == name.lower() else name
    if held and len(name) == 1:
        name = name.upper()
    return "+".join([*(part.capitalize() for part in held), name])
