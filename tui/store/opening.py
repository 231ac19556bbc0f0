"""Opening the records: lock, check, quarantine of a damaged file, migration."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path

from sqlalchemy import Engine

from tui.store.address import StoreAddress, make_file
from tui.store.engines import ask_for_journal, engine_at, is_read_only
from tui.store.guarding import (
    FileLock,
    back_up_anew,
    check_file,
    last_backup,
    quarantine,
    unsealed,
)
from tui.store.schema import STEPS, Step, migrate
from tui.store.store import Store
from tui.store.trouble import Damaged, StoreTrouble, in_words


def open_store(place: StoreAddress, steps: Sequence[Step] = STEPS) -> Store:
    """Open the records at an address, created where there are none; raises `StoreTrouble`.

    A damaged file is quarantined, and `Store.told` says where it is.
    """
    with in_words():
        if place.file is None:
            return Store(place, _migrated(place, steps))
        return _open_file(place, place.file, steps)


def _migrated(place: StoreAddress, steps: Sequence[Step]) -> Engine:
    engine = engine_at(place)
    with ExitStack() as on_error:
        on_error.callback(engine.dispose)
        migrate(engine, lambda version: back_up_anew(place, engine, f"schema{version}"), steps)
        on_error.pop_all()
    return engine


def _open_file(place: StoreAddress, path: Path, steps: Sequence[Step]) -> Store:
    if path.exists() and not path.is_file():
        what = "a folder" if path.is_dir() else "a device"
        raise StoreTrouble(f"{path} is {what}", "use the path of a file for the records")
    if not path.exists():
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    lock = FileLock(path)
    with ExitStack() as on_error:
        on_error.callback(lock.release)
        told, version = _checked(place, path, lock, len(steps))
        if read_only := is_read_only(path):
            if not path.exists():
                accepted = "use a path for the records that can be written"
                raise StoreTrouble(f"{path.parent} cannot be written", accepted)
            if version != len(STEPS):
                what = "the records are from an older springwright and read-only here"
                raise StoreTrouble(what, "use an account that may write them")
            told, journal = "The records are read-only here: save to a file instead.", ""
            engine = engine_at(place)
        else:
            make_file(path, shared=True)
            broken = unsealed(path)  # while the columns are those that were sealed
            engine = _migrated(place, steps)
            on_error.callback(engine.dispose)
            journal = ask_for_journal(path)
            told = told or ". ".join(broken)
        on_error.pop_all()
    return Store(place, engine, journal=journal, told=told, lock=lock, read_only=read_only)


def _checked(place: StoreAddress, path: Path, lock: FileLock, known: int) -> tuple[str, int]:
    """Return what was done to a damaged file, and the schema version of the file now at the path."""
    try:
        return "", check_file(path, known)
    except Damaged as why:
        if not lock.alone():
            raise Damaged(why.what, "close all other sessions on these records, then start again") from why
    try:
        return "", check_file(path, known)  # another session may have quarantined it meanwhile
    except Damaged as why:
        return quarantine(path, why, last_backup(place)), 0
    finally:
        lock.shared()
