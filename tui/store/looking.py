"""Records looked through from outside: nothing is made, moved, repaired or brought up to date."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from tui.store.checking import check_file, full_check
from tui.store.content import Content, content_of, content_of_file
from tui.store.engines import server_engine
from tui.store.migrating import refuse_later, version_of
from tui.store.place import Place
from tui.store.sound import Flaw, disagreements, flaws
from tui.store.steps import VERSION
from tui.store.trouble import Damaged, StoreTrouble, in_words


@dataclass(frozen=True, slots=True)
class Looked:
    """What is in the records, None where that cannot be read, and every fault of them."""

    content: Content | None
    faults: tuple[str, ...]


def look_through(place: Place) -> Looked:
    """Return what is in the records with every fault found; raises `StoreTrouble` where there are none."""
    with in_words():
        if place.file is None:
            content = _on_server(place)
        else:
            if wrong := _in_file(place, place.file):
                return Looked(None, wrong)
            content = content_of_file(place.file)
    return Looked(content, _faults(content))


def refuse_none(place: Place) -> None:
    """Raise `StoreTrouble` where a file has no records to look at, or is not sound."""
    if place.file is None:
        return
    if place.file.is_dir():
        raise StoreTrouble(f"{place} is a folder", "the file of the records is accepted")
    with in_words():
        version = check_file(place.file, VERSION)
    if not version:
        raise StoreTrouble(f"there are no records at {place}", "the first job that is saved makes them")


def _in_file(place: Place, path: Path) -> tuple[str, ...]:
    """Return what the database itself finds wrong with a file."""
    why = ""
    try:
        refuse_none(place)
    except Damaged as damage:
        why = damage.what
    try:
        return full_check(path) or ((why,) if why else ())
    except (sqlite3.DatabaseError, UnicodeDecodeError):  # too far gone to be looked through
        if not why:
            raise
        return (why,)


def _on_server(place: Place) -> Content:
    engine = server_engine(place.server)
    try:
        with engine.connect() as connection:
            version = version_of(connection)
        refuse_later(version, VERSION)
        if version < VERSION:
            what = f"are of an older springwright (schema {version})" if version else "are not made yet"
            raise StoreTrouble(f"the records at {place} {what}", "opening them on the bench sees to it")
        return content_of(engine)
    finally:
        engine.dispose()


def _faults(content: Content) -> tuple[str, ...]:
    found = flaws(content) or tuple(disagreements(content))
    return tuple(f"{_where(content, flaw)}: {flaw.what}; {flaw.accepted}" for flaw in found)


def _where(content: Content, flaw: Flaw) -> str:
    row = content[flaw.table][flaw.row]
    if flaw.table == "revision":
        return f"revision {row['number']} of job {row['job']}, {flaw.column}"
    return f"{flaw.table} {next(iter(row.values()))}, {flaw.column}"
