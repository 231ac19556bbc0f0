"""The list as lines of cells: headings, one line for each job, part or revision, the selected one marked."""

from __future__ import annotations

from tui.bench.dialogs_literal import literal
from tui.charts.cells import Row, cells, fitted
from tui.glyphs import Glyphs
from tui.records.columns import laid_out
from tui.records.listing import JobLine, Line, Page, RevisionLine
from tui.records.roles import Role
from tui.records.state import RecordsState

LEAD = 3
"""Cells before the columns: for the cursor, the mark of what is to be compared, and a blank."""
_NOTHING = {
    Page.JOBS: "All jobs are deleted: Tab leads to them.",
    Page.FRAMES: "No frame yet: give one a name in a job, and save that.",
    Page.SHOCKS: "No shock yet: give one a name in a setup of a job, and save that.",
    Page.DELETED: "Nothing is deleted.",
    Page.TIMELINE: "Nothing to show.",
    Page.VERSIONS: "Nothing to show.",
}
_EMPTY = (
    "Nothing is in the records yet.",
    "Ctrl+S on the bench saves the job there as its first revision.",
    "",
    "F5 puts in a demo shop to look around in: customers, bikes and weeks of work,",
    "all of it invented. Each job of it can be deleted like any other.",
)


def head(state: RecordsState, width: int, glyphs: Glyphs) -> list[Row]:
    """Return the headings of the columns."""
    row = cells(" " * LEAD, Role.HEAD)
    for column, room in laid_out(state.page, max(width - LEAD, 1)):
        row += fitted(cells(column.title, Role.HEAD), room, glyphs.ellipsis, Role.HEAD)
        row += cells(" ", Role.HEAD)
    return [fitted(row[: max(width, 0)], width, glyphs.ellipsis)]


def body(state: RecordsState, first: int, width: int, height: int, glyphs: Glyphs) -> list[Row]:
    """Return the lines of the list from number `first` on, or why there are none."""
    lines = state.lines
    shown = [
        _line(state, line, first + place == state.cursor, width, glyphs)
        for place, line in enumerate(lines[first : first + height])
    ]
    if not lines:
        shown = [fitted(cells(f"   {text}", Role.BASE), width, glyphs.ellipsis) for text in _why(state)]
    return (shown + [fitted([], width, " ") for _ in range(height - len(shown))])[: max(height, 0)]


def _why(state: RecordsState) -> tuple[str, ...]:
    if state.waiting or state.listing is None:
        return ()
    if state.is_empty and state.page is Page.JOBS:
        return _EMPTY
    if state.search.text.strip():
        return ("Nothing has all these words. Escape clears them.",)
    return (_NOTHING[state.page],)


def _line(state: RecordsState, line: Line, here: bool, width: int, glyphs: Glyphs) -> Row:
    going = line.uid in state.going
    role = Role.CURSOR if here else Role.QUIET if going else Role.BASE
    lead = f"{glyphs.selected if here else ' '}{'*' if is_marked(state, line) else ' '} "
    row = cells(lead, Role.CURSOR if here else Role.STRONG)
    for column, room in laid_out(state.page, max(width - LEAD, 1)):
        text = literal(column.text(line), glyphs)
        shade = Role.WARNING if role is Role.BASE and _stands_out(line, column.title) else role
        row += fitted(cells(text, shade), room, glyphs.ellipsis, shade) + cells(" ", role)
    return fitted(row[: max(width, 0)], width, glyphs.ellipsis, role)


def is_marked(state: RecordsState, line: Line) -> bool:
    """Return whether a line is the one marked to be compared."""
    if state.mark is None:
        return False
    if isinstance(line, JobLine):
        return state.mark[:2] == (line.found.uid, line.found.latest)
    revision = line.revision if isinstance(line, RevisionLine) else None
    return revision is not None and state.mark[:2] == (revision.job_uid, revision.number)


def _stands_out(line: Line, column: str) -> bool:
    """Return whether a cell tells of versions side by side."""
    if isinstance(line, JobLine):
        return column == "revision" and line.found.versions > 1
    return isinstance(line, RevisionLine) and column == "changed" and bool(line.beside)
