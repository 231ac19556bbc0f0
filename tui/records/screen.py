"""The records screen: what is searched for, the list, what is known of a line, and its questions."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.message import Message

from tui.job.job import UNTITLED
from tui.kit.cells import CellRow, cells, fitted, scrolled
from tui.kit.dialogs import Question
from tui.kit.folding import folded
from tui.kit.keymap import Action, key_name, quiet
from tui.kit.look import Glyphs, literal
from tui.kit.roles import Role
from tui.kit.screen import Command, StateScreen, edit_cells, note_line
from tui.kit.widget import Lines, RollingWidget
from tui.kit.work import SlowTasks
from tui.records import state as steps
from tui.records.keymap import KEYMAP, STAY_IN_LINE
from tui.records.lines import details, heading_rows, list_rows, owner_text
from tui.records.state import OF_ONE, PAGES, Listing, Page, Query, RecordsState, move_by_lines
from tui.store.trouble import StoreTrouble

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.kit.look import ChartLook
    from tui.shop_units import ShopUnits
    from tui.store.records import Records
    from tui.store.store import Store


class RecordsPane(Lines):
    """Cells drawn by a function; only those that changed are sent."""


class ListPane(RecordsPane, RollingWidget, can_focus=True):
    """The list, scrolled no further than the selected line needs."""

    @dataclass
    class Clicked(Message):
        """A line of the list was clicked."""

        place: int

    _top = 0
    _count = 0

    def show_state(self, state: RecordsState, glyphs: Glyphs) -> None:
        """Show the list of a state."""
        self._count = len(state.lines)
        self.show(lambda width, height: self._drawn(state, width, height, glyphs))

    def _drawn(self, state: RecordsState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
        if width < 1 or height < 1:
            return []
        self._top = scrolled(self._top, state.cursor, state.cursor, height, max(self._count, height))
        return list_rows(state, self._top, width, height, glyphs)

    def on_click(self, event: events.Click) -> None:
        """Say which line was clicked."""
        event.prevent_default()  # not which word
        if event.y + self._top < self._count:
            self.post_message(self.Clicked(event.y + self._top))


_NOUNS = {
    Page.JOBS: ("job", "jobs"),
    Page.FRAMES: ("frame", "frames"),
    Page.SHOCKS: ("shock", "shocks"),
    Page.DELETED: ("deleted job", "deleted jobs"),
    Page.TIMELINE: ("revision", "revisions"),
    Page.VERSIONS: ("conflicting version", "conflicting versions"),
}
_FIND = " Find: "
_LEAST_SEARCH = 12
"""Cells that what is typed has at least."""


def search_line(state: RecordsState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the line at the top: what is typed, and which list this is."""
    tabs = _tabs(state, glyphs)
    room = max(width - len(tabs), len(_FIND) + _LEAST_SEARCH)
    if state.page in OF_ONE:
        tabs = tabs[: max(width - len(_FIND) - _LEAST_SEARCH, 0)]
    typed = edit_cells(state.search, Role.STRONG, max(room - len(_FIND) - 3, 1), glyphs)
    row = fitted(cells(_FIND, Role.QUIET) + typed, room, glyphs.ellipsis)
    return [fitted((row + tabs)[: max(width, 0)], width, glyphs.ellipsis)]


def _tabs(state: RecordsState, glyphs: Glyphs) -> CellRow:
    """Return the names of the lists, the shown one in brackets; of one bike whose it is."""
    if state.page in OF_ONE:
        found = state.of
        whose = found and (" ".join(filter(None, (owner_text(found), found.bike))) or found.title)
        kind = "History of" if state.page is Page.TIMELINE else "Versions of"
        return cells(f"{kind} {literal(whose or UNTITLED, glyphs)} ", Role.HERE)
    row = cells("Tab ", Role.KEY)
    for page in PAGES:
        here = page is state.page
        row += cells(f"[{page.value}]" if here else f" {page.value} ", Role.HERE if here else Role.QUIET)
    return row + cells(" ", Role.BASE)


