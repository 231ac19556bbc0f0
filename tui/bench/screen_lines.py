"""A few lines of text on the screen that repaint only the cells that changed."""

from __future__ import annotations

from collections.abc import Callable
from enum import IntEnum
from typing import ClassVar

from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from tui.bench.grid_changes import refresh_changes
from tui.charts.cells import Row, strip

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


class Lines(Widget):
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
        self._rows: list[Row] = []
        self._styles: dict[int, Style] = {}

    def show(self, draw: Draw) -> None:
        """Show what `draw` makes."""
        self._draw = draw
        before, self._rows = self._rows, draw(*self.size)
        refresh_changes(self, before, self._rows)

    @property
    def text(self) -> str:
        """What stands there."""
        return "\n".join("".join(text for text, _role in row).rstrip() for row in self._rows)

    def on_resize(self) -> None:
        """Draw for the new size."""
        self._rows = []
        self.show(self._draw)

    def notify_style_update(self) -> None:
        """Forget the colours of the old theme."""
        super().notify_style_update()
        self._styles.clear()
        if self.is_mounted:
            self.refresh()

    def render_line(self, y: int) -> Strip:
        """Return one line."""
        if y >= len(self._rows):
            return Strip.blank(self.size.width, self.rich_style)
        return strip(self._rows[y], self._style)

    def _style(self, role: int) -> Style:
        if role not in self._styles:
            name = f"lines--{Role(role).name.lower()}"
            self._styles[role] = self.get_component_rich_style(name) if role else self.rich_style
        return self._styles[role]
