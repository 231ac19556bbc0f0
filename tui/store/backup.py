"""Copies of the records: a file whole and consistent while others write, a server into a file."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Connection, Engine

from tui.job.files import sync_folder
from tui.store.address import StoreAddress, make_file
from tui.store.engines import address_of, sqlite_engine
from tui.store.schema import TABLES, migrate
from tui.store.trouble import StoreTrouble

_ENDING = ".sqlite"


def backup_name(place: StoreAddress, what: str) -> Path:
    """Return where the next backup goes; `what` says on which occasion it is made."""
    return place.backups / f"{_of(place)}{what}-{datetime.now(UTC):%Y%m%dT%H%M%S%f}{_ENDING}"


def last_backup(place: StoreAddress) -> Path | None:
    """Return the newest backup in the folder of them, None where there is none."""
    ours = _of(place)
    told = {path: path.name.removeprefix(ours) for path in place.backups.glob(f"*{_ENDING}")}
    # The occasion and the moment; with more between them it is of other records in the same folder.
    made = {path: rest.split("-") for path, rest in told.items() if rest != path.name}
    moments = {path: parts[1] for path, parts in made.items() if len(parts) == 2}
    return max(moments, default=None, key=lambda path: moments[path])


def _of(place: StoreAddress) -> str:
    """Return what the names of the backups of a place begin with."""
    return f"{'records' if place.file is None else place.file.stem}-"


def back_up(place: StoreAddress, engine: Engine, target: Path) -> Path:
    """Copy the records to a file that is not there yet, on the disk for good, and return it.

    Raises `StoreTrouble` where there is such a file, and what the disk raises.
    """
    if target.exists():
        raise StoreTrouble(f"{target} is there already", "the name of a file that is not there yet")
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    beside = target.with_name(f".{target.name}.part")
    beside.unlink(missing_ok=True)
    try:
        make_file(beside)
        if place.file is not None:
            with engine.connect():  # it is still the file that was opened
                copy_file(place.file, beside)
        else:
            _copy_server(engine, beside)
        with beside.open("r+b") as file:  # some systems put only what may be written on the disk
            os.fsync(file.fileno())
        beside.rename(target)
        sync_folder(target.parent)
    finally:
        beside.unlink(missing_ok=True)
    return target


def copy_file(source: Path, target: Path) -> None:
    """Copy a file of records in one state while others write."""
    with (
        closing(sqlite3.connect(address_of(source), uri=True)) as old,
        closing(sqlite3.connect(target)) as new,
    ):
        old.backup(new)
        # A copy is one file, with nothing beside it that could be left behind.
        new.execute("PRAGMA journal_mode = DELETE")


def _copy_server(engine: Engine, target: Path) -> None:
    copy = sqlite_engine(target)
    try:
        migrate(copy, lambda _version: None)
        one_state = engine.connect().execution_options(isolation_level="REPEATABLE READ")
        with one_state as old, copy.begin() as new:
            copy_rows(old, new)
    finally:
        copy.dispose()


def copy_rows(old: Connection, new: Connection) -> None:
    """Copy every row of every table into tables that are empty."""
    for table in TABLES:
        rows = [dict(row._mapping) for row in old.execute(table.select())]
        if rows:
            new.execute(table.insert(), rows)
