"""The records opened: checked, brought up to date, and told what was found on the way."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sqlalchemy import Engine

from tui.store.address import StoreAddress, make_shared_file
from tui.store.backup import back_up, backup_name, last_backup
from tui.store.checking import check_file
from tui.store.engines import ask_for_journal, engine_at, is_read_only
from tui.store.quarantine import FileLock, move_aside
from tui.store.schema import STEPS, Step, migrate
from tui.store.store import Store
from tui.store.trouble import Damaged, StoreTrouble, in_words


def open_store(place: StoreAddress, steps: Sequence[Step] = STEPS) -> Store:
    """Open the records at a place, made there if there are none; raises `StoreTrouble`.

    A damaged file is moved aside, and `Store.told` says where it is.
    """
    with in_words():
        return _open_server(place, steps) if place.file is None else _open_file(place, place.file, steps)


def _open_server(place: StoreAddress, steps: Sequence[Step]) -> Store:
    return Store(place, _up_to_date(place, steps))


def _up_to_date(place: StoreAddress, steps: Sequence[Step]) -> Engine:
    engine = engine_at(place)
    try:
        migrate(engine, lambda version: back_up(place, engine, backup_name(place, f"schema{version}")), steps)
    except BaseException:
        engine.dispose()
        raise
    return engine


def _open_file(place: StoreAddress, path: Path, steps: Sequence[Step]) -> Store:
    if path.exists() and not path.is_file():
        what = "a folder" if path.is_dir() else "a device"
        raise StoreTrouble(f"{path} is {what}", "the path of a file for the records")
    if not path.exists():
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    hold = FileLock(path)
    try:
        told, version = _checked(place, path, hold, len(steps))
        if is_read_only(path):
            return _read_only(place, path, hold, version)
        return _to_write(place, path, hold, told, steps)
    except BaseException:
        hold.release()
        raise


def _checked(place: StoreAddress, path: Path, hold: FileLock, known: int) -> tuple[str, int]:
    """Return what was done to a file that is not sound, and the version of the one that is there now."""
    try:
        return "", check_file(path, known)
    except Damaged as why:
        if not hold.alone():
            raise Damaged(why.what, "close every other session on these records, then start again") from why
    try:
        return "", check_file(path, known)  # another session may have put it in order meanwhile
    except Damaged as why:
        return move_aside(path, why, last_backup(place)), 0
    finally:
        hold.shared()


def _to_write(place: StoreAddress, path: Path, hold: FileLock, told: str, steps: Sequence[Step]) -> Store:
    make_shared_file(path)
    engine = _up_to_date(place, steps)
    try:
        return Store(place, engine, journal=ask_for_journal(path), told=told, hold=hold)
    except BaseException:
        engine.dispose()
        raise


def _read_only(place: StoreAddress, path: Path, hold: FileLock, version: int) -> Store:
    if not path.exists():
        raise StoreTrouble(f"{path.parent} cannot be written", "a path for the records that can be written")
    if version != len(STEPS):
        raise StoreTrouble(
            "the records are of an older springwright and cannot be written here", "the right to write"
        )
    told = "The records can be read and not written here: what is saved goes to a file."
    return Store(place, engine_at(place), told=told, hold=hold, read_only=True)
