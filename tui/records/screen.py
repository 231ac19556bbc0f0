"""The records screen: search line, list, details of a line, and its queries."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.message import Message

from tui.job.job import UNTITLED
from tui.kit.cells import CellRow, cells, fitted, name_at, scrolled
from tui.kit.dialogs import Question
from tui.kit.keymap import key_text, quiet
from tui.kit.look import Glyphs, folded, literal
from tui.kit.roles import Role
from tui.kit.screen import FRAMED_FROM, Command, StateScreen, edit_cells, labels_fitting, note_line
from tui.kit.scrolling import ScrolledText
from tui.kit.widget import ClickedLines, Lines, RollingWidget
from tui.kit.work import SlowTasks
from tui.records import state as steps
from tui.records.keymap import KEYMAP, RecordsAction
from tui.records.lines import details, heading_rows, list_rows, owner_text
from tui.records.state import OF_ONE, PAGES, Listing, Page, Query, RecordsState, move_by_lines
from tui.store.trouble import StoreTrouble

if TYPE_CHECKING:
    from pathlib import Path

    from tui.bench.overlays import BenchTarget
    from tui.bench.screen import BenchScreen
    from tui.kit.look import ChartLook
    from tui.kit.overlays import Overlays
    from tui.shop_units import ShopUnits
    from tui.store.records import Records
    from tui.store.store import Store


class RecordsPane(Lines):
    """Cells drawn by a function; only changed ones are repainted."""


class ListPane(RecordsPane, RollingWidget, can_focus=True):
    """The list, scrolled to show the selected line."""

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
        """Report which line was clicked."""
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
"""Minimum width of the search text [cells]."""


def search_line(state: RecordsState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the top line: the search text, and which list this is."""
    tabs = _tabs(state, glyphs)
    room = max(width - len(tabs), len(_FIND) + _LEAST_SEARCH)
    if state.page in OF_ONE:
        tabs = tabs[: max(width - len(_FIND) - _LEAST_SEARCH, 0)]
    typed = edit_cells(state.search, Role.STRONG, max(room - len(_FIND) - 3, 1), glyphs)
    if not state.typing:  # without the caret: Space and the signs are keys now
        typed = cells(literal(state.search.text, glyphs), Role.STRONG) if state.search.text else _hint(room)
    row = fitted(cells(_FIND, Role.QUIET) + typed, room, glyphs.ellipsis)
    return [fitted((row + tabs)[: max(width, 0)], width, glyphs.ellipsis)]


_HINTS = (
    "just type: name, ticket, bike, hardware, note, date", "just type: name, ticket, bike, date",
    "just type: name, ticket, bike", "just type",
)  # fmt: skip


def _hint(room: int) -> CellRow:
    """Return the hint on what to type, as far as it fits."""
    fits = (text for text in _HINTS if len(_FIND) + len(text) < room)
    return cells(next(fits, ""), Role.QUIET)


def _tabs(state: RecordsState, glyphs: Glyphs) -> CellRow:
    """Return the names of the lists, the one shown in brackets; for one bike, its name."""
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
    """Return the number of matches, why the list may be outdated, and what is marked for comparison."""
    if state.trouble:
        old = "Old list: " if state.lines else ""
        text = literal(f" {glyphs.fault} {old}{state.trouble}", glyphs)
        return [fitted(cells(text, Role.FAULT), width, glyphs.ellipsis, Role.FAULT)]
    row = cells(f" {count_words(state)}", Role.QUIET)
    if state.mark is not None:
        row += cells(literal(f"  * marked: {state.mark.words}", glyphs), Role.WARNING)
    return [fitted(row, width, glyphs.ellipsis)]


def count_words(state: RecordsState) -> str:
    """Return the number of matches in words."""
    listing = state.listing
    if listing is None or listing.question.page is not state.page:
        return "looking"
    one, many = _NOUNS[state.page]
    count = len(state.lines)
    if state.page not in OF_ONE and listing.more:
        return f"the newest {count} {many}, type more to narrow"
    return f"{count or 'no'} {one if count == 1 else many}"


