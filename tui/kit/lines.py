"""Lines of a screen: a text being typed, what was said to the person, the keys that fit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tui.kit.cells import CellRow, cells, fitted
from tui.kit.edit import Edit
from tui.kit.glyphs import Glyphs, literal
from tui.kit.keymap import Action, key_name
from tui.kit.roles import Role


def edit_cells(edit: Edit, role: Role, room: int, glyphs: Glyphs | None = None) -> CellRow:
    """Return a text being typed with its caret, which stands no further in than `room` cells.

    With `glyphs` the text is shown literally, which may take more cells.
    """
    text, ahead = (literal(part, glyphs) if glyphs else part for part in (edit.text, edit.text[: edit.caret]))
    typed = [*cells(text, role), (" ", int(role))]
    caret = len(cells(ahead, role))
    typed[caret] = (typed[caret][0] or " ", int(Role.CARET))
    return typed[max(caret - room, 0) :]


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
