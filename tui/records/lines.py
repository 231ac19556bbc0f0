"""Lists of the records as lines of cells: columns, widths, and details of a line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from physics.frozen import NamedTuple
from tui.job.job import UNTITLED
from tui.job.quantities import plain
from tui.job.tree import Tree
from tui.kit.cells import CellRow, cells, fitted
from tui.kit.look import Glyphs, literal
from tui.kit.roles import Role
from tui.records.state import NO_CHANGES, JobLine, Line, Page, PartLine, RecordsState, RevisionLine
from tui.store.kept import WIDTH, Found, Part, Revision, day, moment

_FACTS: dict[str, tuple[tuple[str, str, str], ...]] = {
    "frame": (("travel ", "", "wheel_travel"), ("stroke ", "", "stroke")),
    "air": (("bore ", "", "bore"), ("", " positive", "positive_volume"), ("limit ", "", "max_pressure")),
    "coil": (("", " free", "free_length"), ("stroke ", "", "rated_stroke"), ("", "", "mass")),
}
"""Facts shown of each kind of part: text before, text after, and the key between."""


class Column(NamedTuple):
    """A column: its heading, its text for a line of its page, and its width.

    `width` is the minimum, or 0 for a `share` of what those leave. It is shown from a screen width of `least`
    columns. A cell that `warns` indicates conflicting versions.
    """

    title: str
    text: Callable[[Any], str]
    width: int = 0
    share: int = 0
    least: int = 0
    warns: Callable[[Any], bool] = lambda line: False


def owner_text(found: Found) -> str:
    """Return customer and ticket."""
    return " ".join(filter(None, (found.customer, found.ticket)))


def facts(part: Part) -> str:
    """Return the main facts of a part, as typed."""
    tree, leverage, known = part.tree, part.tree.get("leverage"), _FACTS.get(part.kind, ())
    told = [f"{before}{plain(tree[key])}{behind}" for before, behind, key in known if tree.get(key)]
    if isinstance(leverage, Tree) and leverage.get("kind"):
        told.append(f"leverage: {plain(leverage['kind'])}")
    return ", ".join(told)


def jobs_of(part: Part) -> str:
    """Return the number of jobs with a part, in words."""
    return "1 job" if part.uses == 1 else f"{part.uses} jobs"


def _changed(line: RevisionLine) -> str:
    measured = f"measured: {line.measured}" if line.measured else ""
    return "; ".join(filter(None, (line.beside, *line.changes, measured, line.ridden)))


def _name_place(line: PartLine) -> str:
    return "" if line.twins == 1 else f"{'newest' if line.newest else 'older,'} of {line.twins}"


def _revision(line: JobLine) -> str:
    return f"{line.found.versions} versions" if line.found.versions > 1 else f"rev {line.found.latest}"


_WHOSE = (
    Column("customer", lambda line: owner_text(line.found), share=5),
    Column("bike", lambda line: line.found.bike or "-", share=4, least=56),
    Column("title", lambda line: line.found.title, share=5, least=66),
    Column("hardware", lambda line: line.found.hardware or "-", share=5, least=110),
)
_REVISION = Column("revision", _revision, 10, least=46, warns=lambda line: line.found.versions > 1)
_REVISIONS = (
    Column("saved", lambda line: moment(line.revision.saved_at), WIDTH),
    Column("by", lambda line: line.revision.saved_by, 8, least=60),
    Column("rev", lambda line: str(line.revision.number), 3),
    Column("title", lambda line: line.title, share=2, least=76),
    Column("note", lambda line: line.revision.note, share=3, least=100),
    Column("changed", _changed, share=6, warns=lambda line: bool(line.beside)),
)
_KEPT = (
    Column("data", lambda line: facts(line.part), share=6, least=60),
    Column("first saved", lambda line: day(line.part.first_at), 10, least=50),
    Column("in", lambda line: jobs_of(line.part), 8, least=40),
    Column("same name", _name_place, 12, least=66),
)
COLUMNS: dict[Page, tuple[Column, ...]] = {
    Page.JOBS: (
        *_WHOSE,
        Column("saved", lambda line: moment(line.found.saved_at), WIDTH),
        Column("by", lambda line: line.found.saved_by, 7, least=76),
        _REVISION,
    ),
    Page.DELETED: (
        *_WHOSE,
        Column("deleted", lambda line: moment(line.found.deleted_at or ""), WIDTH),
        _REVISION,
    ),
    Page.FRAMES: (Column("frame", lambda line: line.part.name, share=4), *_KEPT),
    Page.SHOCKS: (
        Column("shock", lambda line: line.part.name, share=4),
        Column("kind", lambda line: line.part.kind, 4),
        *_KEPT,
    ),
    Page.TIMELINE: _REVISIONS,
    Page.VERSIONS: _REVISIONS,
}


def column_widths(page: Page, width: int, lines: Sequence[Line]) -> list[tuple[Column, int]]:
    """Return the columns that fit in `width` cells with their widths, one cell apart.

    Width that a column needs for none of the lines goes to the columns that would be cut.
    """
    shown = [column for column in COLUMNS[page] if column.least <= width]
    needs = [max(len(column.title), *(len(column.text(line)) for line in lines), 0) for column in shown]
    widths = [column.width for column in shown]
    left = max(width - sum(widths) - len(shown) + 1, 0)
    cut = [place for place, column in enumerate(shown) if column.share]
    last = cut[-1] if cut else None
    while cut:
        shares = {place: left * shown[place].share // sum(shown[each].share for each in cut) for place in cut}
        whole = [place for place in cut if lines and needs[place] <= shares[place]]
        for place in whole or cut:
            widths[place] = needs[place] if whole else max(shares[place], 1)
            left -= widths[place]
        cut = [place for place in cut if place not in whole] if whole else []
    for place, column in enumerate(shown):
        if column.width and left > 0:
            more = min(max(needs[place] - column.width, 0), left)
            widths[place], left = widths[place] + more, left - more
    if last is not None:
        widths[last] += max(left, 0)
    return list(zip(shown, widths, strict=True))


LEAD = 3
"""Width before the columns [cells]: cursor, mark for comparison, and a blank."""
_NOTHING = {
    Page.JOBS: "All jobs are deleted: Tab shows them.",
    Page.FRAMES: "No frame yet: name one in a job and save the job.",
    Page.SHOCKS: "No shock yet: name one in a setup of a job and save the job.",
    Page.DELETED: "Nothing is deleted.",
}
_EMPTY = (
    "The records are empty.",
    "Ctrl+S on the bench saves the job there as its first revision.",
    "",
    "Space, then i adds an invented demo shop to look around in: customers, bikes",
    "and weeks of work. Its jobs can be deleted like any other.",
)


def heading_rows(state: RecordsState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the headings of the columns."""
    row = cells(" " * LEAD, Role.HEAD)
    for column, room in column_widths(state.page, max(width - LEAD, 1), state.lines):
        title = fitted(cells(column.title, Role.HEAD), room, glyphs.ellipsis, Role.HEAD)
        row += title + cells(" ", Role.HEAD)
    return [fitted(row[: max(width, 0)], width, glyphs.ellipsis)]


