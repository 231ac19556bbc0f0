"""The table of figures: which columns and setups fit, its lines of cells, and its widget."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import clamp
from textual.message import Message

from tui.job.figures import SAME, TableRow, figure_rows
from tui.kit.cells import CellRow, cells, fitted
from tui.kit.look import ChartLook, literal
from tui.kit.roles import Role, classes_of
from tui.kit.widget import LookWidget
from tui.shop_units import ABSENT, ShopUnits

if TYPE_CHECKING:
    from physics.answer import Answer

MARK = 2
"""Columns in front of a label for the cursor."""
VALUE, WIDEST_VALUE = 12, 18
VALUE_WITH_UNIT = 14
CHANGE = 9
_LEAST_LABEL = 12


@dataclass(frozen=True, slots=True)
class Columns:
    """Widths of the columns and the setups shown; `unit` is 0 where units stand with the numbers.

    `change` is 0 where the width leaves no room for changes.
    """

    label: int
    unit: int
    value: int
    change: int
    setups: tuple[int, ...]


def columns(width: int, count: int, selected: int, label: int, unit: int) -> Columns:
    """Plan the table: `count` setups, the selected one always shown, the first beside it where it fits.

    `label` and `unit` are the longest there are.
    """
    left = MARK + label + 1 + unit
    if width >= left + VALUE + (CHANGE if count > 1 else 0):
        shown = _shown(width - left, count, selected)
        spare = (width - left - _needed(shown)) // max(len(shown), 1)
        return Columns(label, unit, min(VALUE + spare, WIDEST_VALUE), CHANGE, shown)
    room = width - MARK - VALUE_WITH_UNIT
    change = CHANGE if count > 1 and room - CHANGE >= _LEAST_LABEL else 0
    return Columns(
        max(min(label, room - change), 0), 0, VALUE_WITH_UNIT, change, (selected,) if count else ()
    )


def _needed(setups: tuple[int, ...]) -> int:
    return sum(VALUE + (CHANGE if setup else 0) for setup in setups)


def _shown(room: int, count: int, selected: int) -> tuple[int, ...]:
    """Return the selected setup, the first, and as many neighbours of the selected one as fit."""
    shown: tuple[int, ...] = ()
    after = [*range(selected + 1, count)]
    before = [*range(selected - 1, 0, -1)]
    for setup in [selected, *([0] if selected else []), *before[:1], *after, *before[1:]]:
        if setup >= count:
            continue
        wider = (*shown, setup)
        if _needed(wider) > room:
            break
        shown = wider
    return tuple(sorted(shown))


TOO_LONG = "too big"
"""Stands for a number that its column cannot hold: a cut number would be another number."""


@dataclass(frozen=True, slots=True)
class TableView:
    """All that the lines of the table depend on; `first` is the top row, `cursor` the selected one.

    `unconfirmed` are the setups that stand on values nobody has typed or confirmed.
    """

    rows: tuple[TableRow, ...]
    names: tuple[str, ...]
    columns: Columns
    look: ChartLook
    selected: int
    stale: bool
    cursor: int
    first: int
    unconfirmed: frozenset[int] = frozenset()


def table_lines(view: TableView, width: int, height: int) -> list[CellRow]:
    """Return `height` lines of `width` cells."""
    shown = view.rows[view.first : view.first + max(height - 1, 0)]
    lines = [_header(view, len(shown))]
    lines += [_line(view, view.first + place, row) for place, row in enumerate(shown)]
    lines += [[] for _ in range(height - len(lines))]
    return [fitted(line, width, view.look.glyphs.ellipsis) for line in lines[:height]]


def _header(view: TableView, shown: int) -> CellRow:
    glyphs, plan = view.look.glyphs, view.columns
    above = glyphs.up if view.first else " "
    below = glyphs.down if view.first + shown < len(view.rows) else " "
    room = plan.label + (1 + plan.unit if plan.unit else 0) - 1
    word, role = _corner(view, room)
    line = cells(f"{above}{below} ", Role.STRONG) + fitted(cells(word, role), room, glyphs.ellipsis)
    for setup in plan.setups:
        line += _right(_name(view, setup), plan.value, glyphs.ellipsis)
        if setup and plan.change:
            line += _right(cells("to first", Role.STRONG), plan.change, glyphs.ellipsis)
    return line


def _corner(view: TableView, room: int) -> tuple[str, Role]:
    """Return the longest word that fits the corner of the header."""
    if view.stale:
        return _longest(("STALE: last good answer", "STALE, last good", "STALE"), room), Role.WARNING
    shown = view.columns.setups
    if len(shown) < len(view.names):
        numbers = ", ".join(str(setup + 1) for setup in shown) + f" of {len(view.names)}"
        word = "setups" if len(shown) > 1 else "setup"
        return _longest((f"{word} {numbers}", numbers), room), Role.STRONG
    return "figures", Role.STRONG


def _longest(words: Sequence[str], room: int) -> str:
    return next((word for word in words if len(word) <= room), words[-1])


def _name(view: TableView, setup: int) -> CellRow:
    glyphs = view.look.glyphs
    chosen = glyphs.selected if setup == view.selected and len(view.names) > 1 else ""
    doubt = f"{glyphs.unconfirmed} " if setup in view.unconfirmed else ""
    text = f"{chosen}{view.look.marker(setup)} {doubt}{literal(view.names[setup], glyphs)}"
    return cells(text, Role.SETUP + setup % len(view.look.lines))


def _line(view: TableView, place: int, row: TableRow) -> CellRow:
    glyphs, plan = view.look.glyphs, view.columns
    if row.is_heading:
        return cells(" " * MARK + row.label.upper(), Role.HEADING)
    role = Role.CURSOR if place == view.cursor else Role.BASE
    mark = f"{glyphs.selected} " if place == view.cursor else " " * MARK
    line = cells(mark, role) + fitted(cells(row.label, role), plan.label, glyphs.ellipsis, role)
    if plan.unit:
        line += cells(" ", Role.BASE) + fitted(cells(row.unit, Role.QUIET), plan.unit, glyphs.ellipsis)
    for setup in plan.setups:
        line += _numbers(view, row, setup)
    return line


def _numbers(view: TableView, row: TableRow, setup: int) -> CellRow:
    plan, ellipsis = view.columns, view.look.glyphs.ellipsis
    text = row.values[setup]
    if not plan.unit and row.unit and text != ABSENT:
        text = f"{text} {row.unit}"
    line = _right(cells(_whole(text, plan.value), _role(view, text, Role.VALUE)), plan.value, ellipsis)
    if setup and plan.change:
        change = row.changes[setup]
        role = _role(view, change, Role.CHANGE)
        line += _right(cells(_whole(change, plan.change), role), plan.change, ellipsis)
    return line


def _role(view: TableView, text: str, role: Role) -> Role:
    if text in (ABSENT, SAME):
        return Role.QUIET
    return Role.STALE if view.stale else role


def _whole(text: str, width: int) -> str:
    return text if len(text) < width else TOO_LONG


def _right(text: CellRow, width: int, ellipsis: str) -> CellRow:
    """Return cells moved to the right edge, at least one blank in front."""
    room = max(width - 1, 0)
    kept = fitted(text, room, ellipsis, text[-1][1] if text else 0) if len(text) > room else text
    return [(" ", int(Role.BASE))] * (width - len(kept)) + kept


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
    """Figures of every setup. Only the cells that changed are sent to the terminal again."""

    COMPONENT_CLASSES: ClassVar[set[str]] = classes_of(
        (Role.STRONG, Role.HEADING, Role.CURSOR, Role.CHANGE, Role.QUIET, Role.STALE, Role.WARNING)
    )
    DEFAULT_CSS = """
    FigureTable {
        height: 1fr;
        & > .cell--cursor { text-style: bold; }
        &:focus > .cell--cursor { text-style: bold reverse; }
    }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(key, action, key, show=False) for key, action in _ACTIONS.items()
    ]
    keys: ClassVar[frozenset[str]] = frozenset(_ACTIONS)
    """The keys that move about in the table."""

    @dataclass
    class RowSelected(Message):
        """The cursor came to another row; `key` is its figure, see `meaning_of` of the figures."""

        key: str

    @dataclass
    class SetupSelected(Message):
        """The person asks for another setup to be the selected one."""

        index: int

    def __init__(self, look: ChartLook, *, id: str | None = None, classes: str | None = None) -> None:
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
        figure: str = "",
    ) -> None:
        """Show an answer, or say that there is none; the selected setup is always in sight.

        `unconfirmed` are the setups that stand on values nobody has typed or confirmed, `figure` the one that
        the cursor goes to.
        """
        self._key = figure or self._key
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
        width, height = self.size
        if not self._figures:
            line = cells(NO_ANSWER, Role.BASE)
            self.put([fitted(line, width, self._look.glyphs.ellipsis)][:height])
            return
        cursor = self._place() or 0
        # A heading right above the cursor is kept in sight with it.
        shown = max(height - 1, 1)
        top = cursor - 1 if shown > 1 and cursor and self._figures[cursor - 1].is_heading else cursor
        self._first = clamp(self._first, cursor - shown + 1, top)
        self._first = clamp(self._first, 0, max(len(self._figures) - shown, 0))
        label = max(len(row.label) for row in self._figures if not row.is_heading)
        unit = max(len(row.unit) for row in self._figures)
        view = TableView(
            rows=self._figures,
            names=self._names,
            columns=columns(width, len(self._names), self._selected, label, unit),
            look=self._look,
            selected=self._selected,
            stale=self._stale,
            cursor=cursor,
            first=self._first,
            unconfirmed=self._unconfirmed,
        )
        self.put(table_lines(view, width, height))
