"""The tables of the records, the same on SQLite and PostgreSQL, and the migrations that make them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import Connection, Engine, Integer, LargeBinary, Text
from sqlalchemy.schema import Column, ForeignKey, MetaData, Table, UniqueConstraint

from tui.store.engines import MARK, WRITES
from tui.store.trouble import StoreTrouble, damaged

metadata = MetaData()


def _table(name: str, *columns: str | Column[Any], unique: tuple[str, ...] = ()) -> Table:
    """Return a table; a column given by its name is text that is never null, the first one the key."""
    made = (_text(c, key=c == columns[0]) if isinstance(c, str) else c for c in columns)
    return Table(name, metadata, *made, *([UniqueConstraint(*unique)] if unique else []))


def _text(name: str, *references: ForeignKey, key: bool = False, empty: bool = False) -> Column[str]:
    return Column(name, Text, *references, primary_key=key, nullable=empty)


def _reference(table: str, to: str = "uid", *, key: bool = False) -> Column[str]:
    return _text(table, ForeignKey(f"{table}.{to}"), key=key)


def _number(name: str, *, empty: bool = False) -> Column[int]:
    return Column(name, Integer, nullable=empty)


customer = _table("customer", "uid", "name", "ticket", unique=("name", "ticket"))
"""Who a job is for: a name or a ticket number, whichever is known; the other is empty."""

bike = _table("bike", "uid", _reference("customer"), "name", unique=("customer", "name"))

part = _table("part", "digest", "kind", "name", "text", "words", "first_at", _text("hidden_at", empty=True))
"""A frame with its leverage curve or the hardware of a shock, by the checksum of its content.

A row never changes: with another value it is another part of the same name. `kind` is "frame", "coil" or
"air", `text` its table in a job file.
"""

job = _table(
    "job",
    *("uid", _reference("bike"), "title", "hardware", "words", _number("latest"), _number("versions")),
    *("saved_at", "saved_by", _text("deleted_at", empty=True)),
)
"""A job as its latest revision shows it.

`words` is the text that a search looks in, `versions` the number of conflicting latest revisions.
"""

revision = _table(
    "revision",
    *("uid", _reference("job"), _number("number"), _number("parent", empty=True)),
    *(_number("settles", empty=True), "saved_at", "saved_by", "note", "text"),
    unique=("job", "number"),
)
"""One saved state of a job, as the text of a job file; its content never changes.

`parent` is the revision it was made from, `settles` a conflicting one that it was chosen over.
"""

_of_revision = _reference("revision", key=True)
fitting = _table("fitting", _of_revision, _text("place", key=True), _reference("part", "digest"))
"""Which part a revision has at a place: a path in the job such as "frame" or "front.setup.0"."""

log = _table(
    "log", "digest", "name", _number("size"), "first_at", Column("data", LargeBinary, nullable=False)
)
"""A logger's file by the checksum of its bytes: `size` of them, compressed by zlib in `data`."""

attachment = _table(
    "attachment",
    _reference("revision", key=True),
    Column("place", Integer, primary_key=True),
    _reference("log", "digest"),
    _text("told"),
)
"""The logs that a revision has, in order; `told` holds what a person told of columns and units, in JSON."""

TABLES: tuple[Table, ...] = (customer, bike, part, job, revision, fitting, log, attachment)
"""Every table, each behind those that it references."""

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
    (
        # SQLite keeps bytes as they are under any name of a type.
        "CREATE TABLE log (digest TEXT PRIMARY KEY, name TEXT NOT NULL, size INTEGER NOT NULL,"
        " first_at TEXT NOT NULL, data BYTEA NOT NULL)",
        "CREATE TABLE attachment (revision TEXT NOT NULL REFERENCES revision (uid),"
        " place INTEGER NOT NULL, log TEXT NOT NULL REFERENCES log (digest), told TEXT NOT NULL,"
        " PRIMARY KEY (revision, place))",
        "CREATE INDEX attachment_of_log ON attachment (log)",
    ),
)
"""The migrations from an empty database on; a released one never changes. Their number is the version."""

VERSION = len(STEPS)

_VERSION_TABLE = "springwright_schema"
"""Holds the version on a server; SQLite holds it in `user_version`."""


def version_of(connection: Connection) -> int:
    """Return the version of the schema, 0 where there is none yet."""
    if connection.dialect.name == "sqlite":
        return int(connection.exec_driver_sql("PRAGMA user_version").scalar_one())
    # The catalogue as it is now: names that the connection has cached may be older than its lock.
    named = f"schemaname = current_schema() AND tablename = '{_VERSION_TABLE}'"
    if not connection.exec_driver_sql(f"SELECT count(*) FROM pg_tables WHERE {named}").scalar_one():
        return 0
    version = connection.exec_driver_sql(f"SELECT max(version) FROM {_VERSION_TABLE}").scalar_one()
    if version is None:
        raise damaged(f"{_VERSION_TABLE} is empty")
    return int(version)


def refuse_later(version: int, known: int = VERSION) -> None:
    """Raise `StoreTrouble` for a schema of a later program."""
    if version > known:
        raise StoreTrouble(
            f"the records are from a later springwright (schema {version}, this one knows {known})",
            "use a springwright at least as new; nothing was changed",
        )


def migrate(engine: Engine, back_up: Callable[[int], object], steps: Sequence[Step] = STEPS) -> None:
    """Bring the schema up to date; `back_up` gets the version of existing records before every migration.

    Raises `StoreTrouble` for a schema of a later program. Sessions that migrate at once wait for each other.
    """
    with engine.connect() as connection:
        version = version_of(connection)
    refuse_later(version, len(steps))
    is_new = version == 0
    while version < len(steps):
        if not is_new:
            back_up(version)
        with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
            now = version_of(connection)
            if now == version:  # else another session has migrated meanwhile
                for statement in (*steps[version], *_version_statements(connection, version + 1)):
                    connection.exec_driver_sql(statement)
                now += 1
        version = now
    refuse_later(version, len(steps))  # of a later program that has migrated meanwhile


def _version_statements(connection: Connection, version: int) -> tuple[str, str]:
    if connection.dialect.name == "sqlite":
        return f"PRAGMA application_id = {MARK}", f"PRAGMA user_version = {version}"
    made = f"CREATE TABLE IF NOT EXISTS {_VERSION_TABLE} (version INTEGER NOT NULL)"
    return made, f"INSERT INTO {_VERSION_TABLE} VALUES ({version})"
