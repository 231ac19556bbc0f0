"""All that is known of the selected line, in sentences."""

from __future__ import annotations

from tui.records.columns import facts, jobs_of, whose
from tui.records.listing import (
    DAMAGED,
    FIRST,
    SAME,
    UNREADABLE_BEFORE,
    JobLine,
    Line,
    PartLine,
    RevisionLine,
)
from tui.records.moments import day, moment
from tui.records.roles import Role
from tui.store.kept import Found

Detail = tuple[str, Role]


def details(line: Line | None) -> list[Detail]:
    """Return what is known of a line, the most wanted first."""
    match line:
        case JobLine(found=found):
            return _job(found)
        case PartLine():
            return _part(line)
        case RevisionLine():
            return _revision(line)
        case _:
            return []


def _job(found: Found) -> list[Detail]:
    who = ", ".join(filter(None, (whose(found), found.bike)))
    told: list[Detail] = [(f"{who or 'Nobody named'}: {found.title or 'no title'}", Role.STRONG)]
    by = f"{moment(found.saved_at)} by {found.saved_by or 'nobody named'}"
    if found.versions > 1:
        many = f"{found.versions} versions stand side by side: Enter shows them, and one of them goes on."
        told.append((many, Role.WARNING))
    told.append((f"Revision {found.latest}, saved {by}.", Role.BASE))
    if found.hardware:
        told.append((f"Hardware: {found.hardware}.", Role.BASE))
    return told


def _part(line: PartLine) -> list[Detail]:
    part = line.part
    told: list[Detail] = [
        (f"{part.name}: {facts(part) or part.kind}", Role.STRONG),
        (f"First kept {day(part.first_at)}, in {jobs_of(part)}.", Role.BASE),
    ]
    if line.twins > 1 and line.newest:
        told.append((f"The newest of {line.twins} that bear this name.", Role.BASE))
    elif line.against:
        told.append((f"From the newest of this name to this one: {'; '.join(line.against)}.", Role.BASE))
    return told


def _revision(line: RevisionLine) -> list[Detail]:
    revision = line.revision
    by = f"{moment(revision.saved_at)} by {revision.saved_by or 'nobody named'}"
    told: list[Detail] = [(f"Revision {revision.number} of {line.title or 'no title'}, {by}", Role.STRONG)]
    if line.beside:
        told.append((f"It stands {line.beside}: nobody went on from either.", Role.WARNING))
    if revision.note:
        told.append((f"Note: {revision.note}", Role.BASE))
    told.append((_changes(line), Role.BASE))
    if line.measured:
        told.append((f"Measured: {line.measured}.", Role.BASE))
    if line.ridden:
        told.append((f"On the ride: {line.ridden}.", Role.BASE))
    return told


def _changes(line: RevisionLine) -> str:
    """Return what a revision changed, and against what if that is not the one before it."""
    lead = line.since or ("" if line.changes in (SAME, FIRST, DAMAGED, UNREADABLE_BEFORE) else "changed")
    text = f"{lead}: {'; '.join(line.changes)}" if lead else "".join(line.changes)
    return f"{text[:1].upper()}{text[1:]}."
