"""The panels on the screen: one widget for all fields, so that moving over them costs a few cells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from rich.style import Style
from textual import events
from textual.message import Message

from tui.bench.grid_lines import Role
from tui.bench.grid_page import Page, page
from tui.bench.state import BenchState
from tui.charts.cell_widget import LookWidget
from tui.charts.look import ChartLook


class FieldGrid(LookWidget, can_focus=True):
    """Every field of the job. It renders the state it is given and says what was clicked.

    | Class | Description |
    | :- | :- |
    | `grid--title`, `grid--rule`, `grid--head` | Name of a panel, the line it stands in, its headings. |
    | `grid--label`, `grid--here` | Name of a field; of the selected one. |
    | `grid--value`, `grid--solved`, `grid--quiet` | A typed value, a solved one, one not given. |
    | `grid--fault` | A value that cannot be used, and why. |
    | `grid--caution` | The mark of a value that wants care. |
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
        & > .grid--caution { color: $text-warning; text-style: bold; }
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
        super().__init__(look, id=id)
        self._state: BenchState | None = None
        self._page = Page([])

    def show(self, state: BenchState) -> None:
        """Show a state of the bench."""
        self._state = state
        self._draw(self._page.tops)

    def redraw(self) -> None:
        """Place the panels anew."""
        self._draw({})

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

    def _draw(self, tops: Mapping[int, int]) -> None:
        """Work out the page, each panel scrolled no further from `tops` than it must be."""
        if self._state is not None:
            self._page = page(self._state, self.size.width, self.size.height, tops, self.look)
            self.put(self._page.lines)

    def style_of(self, role: int) -> Style:
        """Return the style of a role; that of a setup is its line's."""
        return self.setup_style(role - Role.SETUP) if role >= Role.SETUP else super().style_of(role)

    def class_of(self, role: int) -> str:
        """Return the component class of a role."""
        return f"grid--{Role(role).name.lower().replace('_', '-')}"
