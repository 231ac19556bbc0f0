"""Saved revisions as lines: each with what it changed, what was measured on the bike, and how it rode."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from tui.job.faults import UnusableJob
from tui.job.fields import Field, field_text
from tui.job.job import Job
from tui.job.panels import panels
from tui.job.tree import Tree
from tui.job.wheels import Wheel, wheel_job
from tui.records.state import (
    DAMAGED,
    FIRST,
    SAME,
    UNREADABLE_BEFORE,
    JobLine,
    Line,
    Listing,
    Page,
    PartLine,
    Query,
    RevisionLine,
)
from tui.shop_units import ShopUnits
from tui.store.kept import Part, Revision
from tui.store.reading import MOST
from tui.store.store import Store
from tui.subjects.differences import LABELS, Side, between, differences, ends, side_of

if TYPE_CHECKING:
    pass

_TOLD_APART = ("measured", "ridden")
"""Tables that have a place of their own on a line, beside what changed."""


def timeline_lines(revisions: Sequence[Revision], units: ShopUnits) -> tuple[RevisionLine, ...]:
    """Return the revisions of a bike, given in the order of time, the newest first.

    Each is held against the one it was made from, the first of a job against what the bike had before.
    """
    sides = {revision.uid: _side(revision, units) for revision in revisions}
    found: list[RevisionLine] = []
    for place, revision in enumerate(revisions):
        before = _made_from(revision, revisions[:place])
        follows = place > 0 and before is revisions[place - 1]
        since = "" if before is None or follows else f"since {_called(before, revision)}"
        found.append(_line(revision, before, since, sides, _beside(revision, revisions)))
    return tuple(reversed(found))


def version_lines(versions: Sequence[Revision], units: ShopUnits) -> tuple[RevisionLine, ...]:
    """Return revisions that stand side by side, the newest first, each held against another one."""
    sides = {revision.uid: _side(revision, units) for revision in versions}
    newest_first = sorted(versions, key=lambda revision: revision.number, reverse=True)
    others = [*newest_first[1:], *newest_first[:1]]
    return tuple(
        _line(revision, other, f"against rev {other.number}", sides, "")
        for revision, other in zip(newest_first, others, strict=True)
    )


def open_ends(revisions: Sequence[Revision]) -> tuple[int, ...]:
    """Return the numbers of those revisions of one job that nobody went on from and none was chosen over."""
    gone_on = {number for revision in revisions for number in (revision.parent, revision.settles)}
    return tuple(revision.number for revision in revisions if revision.number not in gone_on)


def _made_from(revision: Revision, earlier: Sequence[Revision]) -> Revision | None:
    """Return the revision that one was made from; for the first of a job the last one of the bike."""
    own = (r for r in earlier if r.job_uid == revision.job_uid and r.number == revision.parent)
    return next(own, earlier[-1] if earlier else None)


def _called(revision: Revision, beside: Revision) -> str:
    """Name a revision as seen from another one."""
    same = revision.job_uid == beside.job_uid
    return f"rev {revision.number}" if same else f"rev {revision.number} of the job before"


def _beside(revision: Revision, revisions: Sequence[Revision]) -> str:
    ends_of_job = open_ends([other for other in revisions if other.job_uid == revision.job_uid])
    others = [number for number in ends_of_job if number != revision.number]
    if revision.number not in ends_of_job or not others:
        return ""
    return f"beside rev {' and '.join(map(str, others))}"


def _line(
    revision: Revision,
    before: Revision | None,
    since: str,
    sides: Mapping[str, Side | None],
    beside: str,
) -> RevisionLine:
    side, old = sides[revision.uid], sides[before.uid] if before else None
    if side is None:
        return RevisionLine(revision, "", changes=DAMAGED)
    if before is None:
        changes = FIRST
    elif old is None:
        changes = UNREADABLE_BEFORE
    else:
        changes = tuple(between(old, side, _TOLD_APART)) or SAME
    job = side.typed
    return RevisionLine(revision, job.title, since, changes, beside, _measured(job), _ridden(job))


def _side(revision: Revision, units: ShopUnits) -> Side | None:
    try:
        return side_of(revision.job, units)
    except UnusableJob:
        return None


def _measured(job: Job) -> str:
    """Return what was measured on a bike, wheel by wheel, in the words of its panel."""
    told = [
        f"{'front ' if end == 'front' else ''}{line}"
        for end in ends(job)
        for line in _values(job, end, "measured")
    ]
    return ", ".join(told)


def _ridden(job: Job) -> str:
    return ", ".join(_values(job, "rear", "ridden"))


def _values(job: Job, end: Wheel, table: str) -> list[str]:
    """Return the values of a table that stand in one end of a job, each with its label."""
    wheel = wheel_job(job, end)
    rows = (row for panel in panels(wheel) for row in panel.rows if row.path[0] == table)
    return [f"{_label(row)} {field_text(wheel, row)}" for row in rows if wheel.get(row.path) is not None]


def _label(row: Field) -> str:
    """Return the label of a row under a heading that says it was measured."""
    words = LABELS.get(row.path, row.label).split()
    return " ".join(word for word in words if word != "measured")


KINDS = {Page.FRAMES: ("frame",), Page.SHOCKS: ("coil", "air")}


def look(store: Store, question: Query, units: ShopUnits) -> Listing:
    """Return what the store has to a question; raises `StoreTrouble`."""
    page, text, of = question
    match page:
        case Page.JOBS | Page.DELETED:
            return _jobs(store, question)
        case Page.FRAMES | Page.SHOCKS:
            parts = store.parts(text, *KINDS[page])
            return Listing(question, part_lines(parts, units), more=len(parts) >= MOST)
        case Page.TIMELINE:
            return Listing(question, timeline_lines(store.timeline(of), units))
        case Page.VERSIONS:
            revisions = store.revisions(of)
            ends = open_ends(revisions)
            found = [revision for revision in revisions if revision.number in ends]
            return Listing(question, version_lines(found, units))


def _jobs(store: Store, question: Query) -> Listing:
    found = store.find(question.text, deleted=question.page is Page.DELETED)
    # Nothing under no word at all: then it counts whether there is anything, deleted or not.
    empty = not (found.entries or question.text) and not any_job(store)
    return Listing(question, tuple(map(JobLine, found.entries)), found.more, empty)


def any_job(store: Store) -> bool:
    """Return whether anything was ever saved, deleted jobs among it."""
    return any(store.find(deleted=deleted, most=1).entries for deleted in (False, True))


def part_lines(parts: Sequence[Part], units: ShopUnits) -> tuple[Line, ...]:
    """Return parts as lines; of those with one name each tells what sets it off from the newest."""
    named: dict[tuple[str, str], list[Part]] = {}
    for part in parts:
        named.setdefault((part.kind, part.name), []).append(part)
    lines = []
    for part in parts:
        same = named[part.kind, part.name]
        newest = same[0]
        against = () if part is newest else _against(newest, part, units)
        lines.append(PartLine(part, len(same), part is newest, against))
    return tuple(lines)


def _against(newest: Part, part: Part, units: ShopUnits) -> tuple[str, ...]:
    lead = "" if part.kind == "frame" else f"{part.name} "
    told = differences(_alone(newest), _alone(part), units)
    return tuple(line.removeprefix(lead) for line in told)


def _alone(part: Part) -> Job:
    """Return a job with nothing but a part in it."""
    if part.kind == "frame":
        return Job(Tree({"frame": part.tree}))
    return Job(Tree({"setup": (Tree({**part.tree, "name": part.name}),)}))
