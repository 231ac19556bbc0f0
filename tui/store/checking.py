"""A file of the records looked at before it is trusted; looking changes nothing that is in it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from tui.store.engines import MARK, PATIENCE, address_of, holds_changes, is_read_only, pages_beside
from tui.store.schema import refuse_later
from tui.store.trouble import StoreTrouble, damaged

_HEAD = b"SQLite format 3\0"
_TOLD = 3
"""Faults the database is asked for: one is named, and counting them all takes long."""


def check_file(path: Path, known: int) -> int:
    """Return the version of the schema in a file, 0 where nothing is made yet.

    Raises `Damaged`, `StoreTrouble` for a file that is sound and not for this program, which knows the
    versions up to `known`, and what the database raises where it cannot be read at this moment.
    """
    if not path.exists() or not path.stat().st_size:
        if holds_changes(path):
            raise damaged("it is empty, and changes that belong to it lie beside it")
        return 0
    try:
        _check_head(path)
        with _looking(path) as connection:
            version = _version(connection, path)
            refuse_later(version, known)
            _check_pages(connection)
            _check_end(connection, path)
        return version
    except sqlite3.OperationalError:  # not to be had now, which says nothing about what it holds
        raise
    except sqlite3.DatabaseError as error:
        raise damaged(str(error)) from error
    except UnicodeDecodeError as error:  # what the database wanted to say of it
        raise damaged("the names in it cannot be read") from error


def full_check(path: Path) -> tuple[str, ...]:
    """Return all that is wrong with a file, nothing for a sound one: pages, indexes and what points where."""
    with _looking(path) as connection:
        wrong = [str(row[0]) for row in connection.execute("PRAGMA integrity_check")]
        lost = [f"{row[0]} points to no {row[2]}" for row in connection.execute("PRAGMA foreign_key_check")]
    return tuple(line for line in (*wrong, *lost) if line != "ok")


def _check_head(path: Path) -> None:
    with path.open("rb") as file:
        if file.read(len(_HEAD)) != _HEAD:
            raise damaged("it is not a database")


def _version(connection: sqlite3.Connection, path: Path) -> int:
    mark = connection.execute("PRAGMA application_id").fetchone()[0]
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if tables and mark != MARK:
        raise StoreTrouble(f"{path} is the database of another program", "another path for the records")
    if (version < 1) if tables else version:
        raise damaged(f"its schema {version} and its tables do not go together")
    return version


def _check_pages(connection: sqlite3.Connection) -> None:
    # The quick check leaves out whether each index has every row, and a job that no list shows is lost, too.
    # Nobody waits for what that takes more: the records are opened in a thread, once a session.
    found = connection.execute(f"PRAGMA integrity_check({_TOLD})").fetchone()[0]
    if found != "ok":
        raise damaged(str(found))


def _check_end(connection: sqlite3.Connection, path: Path) -> None:
    # The database takes what is missing of the last page for zeros, as if there had never been more.
    size = int(connection.execute("PRAGMA page_size").fetchone()[0])
    whole, more = divmod(path.stat().st_size, size)
    if more and whole + 1 not in pages_beside(path, size):
        raise damaged("its end is cut off")


@contextmanager
def _looking(path: Path) -> Iterator[sqlite3.Connection]:
    """Give a connection that cannot write: to close another one mixes changes into a file not yet trusted."""
    address = address_of(path) if is_read_only(path) else f"{path.absolute().as_uri()}?mode=ro"
    with closing(_connect(address)) as connection:
        try:
            connection.execute("PRAGMA schema_version")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_READONLY_ROLLBACK:
                raise
        else:
            yield connection
            return
    # A change was cut off: what the file was before has to be put back, which a writer alone may.
    with closing(_connect(address_of(path))) as connection:
        yield connection


def _connect(address: str) -> sqlite3.Connection:
    return sqlite3.connect(address, uri=True, timeout=PATIENCE, isolation_level=None)
