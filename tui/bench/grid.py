"""The panels on the screen: one widget for all fields, so that moving over them costs a few cells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from rich.style import Style
from textual import events
from textual.color import Color
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from tui.bench.grid_changes import refresh_changes
from tui.bench.grid_lines import Role
from tui.bench.grid_page import Page, page
from tui.bench.state import BenchState
from tui.charts.cells import strip
from tui.charts.look import ChartLook


class FieldGrid(Widget, can_focus=True):
    """Every field of the job. It renders the state it is given and says what was clicked.

    | Class | Description |
    | :- | :- |
    | `grid--title`, `grid--rule`, `grid--head` | Name of a panel, the line it stands in, its headings. |
    | `grid--label`, `grid--here` | Name of a field; of the selected one. |
    | `grid--value`, `grid--solved`, `grid--quiet` | A typed value, a solved one, one not given. |
    | `grid--fault` | A value that cannot be used, and why. |
    | `grid--cursor`, `grid--cursor-solved` | The selected value. |
    | `grid--edit`, `grid--caret` | A value being typed. |
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        f"grid--{role.name.lower().replace('_', '-')}" for role in Role if role not in (Role.BASE, Role.SETUP)
    }
    DEFAULT_CSS = """
    FieldGrid {
        & > .grid--title { text-style: bold; }
        & > .grid--rule { color: $text-muted; }
        & > .grid--head { color: $text-secondary; }
        & > .grid--here { text-style: bold; }
        & > .grid--solved { color: $text-accent; text-style: bold; }
        & > .grid--quiet { color: $text-muted; }
        & > .grid--fault { color: $text-error; }
        & > .grid--cursor { text-style: bold underline; }
        & > .grid--cursor-solved { color: $text-accent; text-style: bold underline; }
        &:focus > .grid--cursor { text-style: bold reverse; }
        &:focus > .grid--cursor-solved { color: $text-accent; text-style: bold reverse; }
        & > .grid--edit { background: $panel; text-style: bold; }
        & > .grid--caret { text-style: bold reverse; }
    }
    """

    @dataclass
    class Clicked(Message):
        """A place in a panel was clicked; `row` is None on its title."""

        panel: int
        row: int | None

    @dataclass
    class Rolled(Message):
        """The wheel of the mouse was turned by so many rows."""

        rows: int

    def __init__(self, look: ChartLook, *, id: str | None = None) -> None:
        """Start empty; `look` gives the markers that chart and table have too."""
        super().__init__(id=id)
        self._look = look
        self._state: BenchState | None = None
        self._page = Page([])
        self._styles: dict[int, Style] = {}

    def show(self, state: BenchState) -> None:
        """Show a state of the bench."""
        self._state = state
        self._redraw(self._page.tops)

    @property
    def look(self) -> ChartLook:
        """Colours and markers, the same as the chart's."""
        return self._look

    @look.setter
    def look(self, look: ChartLook) -> None:
        self._look = look
        self.notify_style_update()

    def notify_style_update(self) -> None:
        """Forget the colours of the old theme, or of the other focus."""
        super().notify_style_update()
        self._styles.clear()
        if self.is_mounted:
            self.refresh()

    @property
    def text(self) -> str:
        """What the panels show, as plain lines."""
        return "\n".join("".join(text for text, _role in line).rstrip() for line in self._page.lines)

    def on_resize(self) -> None:
        """Place the panels anew."""
        self._page = Page([])
        self._redraw({})

    def on_click(self, event: events.Click) -> None:
        """Say which field was clicked."""
        place = self._page.at(event.x, event.y)
        if place is not None:
            self.post_message(self.Clicked(*place))

    def on_mouse_scroll_down(self) -> None:
        """Go down with the wheel."""
        self.post_message(self.Rolled(1))

    def on_mouse_scroll_up(self) -> None:
        """Go up with the wheel."""
        self.post_message(self.Rolled(-1))

    def _redraw(self, tops: Mapping[int, int]) -> None:
        """Work out the page and have those cells repainted that differ from what was there."""
        if self._state is None:
            return
        before = self._page.lines
        self._page = page(self._state, self.size.width, self.size.height, tops, self._look)
        refresh_changes(self, before, self._page.lines)

    def render_line(self, y: int) -> Strip:
        """Return one line of the page."""
        if y >= len(self._page.lines):
            return Strip.blank(self.size.width, self.rich_style)
        return strip(self._page.lines[y], self._style)

    def _style(self, role: int) -> Style:
        if role not in self._styles:
            self._styles[role] = self._style_of(role)
        return self._styles[role]

    def _style_of(self, role: int) -> Style:
        if role >= Role.SETUP:
            colour = Color.parse(self._look.line(role - Role.SETUP).colour).rich_color
            return self.rich_style + Style(color=colour, bold=True)
        if role == Role.BASE:
            return self.rich_style
        return self.get_component_rich_style(f"grid--{Role(role).name.lower().replace('_', '-')}")
