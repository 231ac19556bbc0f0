"""Protection of a file of records: lock, checks, quarantine if damaged, backups."""

from __future__ import annotations

import hashlib
import os
import secrets
import shlex
import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime, timedelta
from functools import partial
from itertools import count
from pathlib import Path
from typing import IO

from sqlalchemy import Engine, inspect, select

from tui.job.files import put_new, sync_folder
from tui.saying import path_text
from tui.store import engines
from tui.store.address import StoreAddress, make_file
from tui.store.engines import ENDINGS, MARK, PATIENCE, address_of, holds_changes, is_read_only, pages_beside
from tui.store.schema import TABLES, log, migrate, refuse_later
from tui.store.trouble import Damaged, StoreTrouble, damaged

HEAD = b"SQLite format 3\0"
"""The first bytes of a database."""
_LOOKED_AT = 4096
"""Bytes by which a text is told from damaged records."""
_MOST = 3
"""Faults after which the integrity check stops: only one is named, and finding all takes long."""


def _size(path: Path) -> int:
    """Return the size of a file, 0 if there is none; raises `OSError` for a name that can have none."""
    try:  # `Path.exists` keeps to itself, from Python 3.14 on, that a name is too long
        return path.stat().st_size
    except (FileNotFoundError, NotADirectoryError):
        return 0


def check_file(path: Path, known: int) -> int:
    """Return the version of the schema in a file, 0 if it has none yet.

    Raises `Damaged`, `StoreTrouble` for a sound file of another program or of a schema later than `known`,
    and `sqlite3.OperationalError` for one that cannot be read at this moment.
    """
    if not _size(path):
        if holds_changes(path):
            raise damaged("it is empty, but its log still holds changes")
        return 0
    try:
        with path.open("rb") as file:
            head = file.read(_LOOKED_AT)
        if not head.startswith(HEAD):
            if _is_text(head):
                raise StoreTrouble(f"{path_text(path)} is a text file", "use the file of the records")
            raise damaged("it is not a database")
        with _reading(path) as connection:
            version = _version(connection, path)
            refuse_later(version, known)
            # PRAGMA quick_check does not check that every index has every row, and a job that is in no index
            # is in no list. Nobody waits longer for it: records are opened in a thread, once a session.
            if (found := _pragma(connection, f"integrity_check({_MOST})")) != "ok":
                raise damaged(str(found))
            # SQLite reads the missing bytes of a truncated last page as zeros.
            size = int(_pragma(connection, "page_size"))
            whole, more = divmod(path.stat().st_size, size)
            if more and whole + 1 not in pages_beside(path, size):
                raise damaged("its end is cut off")
        return version
    except sqlite3.OperationalError:  # such as a lock, which says nothing about the content
        raise
    except sqlite3.DatabaseError as error:
        raise damaged(str(error)) from error
    except UnicodeDecodeError as error:  # in the message of a fault
        raise damaged("the names in it cannot be read") from error


def _is_text(head: bytes) -> bool:
    """Return whether a file begins like a text, such as a job named by mistake, and not like records."""
    if HEAD.startswith(head[: len(HEAD)]):  # cut off
        return False
    text = head.decode("utf-8", "ignore")
    # The last character of the part read may be cut off.
    return len(text.encode()) > len(head) - 4 and all(map(str.isprintable, text.split()))


def full_check(path: Path) -> tuple[str, ...]:
    """Return all faults of the pages, indexes and references of a file."""
    with _reading(path) as connection:
        wrong = [str(row[0]) for row in connection.execute("PRAGMA integrity_check")]
        lost = [
            f"{row[0]} refers to a missing {row[2]}" for row in connection.execute("PRAGMA foreign_key_check")
        ]
    return tuple(line for line in (*wrong, *lost) if line != "ok")


def _version(connection: sqlite3.Connection, path: Path) -> int:
    mark, version = _pragma(connection, "application_id"), int(_pragma(connection, "user_version"))
    tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if tables and mark != MARK:
        raise StoreTrouble(f"{path} is the database of another program", "use another path for the records")
    if (version < 1) if tables else version:
        raise damaged(f"its schema {version} does not match its tables")
    return version


