"""What can be wrong with the records, in words that say what to do."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from tui.job.faults import printable


class StoreTrouble(Exception):
    """Records that cannot be read or written: `what` is wrong, and what to do or is `accepted`."""

    def __init__(self, what: str, accepted: str) -> None:
        """Keep both halves apart, for callers that lay them out themselves."""
        self.what = printable(what)
        self.accepted = printable(accepted)
        super().__init__(f"{self.what}; {self.accepted}")


class Damaged(StoreTrouble):
    """A file that is no longer a sound database."""


class LineLost(StoreTrouble):
    """A server that is not there any more: whether the last change is in it is not known."""


def damaged(why: str) -> Damaged:
    """Return the trouble of a file that is not sound."""
    return Damaged(f"the records are damaged ({why})", "springwright store check says more")


_ELSEWHERE = "W saves the job to a file"
"""Short, as it ends a line that a narrow screen cuts."""

_WORDS: tuple[tuple[str, str, str], ...] = (
    ("disk is full", "the disk is full", f"make room; {_ELSEWHERE}"),
    ("no space left", "the disk is full", f"make room; {_ELSEWHERE}"),
    ("disk i/o error", "the disk cannot be read or written", f"look after the disk; {_ELSEWHERE}"),
    ("readonly", "the records can be read and not written here", _ELSEWHERE),
    ("read-only", "the records can be read and not written here", _ELSEWHERE),
    ("permission denied", "this user may not write there", _ELSEWHERE),
    (
        "unable to open",
        "the file or its folder cannot be opened",
        f"a path that can be written; {_ELSEWHERE}",
    ),
    ("locked", "another session has been writing for long", f"try again; {_ELSEWHERE}"),
    ("lock timeout", "another session has been writing for long", f"try again; {_ELSEWHERE}"),
    ("password", "the server takes no such user or password", "user and password in the address"),
    ("does not exist", "the server has no such database", "the name of a database made for the records"),
)


def gone() -> StoreTrouble:
    """Return the trouble of a file that is not the one any more that was opened."""
    return StoreTrouble("the records were moved or replaced", f"put them back; {_ELSEWHERE}")


_DAMAGE = ("malformed", "not a database", "corrupt", "file is encrypted")


@contextmanager
def in_words() -> Iterator[None]:
    """Turn what the database says into `StoreTrouble`."""
    import sqlite3

    from sqlalchemy.exc import DBAPIError, SQLAlchemyError

    try:
        yield
    except DBAPIError as error:
        raise _said(_message(error.orig), lost=error.connection_invalidated) from error
    except SQLAlchemyError as error:
        raise StoreTrouble(_first_line(str(error)), _ELSEWHERE) from error
    except UnicodeDecodeError as error:
        raise damaged("text in them cannot be read") from error
    except sqlite3.Error as error:
        raise _said(_message(error), lost=False) from error
    except OSError as error:
        raise _said(error.strerror or str(error), lost=False) from error


def _message(error: BaseException | None) -> str:
    # Without room for the memory that sessions share, SQLite speaks of a disk that cannot be read.
    is_full = getattr(error, "sqlite_errorname", "") == "SQLITE_IOERR_SHMSIZE"
    return "disk is full" if is_full else str(error)


def _said(message: str, *, lost: bool) -> StoreTrouble:
    lower = message.lower()
    if any(sign in lower for sign in _DAMAGE):
        return damaged(_first_line(message))
    for sign, what, accepted in _WORDS:
        if sign in lower:
            return StoreTrouble(what, accepted)
    if lost or "connection" in lower or "connect" in lower:
        return LineLost("the server of the records does not answer", f"try again; {_ELSEWHERE}")
    return StoreTrouble(f"the records cannot be used: {_first_line(message)}", _ELSEWHERE)


def _first_line(message: str) -> str:
    return next(iter(message.strip().splitlines()), "no reason is given")
