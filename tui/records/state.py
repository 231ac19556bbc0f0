"""The state of the records screen: pages, queries to the store and their results, cursor and undo."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field, replace
from enum import Enum

from physics.frozen import NamedTuple, dataclass
from tui.kit.edit import Edit
from tui.kit.finder import Finder, Item
from tui.store.kept import Found, Part, Revision, asked_words, folded, moment


class Page(Enum):
    """One list of the records; the value is its word on the screen."""

    JOBS = "jobs"
    FRAMES = "frames"
    SHOCKS = "shocks"
    DELETED = "deleted"
    TIMELINE = "timeline"
    VERSIONS = "versions"


PAGES = (Page.JOBS, Page.FRAMES, Page.SHOCKS, Page.DELETED)
"""The pages that Tab cycles through; the others are about one bike or job."""
OF_ONE = (Page.TIMELINE, Page.VERSIONS)
PARTS = (Page.FRAMES, Page.SHOCKS)


class Query(NamedTuple):
    """A query: its page, its search text, and the job for pages about one job."""

    page: Page
    text: str
    of: str = ""


@dataclass(frozen=True, slots=True)
class JobLine:
    """A job."""

    found: Found

    @property
    def uid(self) -> str:
        """Its unique id."""
        return self.found.uid


@dataclass(frozen=True, slots=True)
class PartLine:
    """A frame or shock: `twins` counts those with its name, `against` says how it differs from the newest."""

    part: Part
    twins: int = 1
    newest: bool = True
    against: tuple[str, ...] = ()

    @property
    def uid(self) -> str:
        """Its unique id."""
        return self.part.digest


SAME: tuple[str, ...] = ("nothing changed",)
FIRST: tuple[str, ...] = ("first saved",)
DAMAGED: tuple[str, ...] = ("this revision is damaged and cannot be read",)
UNREADABLE_BEFORE: tuple[str, ...] = ("the previous one cannot be read",)
NO_CHANGES = (SAME, FIRST, DAMAGED, UNREADABLE_BEFORE)
"""Shown instead of the changes of a revision that has none."""


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """A saved revision with what it changed, what was measured and how it rode, all in words.

    `since` is the revision that the `changes` refer to, `beside` the revisions in conflict with it.
    """

    revision: Revision
    title: str
    since: str = ""
    changes: tuple[str, ...] = ()
    beside: str = ""
    measured: str = ""
    ridden: str = ""

    @property
    def uid(self) -> str:
        """Its unique id."""
        return self.revision.uid

    @property
    def words(self) -> str:
        """The text to search."""
        saved = moment(self.revision.saved_at), self.revision.saved_by
        told = (self.title, *saved, self.revision.note, *self.changes)
        return " ".join((*told, self.measured, self.ridden, self.beside, f"rev {self.revision.number}"))


Line = JobLine | PartLine | RevisionLine


@dataclass(frozen=True, slots=True)
class Listing:
    """The result of a query, the newest first; `empty`: there is no job at all yet."""

    question: Query
    lines: tuple[Line, ...] = ()
    more: bool = False
    empty: bool = False


_NOTHING_TYPED = Edit("", 0)


class Mark(NamedTuple):
    """The revision marked for comparison, and its description."""

    job: str
    number: int
    words: str


class Taken(NamedTuple):
    """A job or a part that was removed from a list: its id and its name."""

    uid: str
    is_part: bool
    name: str


class Outer(NamedTuple):
    """The list that a page about one job was opened from."""

    page: Page
    search: Edit
    cursor: int


@dataclass(frozen=True, slots=True)
class RecordsState:
    """One state of the records screen.

    `listing` is the last result of the store and `told` its number, `asked` the number of the latest query,
    and `again` counts its repetitions. `of` is the job of a timeline or a list of versions, `outer` the list
    that Escape returns to. `undo` has removed items, the last one last, and `going` those being removed.
    `restored` is what the cursor goes to once it is listed again. `trouble` says why the list may be
    outdated. `typing` is set from the first letter typed in the search line until a key that leaves it.
    `zoom` shows only the details of the line; `menu` and `finder` replace the lines below when open;
    `elsewhere` are further items of the finder; `helps` shows the help instead of the list.
    """

    page: Page = Page.JOBS
    search: Edit = _NOTHING_TYPED
    cursor: int = 0
    listing: Listing | None = None
    asked: int = 0
    told: int = 0
    again: int = 0
    of: Found | None = None
    outer: Outer | None = None
    mark: Mark | None = None
    undo: tuple[Taken, ...] = ()
    going: frozenset[str] = frozenset()
    restored: str = ""
    note: str = ""
    trouble: str = ""
    typing: bool = False
    zoom: bool = False
    menu: str = ""
    finder: Finder | None = None
    elsewhere: tuple[Item, ...] = field(default=(), compare=False, repr=False)
    helps: bool = False

    @property
    def question(self) -> Query:
        """The present query; revisions of one bike are all loaded, and filtered here."""
        if self.page in OF_ONE:
            return Query(self.page, "", self.of.uid if self.of else "")
        return Query(self.page, " ".join(self.search.text.split()))

    @property
    def lines(self) -> tuple[Line, ...]:
        """The lines of the list; none while the result is for another page."""
        if self.listing is None or self.listing.question._replace(text="") != self.question._replace(text=""):
            return ()
        if self.page not in OF_ONE:
            return self.listing.lines
        wanted = asked_words(self.search.text)
        found = ((line, folded(getattr(line, "words", ""))) for line in self.listing.lines)
        return tuple(line for line, words in found if all(word in words for word in wanted))

    @property
    def line(self) -> Line | None:
        """The selected line."""
        lines = self.lines
        return lines[min(self.cursor, len(lines) - 1)] if lines else None

    @property
    def waiting(self) -> bool:
        """Whether the latest query has no result yet."""
        return self.told < self.asked

    @property
    def is_empty(self) -> bool:
        """Whether it is known that nothing was ever saved."""
        return self.listing is not None and self.listing.empty


def with_question(state: RecordsState, number: int) -> RecordsState:
    """Return the state after query `number` was sent."""
    return replace(state, asked=number)


def with_listing(state: RecordsState, number: int, listing: Listing) -> RecordsState:
    """Return the state with a result, unchanged for a result older than the one shown.

    After a repeated query, the cursor stays on its line, or goes to the one just restored.
    """
    if number <= state.told:
        return state
    is_same = state.listing is not None and state.listing.question == listing.question
    uid = state.line.uid if is_same and state.line else ""
    after = replace(state, listing=listing, told=number, trouble="")
    places = {line.uid: place for place, line in enumerate(after.lines)}
    cursor = places.get(state.restored, places.get(uid, state.cursor))
    # An answer to what was asked before the item was restored does not have it yet.
    restored = state.restored if number < state.asked else ""
    return replace(after, cursor=max(min(cursor, len(after.lines) - 1), 0), restored=restored)


def with_failure(state: RecordsState, number: int, why: str) -> RecordsState:
    """Return the state after a failed query: the last list stays."""
    return state if number <= state.told else replace(state, told=number, trouble=why)


def ask_again(state: RecordsState) -> RecordsState:
    """Repeat the query."""
    return replace(state, again=state.again + 1)


def type_text(state: RecordsState, text: str) -> RecordsState:
    """Insert text into the search line."""
    return replace(state, search=state.search.put(text), cursor=0, typing=True)


def typing_step(step: Callable[[Edit], Edit]) -> Callable[[RecordsState], RecordsState]:
    """Return the step of a typing key in the search line."""
    return lambda state: replace(state, search=step(state.search), cursor=0, typing=True)


def empty_search(state: RecordsState) -> RecordsState:
    """Clear the search line."""
    return replace(state, search=state.search.emptied(), cursor=0, typing=False)


def move_caret(state: RecordsState, steps: int) -> RecordsState:
    """Move the caret in the search line."""
    return replace(state, search=state.search.moved(steps), typing=True)


def move_by_lines(state: RecordsState, steps: int) -> RecordsState:
    """Move the cursor by lines, within the list."""
    return replace(state, cursor=max(min(state.cursor + steps, len(state.lines) - 1), 0), typing=False)


def turn_page(state: RecordsState, steps: int) -> RecordsState:
    """Go to the next page; the search text is kept."""
    if state.page not in PAGES:
        return state
    return show_page(state, PAGES[(PAGES.index(state.page) + steps) % len(PAGES)])


def show_page(state: RecordsState, page: Page) -> RecordsState:
    """Go to one of the lists; the search text is kept."""
    back = leave_page(state)
    return replace(back, page=page, cursor=0, typing=False, helps=False)


def switch_zoom(state: RecordsState) -> RecordsState:
    """Show only the details of the line, or the list again."""
    return replace(state, zoom=not state.zoom, typing=False)


def switch_help(state: RecordsState) -> RecordsState:
    """Show the help instead of the list, or close it."""
    return replace(state, helps=not state.helps)


def step_back(state: RecordsState) -> RecordsState:
    """Go one step back; unchanged if the next step leads to the bench."""
    if state.helps:
        return replace(state, helps=False)
    if state.search.text:
        return empty_search(state)
    if state.zoom:
        return switch_zoom(state)
    return leave_page(replace(state, typing=False) if state.typing else state)


def open_page(state: RecordsState, page: Page) -> RecordsState:
    """Go to a page about the selected job, or about the job of the current page."""
    line = state.line
    found = line.found if isinstance(line, JobLine) else state.of
    if found is None:
        return state
    outer = state.outer or Outer(state.page, state.search, state.cursor)
    return replace(state, page=page, of=found, outer=outer, search=_NOTHING_TYPED, cursor=0, typing=False)


def leave_page(state: RecordsState) -> RecordsState:
    """Go back to the list that a page about one job was opened from."""
    outer = state.outer
    return state if outer is None else replace(state, **outer._asdict(), of=None, outer=None, typing=False)


def switch_mark(state: RecordsState, mark: Mark) -> RecordsState:
    """Mark a revision for comparison, or unmark it."""
    if state.mark is not None and state.mark[:2] == mark[:2]:
        return replace(state, mark=None, note="No longer marked.")
    return replace(state, mark=mark, note=f"Marked: {mark.words}. Space, then c on another compares the two.")


def with_pending(state: RecordsState, uid: str) -> RecordsState:
    """Record that an item is being removed or restored."""
    return replace(state, going=state.going | {uid})


def with_removed(state: RecordsState, taken: Taken, note: str) -> RecordsState:
    """Record a removed item; undo restores it."""
    going = state.going - {taken.uid}
    return ask_again(replace(state, undo=(*state.undo, taken), going=going, note=note))


def with_restored(state: RecordsState, uid: str, note: str) -> RecordsState:
    """Record a restored item, to which the cursor goes."""
    left_over = tuple(taken for taken in state.undo if taken.uid != uid)
    return ask_again(replace(state, undo=left_over, going=state.going - {uid}, restored=uid, note=note))


def with_refused(state: RecordsState, uid: str, why: str) -> RecordsState:
    """Record that an item could not be changed, and why."""
    return replace(state, going=state.going - {uid}, note=why)


def with_erased(state: RecordsState, note: str) -> RecordsState:
    """Forget deleted jobs that were erased: undo cannot restore them."""
    parts = tuple(taken for taken in state.undo if taken.is_part)
    return ask_again(replace(state, undo=parts, mark=None, note=note))
