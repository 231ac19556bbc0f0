"""What is in the records: jobs found as one types, their revisions, the history of a bike, parts."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Select, func, or_, select

from tui.job.faults import UnusableJob
from tui.job.job import parse
from tui.job.tree import Tree
from tui.store import schema as tables
from tui.store.kept import Finding, Found, Part, Revision, asked_words
from tui.store.trouble import damaged

_job, _bike, _customer, _revision, _part, _fitting = (
    tables.job.c,
    tables.bike.c,
    tables.customer.c,
    tables.revision.c,
    tables.part.c,
    tables.fitting.c,
)
_SHOWN = ("uid", "title", "hardware", "latest", "versions", "saved_at", "saved_by", "deleted_at")


def find(connection: Connection, text: str, most: int, *, deleted: bool = False) -> Finding:
    """Return the newest jobs that have every word of `text` somewhere, or of the deleted ones."""
    gone = _job.deleted_at.is_not(None) if deleted else _job.deleted_at.is_(None)
    newest = (
        select(tables.job).where(gone, *_having(_job.words, text)).order_by(_job.saved_at.desc(), _job.uid)
    )
    found = _listed(connection, newest.limit(most + 1))
    return Finding(found[:most], len(found) > most)


def job_in_list(connection: Connection, uid: str) -> Found | None:
    """Return a job as lists show it, deleted or not."""
    return next(iter(_listed(connection, select(tables.job).where(_job.uid == uid))), None)


def _listed(connection: Connection, jobs: Select[Any]) -> tuple[Found, ...]:
    """Return some jobs with their customers; these are looked up for what is listed alone."""
    job = jobs.subquery()
    columns = {
        "customer": _customer.name,
        "ticket": _customer.ticket,
        "bike": _bike.name,
        **{name: job.c[name] for name in _SHOWN},
    }
    asked = (
        select(*(column.label(name) for name, column in columns.items()))
        .join_from(job, tables.bike, job.c.bike == _bike.uid)
        .join(tables.customer, _bike.customer == _customer.uid)
        .order_by(job.c.saved_at.desc(), job.c.uid)
    )
    return tuple(Found(**row._mapping) for row in connection.execute(asked))


def _having(words: ColumnElement[str], text: str) -> list[ColumnElement[bool]]:
    return [words.contains(word, autoescape=True) for word in asked_words(text)]


def revisions(connection: Connection, job: str) -> tuple[Revision, ...]:
    """Return all revisions of a job, the first one first."""
    asked = select(tables.revision).where(_revision.job == job).order_by(_revision.number)
    return tuple(map(revision_of, connection.execute(asked)))


def revision(connection: Connection, job: str, number: int) -> Revision | None:
    """Return one revision of a job."""
    asked = select(tables.revision).where(_revision.job == job, _revision.number == number)
    row = connection.execute(asked).one_or_none()
    return None if row is None else revision_of(row)


def timeline(connection: Connection, job: str) -> tuple[Revision, ...]:
    """Return what was ever saved of the bike of a job, in the order of time, deleted jobs left out.

    A bike without a name, of a customer without a name, is nobody in particular: then the job's own.
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
    of_bike: Select[Any] = (
        select(tables.revision)
        .join(tables.job, _revision.job == _job.uid)
        .where(_job.bike == bike, or_(_job.deleted_at.is_(None), _job.uid == job))
        .order_by(_revision.saved_at, _revision.number)
    )
    return tuple(map(revision_of, connection.execute(of_bike)))


def revision_of(row: Row[Any]) -> Revision:
    """Return a row as a revision."""
    told = dict(row._mapping)
    return Revision(job_uid=told.pop("job"), **told)


def parts(connection: Connection, text: str, kinds: tuple[str, ...], most: int) -> tuple[Part, ...]:
    """Return the parts of some kinds with every word of `text` in their name, those last new first."""
    used = (
        select(func.count(func.distinct(_revision.job)))
        .select_from(tables.fitting)
        .join(tables.revision, _fitting.revision == _revision.uid)
    )
    uses = used.where(_fitting.part == _part.digest).scalar_subquery()
    asked = (
        select(_part.digest, _part.kind, _part.name, _part.text, _part.first_at, uses.label("uses"))
        .where(_part.kind.in_(kinds), _part.hidden_at.is_(None), *_having(_part.words, text))
        .order_by(_part.first_at.desc(), _part.digest)
        .limit(most)
    )
    rows = connection.execute(asked).all()
    return tuple(
        Part(row.digest, row.kind, row.name, _tree(row.name, row.text), row.first_at, row.uses)
        for row in rows
    )


def _tree(name: str, text: str) -> Tree:
    try:
        return parse(text).tree
    except UnusableJob as error:
        raise damaged(f"the text of {name}: {error}") from error
