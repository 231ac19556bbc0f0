"""A question put to the store, and its answer as the lines of a page."""

from __future__ import annotations

from collections.abc import Sequence

from tui.jobs.job import Job
from tui.jobs.tree import Table
from tui.records.differences import differences
from tui.records.listing import JobLine, Line, Listing, Page, PartLine, Question
from tui.records.timeline import open_ends, timeline_lines, version_lines
from tui.shop_units import ShopUnits
from tui.store.kept import Part
from tui.store.store import MOST, Store

KINDS = {Page.FRAMES: ("frame",), Page.SHOCKS: ("coil", "air")}


def look(store: Store, question: Question, units: ShopUnits) -> Listing:
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


def _jobs(store: Store, question: Question) -> Listing:
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
        return Job(Table({"frame": part.tree}))
    return Job(Table({"setup": (Table({**part.tree, "name": part.name}),)}))
