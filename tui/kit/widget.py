"""A widget made of rows of cells, which has no more of them repainted than changed."""

from __future__ import annotations

from collections.abc import Callable
from enum import IntEnum
from typing import ClassVar

from rich.style import Style
from textual.color import Color
from textual.strip import Strip
from textual.widget import Widget

from tui.kit.cells import CellRow, changes, strip, text_of
from tui.kit.look import ChartLook


class CellWidget(Widget):
    """Rows of cells. A subclass puts rows in, and says in which style a role is painted."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        """Start empty."""
        super().__init__(id=id, classes=classes)
        self.rows: list[CellRow] = []
        self._styles: dict[int, Style] = {}

    def put(self, rows: list[CellRow]) -> None:
        """Show rows: repaint the cells that differ, everything where the shape does."""
        before, self.rows = self.rows, rows
        regions = changes(before, rows)
        if regions is None:
            self.refresh()
        elif regions:
            self.refresh(*regions)

    @property
    def text(self) -> str:
        """What stands there, as plain lines."""
        return text_of(self.rows)

    def notify_style_update(self) -> None:
        """Forget the colours of the old theme, or of the other focus."""
        super().notify_style_update()
        self._styles.clear()
        if self.is_mounted:
            self.refresh()

    def render_line(self, y: int) -> Strip:
        """Return one row."""
        if y >= len(self.rows):
            return Strip.blank(self.size.width, self.rich_style)
        return strip(self.rows[y], self._style)

    def _style(self, role: int) -> Style:
        if role not in self._styles:
            self._styles[role] = self.style_of(role)
        return self._styles[role]

    def style_of(self, role: int) -> Style:
        """Return the style of a role; roles are the subclass's own, 0 the plain one."""
        return self.rich_style if role == 0 else self.get_component_rich_style(self.class_of(role))

    def class_of(self, role: int) -> str:
        """Return the component class of a role."""
        raise NotImplementedError


class LookWidget(CellWidget):
    """Rows of cells in the colours and markers that chart, table and panels share."""

    def __init__(self, look: ChartLook, *, id: str | None = None, classes: str | None = None) -> None:
        """Start empty."""
        super().__init__(id=id, classes=classes)
        self._look = look

    @property
    def look(self) -> ChartLook:
        """Colours, markers and line style."""
        return self._look

    @look.setter
    def look(self, look: ChartLook) -> None:
        if look != self._look:
            self._look = look
            self.notify_style_update()
            self.redraw()

    def on_mount(self) -> None:
        """Draw after the first layout: on a busy machine the size may come before the widget listens."""
        self.call_after_refresh(self._draw_first)

    def _draw_first(self) -> None:
        if not self.rows:
            self.redraw()

    def on_resize(self) -> None:
        """Draw for the new size."""
        self.redraw()

    def redraw(self) -> None:
        """Work out all rows anew."""
        raise NotImplementedError

    def setup_style(self, setup: int) -> Style:
        """Return the style of a setup's marker and name."""
        colour = Color.parse(self._look.line(setup).colour).rich_color
        return self.rich_style + Style(color=colour, bold=True)


Draw = Callable[[int, int], list[CellRow]]
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
