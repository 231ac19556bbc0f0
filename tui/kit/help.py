"""The help of a screen: what stands where the cursor is, then every act with the way to it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from tui.kit.document import Block, Heading, Paragraph
from tui.kit.keymap import Group, key_name, key_text

_KEYS = 14
"""Columns for the way to an act."""


def help_blocks(about: Sequence[tuple[str, str]], groups: Sequence[Group[Any]]) -> Iterator[Block]:
    """Yield what things are, each under its name, and all acts of a screen under the titles of their groups.

    The keys of an open value are left out: the footer names them while one is open.
    """
    for name, text in about:
        yield Heading(name)
        yield Paragraph(text)
    for group in groups:
        acts = [action for action in group.actions if action.name and not action.typing]
        if acts:
            yield Heading(group.title)
        for action in acts:
            keys = " ".join(map(key_name, action.keys[:2])) or key_text(action)
            yield Paragraph(action.meaning, lead=f"{keys:{_KEYS}} ")
