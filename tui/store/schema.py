"""The tables of the records, the same on SQLite and PostgreSQL, as `steps` makes them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sqlalchemy import (
    Column,
    Connection,
    Engine,
    ForeignKey,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

from tui.store.engines import MARK, WRITES
from tui.store.trouble import StoreTrouble

metadata = MetaData()


def _text(name: str, *more: ForeignKey, key: bool = False, empty: bool = False) -> Column[str]:
    return Column(name, Text, *more, primary_key=key, nullable=empty)


customer = Table(
    "customer",
    metadata,
    _text("uid", key=True),
    _text("name"),
    _text("ticket"),
    UniqueConstraint("name", "ticket"),
)
"""Who a job is for: a name or a ticket number, whichever is known; the other is empty."""

bike = Table(
    "bike",
    metadata,
    _text("uid", key=True),
    _text("customer", ForeignKey("customer.uid")),
    _text("name"),
    UniqueConstraint("customer", "name"),
)

part = Table(
    "part",
    metadata,
    _text("digest", key=True),
    _text("kind"),
    _text("name"),
    _text("text"),
    _text("words"),
    _text("first_at"),
    _text("hidden_at", empty=True),
)
"""A frame with its curve or the hardware of a shock, by its content: it never changes, another value is
another part of the same name. `kind` is "frame", "coil" or "air", `text` its table in a job file."""

job = Table(
    "job",
    metadata,
    _text("uid", key=True),
    _text("bike", ForeignKey("bike.uid")),
    _text("title"),
    _text("hardware"),
    _text("words"),
    Column("latest", Integer, nullable=False),
    Column("versions", Integer, nullable=False),
    _text("saved_at"),
    _text("saved_by"),
    _text("deleted_at", empty=True),
)
"""A job as its latest revision has it. `words` is all that finds it, `versions` how many revisions stand side
by side that nobody went on from."""

revision = Table(
    "revision",
    metadata,
    _text("uid", key=True),
    _text("job", ForeignKey("job.uid")),
    Column("number", Integer, nullable=False),
    Column("parent", Integer, nullable=True),
    Column("settles", Integer, nullable=True),
    _text("saved_at"),
    _text("saved_by"),
    _text("note"),
    _text("text"),
    UniqueConstraint("job", "number"),
)
"""One saved state of a job, as the text of a job file; it never changes. `parent` is the revision it was made
from, `settles` another one that it was chosen over."""

fitting = Table(
    "fitting",
    metadata,
    _text("revision", ForeignKey("revision.uid"), key=True),
    _text("place", key=True),
    _text("part", ForeignKey("part.digest")),
)
"""Which part a revision has at a place: a path in the job such as "frame" or "front.setup.0"."""

TABLES: tuple[Table, ...] = (customer, bike, part, job, revision, fitting)
"""Every table, each behind those that it points to."""


Step = tuple[str, ...]

STEPS: tuple[Step, ...] = (
    (
        "CREATE TABLE customer (uid TEXT PRIMARY KEY, name TEXT NOT NULL, ticket TEXT NOT NULL,"
        " UNIQUE (name, ticket))",
        "CREATE TABLE bike (uid TEXT PRIMARY KEY, customer TEXT NOT NULL REFERENCES customer (uid),"
        " name TEXT NOT NULL, UNIQUE (customer, name))",
        "CREATE TABLE part (digest TEXT PRIMARY KEY, kind TEXT NOT NULL, name TEXT NOT NULL,"
        " text TEXT NOT NULL, words TEXT NOT NULL, first_at TEXT NOT NULL, hidden_at TEXT)",
        "CREATE TABLE job (uid TEXT PRIMARY KEY, bike TEXT NOT NULL REFERENCES bike (uid),"
        " title TEXT NOT NULL, hardware TEXT NOT NULL, words TEXT NOT NULL,"
        " latest INTEGER NOT NULL, versions INTEGER NOT NULL, saved_at TEXT NOT NULL,"
        " saved_by TEXT NOT NULL, deleted_at TEXT)",
        "CREATE TABLE revision (uid TEXT PRIMARY KEY, job TEXT NOT NULL REFERENCES job (uid),"
        " number INTEGER NOT NULL, parent INTEGER, settles INTEGER, saved_at TEXT NOT NULL,"
        " saved_by TEXT NOT NULL, note TEXT NOT NULL, text TEXT NOT NULL, UNIQUE (job, number))",
        "CREATE TABLE fitting (revision TEXT NOT NULL REFERENCES revision (uid), place TEXT NOT NULL,"
        " part TEXT NOT NULL REFERENCES part (digest), PRIMARY KEY (revision, place))",
    ),
    (
        "CREATE INDEX job_newest ON job (saved_at)",
        "CREATE INDEX job_of_bike ON job (bike)",
        "CREATE INDEX fitting_of_part ON fitting (part)",
    ),
)
"""The steps from an empty database on; their count is the version of the schema."""

VERSION = len(STEPS)


_VERSION_TABLE = "springwright_schema"
"""Holds the version on a server; a file has its `user_version` for it."""


def version_of(connection: Connection) -> int:
    """Return the version of the schema, 0 where there is none yet."""
    if _is_file(connection):
        return int(connection.exec_driver_sql("PRAGMA user_version").scalar_one())
    # Asked of the catalogue as it is now: what a session remembers of names may be older than its lock.
    named = f"schemaname = current_schema() AND tablename = '{_VERSION_TABLE}'"
    if not connection.exec_driver_sql(f"SELECT count(*) FROM pg_tables WHERE {named}").scalar_one():
        return 0
    return int(connection.exec_driver_sql(f"SELECT max(version) FROM {_VERSION_TABLE}").scalar_one())


def refuse_later(version: int, known: int) -> None:
    """Raise `StoreTrouble` for a schema that only a later program knows."""
    if version > known:
        raise StoreTrouble(
            f"the records were made by a later springwright (schema {version}, this one knows {known})",
            "a springwright at least as new as the one that made them; nothing was changed",
        )


def migrate(engine: Engine, back_up: Callable[[int], object], steps: Sequence[Step] = STEPS) -> None:
    """Bring the schema up to date; of records that exist `back_up` is given the version before every step.

    Raises `StoreTrouble` where it is of a later program. Sessions that start at once wait for each other.
    """
    with engine.connect() as connection:
        version = version_of(connection)
    refuse_later(version, len(steps))
    is_new = version == 0
    while version < len(steps):
        if not is_new:
            back_up(version)
        version = _one_step(engine, version, steps)
    refuse_later(version, len(steps))  # a later program may have come meanwhile


def _one_step(engine: Engine, version: int, steps: Sequence[Step]) -> int:
    """Do the step after `version` unless another session has; return the version that is reached."""
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        now = version_of(connection)
        if now != version:
            return now
        for statement in steps[version]:
            connection.exec_driver_sql(statement)
        _set_version(connection, version + 1)
    return version + 1


def _set_version(connection: Connection, version: int) -> None:
    if _is_file(connection):
        connection.exec_driver_sql(f"PRAGMA application_id = {MARK}")
        connection.exec_driver_sql(f"PRAGMA user_version = {version}")
        return
    connection.exec_driver_sql(f"CREATE TABLE IF NOT EXISTS {_VERSION_TABLE} (version INTEGER NOT NULL)")
    connection.exec_driver_sql(f"INSERT INTO {_VERSION_TABLE} VALUES ({version})")


def _is_file(connection: Connection) -> bool:
    return connection.dialect.name == "sqlite"
