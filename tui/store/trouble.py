"""Errors of the records: what went wrong, and what the person can do about it."""

from __future__ import annotations

import errno
import re
from collections.abc import Iterator
from contextlib import contextmanager

from tui.saying import path_text


class StoreTrouble(Exception):
    """Records that cannot be read or written: `what` is wrong, and what to do or use as `accepted`."""

    def __init__(self, what: str, accepted: str) -> None:
        """Keep both halves apart, for callers that lay them out themselves."""
        self.what = path_text(what)
        self.accepted = path_text(accepted)
        super().__init__(f"{self.what}; {self.accepted}")


class Damaged(StoreTrouble):
    """A file that is not a sound database."""


class LineLost(StoreTrouble):
    """A lost connection to the server: whether the last change was committed is unknown."""


class Unimportable(Exception):
    """What cannot be imported: one line for every fault."""

    def __init__(self, lines: tuple[str, ...]) -> None:
        """Keep the lines."""
        self.lines = tuple(map(path_text, lines))
        super().__init__("\n".join(self.lines))


def damaged(why: str) -> Damaged:
    """Return the error for a damaged file."""
    return Damaged(f"the records are damaged ({why})", "see springwright store check")


_ELSEWHERE = "Space Space f saves to a file"
"""Short because it ends a line that a narrow screen cuts."""


def gone() -> StoreTrouble:
    """Return the error for a path that no longer leads to the file that was opened."""
    return StoreTrouble("the records were moved or replaced", f"restore the file; {_ELSEWHERE}")


def line_for_command(trouble: StoreTrouble) -> str:
    """Return an error as a line for a command, where no key saves to a file."""
    accepted = "; ".join(part for part in trouble.accepted.split("; ") if part != _ELSEWHERE)
    return f"{trouble.what}; {accepted or 'use a place that can be read and written'}"


_FULL = ("the disk is full", f"make room; {_ELSEWHERE}")
_DISK = ("the disk cannot be read or written", f"check the disk; {_ELSEWHERE}")
_READ_ONLY = ("the records are read-only here", _ELSEWHERE)
_FORBIDDEN = ("this user may not write there", _ELSEWHERE)
_CLOSED = ("the file or its folder cannot be opened", f"use a path that can be written; {_ELSEWHERE}")
_BUSY = ("another session is still writing", f"try again; {_ELSEWHERE}")
_SLOW = ("the server takes too long", f"try again; {_ELSEWHERE}")
_REFUSED = ("the server refuses this user or password", "use another one in the address")
_NO_DATABASE = ("the server has no such database", "use a database made for the records")

_OF_SYSTEM = {
    errno.ENOSPC: _FULL,
    errno.EDQUOT: _FULL,
    errno.EIO: _DISK,
    errno.EROFS: _READ_ONLY,
    errno.EACCES: _FORBIDDEN,
    errno.EPERM: _FORBIDDEN,
}
_OF_SQLITE = {
    "FULL": _FULL,
    "IOERR": _DISK,
    "READONLY": _READ_ONLY,
    "PERM": _FORBIDDEN,
    "CANTOPEN": _CLOSED,
    "BUSY": _BUSY,
    "LOCKED": _BUSY,
}
"""By the first word of the name of its error. Without room for its shared memory it reports an I/O error."""
_OF_SERVER = {
    "28": _REFUSED,
    "3D000": _NO_DATABASE,
    "42501": _FORBIDDEN,
    "25006": _READ_ONLY,
    "53100": _FULL,
    "55P03": _BUSY,
    "57014": _SLOW,
    "58030": _DISK,
}
"""By the code of its error (SQLSTATE), or by the class of it, the first two characters."""
_NO_TABLE = ("42P01", "42703")
"""Codes for a table or a column that is missing."""
_GOING_DOWN = ("57P", "08")
"""Beginnings of the codes of a server going down or a broken connection."""
_LOST = ("the server of the records does not answer", f"try again; {_ELSEWHERE}")
_AT_LOGIN = (
    (re.compile(r'database ".*" does not exist'), _NO_DATABASE),
    (re.compile(r'role ".*" |authentication failed|pg_hba'), _REFUSED),
    (re.compile("no password supplied"), ("the server asks for a password", "see README on passwords")),
)
"""Messages of a server before a session exists; the driver passes no code with them."""
_NO_LINE = re.compile(
    "refused|time.?out|timed out|clos|lost|reset|resolve|translate|unreachable|no route|no such file|broken|"
    "could not (send|receive)|unexpected|EOF|name or service|name resolution|nodename|getaddrinfo",
    re.IGNORECASE,
)
"""Messages about a server that is unreachable, or no longer there."""


@contextmanager
def in_words() -> Iterator[None]:
    """Turn the errors of the database and the file system into `StoreTrouble`."""
    import sqlite3

    from sqlalchemy.exc import DBAPIError, SQLAlchemyError

    try:
        yield
    except DBAPIError as error:
        raise _trouble(error.orig, lost=error.connection_invalidated) from error
    except SQLAlchemyError as error:
        raise StoreTrouble(_first_line(str(error)), _ELSEWHERE) from error
    except UnicodeDecodeError as error:
        raise damaged("their text cannot be read") from error
    except (sqlite3.Error, OSError) as error:
        raise _trouble(error, lost=False) from error


def _trouble(error: BaseException | None, *, lost: bool) -> StoreTrouble:
    message = _first_line(getattr(error, "strerror", None) or str(error))
    if name := getattr(error, "sqlite_errorname", ""):
        return _of_sqlite(name, message)
    if isinstance(error, OSError):
        words = _OF_SYSTEM.get(error.errno or 0)
        return StoreTrouble(*words) if words else _unusable(message)
    if type(error).__module__.startswith("psycopg"):
        return _of_server(getattr(error, "sqlstate", None), message, lost=lost)
    # Python's own errors of SQLite: of text that is none, of a connection that is closed.
    return damaged(message) if "malformed" in message.lower() else _unusable(message)


def _of_sqlite(name: str, message: str) -> StoreTrouble:
    if name == "SQLITE_IOERR_SHMSIZE":
        return StoreTrouble(*_FULL)
    kind = name.removeprefix("SQLITE_").partition("_")[0]
    if kind in ("CORRUPT", "NOTADB", "FORMAT") or (kind == "ERROR" and message.startswith("no such ")):
        return damaged(message)
    return StoreTrouble(*_OF_SQLITE[kind]) if kind in _OF_SQLITE else _unusable(message)


def _of_server(code: str | None, message: str, *, lost: bool) -> StoreTrouble:
    if code is not None:
        if words := _OF_SERVER.get(code) or _OF_SERVER.get(code[:2]):
            return StoreTrouble(*words)
        if code in _NO_TABLE:
            return damaged(message)
        is_lost = lost or code.startswith(_GOING_DOWN)
        return LineLost(*_LOST) if is_lost else _unusable(message)
    for pattern, words in _AT_LOGIN:
        if pattern.search(message):
            return StoreTrouble(*words)
    if lost or _NO_LINE.search(message):
        return LineLost(*_LOST)
    why = message.removeprefix("connection is bad: ").rpartition("failed: ")[2]
    return StoreTrouble(f"the server cannot be used: {why}", "check what its address asks for")


def _unusable(message: str) -> StoreTrouble:
    return StoreTrouble(f"the records cannot be used: {message}", _ELSEWHERE)


def _first_line(message: str) -> str:
    return next(iter(message.strip().splitlines()), "no reason is given")