def list_rows(state: RecordsState, first: int, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the lines of the list from index `first` on, or why there are none."""
    widths = column_widths(state.page, max(width - LEAD, 1), state.lines)
    shown = [
        _line(state, line, place == state.cursor, width, glyphs, widths)
        for place, line in enumerate(state.lines[first : first + height], first)
    ] or [fitted(cells(f"   {text}", Role.BASE), width, glyphs.ellipsis) for text in _why(state)]
    return (shown + [fitted([], width, " ") for _ in range(height - len(shown))])[: max(height, 0)]


def _why(state: RecordsState) -> tuple[str, ...]:
    if state.lines or state.waiting or state.listing is None:
        return ()
    if state.is_empty and state.page is Page.JOBS:
        return _EMPTY
    if state.search.text.strip():
        return ("Nothing has all these words. Escape clears them.",)
    return (_NOTHING.get(state.page, "Nothing to show."),)


def _line(
    state: RecordsState,
    line: Line,
    here: bool,
    width: int,
    glyphs: Glyphs,
    widths: Sequence[tuple[Column, int]],
) -> CellRow:
    going = line.uid in state.going
    role = Role.CURSOR if here else Role.QUIET if going else Role.BASE
    is_marked = state.mark is not None and state.mark[:2] == revision_of(line)
    lead = f"{glyphs.selected if here else ' '}{'*' if is_marked else ' '} "
    row = cells(lead, Role.CURSOR if here else Role.STRONG)
    for column, room in widths:
        text = literal(column.text(line), glyphs)
        shade = Role.WARNING if role is Role.BASE and column.warns(line) else role
        row += fitted(cells(text, shade), room, glyphs.ellipsis, shade) + cells(" ", role)
    return fitted(row[: max(width, 0)], width, glyphs.ellipsis, role)


def revision_of(line: Line | None) -> tuple[str, int] | None:
    """Return the revision of a line, by job and number."""
    match line:
        case JobLine(found):
            return found.uid, found.latest
        case RevisionLine(saved):
            return saved.job_uid, saved.number
        case _:
            return None


Detail = tuple[str, Role]


def details(line: Line | None) -> list[Detail]:
    """Return the details of a line, the most important first."""
    match line:
        case JobLine(found):
            who = ", ".join(filter(None, (owner_text(found), found.bike)))
            many = f"{found.versions} conflicting versions: Enter shows them; choose one as current."
            told = [
                (f"{who or 'No name'}: {found.title or UNTITLED}", Role.STRONG),
                (many if found.versions > 1 else "", Role.WARNING),
                (f"Revision {found.latest}, saved {_saved(found)}.", Role.BASE),
                (found.hardware and f"Hardware: {found.hardware}.", Role.BASE),
            ]
        case PartLine(part, twins, newest, against):
            twin = f"Newest of {twins} with this name." if twins > 1 and newest else ""
            if against and not twin:
                twin = f"Changes from the newest of this name: {'; '.join(against)}."
            told = [
                (f"{part.name}: {facts(part) or part.kind}", Role.STRONG),
                (f"First saved {day(part.first_at)}, in {jobs_of(part)}.", Role.BASE),
                (twin, Role.BASE),
            ]
        case RevisionLine(saved):
            # Name the revision it was compared with, unless that is the previous one.
            lead = line.since or ("" if line.changes in NO_CHANGES else "changed")
            changes = f"{lead}: {'; '.join(line.changes)}" if lead else "".join(line.changes)
            told = [
                (f"Revision {saved.number} of {line.title or UNTITLED}, {_saved(saved)}", Role.STRONG),
                (line.beside and f"{line.beside.capitalize()}: neither was continued.", Role.WARNING),
                (saved.note and f"Note: {saved.note}", Role.BASE),
                (f"{changes[:1].upper()}{changes[1:]}.", Role.BASE),
                (line.measured and f"Measured: {line.measured}.", Role.BASE),
                (line.ridden and f"On the ride: {line.ridden}.", Role.BASE),
            ]
        case _:
            told = []
    return [detail for detail in told if detail[0]]


def _saved(saved: Found | Revision) -> str:
    return f"{moment(saved.saved_at)} by {saved.saved_by or 'unknown'}"
