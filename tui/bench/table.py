"""The table of figures: a column per setup, the change to the first beside it, a cursor on one row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import clamp
from textual.message import Message

from tui.bench.table_columns import columns
from tui.bench.table_lines import Role, TableView, table_lines
from tui.bench.table_rows import TableRow, figure_rows
from tui.charts.cell_widget import LookWidget
from tui.charts.cells import Row, cells, fitted
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


class FigureTable(LookWidget, can_focus=True):
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
        super().__init__(look, id=id, classes=classes)
        self._figures: tuple[TableRow, ...] = ()
        self._names: tuple[str, ...] = ()
        self._stale = False
        self._unconfirmed: frozenset[int] = frozenset()
        self._selected = 0
        self._key = ""
        self._first = 0

    @property
    def row_key(self) -> str:
        """The figure under the cursor, empty without rows."""
        return self._key

    def show(
        self,
        answer: Answer | None,
        units: ShopUnits,
        *,
        stale: bool = False,
        selected: int = 0,
        unconfirmed: frozenset[int] = frozenset(),
    ) -> None:
        """Show an answer, or say that there is none; the selected setup is always in sight.

        `unconfirmed` are the setups that stand on values nobody has typed or confirmed.
        """
        self._unconfirmed = unconfirmed
        self._figures = figure_rows(answer, units) if answer else ()
        self._names = tuple(setup.name for setup in answer.setups) if answer else ()
        self._stale, self._selected = stale, clamp(selected, 0, max(len(self._names) - 1, 0))
        if self._figures and self._place() is None:
            self._key = self._figures[0].key
        self.redraw()

    def on_click(self, event: events.Click) -> None:
        """Select the row that was clicked."""
        place = self._first + event.y - 1
        if event.y and place < len(self._figures) and not self._figures[place].is_heading:
            self._select(place)

    def on_mouse_scroll_down(self) -> None:
        """Go down with the wheel of the mouse."""
        self.action_row(3)

    def on_mouse_scroll_up(self) -> None:
        """Go up with the wheel of the mouse."""
        self.action_row(-3)

    def action_row(self, steps: int) -> None:
        """Move the cursor by so many figures."""
        places = [place for place, row in enumerate(self._figures) if not row.is_heading]
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
            (place for place, row in enumerate(self._figures) if row.key == self._key and self._key), None
        )

    def _select(self, place: int) -> None:
        if self._figures[place].key != self._key:
            self._key = self._figures[place].key
            self.redraw()
            self.post_message(self.RowSelected(self._key))

    def redraw(self) -> None:
        """Work out the lines."""
        self.put(self._wanted())

    def _wanted(self) -> list[Row]:
        width, height = self.size
        if not self._figures:
            return [fitted(cells(NO_ANSWER, Role.BASE), width, self._look.glyphs.ellipsis)][:height]
        view = self._view(width, height)
        return table_lines(view, width, height)

    def _view(self, width: int, height: int) -> TableView:
        cursor = self._place() or 0
        # A heading right above the cursor is kept in sight with it.
        shown = max(height - 1, 1)
        top = cursor - 1 if shown > 1 and cursor and self._figures[cursor - 1].is_heading else cursor
        self._first = clamp(self._first, cursor - shown + 1, top)
        self._first = clamp(self._first, 0, max(len(self._figures) - shown, 0))
        label = max(len(row.label) for row in self._figures if not row.is_heading)
        unit = max(len(row.unit) for row in self._figures)
        plan = columns(width, len(self._names), self._selected, label, unit)
        return TableView(
            self._figures,
            self._names,
            plan,
            self._look,
            self._selected,
            self._stale,
            cursor,
            self._first,
            self._unconfirmed,
        )

    def style_of(self, role: int) -> Style:
        """Return the style of a role; that of a setup is its line's."""
        return self.setup_style(role - Role.SETUP) if role >= Role.SETUP else super().style_of(role)

    def class_of(self, role: int) -> str:
        """Return the component class of a role."""
        return f"table--{Role(role).name.lower().replace('_', '-')}"