def _pragma(connection: sqlite3.Connection, name: str) -> int | str:
    value: int | str = connection.execute(f"PRAGMA {name}").fetchone()[0]
    return value


@contextmanager
def _reading(path: Path) -> Iterator[sqlite3.Connection]:
    """Give a read-only connection: closing another one would write the log into an unchecked file."""
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
    # A transaction was interrupted: only a connection that writes can roll it back.
    with closing(_connect(address_of(path))) as connection:
        yield connection


def _connect(address: str) -> sqlite3.Connection:
    return sqlite3.connect(address, uri=True, timeout=PATIENCE, isolation_level=None)


_AGAIN = 0.02
"""Time between two attempts at a lock [s]."""


class FileLock:
    """A lock on the file of the records while it is open here: nobody else can quarantine it.

    The system releases it when a session dies. Where there is no locking, as in a folder that cannot be
    written, it locks nothing.
    """

    def __init__(self, path: Path) -> None:
        """Take the lock, shared; raises `StoreTrouble` if another session has it exclusively."""
        self._lock: IO[bytes] | None = None
        for mode in ("ab", "rb"):  # the lock file of another user is locked without being written
            with suppress(OSError):
                self._lock = path.with_name(f"{path.name}.lock").open(mode)
                break
        try:
            self.shared()
        except StoreTrouble:
            self.release()
            raise

    def alone(self) -> bool:
        """Make the lock exclusive; return whether no other session has the file open."""
        try:
            self._flock(shared=False)
        except OSError:
            return False
        return True

    def shared(self) -> None:
        """Make the lock shared again."""
        until = time.monotonic() + PATIENCE
        while True:
            try:
                return self._flock(shared=True)
            except BlockingIOError as busy:  # another session is renaming a damaged file
                if time.monotonic() > until:
                    raise StoreTrouble("another session has locked the records", "try again") from busy
                time.sleep(_AGAIN)
            except OSError:
                return None

    def release(self) -> None:
        """Release the lock."""
        lock, self._lock = self._lock, None
        if lock is not None:
            lock.close()

    def _flock(self, *, shared: bool) -> None:
        try:
            import fcntl
        except ImportError:  # Windows refuses to rename an open file, which protects it as well
            return
        if self._lock is not None:
            fcntl.flock(self._lock.fileno(), (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)


def quarantine(path: Path, why: Damaged, last_backup: Path | None) -> str:
    """Rename a damaged file with its log and journal, and return a message with its new name.

    Raises `Damaged` if it cannot be renamed. No other session may have it open.
    """
    stem = f"{path.stem}.damaged-{datetime.now(UTC):%Y%m%d-%H%M%S}"
    numbers = (f"-{number}" if number > 1 else "" for number in count(1))
    names = (path.with_name(f"{stem}{number}{path.suffix}") for number in numbers)
    target = next(name for name in names if not any(_file(name, end).exists() for end in ENDINGS))
    try:
        moved = [_file(path, end).rename(_file(target, end)) for end in ENDINGS if _file(path, end).exists()]
    except OSError as error:
        accepted = f"it cannot be moved aside ({error.strerror}); nothing was changed"
        raise Damaged(why.what, accepted) from error
    told = f"{why.what[:1].upper()}{why.what[1:]}. The file is kept as {moved[0]}; new records were started."
    if last_backup is None:
        return told
    command = f"springwright store import {shlex.quote(str(last_backup))}"
    return f"{told} {command} restores the last backup."


def _file(path: Path, ending: str) -> Path:
    return path.with_name(path.name + ending)


_ENDING, _TIME = ".sqlite", "%Y%m%dT%H%M%S%f"


def backup_name(place: StoreAddress, what: str) -> Path:
    """Return the path of a new backup; `what` is the reason for it.

    Its time is after that of the last one, so that it is found as the newest whatever the clock says.
    Sessions that ask at once may get the same name: `back_up_anew` tries again.
    """
    at, before = f"{datetime.now(UTC):{_TIME}}", last_backup(place)
    if before is not None and (last := _time_of(place, before)) >= at:
        with suppress(ValueError, OverflowError):
            at = f"{datetime.strptime(last, _TIME) + timedelta(microseconds=1):{_TIME}}"
    return place.backups / f"{_prefix(place)}{what}-{at}{_ENDING}"


def last_backup(place: StoreAddress) -> Path | None:
    """Return the newest backup in the folder of backups, None if there is none."""
    ours = {path: _time_of(place, path) for path in place.backups.glob(f"*{_ENDING}")}
    return max(filter(ours.get, ours), default=None, key=lambda path: ours[path])


def _time_of(place: StoreAddress, backup: Path) -> str:
    """Return the time in the name of a backup of these records, empty where it is of others."""
    if not backup.name.startswith(prefix := _prefix(place)):
        return ""
    # The reason and the time; a name with more parts is of other records in the same folder.
    rest = backup.name.removeprefix(prefix).removesuffix(_ENDING).split("-")
    return rest[1] if len(rest) == 2 else ""


def _prefix(place: StoreAddress) -> str:
    return f"{'records' if place.file is None else place.file.stem}-"


class NameTaken(StoreTrouble):
    """A backup whose name another file has."""


def back_up_anew(place: StoreAddress, engine: Engine, what: str) -> Path:
    """Copy the records to a new file of the folder of backups; `what` is the reason for it.

    Raises `StoreTrouble` and OSError as `back_up` does.
    """
    while True:
        with suppress(NameTaken):  # the other session's backup is the newest now: the next name is after it
            return back_up(place, engine, backup_name(place, what))


def back_up(place: StoreAddress, engine: Engine, target: Path) -> Path:
    """Copy the records to a new file, which is on the disk when this returns it.

    Raises `NameTaken` where the file exists, or another session makes it meanwhile, and OSError.
    """
    is_there = NameTaken(f"{target} exists already", "use the name of a new file")
    if os.path.lexists(target):
        raise is_there
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with part_of(target, target.parent) as folder:
        beside = folder / target.name
        make_file(beside)
        if place.file is not None:
            with engine.connect():  # raises where it is not the file that was opened
                copy_file(place.file, beside)
        else:
            _copy_server(engine, beside)
        _seal(beside)
        with beside.open("r+b") as file:  # some systems sync only a file that is open to be written
            os.fsync(file.fileno())
        try:
            put_new(beside, target)
        except FileExistsError:
            raise is_there from None
        sync_folder(target.parent)
    return target


_TRIES = 5
"""Attempts to make a folder that another session removes as the remains of a dead session."""


@contextmanager
def part_of(target: Path, folder: Path) -> Iterator[Path]:
    """Give a new folder inside `folder`, on one disk, where a session writes what becomes `target`.

    It is removed at the end; the remains of dead sessions are removed at the beginning.
    """
    for old in filter(partial(is_part, target), folder.iterdir()):
        if (lock := _lock_on(old)) is not None:
            shutil.rmtree(old, ignore_errors=True)
            with suppress(OSError):
                old.unlink()  # of earlier versions, which wrote a file
            os.close(lock)
    for _ in range(_TRIES):
        own = folder / f".{target.name}.{secrets.token_hex(4)}.part"
        own.mkdir(mode=0o700)
        # Until it is locked another session may take it for the remains of a dead one.
        if (lock := _lock_on(own)) is not None and own.exists():
            break
        if lock is not None:
            os.close(lock)
            lock = None
    own.mkdir(mode=0o700, exist_ok=True)  # where there are no locks nobody removes it
    try:
        yield own
    finally:
        shutil.rmtree(own, ignore_errors=True)
        if lock is not None:
            os.close(lock)


def is_part(target: Path, path: Path) -> bool:
    """Return whether a path is what some session is writing for a target."""
    return path.name.startswith(f".{target.name}.") and path.name.endswith("part")


def _lock_on(path: Path) -> int | None:
    """Return the descriptor that locks a folder as long as it is open, None where that is not possible."""
    try:
        import fcntl

        handle = os.open(path, os.O_RDONLY)
    except (ImportError, OSError):
        return None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:  # its session is alive
        os.close(handle)
        return None
    return handle


_SEAL = "springwright_seal"
"""The table of a backup with the checksums of all others: a bit that changes in a text damages no page."""


def _seal(backup: Path) -> None:
    """Put the checksums of all tables into a backup."""
    with closing(sqlite3.connect(backup)) as connection, connection:
        connection.execute(f"DROP TABLE IF EXISTS {_SEAL}")
        connection.execute(f"CREATE TABLE {_SEAL} (name TEXT PRIMARY KEY, digest TEXT NOT NULL)")
        connection.executemany(f"INSERT INTO {_SEAL} VALUES (?, ?)", _digests(connection).items())


def seals_broken(path: Path) -> tuple[str, ...]:
    """Return what was changed in a backup after it was made; empty for a file that is not a backup."""
    with _reading(path) as connection:
        if not _is_sealed(connection):
            return ()
        promised = dict(connection.execute(f"SELECT name, digest FROM {_SEAL}").fetchall())
        found = _digests(connection)
    changed = sorted(name for name in found if promised.get(name) != found[name])
    return tuple(f"{name}: changed after the backup was made" for name in changed)


def unsealed(path: Path) -> tuple[str, ...]:
    """Remove the seal of a backup that is put to use; return what was changed in it before."""
    with closing(_connect(address_of(path))) as connection:
        if not _is_sealed(connection):
            return ()
        broken = seals_broken(path)
        connection.execute(f"DROP TABLE IF EXISTS {_SEAL}")  # others may open it too
    return broken


def _is_sealed(connection: sqlite3.Connection) -> bool:
    return connection.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (_SEAL,)).fetchone() is not None


