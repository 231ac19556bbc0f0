"""What goes out of the lists, comes back, and is erased only when somebody says so."""

from __future__ import annotations

from sqlalchemy import Column, Connection, Table, delete, func, select, update

from tui.store import tables

_job, _revision, _fitting = tables.job.c, tables.revision.c, tables.fitting.c


def mark_job(connection: Connection, uid: str, deleted_at: str | None) -> None:
    """Take a job out of the lists, or with None put it back."""
    connection.execute(update(tables.job).where(_job.uid == uid).values(deleted_at=deleted_at))


def mark_part(connection: Connection, digest: str, hidden_at: str | None) -> None:
    """Take a part out of the lists, or with None put it back; jobs that have it keep it."""
    connection.execute(update(tables.part).where(tables.part.c.digest == digest).values(hidden_at=hidden_at))


def count_deleted(connection: Connection) -> int:
    """Return how many jobs a purge would erase."""
    gone = select(func.count()).select_from(tables.job).where(_job.deleted_at.is_not(None))
    return int(connection.execute(gone).scalar_one())


def purge(connection: Connection) -> int:
    """Erase the deleted jobs for good, with what no other job has; return how many."""
    gone = select(_job.uid).where(_job.deleted_at.is_not(None))
    revisions = select(_revision.uid).where(_revision.job.in_(gone))
    connection.execute(delete(tables.fitting).where(_fitting.revision.in_(revisions)))
    connection.execute(delete(tables.revision).where(_revision.job.in_(gone)))
    erased = connection.execute(delete(tables.job).where(_job.deleted_at.is_not(None))).rowcount
    _drop_unused(connection, tables.part, "digest", _fitting.part)
    _drop_unused(connection, tables.bike, "uid", _job.bike)
    _drop_unused(connection, tables.customer, "uid", tables.bike.c.customer)
    return int(erased)


def _drop_unused(connection: Connection, table: Table, key: str, used: Column[str]) -> None:
    connection.execute(delete(table).where(table.c[key].not_in(select(used))))
