"""Copying and export from the records: a line or the list to the clipboard, the list as CSV."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from tui.bench.export import TablePrompt, name_of, write_as
from tui.charts.export import CSV
from tui.kit.clipboard import copy_text
from tui.kit.document import Rows, csv_bytes, tabbed_text
from tui.records.lines import facts
from tui.records.state import JobLine, Line, PartLine, RecordsState, RevisionLine
from tui.store.kept import day, moment

if TYPE_CHECKING:
    from tui.records.screen import RecordsScreen

_MORE = "The newest {} are saved; more letters in the search narrow the list."
_JOB_HEADS = (
    "customer", "ticket", "bike", "title", "hardware", "saved", "by", "revision", "conflicting versions",
)  # fmt: skip
_PART_HEADS = ("name", "kind", "data", "first saved", "jobs")
_REVISION_HEADS = ("saved", "by", "revision", "title", "note", "changed", "conflict", "measured", "ride")


def copy_line(screen: RecordsScreen) -> None:
    """Copy the line under the cursor, each column with its heading."""
    heads, row = (list(part) for part in (table_rows(screen.state)[0], row_of(screen.state.line)))
    told = ", ".join(f"{head} {text}" for head, text in zip(heads, row, strict=True) if text != "")
    screen.say(copy_text(screen.app, told))


def copy_list(screen: RecordsScreen) -> None:
    """Copy the list, columns separated by tabs."""
    screen.say(copy_text(screen.app, tabbed_text(table_rows(screen.state))))


def export_list(screen: RecordsScreen) -> None:
    """Ask for a file and write the list to it."""
    state = screen.state
    rows = table_rows(state)
    start = f"{screen.folder}/{name_of(f'{state.page.value} {state.search.text}', 'records')}{CSV}"
    write_as(screen, TablePrompt(start, screen.glyphs), "table", lambda _path: csv_bytes(rows))
    if state.listing is not None and state.listing.more:
        screen.say(_MORE.format(len(state.lines)))


def table_rows(state: RecordsState) -> Rows:
    """Return the list with headings and all columns, whatever fits on the screen."""
    heads: Sequence[str] = _JOB_HEADS
    if state.lines and isinstance(state.lines[0], PartLine):
        heads = _PART_HEADS
    elif state.lines and isinstance(state.lines[0], RevisionLine):
        heads = _REVISION_HEADS
    return [heads, *map(row_of, state.lines)]


def row_of(line: Line | None) -> Sequence[str | float]:
    """Return a line as a row of the table."""
    match line:
        case JobLine(found):
            conflicts = found.versions if found.versions > 1 else 0
            saved = moment(found.deleted_at or found.saved_at)
            return (
                found.customer, found.ticket, found.bike, found.title, found.hardware, saved,
                found.saved_by, found.latest, conflicts,
            )  # fmt: skip
        case PartLine(part):
            return (part.name, part.kind, facts(part), day(part.first_at), part.uses)
        case RevisionLine(saved):
            when, changed = moment(saved.saved_at), "; ".join(line.changes)
            return (
                when, saved.saved_by, saved.number, line.title, saved.note, changed, line.beside,
                line.measured, line.ridden,
            )  # fmt: skip
        case _:
            return ()