def detail_lines(state: RecordsState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the details of the selected line below a rule, without clipping by columns."""
    rows: list[CellRow] = [cells(glyphs.thin * width, Role.RULE)]
    # Without a line show the error, which may be clipped above.
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
    """Return the most likely keys that fit, grouped by label."""
    return labels_fitting([], [(key, label) for key, label, _action in footer(state)], width, glyphs)


def footer(state: RecordsState) -> list[tuple[str, str, RecordsAction]]:
    """Return key, label and action of every entry of the footer.

    While one types, characters and deleting keys have no other meaning.
    """
    found = []
    for action in KEYMAP.key_line(state):
        free = (key for key in action.keys if not state.typing or _is_free(key, action, state))
        key = next(free, "") if action.keys else "" if state.typing else key_text(action)
        label = "clear" if action.id == "step_back" and state.search.text else action.label
        if action.id == "compare" and state.mark is None:
            label = "mark"
        if key:
            found.append((key, label, action))
    return found


def _is_free(key: str, action: RecordsAction, state: RecordsState) -> bool:
    there = KEYMAP.action_for(state, key, None)
    return len(key) > 1 and key != "space" and there is not None and there.id == action.id


def foot_lines(state: RecordsState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the lines below the list: details of the selected line, last message, keys."""
    said = note_line(state.note, width, glyphs)
    if said and height < 2:  # there is no other line for it
        return said
    room = height - len(said) - 1
    told = detail_lines(state, width, room, glyphs) if room > 0 else []
    return [*told, *said, *keys_line(state, width, glyphs)][:height]


TALL_FROM, LOW_BELOW = 34, 14
"""Rows from which more details are shown, and below which none are."""

OnBench = Callable[["BenchScreen"], None]
"""What to do on the bench after closing this screen."""


class RecordsScreen(StateScreen[RecordsState, OnBench | None], inherit_bindings=False):
    """Find, open, compare and delete saved jobs. Closes with what to do on the bench."""

    KEYMAP = KEYMAP
    CSS_PATH = "screen.tcss"

    def __init__(
        self,
        records: Records,
        look: ChartLook,
        units: ShopUnits,
        commands: Mapping[str, Command],
        folder: Path,
    ) -> None:
        """Show the records, which need not be open yet: keys are accepted from the start.

        `folder` is the default folder for exporting a list.
        """
        super().__init__(RecordsState(), look, commands)
        self.units = units
        self.store_tasks = SlowTasks(self, StoreTrouble)
        self._records = records
        self._opens = records.store is None
        self._asked: tuple[Query, int] | None = None
        self.folder = folder
        self._keys: list[Callable[[], None]] = []
        """Effects of keys pressed after a key that waits for a line of the latest query."""

    @property
    def store(self) -> Store:
        """The open records; may block, so only for tasks. Raises `StoreTrouble`."""
        return self._records.open()

    def compose(self) -> ComposeResult:
        """Stack search line, list, and the lines below."""
        yield RecordsPane(id="search")
        yield RecordsPane(id="count")
        yield RecordsPane(id="head")
        yield ListPane(id="list")
        yield ScrolledText(self.look, id="help")
        yield RecordsPane(id="foot")

    def on_mount(self) -> None:
        """Query the newest jobs."""
        self.add_class(f"-{self.glyphs.frame}")
        self.lay_out(*self.app.size)
        self.query_one(ListPane).focus()
        self.take(self.state)

    def on_resize(self, event: events.Resize) -> None:
        """Choose the layout for the size."""
        self.lay_out(event.size.width, event.size.height)
        self.show()

    def lay_out(self, width: int, height: int) -> None:
        """Set the layout for a size in cells."""
        self.set_class(width >= FRAMED_FROM[0] and height >= FRAMED_FROM[1], "-framed")
        self.set_class(height >= TALL_FROM, "-tall")
        self.set_class(height < LOW_BELOW, "-low")

    def take(self, state: RecordsState) -> None:
        """Set another state and send its query; a burst of keys is shown once."""
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
            # Keys pressed before the result arrived, up to the next one that waits for another query.
            while self._keys and not self.state.waiting:
                self._keys.pop(0)()

        def refused(why: str) -> None:
            self._keys.clear()  # what they were meant for is not known
            self.take(steps.with_failure(self.state, number, why))

        self.store_tasks.send(work, found, refused, is_question=True)

    def close_with(self, result: OnBench | None) -> None:
        """Close, at once or as soon as no dialog is in front."""
        self.when_in_front(lambda: super(RecordsScreen, self).close_with(result))

    def show(self) -> None:
        """Give every widget what it shows."""
        state, glyphs = self.state, self.look.glyphs
        self.set_class(state.page in OF_ONE, "-of-one")
        self.set_class(state.zoom, "-zoomed")
        self.set_class(state.helps, "-helps")
        self.make_room(*self.app.size)
        help_lines = self._help_lines if state.helps else None
        self.query_one(ScrolledText).take_focus_of(self.query_one(ListPane), help_lines)
        self.lines("search").show(lambda w, h: search_line(state, w, glyphs))
        self.lines("count").show(lambda w, h: count_line(state, w, glyphs))
        self.lines("head").show(lambda w, h: heading_rows(state, w, glyphs))
        self.query_one(ListPane).show_state(state, glyphs)
        foot = self.overlays.lines if self.is_overlaid else foot_lines
        self.lines("foot").show(lambda w, h: foot(state, w, h, glyphs))

    def _help_lines(self, width: int, look: ChartLook) -> list[CellRow]:
        from tui.records.overlays import help_lines  # few look at it

        return help_lines(self.state, width, look)

    def go_to(self, target: BenchTarget) -> None:
        """Leave for something on the bench."""
        self.close_with(lambda bench: bench.go_found(target.id))

    @property
    def overlays(self) -> Overlays[RecordsState, BenchTarget]:
        """Menu and finder, loaded on first use."""
        from tui.records.overlays import OVERLAYS

        return OVERLAYS

    @property
    def types_here(self) -> bool:
        """Whether pasted text goes into the search line."""
        return not self.state.menu and not self.state.helps

    def press(self, key: str, character: str | None) -> None:
        """Handle a key; one that acts on a line waits until the line is known."""
        action = None if self.is_overlaid else KEYMAP.action_for(self.state, key, character)
        if action is not None and action.id in ("step_back", "leave_records"):
            self._keys.clear()  # the way out never waits
        elif self._keys:
            self._keys.append(partial(self.press_now, key, character))
            return
        self.press_now(key, character)

    def press_now(self, key: str, character: str | None) -> None:
        """Handle a key without waiting for query results."""
        action = None if self.is_overlaid else KEYMAP.action_for(self.state, key, character)
        if action is None:
            super().press(key, character)
        else:
            self.do(action)

    def do(self, action: RecordsAction) -> None:
        """Do an action, or say why not; one that acts on a line waits until the line is known."""
        if self.state.waiting and (action.at_cursor or action.waits):
            self._keys.insert(0, partial(self.do, action))
            return
        reason = KEYMAP.reason(action, self.state)
        if reason:
            self.say(f"{action.name.capitalize()}: not now, {reason}.")
        else:
            super().do(action)

    @on(ListPane.Clicked)
    def _clicked(self, event: ListPane.Clicked) -> None:
        if self.is_overlaid:
            self.take(replace(quiet(self.state), menu="", finder=None))
        elif event.place == self.state.cursor:
            self.press("enter", None)
        else:
            self.take(replace(quiet(self.state), cursor=event.place, typing=False))

    @on(ClickedLines.Clicked)
    def _line_clicked(self, event: ClickedLines.Clicked) -> None:
        """Do the action of a clicked word of the footer, or show the clicked list."""
        if event.part == "foot" and self.is_overlaid:
            self.do_clicked(event)
        elif event.part == "foot":
            entries = footer(self.state)
            place = name_at(event.text, event.x, [label for _key, label, _action in entries])
            if place is not None:
                self.do(entries[place][2])
        elif event.part == "search" and self.state.page in PAGES:
            place = name_at(event.text, event.x, [page.value for page in PAGES])
            if place is not None:
                self.take(steps.show_page(quiet(self.state), PAGES[place]))

    def rolled(self, state: RecordsState, steps: int) -> RecordsState:
        """Return the state with the cursor moved by the wheel of the mouse."""
        return move_by_lines(state, steps)


def tell(title: str, text: Sequence[str], glyphs: Glyphs) -> Question:
    """Return a dialog for a message longer than a line, without choices."""
    return Question(title, text, (), "continue", glyphs)
