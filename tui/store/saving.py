"""Statements that change the records: save, settle a conflict, delete, hide, purge."""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import Column, Connection, Table, delete, func, select, update

from physics.frozen import dataclass
from tui.job.files import toml_text
from tui.job.job import Job, parse, tidy
from tui.job.tree import Raw, Tree, clean, thaw
from tui.job.wheels import WHEELS, has_front, wheel_job
from tui.store import schema as tables
from tui.store.kept import KeptLog, Revision, folded, packed, words_of
from tui.store.reading import Row, rows_of

FRAME = "frame"
_SET = {
    "coil": ("name", "rate", "stages", "preload", "preload_turns"),
    "air": ("name", "pressure", "positive_spacers", "negative_spacers", "negative_pressure"),
}
"""Keys of a setup that a mechanic sets or orders; the others describe the shock."""
_job, _revision, _part, _fitting = tables.job.c, tables.revision.c, tables.part.c, tables.fitting.c
_log, _attachment = tables.log.c, tables.attachment.c


@dataclass(frozen=True, slots=True)
class Fitted:
    """A part with a name, and where in the job it is."""

    place: str
    kind: str
    name: str
    tree: Tree

    @property
    def digest(self) -> str:
        """The checksum of its content."""
        told = json.dumps([self.kind, thaw(self.tree)], sort_keys=True, default=str)
        return hashlib.sha256(told.encode()).hexdigest()


def fitted_parts(job: Job) -> tuple[Fitted, ...]:
    """Return the frames and shocks of a job that were given a name."""
    found = []
    for name in WHEELS if has_front(job) else ("rear",):
        before, wheel = "front." if name == "front" else "", wheel_job(job, name)
        frame = wheel.tree.get("frame")
        if isinstance(frame, Tree) and (called := _stripped(frame.get("name"))):
            found.append(Fitted(f"{before}frame", FRAME, called, frame))
        for index, setup in enumerate(wheel.setups):
            kind = setup.get("kind")
            if kind in _SET and (called := _stripped(setup.get("shock"))):
                found.append(Fitted(f"{before}setup.{index}", str(kind), called, hardware_of(setup)))
    return tuple(found)


def hardware_of(setup: Mapping[str, Raw]) -> Tree:
    """Return a setup without its settings."""
    left = _SET.get(str(setup.get("kind")), ())
    return tidy({key: raw for key, raw in setup.items() if key not in left})


def _stripped(raw: object) -> str:
    return raw.strip() if isinstance(raw, str) else ""


@dataclass(frozen=True, slots=True)
class Saving:
    """A save to be made: a job as the text of its file, by whom, when, and under which id.

    The id is given before the transaction: if the connection to a server breaks before it confirms, the save
    is repeated under the same id, and one that was committed is found by it.
    """

    job: Job
    text: str
    by: str
    note: str
    uid: str
    at: str
    logs: tuple[KeptLog, ...] = ()

    @classmethod
    def of(
        cls,
        job: Job,
        by: str,
        note: str,
        before: str | None,
        at: str | None = None,
        logs: Sequence[KeptLog] = (),
    ) -> Saving:
        """Return the save of a job `at` a time, by default now, with the comments of the text `before`."""
        text = toml_text(job, before)
        return cls(job, text, clean(by), clean(note), new_uid(), at or now(), tuple(logs))

    def as_revision(self, job: str, number: int, parent: int | None) -> Revision:
        """Return the revision it makes of a job."""
        return Revision(self.uid, job, number, parent, None, self.at, self.by, self.note, self.text)


def new_uid() -> str:
    """Return a unique id."""
    return uuid.uuid4().hex


def now() -> str:
    """Return this moment as the records write it."""
    return moment(datetime.now(UTC))


def moment(at: datetime) -> str:
    """Return a time as the records write it: UTC to the microsecond, in a form that sorts by time."""
    return f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%S.%fZ}"


