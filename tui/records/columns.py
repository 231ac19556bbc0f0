"""The columns of each page: what stands in them, and how wide they are on this screen."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from tui.bench.fields_text import plain
from tui.jobs.tree import Table
from tui.records.listing import JobLine, Line, Page, PartLine, RevisionLine
from tui.records.moments import WIDTH, day, moment
from tui.store.kept import Found, Part

_FACTS: dict[str, tuple[tuple[str, str, str], ...]] = {
    "frame": (("travel ", "", "wheel_travel"), ("stroke ", "", "stroke")),
    "air": (("bore ", "", "bore"), ("", " positive", "positive_volume"), ("limit ", "", "max_pressure")),
    "coil": (("", " free", "free_length"), ("stroke ", "", "rated_stroke"), ("", "", "mass")),
}
"""By the kind of a part what is told of it: words before, words behind, and the key between."""


class Column(NamedTuple):
    """A column: its heading, its text for a line, and its width.

    `width` is fixed, or where it is 0 a `share` of what the fixed ones leave. It stands on screens of `least`
    columns and more.
    """

    title: str
    text: Callable[[Line], str]
    width: int = 0
    share: int = 0
    least: int = 0


def whose(found: Found) -> str:
    """Return customer and ticket."""
    return " ".join(filter(None, (found.customer, found.ticket)))


def bike_of(found: Found) -> str:
    """Return the bike, or that it has no name."""
    return found.bike or "-"


def revision_of(found: Found) -> str:
    """Return the newest revision, or how many stand side by side."""
    return f"{found.versions} versions" if found.versions > 1 else f"rev {found.latest}"


def of_name(line: PartLine) -> str:
    """Say which one of several of a name a part is."""
    if line.twins == 1:
        return ""
    return f"newest of {line.twins}" if line.newest else f"older, of {line.twins}"


def facts(part: Part) -> str:
    """Return what tells a part from others at a glance, as it was typed."""
    typed = [
        f"{before}{plain(part.tree[key])}{behind}"
        for before, behind, key in _FACTS.get(part.kind, ())
        if part.tree.get(key)
    ]
    leverage = part.tree.get("leverage")
    kind = leverage.get("kind") if isinstance(leverage, Table) else None
    return ", ".join([*typed, f"leverage: {plain(kind)}"] if kind else typed)


def jobs_of(part: Part) -> str:
    """Say how many jobs have a part."""
    return "1 job" if part.uses == 1 else f"{part.uses} jobs"


def changed(line: RevisionLine) -> str:
    """Return what a revision changed on one line, what stands beside it, and what came of it."""
    measured = f"measured: {line.measured}" if line.measured else ""
    return "; ".join(filter(None, (line.beside, *line.changes, measured, line.ridden)))


def _job(text: Callable[[Found], str]) -> Callable[[Line], str]:
    return lambda line: text(line.found) if isinstance(line, JobLine) else ""


def _part(text: Callable[[PartLine], str]) -> Callable[[Line], str]:
    return lambda line: text(line) if isinstance(line, PartLine) else ""


def _revision(text: Callable[[RevisionLine], str]) -> Callable[[Line], str]:
    return lambda line: text(line) if isinstance(line, RevisionLine) else ""


_WHOSE = (
    Column("customer", _job(whose), share=5),
    Column("bike", _job(bike_of), share=4, least=56),
    Column("title", _job(lambda found: found.title), share=5, least=66),
    Column("hardware", _job(lambda found: found.hardware or "-"), share=5, least=110),
)
_BY = Column("by", _job(lambda found: found.saved_by), 7, least=76)
_REVISION = Column("revision", _job(revision_of), 10, least=46)
_REVISIONS = (
    Column("saved", _revision(lambda line: moment(line.revision.saved_at)), WIDTH),
    Column("by", _revision(lambda line: line.revision.saved_by), 8, least=60),
    Column("rev", _revision(lambda line: str(line.revision.number)), 3),
    Column("title", _revision(lambda line: line.title), share=2, least=76),
    Column("note", _revision(lambda line: line.revision.note), share=3, least=100),
    Column("changed", _revision(changed), share=6),
)
_KEPT = (
    Column("kept since", _part(lambda line: day(line.part.first_at)), 10, least=50),
    Column("in", _part(lambda line: jobs_of(line.part)), 8, least=40),
    Column("of this name", _part(of_name), 12, least=66),
)
COLUMNS: dict[Page, tuple[Column, ...]] = {
    Page.JOBS: (*_WHOSE, Column("saved", _job(lambda found: moment(found.saved_at)), WIDTH), _BY, _REVISION),
    Page.DELETED: (
        *_WHOSE,
        Column("deleted", _job(lambda found: moment(found.deleted_at or "")), WIDTH),
        _REVISION,
    ),
    Page.FRAMES: (
        Column("frame", _part(lambda line: line.part.name), share=4),
        Column("what it is", _part(lambda line: facts(line.part)), share=6, least=60),
        *_KEPT,
    ),
    Page.SHOCKS: (
        Column("shock", _part(lambda line: line.part.name), share=4),
        Column("kind", _part(lambda line: line.part.kind), 4),
        Column("what it is", _part(lambda line: facts(line.part)), share=6, least=60),
        *_KEPT,
    ),
    Page.TIMELINE: _REVISIONS,
    Page.VERSIONS: _REVISIONS,
}
"""The columns of every page, in order."""


def laid_out(page: Page, width: int) -> list[tuple[Column, int]]:
    """Return the columns that a screen of `width` cells has room for, with their widths, one cell between."""
    shown = [column for column in COLUMNS[page] if column.least <= width]
    room = width - sum(column.width for column in shown) - len(shown) + 1
    shares = sum(column.share for column in shown)
    widths = [column.width or max(room * column.share // max(shares, 1), 1) for column in shown]
    flexible = [place for place, column in enumerate(shown) if column.share]
    if flexible:  # what dividing leaves goes to the last of them
        widths[flexible[-1]] += max(width - sum(widths) - len(shown) + 1, 0)
    return list(zip(shown, widths, strict=True))
