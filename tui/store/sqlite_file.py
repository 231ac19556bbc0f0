"""The file of the records: held while open, checked before it is trusted, moved aside when damaged."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import IO

from tui.store.filesystem import is_on_network
from tui.store.trouble import Damaged, StoreTrouble, damaged

MARK = 0x53505257
"""Application id of our files (PRAGMA application_id of SQLite): other programs have none or another."""
PATIENCE = 10.0
"""How long one session waits for another's change [s]."""
_HEAD = b"SQLite format 3\0"
_BESIDE = ("-wal", "-shm", "-journal")


def check_head(path: Path) -> None:
    """Raise `Damaged` for a file that is no database at all; an empty one is one that is not made yet."""
    with path.open("rb") as file:
        head = file.read(len(_HEAD))
    if head and head != _HEAD:
        raise damaged("it is not a database")


def quick_check(path: Path) -> None:
    """Raise `Damaged` where the database itself finds that it is not sound."""
    with closing(_reader(path)) as connection:
        found = [str(row[0]) for row in connection.execute("PRAGMA quick_check(3)")]
    if found != ["ok"]:
        raise damaged(found[0])


def full_check(path: Path) -> tuple[str, ...]:
    """Return all that is wrong with a file, nothing for a sound one: pages, indexes and what points where."""
    with closing(_reader(path)) as connection:
        wrong = [str(row[0]) for row in connection.execute("PRAGMA integrity_check")]
        lost = [f"{row[0]} points to no {row[2]}" for row in connection.execute("PRAGMA foreign_key_check")]
    return tuple(line for line in (*wrong, *lost) if line != "ok")


def check_owner(path: Path) -> None:
    """Raise `StoreTrouble` for a database that another program made."""
    with closing(_reader(path)) as connection:
        mark = connection.execute("PRAGMA application_id").fetchone()[0]
        tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if tables and mark != MARK:
        raise StoreTrouble(f"{path} is the database of another program", "another path for the records")


def file_version(path: Path) -> int:
    """Return the version of the schema in a file."""
    with closing(_reader(path)) as connection:
        return int(connection.execute("PRAGMA user_version").fetchone()[0])


def is_read_only(path: Path) -> bool:
    """Return whether a file can only be read here; one in a closed folder could have no journal."""
    return not os.access(path.parent, os.W_OK) or (path.exists() and not os.access(path, os.W_OK))


def address_of(path: Path) -> str:
    """Return the address SQLite opens a file by; one that cannot be written is read as it lies there."""
    return f"{path.absolute().as_uri()}?{'mode=ro&immutable=1' if is_read_only(path) else 'mode=rwc'}"


def _reader(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(address_of(path), uri=True, timeout=PATIENCE, isolation_level=None)


def ask_for_journal(path: Path) -> str:
    """Ask for the journal that lets one write while others read, and return the one that the file has now.

    It needs memory that all sessions share, which is not to be had between machines: there the old kind is
    asked for.
    """
    wanted = "DELETE" if is_on_network(path) else "WAL"
    with closing(_reader(path)) as connection:
        try:
            return str(connection.execute(f"PRAGMA journal_mode = {wanted}").fetchone()[0])
        except sqlite3.OperationalError:  # another session is in it, and has asked already
            return str(connection.execute("PRAGMA journal_mode").fetchone()[0])


class Hold:
    """A hold on the file as long as it is open here: nobody moves it aside meanwhile.

    Where there is no locking, as in a folder that cannot be written, it holds nothing.
    """

    def __init__(self, path: Path) -> None:
        """Hold the file together with other sessions."""
        self._lock: IO[bytes] | None = None
        with suppress(OSError):
            self._lock = path.with_name(f"{path.name}.lock").open("ab")
            _flock(self._lock, shared=True)

    def alone(self) -> bool:
        """Take the file for this session alone; return whether nobody else has it open."""
        if self._lock is None:
            return True
        try:
            _flock(self._lock, shared=False)
        except OSError:
            return False
        return True

    def shared(self) -> None:
        """Let others in again."""
        if self._lock is not None:
            with suppress(OSError):
                _flock(self._lock, shared=True)

    def release(self) -> None:
        """Let go."""
        lock, self._lock = self._lock, None
        if lock is not None:
            lock.close()


def _flock(lock: IO[bytes], *, shared: bool) -> None:
    try:
        import fcntl
    except ImportError:  # Windows refuses to rename what is open, which is the same hold
        return
    fcntl.flock(lock.fileno(), (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)


def move_aside(path: Path, hold: Hold, why: Damaged, backups: Path) -> str:
    """Move a damaged file and what belongs to it out of the way, and say where it is now.

    Raises `Damaged` where another session has it open or it cannot be moved.
    """
    if not hold.alone():
        raise Damaged(why.what, "close every other session on these records, then start again") from why
    aside = _free_name(path)
    try:
        for ending in _BESIDE:
            with suppress(FileNotFoundError):
                path.with_name(path.name + ending).rename(aside.with_name(aside.name + ending))
        path.rename(aside)
    except OSError as error:
        raise Damaged(
            why.what, f"it cannot be moved aside ({error.strerror}); nothing was changed"
        ) from error
    finally:
        hold.shared()
    told = f"{why.what[:1].upper()}{why.what[1:]}. The file is kept as {aside}, and new records are begun."
    newest = max(backups.glob(f"{path.stem}*{path.suffix}"), default=None, key=os.path.getmtime)
    return (
        told if newest is None else f"{told} springwright store import {newest} brings back the last backup."
    )


def _free_name(path: Path) -> Path:
    stem = f"{path.stem}.damaged-{datetime.now(UTC):%Y%m%d-%H%M%S}"
    names = (
        path.with_name(f"{stem}{extra}{path.suffix}") for extra in ("", *(f"-{n}" for n in range(2, 1000)))
    )
    return next(name for name in names if not name.exists())
