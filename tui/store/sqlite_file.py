"""The file of the records as the database opens it."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from tui.store.filesystem import is_on_network

MARK = 0x53505257
"""Application id of our files (PRAGMA application_id of SQLite): other programs have none or another."""
PATIENCE = 10.0
"""How long one session waits for another's change [s]."""
_CHANGES = "-wal"
BESIDE = (_CHANGES, "-shm", "-journal")
"""Endings of what the database keeps beside a file; it belongs to it."""


def holds_changes(path: Path) -> bool:
    """Return whether changes of a file lie beside it and not in it yet."""
    beside = path.with_name(path.name + _CHANGES)
    return beside.exists() and beside.stat().st_size > 0


def pages_beside(path: Path, size: int) -> set[int]:
    """Return the numbers of the pages of so many bytes that lie beside a file in its newest state.

    Source: the file format of SQLite, "The Write-Ahead Log" (sqlite.org/fileformat2.html).
    """
    if not holds_changes(path):
        return set()
    log = path.with_name(path.name + _CHANGES).read_bytes()
    heads = (log[at : at + 16] for at in range(32, len(log), 24 + size))
    return {int.from_bytes(head[:4], "big") for head in heads if head[8:16] == log[16:24]}


def is_read_only(path: Path) -> bool:
    """Return whether a file can only be read here; one in a closed folder could have no journal."""
    return not os.access(path.parent, os.W_OK) or (path.exists() and not os.access(path, os.W_OK))


def address_of(path: Path) -> str:
    """Return the address SQLite opens a file by at this moment; none is made by that.

    One that cannot be written is read as it lies there, unless somebody else has changes beside it: those
    belong to it.
    """
    if not is_read_only(path):
        return f"{path.absolute().as_uri()}?mode=rw"
    return f"{path.absolute().as_uri()}?{'mode=ro' if holds_changes(path) else 'mode=ro&immutable=1'}"


def ask_for_journal(path: Path) -> str:
    """Ask for the journal that lets one write while others read, and return the one that the file has now.

    It needs memory that all sessions share, which is not to be had between machines: there the old kind is
    asked for.
    """
    wanted = "DELETE" if is_on_network(path) else "WAL"
    with closing(sqlite3.connect(address_of(path), uri=True, timeout=PATIENCE)) as connection:
        try:
            return str(connection.execute(f"PRAGMA journal_mode = {wanted}").fetchone()[0])
        except sqlite3.OperationalError:  # another session is in it, and has asked already
            return str(connection.execute("PRAGMA journal_mode").fetchone()[0])
