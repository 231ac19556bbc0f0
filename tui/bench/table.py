"""The table of figures: a column per setup, the change to the first beside it, a cursor on one row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.color import Color
from textual.geometry import Region, clamp
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from tui.bench.table_columns import columns
from tui.bench.table_lines import Role, TableView, spans, table_lines
from tui.bench.table_rows import TableRow, figure_rows
from tui.charts.cells import Row, cells, fitted, strip
from tui.charts.look import ChartLook
from tui.shop_units import ShopUnits

if TYPE_CHECKING:
    from physics.answer import Answer

NO_ANSWER = "No figures yet: put right what is marked in the panels."

_ACTIONS = {
    "up": "row(-1)",
    "down": "row(1)",
    "pageup": "page(-1)",
    "pagedown": "page(1)",
    "home": "row(-1000)",
    "end": "row(1000)",
    "left": "setup(-1)",
    "right": "setup(1)",
}


class FigureTable(Widget, can_focus=True):
    """Figures of every setup. Only the cells that changed are sent to the terminal again.

    | Class | Description |
    | :- | :- |
    | `table--header` | Names of the setups and what stands over the changes. |
    | `table--heading` | The parts of the ride. |
    | `table--label`, `table--unit` | What a row is called and measured in. |
    | `table--cursor` | The label of the selected row. |
    | `table--value`, `table--change` | The figures. |
    | `table--quiet` | What does not exist or does not differ. |
    | `table--stale` | Figures of an older answer. |
    | `table--stale-word` | The word that says so. |
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "table--header",
        "table--heading",
        "table--label",
        "table--cursor",
        "table--unit",
        "table--value",
        "table--change",
        "table--quiet",
        "table--stale",
        "table--stale-word",
    }
    DEFAULT_CSS = """
    FigureTable {
        height: 1fr;
        & > .table--header { text-style: bold; }
        & > .table--heading { color: $text-secondary; text-style: bold; }
        & > .table--unit { color: $text-muted; }
        & > .table--change { color: $text-accent; }
        & > .table--quiet { color: $text-muted; }
        & > .table--stale { color: $text-muted; }
        & > .table--stale-word { color: $text-warning; text-style: bold; }
        & > .table--cursor { text-style: bold; }
        &:focus > .table--cursor { text-style: bold reverse; }
    }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(key, action, key, show=False) for key, action in _ACTIONS.items()
    ]
    keys: ClassVar[frozenset[str]] = frozenset(_ACTIONS)
    """The keys that move about in the table."""

    @dataclass
    class RowSelected(Message):
        """The cursor came to another row; `key` is its figure, see `figures_words.meaning_of`."""

        key: str

    @dataclass
    class SetupSelected(Message):
        """The person asks for another setup to be the selected one."""

        index: int

    def __init__(self, look: ChartLook, *, id: str | None = None, classes: str | None = None) -> None:
        """Start empty; `look` gives the colours and markers that the chart has too."""
        super().__init__(id=id, classes=classes)
        self._look = look
        self._rows: tuple[TableRow, ...] = ()
        self._names: tuple[str, ...] = ()
        self._stale = False
        self._selected = 0
        self._key = ""
        self._first = 0
        self._lines: list[Row] = []
        self._styles: dict[int, Style] = {}

    @property
    def row_key(self) -> str:
        """The figure under the cursor, empty without rows."""
        return self._key

    def show(
        self, answer: Answer | None, units: ShopUnits, *, stale: bool = False, selected: int = 0
    ) -> None:
        """Show an answer, or say that there is none; the selected setup is always in sight."""
        self._rows = figure_rows(answer, units) if answer else ()
        self._names = tuple(setup.name for setup in answer.setups) if answer else ()
        self._stale, self._selected = stale, clamp(selected, 0, max(len(self._names) - 1, 0))
        if self._rows and self._place() is None:
            self._key = self._rows[0].key
        self._redraw()

    @property
    def look(self) -> ChartLook:
        """Colours and markers, the same as the chart's."""
        return self._look

    @look.setter
    def look(self, look: ChartLook) -> None:
        if look != self._look:
            self._look = look
            self.notify_style_update()

    def notify_style_update(self) -> None:
        """Forget the colours of the old theme."""
        super().notify_style_update()
        self._styles.clear()
        self._lines = []
        if self.is_mounted:
            self._redraw()

    def on_resize(self) -> None:
        """Plan the columns anew."""
        self._lines = []
        self._redraw()

    def on_click(self, event: events.Click) -> None:
        """Select the row that was clicked."""
        place = self._first + event.y - 1
        if event.y and place < len(self._rows) and not self._rows[place].is_heading:
            self._select(place)

    def on_mouse_scroll_down(self) -> None:
        """Go down with the wheel of the mouse."""
        self.action_row(3)

    def on_mouse_scroll_up(self) -> None:
        """Go up with the wheel of the mouse."""
        self.action_row(-3)

    def action_row(self, steps: int) -> None:
        """Move the cursor by so many figures."""
        places = [place for place, row in enumerate(self._rows) if not row.is_heading]
        here = self._place()
        if here is not None:
            self._select(places[clamp(places.index(here) + steps, 0, len(places) - 1)])

    def action_page(self, pages: int) -> None:
        """Move the cursor by so many screens."""
        self.action_row(pages * max(self.size.height - 2, 1))

    def action_setup(self, steps: int) -> None:
        """Ask for a neighbour of the selected setup."""
        index = clamp(self._selected + steps, 0, max(len(self._names) - 1, 0))
        if index != self._selected:
            self.post_message(self.SetupSelected(index))

    def _place(self) -> int | None:
        return next(
            (place for place, row in enumerate(self._rows) if row.key == self._key and self._key), None
        )

    def _select(self, place: int) -> None:
        if self._rows[place].key != self._key:
            self._key = self._rows[place].key
            self._redraw()
            self.post_message(self.RowSelected(self._key))

    def _redraw(self) -> None:
        """Work out the lines and have those cells repainted that differ from what was there."""
        before, self._lines = self._lines, self._wanted()
        if len(before) != len(self._lines):
            self.refresh()
            return
        regions = [
            Region(first, y, end - first, 1)
            for y, (old, new) in enumerate(zip(before, self._lines, strict=True))
            for first, end in spans(old, new)
        ]
        if regions:
            self.refresh(*regions)

    def _wanted(self) -> list[Row]:
        width, height = self.size
        if not self._rows:
            return [fitted(cells(NO_ANSWER, Role.BASE), width, self._look.glyphs.ellipsis)][:height]
        view = self._view(width, height)
        return table_lines(view, width, height)

    def _view(self, width: int, height: int) -> TableView:
        cursor = self._place() or 0
        # A heading right above the cursor is kept in sight with it.
        shown = max(height - 1, 1)
        top = cursor - 1 if shown > 1 and cursor and self._rows[cursor - 1].is_heading else cursor
        self._first = clamp(self._first, cursor - shown + 1, top)
        self._first = clamp(self._first, 0, max(len(self._rows) - shown, 0))
        label = max(len(row.label) for row in self._rows if not row.is_heading)
        unit = max(len(row.unit) for row in self._rows)
        plan = columns(width, len(self._names), self._selected, label, unit)
        return TableView(
            self._rows, self._names, plan, self._look, self._selected, self._stale, cursor, self._first
        )

    def render_line(self, y: int) -> Strip:
        """Return one line of the table."""
        if y >= len(self._lines):
            return Strip.blank(self.size.width, self.rich_style)
        return strip(self._lines[y], self._style)

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
        return self.get_component_rich_style(f"table--{Role(role).name.lower().replace('_', '-')}")
