"""Widgets made of rows of cells that repaint only changed cells."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from rich.style import Style
from textual import events
from textual.color import Color
from textual.geometry import Size
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from tui.kit.cells import CellRow, changes, strip, text_of
from tui.kit.look import ChartLook
from tui.kit.roles import STYLES, Role


class CellWidget(Widget):
    """Rows of cells, provided by a subclass; styles come from the table of roles."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.rows: list[CellRow] = []
        self._put_at = Size(0, 0)
        self._styles: dict[int, Style] = {}

    def put(self, rows: list[CellRow]) -> None:
        """Show rows: repaint different cells, or everything if the size changed."""
        before, self.rows, self._put_at = self.rows, rows, self.size
        regions = changes(before, rows)
        if regions is None:
            self.refresh()
        elif regions:
            self.refresh(*regions)

    @property
    def is_undrawn(self) -> bool:
        """Whether the rows are of another size than the one that it has by now."""
        return self.display and bool(self.size) and self._put_at != self.size

    @property
    def text(self) -> str:
        """The content as plain lines."""
        return text_of(self.rows)

    def notify_style_update(self) -> None:
        """Forget styles after a change of theme or focus."""
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
        """Return the style of a role."""
        dress = STYLES.get(Role(role))
        if dress is None:
            return self.rich_style
        ground = self.background_colors[1]
        colour = self._of_theme(dress.colour, ground) if dress.colour else None
        below = self._of_theme(dress.ground, ground) if dress.ground else None
        return self.rich_style + Style(
            color=None if colour is None else (ground + colour).rich_color,
            bgcolor=None if below is None or not below.a else (ground + below).rich_color,
            bold=dress.bold or None,
            reverse=dress.reverse or None,
            underline=dress.underline or None,
        )

    def _of_theme(self, variable: str, ground: Color) -> Color:
        """Return the colour of a theme variable, possibly a fraction of the contrast to the background."""
        name, _, share = self.app.theme_variables[variable].partition(" ")
        alpha = float(share.rstrip("%")) / 100 if share else 1.0
        if name == "auto":
            return ground.get_contrast_text(alpha)
        colour = Color.parse(name)
        return colour if colour.ansi is not None else colour.multiply_alpha(alpha)


class RollingWidget(CellWidget):
    """A widget with a cursor that the mouse wheel moves; must be the last base class."""

    @dataclass
    class Rolled(Message):
        """The mouse wheel was turned by some rows."""

        steps: int

    def on_mouse_scroll_down(self) -> None:
        """Scroll down."""
        self.post_message(self.Rolled(1))

    def on_mouse_scroll_up(self) -> None:
        """Scroll up."""
        self.post_message(self.Rolled(-1))


class LookWidget(CellWidget):
    """Rows of cells with the colours and markers shared by chart, table and panels."""

    def __init__(self, look: ChartLook, *, id: str | None = None, classes: str | None = None) -> None:
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
        """Draw after the first layout: on a busy machine the resize event may come before mounting."""
        self.call_after_refresh(self._draw_first)

    def _draw_first(self) -> None:
        if not self.rows:
            self.redraw()

    def on_resize(self) -> None:
        """Draw for the new size."""
        self.redraw()

    def redraw(self) -> None:
        """Compute all rows again."""
        raise NotImplementedError

    def style_of(self, role: int) -> Style:
        """Return the style of a role; a setup's marker and name have the style of its line."""
        if role < Role.SETUP:
            return super().style_of(role)
        colour = Color.parse(self._look.line(role - Role.SETUP).colour).rich_color
        return self.rich_style + Style(color=colour, bold=True)


Draw = Callable[[int, int], list[CellRow]]
"""Returns lines of cells for a width and a height."""


class ClickedLines(CellWidget):
    """Lines that report clicks."""

    @dataclass
    class Clicked(Message):
        """A line was clicked: its text, the cell, and the index of the line in the widget."""

        part: str
        text: str
        x: int
        row: int

    def on_click(self, event: events.Click) -> None:
        """Report which line was clicked, and where."""
        if event.y < len(self.rows):
            self.post_message(self.Clicked(self.id or "", text_of([self.rows[event.y]]), event.x, event.y))


class Lines(ClickedLines):
    """Lines drawn by a function."""

    DEFAULT_CSS = "Lines { height: 1; }"

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._draw: Draw = lambda width, height: []

    def show(self, draw: Draw) -> None:
        """Show what `draw` makes."""
        self._draw = draw
        self.put(draw(*self.size))

    def on_resize(self) -> None:
        """Draw for the new size."""
        self.show(self._draw)


class LookLines(ClickedLines, LookWidget):
    """Lines drawn by a function, in which setups have their markers and colours."""

    DEFAULT_CSS = "LookLines { height: 1; }"

    def __init__(self, look: ChartLook, *, id: str | None = None) -> None:
        super().__init__(look, id=id)
        self._draw: Draw = lambda width, height: []

    def show(self, draw: Draw) -> None:
        """Show what `draw` makes."""
        self._draw = draw
        self.redraw()

    def redraw(self) -> None:
        """Draw for the present size and look, once there is a size."""
        if self.size:
            self.put(self._draw(*self.size))