def _digests(connection: sqlite3.Connection) -> dict[str, str]:
    """Return the checksum of the rows of every table; the bytes of logs have one of their own."""
    names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name").fetchall()
    found = {}
    connection.text_factory = bytes  # bytes that are no longer valid text have a checksum too
    for name in (name for [name] in names if name != _SEAL and not name.startswith("sqlite_")):
        columns = connection.execute(f"PRAGMA table_info({name})")
        told = ", ".join(row[1].decode() for row in columns if row[2] != b"BYTEA")
        digest = hashlib.sha256(told.encode())
        for row in connection.execute(f"SELECT {told} FROM {name} ORDER BY {told}"):
            digest.update(repr(row).encode())
        found[name] = digest.hexdigest()
    connection.text_factory = str
    return found


def copy_file(source: Path, target: Path) -> None:
    """Copy a file of records in one state while others write."""
    with (
        closing(sqlite3.connect(address_of(source), uri=True)) as old,
        closing(sqlite3.connect(target)) as new,
    ):
        old.backup(new)
        # The copy is one file, without a log that could be left behind.
        new.execute("PRAGMA journal_mode = DELETE")


def _copy_server(engine: Engine, target: Path) -> None:
    copy = engines.sqlite_engine(target)
    try:
        migrate(copy, lambda _version: None)
        with engines.snapshot(engine) as old, copy.begin() as new:
            there = set(inspect(old).get_table_names())  # those of an older schema are fewer
            for table in (table for table in TABLES if table.name in there):
                if table is log:  # one by one: many may not fit into the memory
                    for [digest] in old.execute(select(log.c.digest)).all():
                        row = old.execute(log.select().where(log.c.digest == digest)).one()
                        new.execute(log.insert(), dict(row._mapping))
                elif rows := [dict(row._mapping) for row in old.execute(table.select())]:
                    new.execute(table.insert(), rows)
    finally:
        copy.dispose()
