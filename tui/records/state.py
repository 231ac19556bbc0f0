"""The state of the records screen: pages, questions to the store and its answers, cursor and undo."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import NamedTuple

from tui.kit.edit import Edit
from tui.kit.finder import Finder, Item
from tui.store.kept import Found, Part, Revision, asked_words, folded


class Page(Enum):
    """One list of the records; the value is its word on the screen."""

    JOBS = "jobs"
    FRAMES = "frames"
    SHOCKS = "shocks"
    DELETED = "deleted"
    TIMELINE = "timeline"
    VERSIONS = "versions"


PAGES = (Page.JOBS, Page.FRAMES, Page.SHOCKS, Page.DELETED)
"""The pages that Tab turns; the others are about one bike or job."""
OF_ONE = (Page.TIMELINE, Page.VERSIONS)
PARTS = (Page.FRAMES, Page.SHOCKS)


class Query(NamedTuple):
    """What is looked for: on which page, by which words, and on a page about one job of which."""

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
    """A frame or shock: `twins` counts those of its name, `against` how it differs from the newest."""

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
"""In place of the changes of a revision where there are none."""


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """A saved revision with what it changed, what was measured and how it rode, all in words.

    `since` says from what the `changes` are counted, `beside` which other revisions conflict with it.
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
        """The text in which a search looks."""
        told = (self.title, self.revision.saved_by, self.revision.note, *self.changes)
        return " ".join((*told, self.measured, self.ridden, self.beside, f"rev {self.revision.number}"))


Line = JobLine | PartLine | RevisionLine


@dataclass(frozen=True, slots=True)
class Listing:
    """The answer to a question, the newest first; `empty` says that there is no job at all yet."""

    question: Query
    lines: tuple[Line, ...] = ()
    more: bool = False
    empty: bool = False


_NOTHING_TYPED = Edit("", 0)


class Mark(NamedTuple):
    """The revision that is marked to be compared with another, and its words for the screen."""

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
    """One moment of the records screen.

    `listing` is the last answer of the store and `told` its number, `asked` the number of the newest
    question and `again` counts how often the same one was asked anew. `of` is the job that a timeline or a
    choice of versions is about, `outer` where Escape leads from there. `undo` holds what was removed, the
    last one last, and `going` what is being removed. `trouble` says why the list may be old. `typing` is set
    from the first letter typed in the search to the key that moves on; `zoom` shows the details of the line
    alone, `menu` and `finder` are open in the place of the lines below, `elsewhere` is what the finder finds
    besides what is here, `helps` stands in the place of the list.
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
        """What is to be looked for; revisions of one bike are all loaded, and filtered here."""
        if self.page in OF_ONE:
            return Query(self.page, "", self.of.uid if self.of else "")
        return Query(self.page, " ".join(self.search.text.split()))

    @property
    def lines(self) -> tuple[Line, ...]:
        """The lines of the list; none while the answer is for another page."""
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
        """Whether the newest question is not answered yet."""
        return self.told < self.asked

    @property
    def is_empty(self) -> bool:
        """Whether it is known that nothing was ever saved."""
        return self.listing is not None and self.listing.empty


def with_question(state: RecordsState, number: int) -> RecordsState:
    """Return the state once question `number` is under way."""
    return replace(state, asked=number)


def with_listing(state: RecordsState, number: int, listing: Listing) -> RecordsState:
    """Return the state with an answer; one to an older question than is shown changes nothing.

    Where the same question was asked before, the cursor stays on its line.
    """
    if number <= state.told:
        return state
    is_same = state.listing is not None and state.listing.question == listing.question
    uid = state.line.uid if is_same and state.line else ""
    after = replace(state, listing=listing, told=number, trouble="")
    places = {line.uid: place for place, line in enumerate(after.lines)}
    cursor = places.get(uid, state.cursor)
    return replace(after, cursor=max(min(cursor, len(after.lines) - 1), 0))


def with_failure(state: RecordsState, number: int, why: str) -> RecordsState:
    """Return the state when a question could not be answered: the last list stays."""
    return state if number <= state.told else replace(state, told=number, trouble=why)


def ask_again(state: RecordsState) -> RecordsState:
    """Ask the same question once more."""
    return replace(state, again=state.again + 1)


def type_text(state: RecordsState, text: str) -> RecordsState:
    """Put text into the search."""
    return replace(state, search=state.search.put(text), cursor=0, typing=True)


def typing_step(step: Callable[[Edit], Edit]) -> Callable[[RecordsState], RecordsState]:
    """Return what a typing key does to the search."""
    return lambda state: replace(state, search=step(state.search), cursor=0, typing=True)


def empty_search(state: RecordsState) -> RecordsState:
    """Take out all that is typed."""
    return replace(state, search=state.search.emptied(), cursor=0, typing=False)


def move_caret(state: RecordsState, steps: int) -> RecordsState:
    """Move the caret in what is typed."""
    return replace(state, search=state.search.moved(steps), typing=True)


def move_by_lines(state: RecordsState, steps: int) -> RecordsState:
    """Move the cursor by lines, no further than the list goes."""
    return replace(state, cursor=max(min(state.cursor + steps, len(state.lines) - 1), 0), typing=False)


def turn_page(state: RecordsState, steps: int) -> RecordsState:
    """Turn the page; the search stays as typed."""
    if state.page not in PAGES:
        return state
    return show_page(state, PAGES[(PAGES.index(state.page) + steps) % len(PAGES)])


def show_page(state: RecordsState, page: Page) -> RecordsState:
    """Go to one of the lists; the search stays as typed."""
    back = leave_page(state)
    return replace(back, page=page, cursor=0, typing=False, helps=False)


def switch_zoom(state: RecordsState) -> RecordsState:
    """Show the details of the line alone, or the list again."""
    return replace(state, zoom=not state.zoom, typing=False)


def switch_help(state: RecordsState) -> RecordsState:
    """Show the help in the place of the list, or close it."""
    return replace(state, helps=not state.helps)


def step_back(state: RecordsState) -> RecordsState:
    """Go one step back; the same state where the next step leads to the bench."""
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
    """Mark a revision to be compared, or unmark it if it is marked already."""
    if state.mark is not None and state.mark[:2] == mark[:2]:
        return replace(state, mark=None, note="No longer marked.")
    return replace(state, mark=mark, note=f"Marked: {mark.words}. Space, then c on another compares the two.")


def with_pending(state: RecordsState, uid: str) -> RecordsState:
    """Note that something is being removed from the list or put back."""
    return replace(state, going=state.going | {uid})


def with_removed(state: RecordsState, taken: Taken, note: str) -> RecordsState:
    """Note what is removed from the list; undo puts it back."""
    going = state.going - {taken.uid}
    return ask_again(replace(state, undo=(*state.undo, taken), going=going, note=note))


def with_restored(state: RecordsState, uid: str, note: str) -> RecordsState:
    """Note what was put back into the list."""
    left_over = tuple(taken for taken in state.undo if taken.uid != uid)
    return ask_again(replace(state, undo=left_over, going=state.going - {uid}, note=note))


def with_refused(state: RecordsState, uid: str, why: str) -> RecordsState:
    """Note that something stays where it is, and why."""
    return replace(state, going=state.going - {uid}, note=why)


def with_erased(state: RecordsState, note: str) -> RecordsState:
    """Forget deleted jobs that are erased for good: no undo brings them back."""
    parts = tuple(taken for taken in state.undo if taken.is_part)
    return ask_again(replace(state, undo=parts, mark=None, note=note))
