"""The widgets of the records screen: lines of cells in its roles, and the list that a mouse can use."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.message import Message

from tui.bench.grid_layout import scrolled
from tui.bench.screen_lines import Lines
from tui.charts.cells import Row
from tui.glyphs import Glyphs
from tui.records.lines import body
from tui.records.roles import Role
from tui.records.state import RecordsState


class RecordsPane(Lines):
    """Cells drawn by a function, in the roles of this screen; only those that changed are sent.

    | Class | Description |
    | :- | :- |
    | `records--strong`, `records--quiet` | What matters most and least. |
    | `records--warning`, `records--fault` | What wants a look, and what is wrong. |
    | `records--key`, `records--head`, `records--rule` | A key, the headings, the rule below the list. |
    | `records--cursor`, `records--here`, `records--caret` | The selected line, the shown list, the caret. |
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        f"records--{role.name.lower()}" for role in Role if role is not Role.BASE
    }

    def class_of(self, role: int) -> str:
        """Return the component class of a role."""
        return f"records--{Role(role).name.lower()}"


class ListPane(RecordsPane, can_focus=True):
    """The list, scrolled no further than the selected line needs."""

    @dataclass
    class Clicked(Message):
        """A line of the list was clicked."""

        place: int

    @dataclass
    class Rolled(Message):
        """The wheel of the mouse was turned by so many lines."""

        lines: int

    def __init__(self, *, id: str | None = None) -> None:
        """Start at the top, empty."""
        super().__init__(id=id)
        self._top = 0
        self._count = 0

    def show_state(self, state: RecordsState, glyphs: Glyphs) -> None:
        """Show the list of a state."""
        self._count = len(state.lines)
        self.show(lambda width, height: self._drawn(state, width, height, glyphs))

    def _drawn(self, state: RecordsState, width: int, height: int, glyphs: Glyphs) -> list[Row]:
        if width < 1 or height < 1:
            return []
        lines = len(state.lines)
        self._top = scrolled(self._top, state.cursor, state.cursor, height, max(lines, height))
        return body(state, self._top, width, height, glyphs)

    def on_click(self, event: events.Click) -> None:
        """Say which line was clicked."""
        if event.y + self._top < self._count:
            self.post_message(self.Clicked(event.y + self._top))

    def on_mouse_scroll_down(self) -> None:
        """Go down with the wheel."""
        self.post_message(self.Rolled(1))

    def on_mouse_scroll_up(self) -> None:
        """Go up with the wheel."""
        self.post_message(self.Rolled(-1))
