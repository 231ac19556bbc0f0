"""Queries: jobs found by words, their revisions, the history of a bike, parts, all rows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Column, ColumnElement, Connection, Engine, Select, Table, and_, func, or_, select

from tui.job.faults import UnusableJob
from tui.job.job import parse
from tui.store import schema as tables
from tui.store.engines import snapshot
from tui.store.kept import Attached, Finding, Found, Part, Revision, asked_words, unpacked, within_date
from tui.store.trouble import StoreTrouble, damaged, in_words

MOST = 200
"""Jobs or parts listed at once."""
Row = dict[str, Any]
Content = Mapping[str, list[Row]]
"""The rows of every table, by its name."""

_job, _bike, _customer = tables.job.c, tables.bike.c, tables.customer.c
_revision, _part, _fitting = tables.revision.c, tables.part.c, tables.fitting.c
_log, _attachment = tables.log.c, tables.attachment.c
_SHOWN = ("uid", "title", "hardware", "latest", "versions", "saved_at", "saved_by", "deleted_at")


def all_rows(engine: Engine) -> Content:
    """Return all rows of records whose schema is up to date, in one state while others write.

    Logs come without their bytes.
    """
    with in_words(), snapshot(engine) as connection:
        return {table.name: rows_of(connection, select(*told_of(table))) for table in tables.TABLES}


def told_of(table: Table) -> list[Column[Any]]:
    """Return the columns of a table except the bytes of logs, which may not fit into memory."""
    return [column for column in table.columns if column is not _log.data]


def rows_of(connection: Connection, asked: Select[Any]) -> list[Row]:
    """Return the rows of a query by the names of their columns."""
    return [dict(row._mapping) for row in connection.execute(asked)]


def find(connection: Connection, text: str = "", *, deleted: bool = False, most: int = MOST) -> Finding:
    """Return the newest jobs, or `deleted` jobs, that contain every word of `text`.

    A date is also that of the list: when they were saved or deleted.
    """
    gone = _job.deleted_at.is_not(None) if deleted else _job.deleted_at.is_(None)
    at = _job.deleted_at if deleted else _job.saved_at
    newest = select(tables.job).where(gone, *_with_words(_job.words, at, text))
    newest = newest.order_by(_job.saved_at.desc(), _job.uid).limit(most + 1)
    found = _listed(connection, newest)
    return Finding(found[:most], len(found) > most)


def job_in_list(connection: Connection, uid: str) -> Found | None:
    """Return a job as lists show it, deleted or not; None if there is none."""
    return next(iter(_listed(connection, select(tables.job).where(_job.uid == uid))), None)


def latest(connection: Connection, job: str) -> int:
    """Return the number of the newest revision of a job, 0 where there is none."""
    return connection.execute(select(_job.latest).where(_job.uid == job)).scalar_one_or_none() or 0


def _listed(connection: Connection, jobs: Select[Any]) -> tuple[Found, ...]:
    """Return jobs with their customers; the subquery limits the join to the listed ones."""
    job = jobs.subquery()
    whose = {"customer": _customer.name, "ticket": _customer.ticket, "bike": _bike.name}
    columns = {**whose, **{name: job.c[name] for name in _SHOWN}}
    asked = (
        select(*(column.label(name) for name, column in columns.items()))
        .join_from(job, tables.bike, job.c.bike == _bike.uid)
        .join(tables.customer, _bike.customer == _customer.uid)
        .order_by(job.c.saved_at.desc(), job.c.uid)
    )
    return tuple(Found(**row._mapping) for row in connection.execute(asked))


def _with_words(words: ColumnElement[str], at: Column[Any], text: str) -> list[ColumnElement[bool]]:
    """Return the conditions that every word of `text` is one of `words` or the date of the time `at`."""
    found = list[ColumnElement[bool]]()
    for word in asked_words(text):
        said, date = words.contains(word, autoescape=True), within_date(word)
        found.append(said if date is None else or_(said, and_(at >= date[0], at < date[1])))
    return found


def revisions(connection: Connection, job: str) -> tuple[Revision, ...]:
    """Return all revisions of a job, the first one first."""
    return _revisions(connection, select(tables.revision).where(_revision.job == job))


def revision(connection: Connection, job: str, number: int) -> Revision | None:
    """Return one revision of a job, None if there is none."""
    asked = select(tables.revision).where(_revision.job == job, _revision.number == number)
    return next(iter(_revisions(connection, asked)), None)


def revision_with(connection: Connection, uid: str) -> Revision | None:
    """Return the revision of an id, None if it was never committed."""
    asked = select(tables.revision).where(_revision.uid == uid)
    return next(iter(_revisions(connection, asked)), None)


def attached(connection: Connection, revision: str) -> tuple[Attached, ...]:
    """Return the logs that a revision has, by its id, in order."""
    asked = select(_log.digest, _log.name, _log.size, _attachment.told).join_from(
        tables.attachment, tables.log, _attachment.log == _log.digest
    )
    asked = asked.where(_attachment.revision == revision).order_by(_attachment.place)
    return tuple(Attached(**row) for row in rows_of(connection, asked))


def log_bytes(connection: Connection, digest: str) -> bytes:
    """Return the bytes of a log; raises `StoreTrouble` if they are damaged or not there."""
    data = connection.execute(select(_log.data).where(_log.digest == digest)).scalar_one_or_none()
    if data is None:
        raise StoreTrouble("the log is not in the records any more", "read its file again")
    return unpacked(data, digest)


def timeline(connection: Connection, job: str) -> tuple[Revision, ...]:
    """Return all revisions of all jobs of a job's bike in the order of time, without other deleted jobs.

    Nothing identifies a bike without a name of a customer without a name: then only the job's own revisions.
    """
    asked = (
        select(_job.bike)
        .join(tables.bike, _job.bike == _bike.uid)
        .join(tables.customer, _bike.customer == _customer.uid)
        .where(_job.uid == job, or_(_bike.name != "", _customer.name != "", _customer.ticket != ""))
    )
    bike = connection.execute(asked).scalar_one_or_none()
    if bike is None:
        return revisions(connection, job)
    of_bike: Select[Any] = select(tables.revision).join(tables.job, _revision.job == _job.uid)
    of_bike = of_bike.where(_job.bike == bike, or_(_job.deleted_at.is_(None), _job.uid == job))
    found = _revisions(connection, of_bike.order_by(_revision.saved_at))
    # A revision is never before the one it follows in its job, whatever the clock said.
    at: dict[str, str] = {}
    times = {one.uid: at.setdefault(one.job_uid, "") for one in found}
    for one in sorted(found, key=lambda one: one.number):
        times[one.uid] = at[one.job_uid] = max(at[one.job_uid], one.saved_at)
    return tuple(sorted(found, key=lambda one: (times[one.uid], one.number)))


def _revisions(connection: Connection, asked: Select[Any]) -> tuple[Revision, ...]:
    rows = rows_of(connection, asked.order_by(_revision.number))
    return tuple(Revision(job_uid=row.pop("job"), **row) for row in rows)


def parts(connection: Connection, text: str = "", *kinds: str, most: int = MOST) -> tuple[Part, ...]:
    """Return the parts ("frame", "coil", "air") with every word of `text`, the newest first.

    A word is in the name, or is the date of the first save.
    """
    used = (
        select(func.count(func.distinct(_revision.job)))
        .select_from(tables.fitting)
        .join(tables.revision, _fitting.revision == _revision.uid)
    )
    uses = used.where(_fitting.part == _part.digest).scalar_subquery()
    asked = (
        select(_part.digest, _part.kind, _part.name, _part.text, _part.first_at, uses.label("uses"))
        .where(
            _part.kind.in_(kinds), _part.hidden_at.is_(None), *_with_words(_part.words, _part.first_at, text)
        )
        .order_by(_part.first_at.desc(), _part.digest)
        .limit(most)
    )
    return tuple(map(_part_of, rows_of(connection, asked)))


def _part_of(row: Row) -> Part:
    try:
        return Part(tree=parse(row.pop("text")).tree, **row)
    except UnusableJob as error:
        raise damaged(f"the text of {row['name']}: {error}") from error