def after_all(connection: Connection, at: str) -> str:
    """Return a time, or the one just after the newest save if the clock is behind it.

    Lists and histories are sorted by time, so the latest save must have the latest time.
    """
    newest = connection.execute(select(func.max(_job.saved_at))).scalar_one()
    if newest is None or newest < at:
        return at
    try:
        return moment(datetime.fromisoformat(newest) + timedelta(microseconds=1))
    except (ValueError, OverflowError):  # of another program, or at the end of time
        return str(newest)


def add_job(connection: Connection, saving: Saving) -> Revision:
    """Insert a job with its first revision."""
    made = saving.as_revision(new_uid(), 1, None)
    row = {"uid": made.job_uid, **_newest(connection, [vars(made)], saving.job)}
    connection.execute(tables.job.insert(), row)
    _insert(connection, made, saving)
    return made


def add_revision(
    connection: Connection, job: str, saving: Saving, number: int, parent: int | None
) -> Revision:
    """Insert the next revision of a job and update the row of the job."""
    made = saving.as_revision(job, number, parent)
    _insert(connection, made, saving)
    columns = [column for column in _revision if column.name != "text"]
    rows = rows_of(connection, select(*columns).where(_revision.job == job).order_by(_revision.number))
    show_newest(connection, job, rows, saving.job)
    return made


def show_newest(connection: Connection, job: str, revisions: Sequence[Row], newest: Job) -> None:
    """Update the row of a job from its revisions; it is in the lists again if it was deleted."""
    values = _newest(connection, revisions, newest)
    connection.execute(update(tables.job).where(_job.uid == job).values(values))


def _newest(connection: Connection, revisions: Sequence[Row], newest: Job) -> Row:
    return {"bike": bike_of(connection, newest), "deleted_at": None, **shown_job(revisions, newest)}


def shown_job(revisions: Sequence[Row], newest: Job | None = None) -> Row:
    """Return the part of a job's row that follows from its revisions; `newest` is the last text, parsed."""
    newest = parse(revisions[-1]["text"]) if newest is None else newest
    said = (text for row in revisions for text in (row["note"], row["saved_by"]))
    names = dict.fromkeys(part.name for part in fitted_parts(newest))
    return {
        "title": newest.title,
        "hardware": ", ".join(names),
        "words": words_of(newest.tree, said),
        "latest": revisions[-1]["number"],
        "versions": len(_ends([(row["number"], row["parent"], row["settles"]) for row in revisions])),
        "saved_at": revisions[-1]["saved_at"],
        "saved_by": revisions[-1]["saved_by"],
    }


def _insert(connection: Connection, made: Revision, saving: Saving) -> None:
    """Insert a revision and its parts; a new part is inserted, a hidden one shown again."""
    values = {**vars(made), "job": made.job_uid}
    connection.execute(tables.revision.insert(), {column.name: values[column.name] for column in _revision})
    for part in fitted_parts(saving.job):
        known = _part.digest == part.digest
        if connection.execute(select(func.count()).select_from(tables.part).where(known)).scalar_one():
            connection.execute(update(tables.part).where(known).values(hidden_at=None))
        else:
            text = toml_text(Job(part.tree), None)
            row = {"digest": part.digest, "kind": part.kind, "name": part.name, "text": text}
            row |= {"words": folded(part.name), "first_at": saving.at}
            connection.execute(tables.part.insert(), row)
        fitting = {"revision": made.uid, "place": part.place, "part": part.digest}
        connection.execute(tables.fitting.insert(), fitting)
    for place, log in enumerate(saving.logs, 1):
        same = select(func.count()).select_from(tables.log).where(_log.digest == log.digest)
        if not connection.execute(same).scalar_one():
            told: Row = {"digest": log.digest, "name": clean(log.name), "size": len(log.data)}
            told |= {"first_at": saving.at, "data": packed(log.data)}
            connection.execute(tables.log.insert(), told)
        attachment = {"revision": made.uid, "place": place, "log": log.digest, "told": log.told}
        connection.execute(tables.attachment.insert(), attachment)


def open_ends(connection: Connection, job: str) -> tuple[int, ...]:
    """Return the numbers of a job's revisions that have no successor and were not rejected in a conflict.

    Usually one; more are conflicting versions.
    """
    asked = select(_revision.number, _revision.parent, _revision.settles).where(_revision.job == job)
    return _ends([tuple(row) for row in connection.execute(asked)])


