"""The help: every action with its keys and what it does, from the list that the keys themselves come from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from tui.bench.actions import key_name
from tui.kit.dialogs import Page, Paragraph, Tone
from tui.kit.glyphs import Glyphs

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
