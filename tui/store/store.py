"""The interface of the records: every query and every change, on any of the databases."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import KW_ONLY, dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import wraps
from pathlib import Path
from typing import Concatenate, ParamSpec, TypeVar

from sqlalchemy import Connection, Engine

from tui.job.job import Job
from tui.store import reading as queries
from tui.store import saving as changes
from tui.store.address import StoreAddress
from tui.store.engines import WRITES
from tui.store.guarding import FileLock, back_up, back_up_anew
from tui.store.kept import KeptLog, RecordLink, Revision, Saved
from tui.store.saving import Saving
from tui.store.schema import refuse_later, version_of
from tui.store.trouble import LineLost, StoreTrouble, in_words

_CLOCKS_DIFFER = timedelta(minutes=2)
"""Difference of the clocks of two machines that is not reported."""

Given = ParamSpec("Given")
Result = TypeVar("Result")


def _within(
    transaction: Callable[[Store], AbstractContextManager[Connection]],
    statement: Callable[Concatenate[Connection, Given], Result],
) -> Callable[Concatenate[Store, Given], Result]:
    """Return a method that executes a query or a change in a transaction of its own."""

    @wraps(statement)
    def method(store: Store, /, *args: Given.args, **named: Given.kwargs) -> Result:
        with transaction(store) as connection:
            return statement(connection, *args, **named)

    return method


@dataclass(eq=False, repr=False)
class Store:
    """The open records. Every method raises `StoreTrouble` if they cannot be read or written.

    May be used from several threads. `told` is what a person should know of how they were opened, `journal`
    the journal mode of a file.
    """

    place: StoreAddress
    engine: Engine
    """Its schema is up to date."""
    _: KW_ONLY
    journal: str = ""
    told: str = ""
    lock: FileLock | None = None
    read_only: bool = False
    _unconfirmed: tuple[Saving, RecordLink | None] | None = field(default=None, init=False)
    """The last save if it failed: the server may have committed it."""

    @property
    def name(self) -> str:
        """The address of the records without a password."""
        return str(self.place)

    def close(self) -> None:
        """Close the connections and release the lock."""
        self.engine.dispose()
        if self.lock is not None:
            self.lock.release()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection in a transaction that reads."""
        with in_words(), self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection in a transaction that writes: all of its changes are committed, or none."""
        if self.read_only:
            raise StoreTrouble("the records are read-only here", "save the job to a file")
        marked = {WRITES: True}
        with in_words(), self.engine.connect().execution_options(**marked) as connection, connection.begin():
            refuse_later(version_of(connection))
            yield connection

    def save(
        self,
        job: Job,
        by: str,
        *,
        note: str = "",
        entry: RecordLink | None = None,
        before: str | None = None,
        logs: Sequence[KeptLog] = (),
    ) -> Saved:
        """Save a job as the next revision of its entry, or as a new one; it is on the disk when this returns.

        Nothing is overwritten: if somebody saved in between, both are kept as conflicting versions, and
        `Saved` has the other. `before` is the text it was opened from, whose comments are kept;
        `logs` are those that depend on the revision.
        """
        wanted = Saving.of(job, by, note, before, logs=logs)
        if self._unconfirmed is not None:
            last, its_entry = self._unconfirmed
            is_same = (last.text, last.by, last.note) == (wanted.text, wanted.by, wanted.note)
            if its_entry == entry and is_same:  # the same save, tried again
                wanted = replace(wanted, uid=last.uid)
        self._unconfirmed = wanted, entry
        try:
            saved = self._save(wanted, entry)
        except LineLost:  # the server may have committed it before the connection broke
            saved = self._save(wanted, entry)
        self._unconfirmed = None
        return saved

    def _save(self, wanted: Saving, entry: RecordLink | None) -> Saved:
        with self.writing() as connection:
            made, meanwhile, before = queries.revision_with(connection, wanted.uid), None, None
            if made is None:
                wanted = replace(wanted, at=changes.after_all(connection, wanted.at))
                before = None if entry is None else queries.job_in_list(connection, entry.job)
                if entry is None or before is None:  # a job that was purged meanwhile is a new one
                    made = changes.add_job(connection, wanted)
                else:
                    number = before.latest + 1
                    made = changes.add_revision(connection, entry.job, wanted, number, entry.base)
                    ends = changes.open_ends(connection, entry.job)
                    unseen = [end for end in ends if entry.seen < end < number]
                    meanwhile = queries.revision(connection, entry.job, max(unseen)) if unseen else None
        was_deleted = before is not None and before.deleted_at is not None
        ahead = made.saved_at > changes.moment(datetime.now(UTC) + _CLOCKS_DIFFER)
        return Saved(self.entry_of(made, made.number), made, meanwhile, was_deleted, ahead)

    def entry_of(self, revision: Revision, seen: int) -> RecordLink:
        """Return the entry of a job that is opened from a revision; `seen` is the newest known one."""
        return RecordLink(self.name, revision.job_uid, revision.number, max(seen, revision.number))

    def back_up(self, target: Path | None = None) -> Path:
        """Copy the records to a new file, by default in the folder of backups, and return it."""
        with in_words():
            if target is None:
                return back_up_anew(self.place, self.engine, "backup")
            return back_up(self.place, self.engine, target)

    find = _within(reading, queries.find)
    job = _within(reading, queries.job_in_list)
    latest = _within(reading, queries.latest)
    revisions = _within(reading, queries.revisions)
    revision = _within(reading, queries.revision)
    timeline = _within(reading, queries.timeline)
    attached = _within(reading, queries.attached)
    log_bytes = _within(reading, queries.log_bytes)
    parts = _within(reading, queries.parts)
    open_ends = _within(reading, changes.open_ends)
    settle = _within(writing, changes.settle)
    delete = _within(writing, changes.delete_job)
    restore = _within(writing, changes.restore_job)
    hide_part = _within(writing, changes.hide_part)
    show_part = _within(writing, changes.show_part)
    purge = _within(writing, changes.purge)
