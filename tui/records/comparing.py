"""Two saved revisions compared on the bench; nothing of that is saved unless somebody saves it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.bench.dialogs_page import Page, Paragraph, Tone
from tui.bench.screen_jobs import if_not_needed
from tui.bench.screen_store import put_on_bench
from tui.glyphs import Glyphs
from tui.jobs.faults import UnusableJob
from tui.records.compare import Compared, Named, compared
from tui.records.moments import day, moment

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.shop_units import ShopUnits
    from tui.store.kept import Revision


def compare_on_bench(screen: BenchScreen, one: Revision, other: Revision) -> None:
    """Put two revisions on the bench as setups beside each other, what is there saved or let go first."""
    older, newer = sorted((one, other), key=lambda revision: (revision.saved_at, revision.number))
    try:
        found = of_revisions(older, newer, screen.state.units)
    except UnusableJob as unusable:
        screen.say(f"They cannot be compared: {unusable.faults[0].what}.")
        return

    def put() -> None:
        put_on_bench(screen, found.job, note_of(found))
        if found.left_out:
            screen.app.push_screen(_page(found, older, newer, screen.glyphs))

    if_not_needed(screen, put)


def of_revisions(older: Revision, newer: Revision, units: ShopUnits) -> Compared:
    """Return the job that compares two revisions; raises `UnusableJob` where one is damaged."""
    names = names_of(older, newer)
    return compared(Named(older.job, names[0]), Named(newer.job, names[1]), units)


def names_of(older: Revision, newer: Revision) -> tuple[str, str]:
    """Return what tells two revisions apart, short enough to head a column: numbers, dates or customers."""
    if older.job_uid == newer.job_uid:
        return f"rev {older.number}", f"rev {newer.number}"
    days = (day(older.saved_at), day(newer.saved_at))
    owners = (_whose(older), _whose(newer))
    if owners[0] != owners[1]:
        return f"{owners[0]} {days[0]}", f"{owners[1]} {days[1]}"
    if days[0] != days[1]:
        return days
    return f"rev {older.number}", f"rev {newer.number} later"


def _whose(revision: Revision) -> str:
    record = (revision.job.get(("record", key)) for key in ("customer", "ticket"))
    named = [text.strip() for text in record if isinstance(text, str) and text.strip()]
    return (named or [revision.job.title or "job"])[0]


def note_of(found: Compared) -> str:
    """Say on the bench what is there, and that it is not in the records."""
    if not found.left_out:
        return "Side by side, under the same load; saved only if you save it."
    return "Side by side, under the newer one's load, on its frame; saved only if you save it."


def _page(found: Compared, older: Revision, newer: Revision, glyphs: Glyphs) -> Page:
    names = names_of(older, newer)
    told = (
        Paragraph(f"{names[0]} was saved {moment(older.saved_at)}, {names[1]} {moment(newer.saved_at)}."),
        Paragraph(
            f"All setups stand on the bench under the load and on the frame of {names[1]}. What {names[0]} "
            "had solved for its own load and sag stays at the value it had there."
        ),
        Paragraph("What differs beside the setups", Tone.HEAD),
        *map(Paragraph, found.left_out),
    )
    return Page("Compared", told, glyphs)
