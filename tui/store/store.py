"""The records as the rest of the program knows them: one interface, whatever database is under it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection, Engine, update

from tui.job.job import Job
from tui.store import reading, saving
from tui.store import saving as removing
from tui.store import schema as tables
from tui.store.address import StoreAddress
from tui.store.backup import back_up, backup_name
from tui.store.engines import WRITES
from tui.store.kept import Finding, Found, Part, RecordLink, Revision, Saved
from tui.store.quarantine import FileLock
from tui.store.saving import Saving
from tui.store.schema import VERSION, refuse_later, version_of
from tui.store.trouble import LineLost, StoreTrouble, in_words

Result = TypeVar("Result")

MOST = 200
"""Jobs or parts listed at once."""


class Store:
    """The open records. Every method raises `StoreTrouble` where they cannot be read or written.

    May be used from several threads. `told` is what a person should know of how it was opened, `journal`
    the kind of journal a file has.
    """

    def __init__(
        self,
        place: StoreAddress,
        engine: Engine,
        *,
        journal: str = "",
        told: str = "",
        hold: FileLock | None = None,
        read_only: bool = False,
    ) -> None:
        """Take an engine whose schema is up to date."""
        self.place = place
        self.engine = engine
        self.journal = journal
        self.told = told
        self.read_only = read_only
        self._hold = hold
        self._unheard: tuple[Saving, RecordLink | None] | None = None

    @property
    def name(self) -> str:
        """What tells these records from others, without any password."""
        return str(self.place)

    def close(self) -> None:
        """Let go of the records."""
        self.engine.dispose()
        if self._hold is not None:
            self._hold.release()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees one state of the records."""
        with in_words(), self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection whose changes become true all together, or not at all."""
        if self.read_only:
            raise StoreTrouble(
                "the records can be read and not written here", "saving to a file (W) is possible"
            )
        with in_words(), self._writer() as connection, connection.begin():
            refuse_later(version_of(connection), VERSION)
            yield connection

    def _writer(self) -> Connection:
        return self.engine.connect().execution_options(**{WRITES: True})

    def save(
        self, job: Job, by: str, *, note: str = "", entry: RecordLink | None = None, before: str | None = None
    ) -> Saved:
        """Save a job as the next revision of its entry, or as a new one; it is on the disk when this returns.

        Nothing is written over: where somebody saved in between, both stand side by side, and `Saved` tells.
        `before` is the text it was opened from, whose comments stay.
        """
        wanted = self._again(Saving.of(job, by, note, before), entry)
        self._unheard = wanted, entry
        try:
            saved = self._save(wanted, entry)
        except LineLost:  # the server may have taken it before the line broke
            saved = self._save(wanted, entry)
        self._unheard = None
        return saved

    def _again(self, wanted: Saving, entry: RecordLink | None) -> Saving:
        """Return a save as the one before if nothing was heard of that and this is the same."""
        if self._unheard is None or self._unheard[1] != entry or not self._unheard[0].says_the_same(wanted):
            return wanted
        return replace(wanted, uid=self._unheard[0].uid)

    def _save(self, wanted: Saving, entry: RecordLink | None) -> Saved:
        with self.writing() as connection:
            there = saving.revision_with(connection, wanted.uid)
            if there is not None:
                return Saved(self._entry(there), there, None)
            before = None if entry is None else reading.job_in_list(connection, entry.job)
            if entry is None or before is None:  # what was purged meanwhile is a new job
                made, meanwhile = saving.add_job(connection, wanted), None
            else:
                made = saving.add_revision(connection, entry.job, wanted, before.latest + 1, entry.base)
                meanwhile = _beside(connection, made, entry.seen)
        was_deleted = before is not None and before.deleted_at is not None
        return Saved(self._entry(made), made, meanwhile, was_deleted)

    def _entry(self, revision: Revision) -> RecordLink:
        return RecordLink(self.name, revision.job_uid, revision.number, revision.number)

    def latest(self, job: str) -> int:
        """Return the number of the newest revision of a job, 0 where there is none."""
        found = self.job(job)
        return 0 if found is None else found.latest

    def entry_of(self, revision: Revision, seen: int) -> RecordLink:
        """Return where a job goes on that is opened from a revision, by whom `seen` is the newest known."""
        return RecordLink(self.name, revision.job_uid, revision.number, max(seen, revision.number))

    def settle(self, job: str, goes_on: int, over: int) -> None:
        """Say that of two revisions side by side one goes on; the other stays in the history."""
        with self.writing() as connection:
            saving.settle(connection, job, goes_on, over)
            left = len(saving.open_ends(connection, job))
            connection.execute(update(tables.job).where(tables.job.c.uid == job).values(versions=left))

    def find(self, text: str = "", *, deleted: bool = False, most: int = MOST) -> Finding:
        """Return the newest jobs in which every word of `text` is found, or such of the deleted ones."""
        return self._read(lambda connection: reading.find(connection, text, most, deleted=deleted))

    def job(self, uid: str) -> Found | None:
        """Return a job as lists show it, None where there is none."""
        return self._read(lambda connection: reading.job_in_list(connection, uid))

    def revisions(self, job: str) -> tuple[Revision, ...]:
        """Return all revisions of a job, the first one first."""
        return self._read(lambda connection: reading.revisions(connection, job))

    def revision(self, job: str, number: int) -> Revision | None:
        """Return one revision of a job."""
        return self._read(lambda connection: reading.revision(connection, job, number))

    def open_ends(self, job: str) -> tuple[int, ...]:
        """Return the numbers of the revisions that stand side by side; one in the usual case."""
        return self._read(lambda connection: saving.open_ends(connection, job))

    def timeline(self, job: str) -> tuple[Revision, ...]:
        """Return all that was saved of the bike of a job, in the order of time."""
        return self._read(lambda connection: reading.timeline(connection, job))

    def parts(self, text: str = "", *kinds: str, most: int = MOST) -> tuple[Part, ...]:
        """Return the parts ("frame", "coil", "air") found by name, those last new first."""
        return self._read(lambda connection: reading.parts(connection, text, kinds, most))

    def delete(self, job: str) -> None:
        """Take a job out of the lists; nothing of it is erased."""
        with self.writing() as connection:
            removing.mark_job(connection, job, saving.now())

    def restore(self, job: str) -> None:
        """Put a deleted job back."""
        with self.writing() as connection:
            removing.mark_job(connection, job, None)

    def hide_part(self, digest: str) -> None:
        """Take a part out of the lists; jobs that have it keep it."""
        with self.writing() as connection:
            removing.mark_part(connection, digest, saving.now())

    def show_part(self, digest: str) -> None:
        """Put a hidden part back."""
        with self.writing() as connection:
            removing.mark_part(connection, digest, None)

    def purge(self) -> int:
        """Erase the deleted jobs for good; return how many."""
        with self.writing() as connection:
            return removing.purge(connection)

    def back_up(self, target: Path | None = None) -> Path:
        """Copy the records to a file, in the folder of backups unless a path is given, and return it."""
        with in_words():
            return back_up(self.place, self.engine, target or backup_name(self.place, "backup"))

    def _read(self, asked: Callable[[Connection], Result]) -> Result:
        with self.reading() as connection:
            return asked(connection)


def _beside(connection: Connection, made: Revision, seen: int) -> Revision | None:
    """Return the newest revision that stands beside one just made and that its owner has not seen."""
    ends = saving.open_ends(connection, made.job_uid)
    unseen = max((number for number in ends if seen < number < made.number), default=None)
    return None if unseen is None else reading.revision(connection, made.job_uid, unseen)
