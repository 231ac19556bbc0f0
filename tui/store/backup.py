"""Backups: a file or a server copied into one file, in one state while others write."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Engine

from tui.job.files import sync_folder
from tui.store.address import StoreAddress, make_file
from tui.store.engines import address_of, snapshot, sqlite_engine
from tui.store.schema import TABLES, migrate
from tui.store.trouble import StoreTrouble

_ENDING = ".sqlite"


def backup_name(place: StoreAddress, what: str) -> Path:
    """Return the path of a new backup; `what` is the reason for it."""
    return place.backups / f"{_prefix(place)}{what}-{datetime.now(UTC):%Y%m%dT%H%M%S%f}{_ENDING}"


def last_backup(place: StoreAddress) -> Path | None:
    """Return the newest backup in the folder of them, None where there is none."""
    prefix = _prefix(place)
    ours = (path for path in place.backups.glob(f"*{_ENDING}") if path.name.startswith(prefix))
    parts = {path: path.name.removeprefix(prefix).split("-") for path in ours}
    # The reason and the time; a name with more parts is of other records in the same folder.
    times = {path: rest[1] for path, rest in parts.items() if len(rest) == 2}
    return max(times, default=None, key=lambda path: times[path])


def _prefix(place: StoreAddress) -> str:
    return f"{'records' if place.file is None else place.file.stem}-"


def back_up(place: StoreAddress, engine: Engine, target: Path) -> Path:
    """Copy the records to a new file, which is on the disk when this returns it.

    Raises `StoreTrouble` where the file exists, and OSError.
    """
    if target.exists():
        raise StoreTrouble(f"{target} is there already", "the name of a file that is not there yet")
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    beside = target.with_name(f".{target.name}.part")
    beside.unlink(missing_ok=True)
    try:
        make_file(beside)
        if place.file is not None:
            with engine.connect():  # raises where it is not the file that was opened
                copy_file(place.file, beside)
        else:
            _copy_server(engine, beside)
        with beside.open("r+b") as file:  # some systems sync only a file that is open to be written
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
        # The copy is one file, without a log that could be left behind.
        new.execute("PRAGMA journal_mode = DELETE")


def _copy_server(engine: Engine, target: Path) -> None:
    copy = sqlite_engine(target)
    try:
        migrate(copy, lambda _version: None)
        with snapshot(engine) as old, copy.begin() as new:
            for table in TABLES:
                if rows := [dict(row._mapping) for row in old.execute(table.select())]:
                    new.execute(table.insert(), rows)
    finally:
        copy.dispose()
