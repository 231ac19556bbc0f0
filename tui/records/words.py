"""What the lines around the list say: what is typed, how much is found, what is selected, the keys."""

from __future__ import annotations

from textwrap import wrap

from tui.bench.dialogs_literal import literal
from tui.bench.keys_action import key_name
from tui.charts.cells import Row, cells, fitted
from tui.glyphs import Glyphs
from tui.records.actions import STAY_IN_LINE, Action
from tui.records.details import Detail, details
from tui.records.keys import key_line
from tui.records.listing import OF_ONE, PAGES, Page
from tui.records.roles import Role
from tui.records.state import RecordsState

_NOUNS = {
    Page.JOBS: ("job", "jobs"),
    Page.FRAMES: ("frame", "frames"),
    Page.SHOCKS: ("shock", "shocks"),
    Page.DELETED: ("deleted job", "deleted jobs"),
    Page.TIMELINE: ("revision", "revisions"),
    Page.VERSIONS: ("version side by side", "versions side by side"),
}
_FIND = " Find: "
_LEAST_SEARCH = 12
"""Cells that what is typed has at least."""


def search_line(state: RecordsState, width: int, glyphs: Glyphs) -> list[Row]:
    """Return the line at the top: what is typed, and which list this is."""
    tabs = _tabs(state, glyphs)
    room = max(width - len(tabs), len(_FIND) + _LEAST_SEARCH)
    tabs = tabs if state.page not in OF_ONE else tabs[: max(width - len(_FIND) - _LEAST_SEARCH, 0)]
    typed = cells(literal(state.search.text, glyphs), Role.STRONG)
    caret = len(cells(literal(state.search.text[: state.search.caret], glyphs), Role.STRONG))
    typed.append((" ", int(Role.BASE)))
    typed[caret] = (typed[caret][0] or " ", int(Role.CARET))
    first = max(caret - max(room - len(_FIND) - 3, 1), 0)
    row = fitted(cells(_FIND, Role.QUIET) + typed[first:], room, glyphs.ellipsis)
    return [fitted((row + tabs)[: max(width, 0)], width, glyphs.ellipsis)]


def _tabs(state: RecordsState, glyphs: Glyphs) -> Row:
    """Return the names of the lists, the shown one in brackets; of one bike whose it is."""
    if state.page in OF_ONE:
        found = state.of
        whose = " ".join(filter(None, (found.customer, found.ticket, found.bike))) if found else ""
        kind = "Timeline of" if state.page is Page.TIMELINE else "Versions of"
        name = whose or (found.title if found else "") or "a bike without a name"
        return cells(f"{kind} {literal(name, glyphs)} ", Role.HERE)
    row = cells("Tab ", Role.KEY)
    for page in PAGES:
        here = page is state.page
        row += cells(f"[{page.value}]" if here else f" {page.value} ", Role.HERE if here else Role.QUIET)
    return row + cells(" ", Role.BASE)


def count_line(state: RecordsState, width: int, glyphs: Glyphs) -> list[Row]:
    """Return how much is found, why the list may be old, and what is marked to be compared."""
    if state.trouble:
        old = "This list is from before: " if state.lines else ""
        text = literal(f" {glyphs.fault} {old}{state.trouble}", glyphs)
        return [fitted(cells(text, Role.FAULT), width, glyphs.ellipsis, Role.FAULT)]
    row = cells(f" {count_words(state)}", Role.QUIET)
    if state.mark is not None:
        mark = literal(f"  * marked: {state.mark.words}", glyphs)
        row = fitted(row + cells(mark, Role.WARNING), width, glyphs.ellipsis)
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


def detail_lines(state: RecordsState, width: int, height: int, glyphs: Glyphs) -> list[Row]:
    """Return all of the selected line below a rule: nothing of it is cut short by a column there."""
    rows: list[Row] = [cells(glyphs.thin * width, Role.RULE)]
    for text, role in _told(state):
        folded = wrap(literal(text, glyphs), max(width - 2, 10), subsequent_indent="  ")
        rows += [cells(f" {line}", role) for line in folded]
    if len(rows) > height > 0:
        row = rows[height - 1][: max(width - 2, 0)]
        rows[height - 1] = row + cells(f" {glyphs.ellipsis}", Role.QUIET)
    rows += [[] for _ in range(height - len(rows))]
    return [fitted(row, width, glyphs.ellipsis) for row in rows[: max(height, 0)]]


def _told(state: RecordsState) -> list[Detail]:
    """Return what is known of the selected line; without one, the trouble, which the line above may cut."""
    if state.trouble and not state.lines:
        return [(state.trouble, Role.FAULT)]
    return details(state.line)


def keys_line(state: RecordsState, width: int, glyphs: Glyphs) -> list[Row]:
    """Return what was last said, else the keys that fit; the way out and the help always do."""
    if state.note:
        return [fitted(cells(f" {literal(state.note, glyphs)}", Role.STRONG), width, glyphs.ellipsis)]
    actions = key_line(state)
    pieces = [_piece(action, state) for action in actions]
    gap = 2 if sum(len(piece) + 2 for piece in pieces) <= width else 1
    room = width - sum(len(piece) + gap for piece in _staying(actions, pieces))
    row: Row = []
    for action, piece in zip(actions, pieces, strict=True):
        if action.id not in STAY_IN_LINE:
            if len(piece) + gap > room:
                continue
            room -= len(piece) + gap
        row += [(" ", int(Role.BASE))] * (gap if row else 1) + piece
    return [fitted(row, width, glyphs.ellipsis)]


def _staying(actions: list[Action], pieces: list[Row]) -> list[Row]:
    return [piece for action, piece in zip(actions, pieces, strict=True) if action.id in STAY_IN_LINE]


def _piece(action: Action, state: RecordsState) -> Row:
    key = "Esc" if action.keys[0] == "escape" else key_name(action.keys[0])
    return cells(key, Role.KEY) + cells(f" {_label(action, state)}", Role.BASE)


def _label(action: Action, state: RecordsState) -> str:
    """Return what a key does now, where that hangs on more than the page."""
    if action.id == "back":
        return "clear" if state.search.text else action.label
    if action.id == "compare":
        return "mark" if state.mark is None else "compare"
    return action.label
