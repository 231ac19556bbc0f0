"""The last line of a screen: what was said to the person, or the keys that fit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tui.kit.cells import CellRow, cells, fitted
from tui.kit.glyphs import Glyphs, literal
from tui.kit.keymap import Action, key_name
from tui.kit.roles import Role


def note_line(note: str, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return what was last said, no line where nothing was."""
    line = cells(f" {literal(note, glyphs)}", Role.STRONG)
    return [fitted(line, width, glyphs.ellipsis)] if note else []


def key_piece(keys: Sequence[str], label: str) -> CellRow:
    """Return keys with what they do."""
    return cells(f" {' '.join(map(key_name, keys))}", Role.KEY) + cells(f" {label} ", Role.BASE)


def keys_fitting(row: CellRow, actions: Sequence[Action[Any]], width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the line that begins with `row`, with the keys that fit; those of one label stand together."""
    labels: dict[str, list[str]] = {}
    for action in actions:
        labels.setdefault(action.label, []).append(action.keys[0])
    for label, keys in labels.items():
        piece = key_piece(keys, label)
        if len(row) + len(piece) > width:
            break
        row = row + piece
    return [fitted(row, width, glyphs.ellipsis)]
