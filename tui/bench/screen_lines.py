"""A few lines of text on the screen that repaint only the cells that changed."""

from __future__ import annotations

from collections.abc import Callable
from enum import IntEnum
from typing import ClassVar

from tui.charts.cell_widget import CellWidget
from tui.charts.cells import Row

Draw = Callable[[int, int], list[Row]]
"""Makes lines of cells for a width and a height."""


class Role(IntEnum):
    """What a cell is for."""

    BASE = 0
    STRONG = 1
    QUIET = 2
    WARNING = 3
    FAULT = 4
    KEY = 5


class Lines(CellWidget):
    """Lines drawn by a function; the function is asked again whenever there is something new to show.

    | Class | Description |
    | :- | :- |
    | `lines--strong`, `lines--quiet` | What matters most and least. |
    | `lines--warning`, `lines--fault` | A caution, and what cannot be used. |
    | `lines--key` | A key to press. |
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        f"lines--{role.name.lower()}" for role in Role if role is not Role.BASE
    }
    DEFAULT_CSS = """
    Lines {
        height: 1;
        & > .lines--strong { text-style: bold; }
        & > .lines--quiet { color: $text-muted; }
        & > .lines--warning { color: $text-warning; text-style: bold; }
        & > .lines--fault { color: $text-error; text-style: bold; }
        & > .lines--key { color: $text-accent; text-style: bold; }
    }
    """

    def __init__(self, *, id: str | None = None) -> None:
        """Start empty."""
        super().__init__(id=id)
        self._draw: Draw = lambda width, height: []

    def show(self, draw: Draw) -> None:
        """Show what `draw` makes."""
        self._draw = draw
        self.put(draw(*self.size))

    def on_resize(self) -> None:
        """Draw for the new size."""
        self.show(self._draw)

    def class_of(self, role: int) -> str:
        """Return the component class of a role."""
        return f"lines--{Role(role).name.lower()}"
