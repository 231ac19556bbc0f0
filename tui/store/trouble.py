"""Errors of the records: what went wrong, and what the person can do about it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from tui.job.faults import printable


class StoreTrouble(Exception):
    """Records that cannot be read or written: `what` is wrong, and what to do or use as `accepted`."""

    def __init__(self, what: str, accepted: str) -> None:
        """Keep both halves apart, for callers that lay them out themselves."""
        self.what = printable(what)
        self.accepted = printable(accepted)
        super().__init__(f"{self.what}; {self.accepted}")


class Damaged(StoreTrouble):
    """A file that is not a sound database."""


class LineLost(StoreTrouble):
    """A lost connection to the server: whether the last change was committed is unknown."""


class Unimportable(Exception):
    """What cannot be imported: one line for every fault."""

    def __init__(self, lines: tuple[str, ...]) -> None:
        """Keep the lines."""
        self.lines = tuple(map(printable, lines))
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


_DAMAGE = ("malformed", "not a database", "corrupt", "file is encrypted")
_WORDS = {
    ("disk is full", "no space left"): ("the disk is full", f"make room; {_ELSEWHERE}"),
    ("disk i/o error",): ("the disk cannot be read or written", f"check the disk; {_ELSEWHERE}"),
    ("readonly", "read-only"): ("the records are read-only here", _ELSEWHERE),
    ("permission denied",): ("this user may not write there", _ELSEWHERE),
    ("unable to open",): (
        "the file or its folder cannot be opened",
        f"use a path that can be written; {_ELSEWHERE}",
    ),
    ("locked", "lock timeout"): ("another session is still writing", f"try again; {_ELSEWHERE}"),
    ("password",): (
        "the server refuses this user or password",
        "use another one in the address",
    ),
    ("does not exist",): ("the server has no such database", "use a database made for the records"),
}
"""Pieces of messages of SQLite, PostgreSQL and the system, in lower case; the first match counts."""


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
    message = getattr(error, "strerror", None) or str(error)
    if getattr(error, "sqlite_errorname", "") == "SQLITE_IOERR_SHMSIZE":
        # Without space for its shared memory file SQLite reports an I/O error.
        message = "disk is full"
    lower = message.lower()
    if any(sign in lower for sign in _DAMAGE):
        return damaged(_first_line(message))
    for signs, words in _WORDS.items():
        if any(sign in lower for sign in signs):
            return StoreTrouble(*words)
    if lost or "connect" in lower:
        return LineLost("the server of the records does not answer", f"try again; {_ELSEWHERE}")
    return StoreTrouble(f"the records cannot be used: {_first_line(message)}", _ELSEWHERE)


def _first_line(message: str) -> str:
    return next(iter(message.strip().splitlines()), "no reason is given")
