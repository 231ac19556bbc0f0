"""Whether records are whole: every save of them complete, and every list as the saves have it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, select

from tests.tui.store.work import job_of
from tui.store import schema as tables
from tui.store.guarding import full_check
from tui.store.kept import folded
from tui.store.reading import job_in_list, revisions
from tui.store.saving import fitted_parts, open_ends
from tui.store.store import Store


def assert_whole(store: Store) -> dict[str, int]:
    """Check everything in some records; return how many times each note is in them."""
    if store.place.file is not None:
        assert full_check(store.place.file) == ()
    notes: dict[str, int] = {}
    with store.reading() as connection:
        for uid in connection.execute(select(tables.job.c.uid)).scalars().all():
            for note in _assert_job_whole(connection, uid):
                notes[note] = notes.get(note, 0) + 1
        fitted = set(connection.execute(select(tables.fitting.c.part)).scalars())
        assert set(connection.execute(select(tables.part.c.digest)).scalars()) == fitted
        bikes = set(connection.execute(select(tables.job.c.bike)).scalars())
        assert bikes <= set(connection.execute(select(tables.bike.c.uid)).scalars())
        there = connection.execute(select(tables.revision.c.note)).scalars().all()
        assert len(there) == sum(notes.values()), "a revision belongs to no job"
    return notes


def _assert_job_whole(connection: Connection, uid: str) -> list[str]:
    found = job_in_list(connection, uid)
    assert found is not None
    kept = revisions(connection, uid)
    assert [revision.number for revision in kept] == list(range(1, len(kept) + 1))
    assert (found.latest, found.versions) == (len(kept), len(open_ends(connection, uid)))
    assert found.title == kept[-1].job.title
    words = connection.execute(select(tables.job.c.words).where(tables.job.c.uid == uid)).scalar_one()
    for revision in kept:
        assert revision.job == job_of(revision.note)
        assert folded(revision.note) in words
        asked = select(tables.fitting.c.place, tables.fitting.c.part)
        rows = connection.execute(asked.where(tables.fitting.c.revision == revision.uid)).all()
        assert {tuple(row) for row in rows} == {
            (part.place, part.digest) for part in fitted_parts(revision.job)
        }
    return [revision.note for revision in kept]


def assert_kept(store: Store, acknowledged: Iterable[tuple[Any, ...]]) -> None:
    """Check that every save that was acknowledged is there, where it was said to be, as it was given."""
    for _, note, job, number, *_ in acknowledged:
        revision = store.revision(job, number)
        assert revision is not None, note
        assert revision.note == note
        assert revision.job == job_of(note)