def _ends(revisions: Sequence[tuple[int, int | None, int | None]]) -> tuple[int, ...]:
    """Return the open ends of revisions given as number, parent and what they settle."""
    continued = {number for _, *others in revisions for number in others}
    return tuple(sorted(number for number, *_ in revisions if number not in continued))


def settle(connection: Connection, job: str, chosen: int, over: int) -> None:
    """Note that of two conflicting revisions `chosen` was chosen `over` the other; the newest choice counts.

    A revision can settle one other. If `chosen` settles one already, the choice is noted at the last
    revision of that chain.
    """
    of_job = update(tables.revision).where(_revision.job == job)
    connection.execute(of_job.where(_revision.settles == chosen).values(settles=None))
    rows = connection.execute(select(_revision.number, _revision.settles).where(_revision.job == job))
    settles: dict[int, int | None] = {row.number: row.settles for row in rows}
    last, seen = chosen, {chosen}
    while (other := settles.get(last)) is not None and other != over and other not in seen:
        seen.add(other)
        last = other
    connection.execute(of_job.where(_revision.number == last).values(settles=over))
    left = len(open_ends(connection, job))
    connection.execute(update(tables.job).where(_job.uid == job).values(versions=left))


def bike_of(connection: Connection, job: Job) -> str:
    """Return the id of a job's bike, inserted with its customer where it is new."""
    customer, ticket, bike = (_stripped(job.get(("record", key))) for key in ("customer", "ticket", "bike"))
    owner = _found_or_made(connection, tables.customer, name=customer, ticket=ticket)
    return _found_or_made(connection, tables.bike, customer=owner, name=bike)


def _found_or_made(connection: Connection, table: Table, **values: str) -> str:
    same = [table.c[key] == value for key, value in values.items()]
    uid = connection.execute(select(table.c.uid).where(*same)).scalar_one_or_none()
    if uid is None:
        uid = new_uid()
        connection.execute(table.insert(), {"uid": uid, **values})
    return str(uid)


def _marks(column: Column[Any], *, clear: bool) -> Callable[[Connection, str], None]:
    """Return a function that writes the current time into a column of one row, or clears it."""
    [key] = column.table.primary_key

    def mark(connection: Connection, row: str) -> None:
        time = None if clear else now()
        connection.execute(update(column.table).where(key == row).values({column.name: time}))

    return mark


delete_job, restore_job = (_marks(_job.deleted_at, clear=clear) for clear in (False, True))
"""Take a job out of the lists, nothing of it is erased; or put it back."""
hide_part, show_part = (_marks(_part.hidden_at, clear=clear) for clear in (False, True))
"""Take a part out of the lists, jobs that have it keep it; or put it back."""


def count_deleted(connection: Connection) -> int:
    """Return how many jobs a purge would erase."""
    gone = select(func.count()).select_from(tables.job).where(_job.deleted_at.is_not(None))
    return int(connection.execute(gone).scalar_one())


def purge(connection: Connection) -> int:
    """Erase the deleted jobs, with the parts, logs, bikes and customers of no other job; return how many."""
    gone = select(_job.uid).where(_job.deleted_at.is_not(None))
    revisions = select(_revision.uid).where(_revision.job.in_(gone))
    connection.execute(delete(tables.fitting).where(_fitting.revision.in_(revisions)))
    connection.execute(delete(tables.attachment).where(_attachment.revision.in_(revisions)))
    connection.execute(delete(tables.revision).where(_revision.job.in_(gone)))
    erased = connection.execute(delete(tables.job).where(_job.deleted_at.is_not(None))).rowcount
    bike, customer = tables.bike.c, tables.customer.c
    keys = (
        (_part.digest, _fitting.part),
        (_log.digest, _attachment.log),
        (bike.uid, _job.bike),
        (customer.uid, bike.customer),
    )
    for key, used in keys:
        connection.execute(delete(key.table).where(key.not_in(select(used))))
    return int(erased)
