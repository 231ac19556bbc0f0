"""The records opened: checked, brought up to date, and told what was found on the way."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from pathlib import Path

from sqlalchemy import Engine

from tui.store.backup import back_up, backup_name
from tui.store.engines import engine_at
from tui.store.migrating import migrate, refuse_later
from tui.store.place import Place
from tui.store.sqlite_file import (
    Hold,
    ask_for_journal,
    check_head,
    check_owner,
    file_version,
    is_read_only,
    move_aside,
    quick_check,
)
from tui.store.steps import STEPS, Step
from tui.store.store import Store
from tui.store.trouble import Damaged, StoreTrouble, damaged, in_words


def open_store(place: Place, steps: Sequence[Step] = STEPS) -> Store:
    """Open the records at a place, made there if there are none; raises `StoreTrouble`.

    A damaged file is moved aside, and `Store.told` says where it is.
    """
    with in_words():
        return _open_server(place, steps) if place.file is None else _open_file(place, place.file, steps)


def _open_server(place: Place, steps: Sequence[Step]) -> Store:
    return Store(place, _up_to_date(place, steps))


def _up_to_date(place: Place, steps: Sequence[Step]) -> Engine:
    engine = engine_at(place)
    try:
        migrate(engine, lambda version: back_up(place, engine, backup_name(place, f"schema{version}")), steps)
    except BaseException:
        engine.dispose()
        raise
    return engine


def _open_file(place: Place, path: Path, steps: Sequence[Step]) -> Store:
    if path.is_dir():
        raise StoreTrouble(f"{path} is a folder", "the path of a file for the records")
    if not path.exists():
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    hold, told = Hold(path), ""
    try:
        try:
            check_file(path, len(steps))
        except Damaged as why:
            told = move_aside(path, hold, why, place.backups)
        if is_read_only(path):
            return _read_only(place, path, hold)
        engine = _up_to_date(place, steps)
        return Store(place, engine, journal=ask_for_journal(path), told=told, hold=hold)
    except BaseException:
        hold.release()
        raise


def _read_only(place: Place, path: Path, hold: Hold) -> Store:
    if not path.exists():
        raise StoreTrouble(f"{path.parent} cannot be written", "a path for the records that can be written")
    if file_version(path) != len(STEPS):
        raise StoreTrouble(
            "the records are of an older springwright and cannot be written here", "the right to write"
        )
    told = "The records can be read and not written here: what is saved goes to a file."
    return Store(place, engine_at(place), told=told, hold=hold, read_only=True)


def check_file(path: Path, known: int = len(STEPS)) -> None:
    """Raise `Damaged`, or `StoreTrouble` for a file that is sound and not for this program."""
    if not path.exists():
        return
    try:
        check_head(path)
        check_owner(path)
        refuse_later(file_version(path), known)
        quick_check(path)
    except sqlite3.OperationalError as error:  # not to be had now, which says nothing about what it holds
        raise StoreTrouble(
            f"{path} cannot be opened: {error}", "a file that can be read and written"
        ) from error
    except sqlite3.DatabaseError as error:
        raise damaged(str(error)) from error
