"""The schema brought up to date, step by step, each in one transaction with a backup before it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sqlalchemy import Connection, Engine

from tui.store.engines import WRITES
from tui.store.sqlite_file import MARK
from tui.store.steps import STEPS, Step
from tui.store.trouble import StoreTrouble

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
