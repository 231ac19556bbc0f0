"""Contents of menu, finder and help of the records screen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from tui.bench.overlays import BenchTarget
from tui.kit.cells import CellRow
from tui.kit.document import Document
from tui.kit.dressing import dressed
from tui.kit.finder import Item
from tui.kit.keymap import PROGRAM
from tui.kit.look import ChartLook
from tui.kit.overlays import Overlays, Shelf, act_items, help_blocks
from tui.records.keymap import KEYMAP, RecordsAction, where_of
from tui.records.lines import owner_text
from tui.records.state import PAGES, JobLine, Page, PartLine, RecordsState, RevisionLine, show_page, type_text
from tui.store.kept import moment

LIST, LINE, SEARCH = "list", "line", "search"
"""Kinds of finder items besides actions."""
SENTENCES = {
    Page.JOBS: "Saved jobs, newest first. Enter opens one on the bench.",
    Page.FRAMES: "Named frames. Enter uses one in the open job.",
    Page.SHOCKS: "Named shocks. Enter uses one in the open job.",
    Page.DELETED: "Deleted jobs. Enter restores one; nothing is erased until you ask for it.",
    Page.TIMELINE: "All revisions of a bike with what changed, what was measured and how it rode.",
    Page.VERSIONS: "Conflicting versions: two people saved from one base. Open one, or make one current.",
}
ABOUT = (
    "search",
    "Letters and digits narrow the list: names, tickets, bikes, hardware, notes, dates (2026-10). Every "
    "word must be there. An arrow ends the typing; Escape clears it.",
)


def _shelves(state: RecordsState) -> tuple[Shelf, Shelf]:
    name = state.page.value
    return Shelf(name, state.page, name), Shelf(PROGRAM, PROGRAM, "job and program")


def items(state: RecordsState) -> Sequence[Item]:
    """Return all finder items: actions, lists, lines of the list, and a search for the text."""
    lists = (Item((LIST, page), page.value, "list", "[ ]", SENTENCES[page]) for page in PAGES)
    text = "" if state.finder is None else " ".join(state.finder.text.split())
    search = (Item((SEARCH, text), f"search for {text}", "records"),) if text else ()
    acts = act_items(KEYMAP, state, where_of)
    return (*acts, *lists, *_lines(state), *state.elsewhere, *search)


def _lines(state: RecordsState) -> Iterator[Item]:
    for place, line in enumerate(state.lines):
        match line:
            case JobLine(found):
                name = " ".join(filter(None, (owner_text(found), found.bike))) or found.title
                yield Item((LINE, place), name, "job", "", found.title)
            case PartLine(part):
                yield Item((LINE, place), part.name, part.kind)
            case RevisionLine(revision):
                when = moment(revision.saved_at)
                yield Item((LINE, place), f"revision {revision.number}, {when}", "revision", "", line.words)


def _go_to(state: RecordsState, item: Item) -> tuple[RecordsState, RecordsAction | BenchTarget | None]:
    match item.id:
        case (_, BenchTarget() as target):
            return state, target
        case (_, Page() as page):
            return show_page(state, page), None
        case ("line", int(place)):
            return replace(state, cursor=place, typing=False, helps=False), None
        case _:
            searched = type_text(replace(state, search=state.search.emptied()), str(item.id[1]))
            return replace(searched, typing=False, helps=False), None


OVERLAYS: Overlays[RecordsState, BenchTarget] = Overlays(KEYMAP, _shelves, items, _go_to)
"""Menu and finder of the records."""


def help_lines(state: RecordsState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the help: the list, how to search, and every action with its keys."""
    about = ((state.page.value, SENTENCES[state.page]), ABOUT)
    return dressed(Document(tuple(help_blocks(about, KEYMAP.groups))), width, look)