def count_line(state: RecordsState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return how much is found, why the list may be old, and what is marked to be compared."""
    if state.trouble:
        old = "Old list: " if state.lines else ""
        text = literal(f" {glyphs.fault} {old}{state.trouble}", glyphs)
        return [fitted(cells(text, Role.FAULT), width, glyphs.ellipsis, Role.FAULT)]
    row = cells(f" {count_words(state)}", Role.QUIET)
    if state.mark is not None:
        row += cells(literal(f"  * marked: {state.mark.words}", glyphs), Role.WARNING)
    return [fitted(row, width, glyphs.ellipsis)]


def count_words(state: RecordsState) -> str:
    """Say how much is found."""
    listing = state.listing
    if listing is None or listing.question.page is not state.page:
        return "looking"
    one, many = _NOUNS[state.page]
    count = len(state.lines)
    if state.page not in OF_ONE and listing.more:
        return f"the newest {count} {many}, type more to narrow"
    return f"{count or 'no'} {one if count == 1 else many}"


def detail_lines(state: RecordsState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return all of the selected line below a rule: nothing of it is cut short by a column there."""
    rows: list[CellRow] = [cells(glyphs.thin * width, Role.RULE)]
    # Without a line the trouble, which the line above may cut.
    is_trouble = state.trouble and not state.lines
    for text, role in [(state.trouble, Role.FAULT)] if is_trouble else details(state.line):
        lines = folded(literal(text, glyphs), max(width - 2, 10), "  ")
        rows += [cells(f" {line}", role) for line in lines]
    if len(rows) > height > 0:
        row = rows[height - 1][: max(width - 2, 0)]
        rows[height - 1] = row + cells(f" {glyphs.ellipsis}", Role.QUIET)
    rows += [[] for _ in range(height - len(rows))]
    return [fitted(row, width, glyphs.ellipsis) for row in rows[: max(height, 0)]]


def keys_line(state: RecordsState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return what was last said, else the keys that fit; the way out and the help always do."""
    if state.note:
        return note_line(state.note, width, glyphs)
    actions = [(action, _piece(action, state)) for action in KEYMAP.key_line(state)]
    gap = 2 if sum(len(piece) + 2 for _, piece in actions) <= width else 1
    room = width - sum(len(piece) + gap for action, piece in actions if action.id in STAY_IN_LINE)
    row: CellRow = []
    for action, piece in actions:
        if action.id not in STAY_IN_LINE:
            if len(piece) + gap > room:
                continue
            room -= len(piece) + gap
        row += [(" ", int(Role.BASE))] * (gap if row else 1) + piece
    return [fitted(row, width, glyphs.ellipsis)]


def _piece(action: Action[RecordsState], state: RecordsState) -> CellRow:
    """Return a key with what it does now, where that hangs on more than the page."""
    key, label = "Esc" if action.keys[0] == "escape" else key_name(action.keys[0]), action.label
    if action.id == "back" and state.search.text:
        label = "clear"
    if action.id == "compare" and state.mark is None:
        label = "mark"
    return cells(key, Role.KEY) + cells(f" {label}", Role.BASE)


TALL_FROM, LOW_BELOW = 34, 14
"""Rows from which more is told of the selected line, and below which nothing is."""

OnBench = Callable[["BenchScreen"], None]
"""What is done on the bench once this screen is closed."""


class RecordsScreen(StateScreen[RecordsState, OnBench | None], inherit_bindings=False):
    """Find, open, compare and put away what was saved. It closes with what is done on the bench then."""

    KEYMAP = KEYMAP
    CSS_PATH = "screen.tcss"

    def __init__(
        self, records: Records, look: ChartLook, units: ShopUnits, commands: Mapping[str, Command]
    ) -> None:
        """Show what is in the records, which need not be open yet: keys come here from the start."""
        super().__init__(RecordsState(), look, commands)
        self.units = units
        self.store_tasks = SlowTasks(self, StoreTrouble)
        self._records = records
        self._opens = records.store is None
        self._asked: tuple[Query, int] | None = None
        self._keys: list[tuple[str, str | None]] = []
        """Keys pressed after one that is about a line which the newest answer has yet to bring."""

    @property
    def store(self) -> Store:
        """The open records. Tasks ask for it, as it may have to be waited for; raises `StoreTrouble`."""
        return self._records.open()

    def compose(self) -> ComposeResult:
        """Stack what is typed, what is found, and the lines below."""
        yield RecordsPane(id="search")
        yield RecordsPane(id="count")
        yield RecordsPane(id="head")
        yield ListPane(id="list")
        yield RecordsPane(id="detail")
        yield RecordsPane(id="keys")

    def on_mount(self) -> None:
        """Ask for the newest jobs."""
        self.lay_out(self.app.size.height)
        self.query_one(ListPane).focus()
        self.take(self.state)

    def on_resize(self, event: events.Resize) -> None:
        """Choose the layout for the size."""
        self.lay_out(event.size.height)
        self.show()

    def lay_out(self, height: int) -> None:
        """Give the screen the layout for so many rows."""
        self.set_class(height >= TALL_FROM, "-tall")
        self.set_class(height < LOW_BELOW, "-low")

    def take(self, state: RecordsState) -> None:
        """Go on with another state; what it asks is sent for, and a burst of keys is shown once."""
        super().take(state)
        question, asked = state.question, (state.question, state.again)
        if asked == self._asked:
            return
        self._asked, number = asked, self.state.asked + 1
        self.state = steps.with_question(self.state, number)

        def work() -> Listing:
            from tui.records.looking import listing_of  # the database comes with it, which no key waits for

            return listing_of(self.store, question, self.units)

        def found(listing: Listing) -> None:
            self.take(steps.with_listing(self.state, number, listing))
            if self._opens and self.store.told:  # what was found at the opening is longer than a line
                self.put_in_front(tell("The records", (self.store.told,), self.glyphs))
            self._opens = False
            # What was pressed before the answer was there, up to the next key that waits for another one.
            while self._keys and not self.state.waiting:
                super(RecordsScreen, self).press(*self._keys.pop(0))

        def refused(why: str) -> None:
            self._keys.clear()  # what they were meant for is not known
            self.take(steps.with_failure(self.state, number, why))

        self.store_tasks.send(work, found, refused, is_question=True)

    def close_with(self, result: OnBench | None) -> None:
        """Close, at once or as soon as no dialog stands in front any more."""
        self.when_in_front(lambda: super(RecordsScreen, self).close_with(result))

    def show(self) -> None:
        """Give every widget what it shows."""
        state, glyphs = self.state, self.look.glyphs
        self.set_class(state.page in OF_ONE, "-of-one")
        self.lines("search").show(lambda w, h: search_line(state, w, glyphs))
        self.lines("count").show(lambda w, h: count_line(state, w, glyphs))
        self.lines("head").show(lambda w, h: heading_rows(state, w, glyphs))
        self.query_one(ListPane).show_state(state, glyphs)
        self.lines("detail").show(lambda w, h: detail_lines(state, w, h, glyphs))
        self.lines("keys").show(lambda w, h: keys_line(state, w, glyphs))

    def press(self, key: str, character: str | None) -> None:
        """Do what the key means; what is about a line waits for the line."""
        action = KEYMAP.action_for(self.state, key, character)
        waits = action is not None and (action.at_cursor or action.waits)
        if action is not None and action.id in ("back", "leave"):
            self._keys.clear()  # the way out never waits
        elif self._keys or (self.state.waiting and waits):
            self._keys.append((key, character))
            return
        super().press(key, character)

    @on(ListPane.Clicked)
    def _clicked(self, event: ListPane.Clicked) -> None:
        if event.place == self.state.cursor:
            super().press("enter", None)
        else:
            self.take(replace(quiet(self.state), cursor=event.place))

    def rolled(self, state: RecordsState, steps: int) -> RecordsState:
        """Return the state with the cursor moved by the wheel of the mouse."""
        return move_by_lines(state, steps)


def tell(title: str, text: Sequence[str], glyphs: Glyphs) -> Question:
    """Tell something that is longer than a line; there is nothing to choose."""
    return Question(title, text, (), "continue", glyphs)
