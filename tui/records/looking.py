"""Results of queries of the store as lines of the records screen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from tui.job.faults import UnusableJob
from tui.job.job import Job
from tui.job.panels import panels
from tui.job.tree import Tree
from tui.job.typed import field_text
from tui.job.wheels import Wheel, wheel_job
from tui.records import state as words
from tui.records.state import JobLine, Listing, Page, PartLine, Query, RevisionLine
from tui.shop_units import ShopUnits
from tui.store.kept import Part, Revision
from tui.store.reading import MOST
from tui.store.store import Store
from tui.subjects.differences import Side, between, differences, ends, side_of

_TOLD_APART = ("measured", "ridden")
"""Tables that a line shows separately from the changes."""


def timeline_lines(revisions: Sequence[Revision], units: ShopUnits) -> tuple[RevisionLine, ...]:
    """Return the revisions of a bike, given in chronological order, the newest first.

    Each is compared with its parent, the first of a job with the last one of the bike before.
    """
    sides = _sides(revisions, units)
    found: list[RevisionLine] = []
    for place, revision in enumerate(revisions):
        earlier, job = revisions[:place], revision.job_uid
        own = (one for one in earlier if (one.job_uid, one.number) == (job, revision.parent))
        before, since = next(own, earlier[-1] if earlier else None), ""
        if before is not None and before is not earlier[-1]:
            since = f"since rev {before.number}{'' if before.job_uid == job else ' of the previous job'}"
        open_here = open_ends([one for one in revisions if one.job_uid == job])
        others = [str(number) for number in open_here if number != revision.number]
        conflicting = others and revision.number in open_here
        beside = f"conflicts with rev {' and '.join(others)}" if conflicting else ""
        found.append(_line(revision, before, since, sides, beside))
    return tuple(reversed(found))


def version_lines(versions: Sequence[Revision], units: ShopUnits) -> tuple[RevisionLine, ...]:
    """Return conflicting revisions, newest first, each compared with the next, the last with the first."""
    sides = _sides(versions, units)
    newest_first = sorted(versions, key=lambda revision: revision.number, reverse=True)
    others = [*newest_first[1:], *newest_first[:1]]
    return tuple(
        _line(revision, other, f"against rev {other.number}", sides, "")
        for revision, other in zip(newest_first, others, strict=True)
    )


def open_ends(revisions: Sequence[Revision]) -> tuple[int, ...]:
    """Return the numbers of a job's revisions without a child that were not settled."""
    gone_on = {number for revision in revisions for number in (revision.parent, revision.settles)}
    return tuple(revision.number for revision in revisions if revision.number not in gone_on)


def _sides(revisions: Sequence[Revision], units: ShopUnits) -> Mapping[str, Side | None]:
    """Return the sides of comparisons by revision uid, None for an unreadable one."""
    sides: dict[str, Side | None] = {}
    for revision in revisions:
        try:
            sides[revision.uid] = side_of(revision.job, units)
        except UnusableJob:
            sides[revision.uid] = None
    return sides


def _line(
    revision: Revision, before: Revision | None, since: str, sides: Mapping[str, Side | None], beside: str
) -> RevisionLine:
    side, old = sides[revision.uid], sides[before.uid] if before else None
    if side is None:
        return RevisionLine(revision, "", changes=words.DAMAGED)
    if before is None:
        changes = words.FIRST
    elif old is None:
        changes = words.UNREADABLE_BEFORE
    else:
        changes = tuple(between(old, side, _TOLD_APART)) or words.SAME
    job = side.typed
    measured = ", ".join(value for wheel in ends(job) for value in _values(job, wheel, "measured"))
    ridden = ", ".join(_values(job, "rear", "ridden"))
    return RevisionLine(revision, job.title, since, changes, beside, measured, ridden)


def _values(job: Job, of: Wheel, table: str) -> Iterator[str]:
    """Yield the values of a table of one wheel of a job, each with its label."""
    wheel, front = wheel_job(job, of), "front " if of == "front" else ""
    for row in (row for panel in panels(wheel) for row in panel.rows if row.path[0] == table):
        if wheel.get(row.path) is not None:
            # The heading already says that these are measurements.
            label = (word for word in (row.compared or row.label).split() if word != "measured")
            yield f"{front}{' '.join(label)} {field_text(wheel, row)}"


def listing_of(store: Store, question: Query, units: ShopUnits) -> Listing:
    """Return the result of a query; raises `StoreTrouble`."""
    page, text, of = question
    match page:
        case Page.JOBS | Page.DELETED:
            found = store.find(text, deleted=page is Page.DELETED)
            # Without a search text, an empty list may mean that nothing was ever saved, not even a deleted
            # job.
            empty = not (found.entries or text) and not any_job(store)
            return Listing(question, tuple(map(JobLine, found.entries)), found.more, empty)
        case Page.FRAMES | Page.SHOCKS:
            parts = store.parts(text, *(("frame",) if page is Page.FRAMES else ("coil", "air")))
            return Listing(question, part_lines(parts, units), more=len(parts) >= MOST)
        case Page.TIMELINE:
            return Listing(question, timeline_lines(store.timeline(of), units))
        case Page.VERSIONS:
            revisions = store.revisions(of)
            numbers = open_ends(revisions)
            versions = [revision for revision in revisions if revision.number in numbers]
            return Listing(question, version_lines(versions, units))


def any_job(store: Store) -> bool:
    """Return whether anything was ever saved, including deleted jobs."""
    return any(store.find(deleted=deleted, most=1).entries for deleted in (False, True))


def part_lines(parts: Sequence[Part], units: ShopUnits) -> tuple[PartLine, ...]:
    """Return parts as lines; older ones with the same name say how they differ from the newest."""
    named: dict[tuple[str, str], list[Part]] = {}
    for part in parts:
        named.setdefault((part.kind, part.name), []).append(part)
    lines = []
    for part in parts:
        newest, *older = named[part.kind, part.name]
        lead = "" if part.kind == "frame" else f"{part.name} "
        changes = () if part is newest else differences(_alone(newest), _alone(part), units)
        against = tuple(change.removeprefix(lead) for change in changes)
        lines.append(PartLine(part, 1 + len(older), part is newest, against))
    return tuple(lines)


def _alone(part: Part) -> Job:
    """Return a job that contains only a part."""
    if part.kind == "frame":
        return Job(Tree({"frame": part.tree}))
    return Job(Tree({"setup": (Tree({**part.tree, "name": part.name}),)}))
