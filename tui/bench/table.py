"""The table of figures: layout of columns and setups, its rows of cells, and its widget."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import clamp
from textual.message import Message

from physics.answer import Answer
from physics.frozen import dataclass
from tui.job.figures import SAME, TableRow, figure_rows
from tui.kit.cells import CellRow, cells, fitted
from tui.kit.dressing import told
from tui.kit.look import ChartLook, literal
from tui.kit.roles import Role
from tui.kit.widget import LookWidget
from tui.shop_units import ABSENT, ShopUnits

MARK = 2
"""Columns in front of a label for the cursor."""
VALUE, WIDEST_VALUE = 12, 18
VALUE_WITH_UNIT = 14
CHANGE = 9
_LEAST_LABEL = 14


@dataclass(frozen=True, slots=True)
class Columns:
    """Column widths and the setups shown; `unit` is 0 if units are shown with the numbers.

    `change` is 0 if there is no room for changes.
    """

    label: int
    unit: int
    value: int
    change: int
    setups: tuple[int, ...]


def columns(width: int, count: int, selected: int, label: int, unit: int) -> Columns:
    """Lay out the table for `count` setups: the selected one always, the first too if it fits.

    `label` and `unit` are the widths of the longest label and unit; two blanks stand between if they fit.
    """
    left = MARK + label + 1 + unit
    if width >= left + VALUE + (CHANGE if count > 1 else 0):
        shown = _shown(width - left, count, selected)
        if shown == _shown(width - left - 1, count, selected):  # a second blank between label and unit
            label, left = label + 1, left + 1
        spare = (width - left - _needed(shown)) // max(len(shown), 1)
        return Columns(label, unit, min(VALUE + spare, WIDEST_VALUE), CHANGE, shown)
    room = width - MARK - VALUE_WITH_UNIT
    change = CHANGE if selected and room - CHANGE >= _LEAST_LABEL else 0  # the first has none to itself
    return Columns(max(min(label, room - change), 0), 0, VALUE_WITH_UNIT, change, (selected,)[:count])


def _needed(setups: tuple[int, ...]) -> int:
    return sum(VALUE + (CHANGE if setup else 0) for setup in setups)


def _shown(room: int, count: int, selected: int) -> tuple[int, ...]:
    """Return the selected setup, the first, and as many neighbours of the selected one as fit."""
    before = [*range(selected - 1, 0, -1)]
    wanted = [selected, *([0] if selected else []), *before[:1], *range(selected + 1, count), *before[1:]]
    shown: tuple[int, ...] = ()
    for setup in wanted[:count]:
        if _needed((*shown, setup)) > room:
            break
        shown = (*shown, setup)
    return tuple(sorted(shown))


TOO_LONG = "too big"
"""Replaces a number too wide for its column: a truncated number would be wrong."""


@dataclass(frozen=True, slots=True)
class TableView:
    """Everything that the lines of the table depend on; `first` is the top row, `cursor` the selected one.

    `unconfirmed` are the setups with values nobody has typed or confirmed.
    """

    look: ChartLook
    rows: tuple[TableRow, ...] = ()
    names: tuple[str, ...] = ()
    columns: Columns = Columns(0, 0, 0, 0, ())
    selected: int = 0
    stale: bool = False
    cursor: int = 0
    first: int = 0
    unconfirmed: frozenset[int] = frozenset()
    cursor_role: Role = Role.RESTING


def table_lines(view: TableView, width: int, height: int) -> list[CellRow]:
    """Return `height` lines of `width` cells."""
    shown = view.rows[view.first : view.first + max(height - 1, 0)]
    if shown and shown[-1].is_heading:  # what it is about comes below
        shown = shown[:-1]
    lines = [_header(view, len(shown))]
    lines += [_line(view, place, row) for place, row in enumerate(shown, view.first)]
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
            line += _right(cells("vs 1st", Role.STRONG), plan.change, glyphs.ellipsis)
    return line


def _corner(view: TableView, room: int) -> tuple[str, Role]:
    """Return the longest word that fits the corner of the header."""
    if view.stale:
        return _longest(("OLD: last valid result", "OLD, last valid", "OLD"), room), Role.WARNING
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
    role = view.cursor_role if place == view.cursor else Role.BASE
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
    shown = [(text, plan.value, Role.VALUE)]
    if setup and plan.change:
        shown.append((row.changes[setup], plan.change, Role.CHANGE))
    line: CellRow = []
    for text, width, role in shown:
        here = Role.QUIET if text in (ABSENT, SAME) else Role.STALE if view.stale else role
        line += _right(cells(text if len(text) < width else TOO_LONG, here), width, ellipsis)
    return line


def _right(text: CellRow, width: int, ellipsis: str) -> CellRow:
    """Return cells aligned to the right, with at least one blank in front."""
    room = max(width - 1, 0)
    kept = fitted(text, room, ellipsis, text[-1][1] if text else 0) if len(text) > room else text
    return [(" ", int(Role.BASE))] * (width - len(kept)) + kept


NO_ANSWER, FIX_FIRST = "No figures yet:", "fix the marked fields first."


class FigureTable(LookWidget, can_focus=True):
    """Widget with the figures of every setup; repaints only changed cells."""

    DEFAULT_CSS = "FigureTable { height: 1fr; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "row(-1)", "Row up", show=False),
        Binding("down", "row(1)", "Row down", show=False),
        Binding("pageup", "page(-1)", "Page up", show=False),
        Binding("pagedown", "page(1)", "Page down", show=False),
        Binding("home", "row(-1000)", "First row", show=False),
        Binding("end", "row(1000)", "Last row", show=False),
        Binding("left", "setup(-1)", "Previous setup", show=False),
        Binding("right", "setup(1)", "Next setup", show=False),
    ]

    @dataclasses.dataclass
    class RowSelected(Message):
        """Posted when the cursor moves to another row; `key` is its figure."""

        key: str

    @dataclasses.dataclass
    class SetupSelected(Message):
        """Posted when another setup is to be selected."""

        index: int

    def __init__(self, look: ChartLook, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(look, id=id, classes=classes)
        self._view = TableView(look)
        self._missing = FIX_FIRST
        self.row_key = ""
        """The figure under the cursor, empty without rows."""

    def show(
        self,
        answer: Answer | None,
        units: ShopUnits,
        *,
        stale: bool = False,
        selected: int = 0,
        unconfirmed: frozenset[int] = frozenset(),
        figure: str = "",
        missing: str = "",
    ) -> None:
        """Show an answer, or say that there is none; the selected setup is always visible.

        `unconfirmed` are the setups with values nobody has typed or confirmed, `figure` is where the cursor
        goes, `missing` says what is needed first (if empty: the marked fields).
        """
        self._missing = missing or FIX_FIRST
        rows = figure_rows(answer, units) if answer else ()
        names = tuple(setup.name for setup in answer.setups) if answer else ()
        selected = clamp(selected, 0, max(len(names) - 1, 0))
        self._view = replace(
            self._view, rows=rows, names=names, stale=stale, selected=selected, unconfirmed=unconfirmed
        )
        self.row_key = figure or self.row_key
        if rows and self._place() is None:
            self.row_key = rows[0].key
        self.redraw()

    def on_focus(self) -> None:
        """Show the cursor as focused."""
        self.redraw()

    def on_blur(self) -> None:
        """Show the cursor as not focused."""
        self.redraw()

    def on_click(self, event: events.Click) -> None:
        """Select the row that was clicked."""
        place = self._view.first + event.y - 1
        if event.y and place < len(self._view.rows) and not self._view.rows[place].is_heading:
            self._select(place)

    def on_mouse_scroll_down(self) -> None:
        """Scroll down with the mouse wheel."""
        self.action_row(3)

    def on_mouse_scroll_up(self) -> None:
        """Scroll up with the mouse wheel."""
        self.action_row(-3)

    def action_row(self, steps: int) -> None:
        """Move the cursor by some figures."""
        places = [place for place, row in enumerate(self._view.rows) if not row.is_heading]
        here = self._place()
        if here is not None:
            self._select(places[clamp(places.index(here) + steps, 0, len(places) - 1)])

    def action_page(self, pages: int) -> None:
        """Move the cursor by some pages."""
        self.action_row(pages * max(self.size.height - 2, 1))

    def action_setup(self, steps: int) -> None:
        """Request a neighbour of the selected setup."""
        index = clamp(self._view.selected + steps, 0, max(len(self._view.names) - 1, 0))
        if index != self._view.selected:
            self.post_message(self.SetupSelected(index))

    def _place(self) -> int | None:
        keys = [row.key for row in self._view.rows]
        return keys.index(self.row_key) if self.row_key and self.row_key in keys else None

    def _select(self, place: int) -> None:
        if self._view.rows[place].key != self.row_key:
            self.row_key = self._view.rows[place].key
            self.redraw()
            self.post_message(self.RowSelected(self.row_key))

    def redraw(self) -> None:
        """Compute the lines."""
        (width, height), view = self.size, self._view
        if not view.rows:
            lines = told(f"{NO_ANSWER} {self._missing}", width, self._look.glyphs)[:height]
            self.put([fitted(line, width, self._look.glyphs.ellipsis) for line in lines])
            return
        cursor = self._place() or 0
        # Keep a heading directly above the cursor visible.
        shown = max(height - 1, 1)
        top = cursor - 1 if shown > 1 and cursor and view.rows[cursor - 1].is_heading else cursor
        first = clamp(view.first, cursor - shown + 1, top)
        first = clamp(first, 0, max(len(view.rows) - shown, 0))
        label = max(len(row.label) for row in view.rows if not row.is_heading)
        unit = max(len(row.unit) for row in view.rows)
        plan = columns(width, len(view.names), view.selected, label, unit)
        role = Role.CURSOR if self.has_focus else Role.RESTING
        self._view = replace(
            view, look=self._look, columns=plan, cursor=cursor, first=first, cursor_role=role
        )
        self.put(table_lines(self._view, width, height))
