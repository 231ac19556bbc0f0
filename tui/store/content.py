"""Checks of all rows of the records, for export, import and `springwright store check`."""

from __future__ import annotations

import re
import sqlite3
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from itertools import chain
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import Engine, Integer, Table, UniqueConstraint

from physics.frozen import NamedTuple
from tui.job.faults import UnusableJob
from tui.job.job import parse
from tui.job.tree import brief
from tui.store.address import StoreAddress
from tui.store.engines import server_engine
from tui.store.guarding import check_file, copy_file, full_check, seals_broken
from tui.store.opening import open_store
from tui.store.reading import Content, Row, all_rows, log_bytes
from tui.store.saving import FRAME, Fitted, shown_job
from tui.store.schema import TABLES, VERSION, refuse_later, version_of
from tui.store.trouble import Damaged, StoreTrouble, in_words

COUNTED = ("job", "revision", "customer", "bike", "part", "log")
"""The tables named in messages; logs only if there are some."""


def by_job(revisions: Sequence[Row]) -> dict[str, list[Row]]:
    """Return revisions by the id of their job, the first one first."""
    found: dict[str, list[Row]] = defaultdict(list)
    for row in sorted(revisions, key=lambda row: row["number"]):
        found[row["job"]].append(row)
    return found


def counts_text(content: Mapping[str, Sequence[Row]] | Mapping[str, int]) -> str:
    """Return the numbers of rows in words."""
    counts = {name: rows if isinstance(rows, int) else len(rows) for name, rows in content.items()}
    told = ((counts.get(name, 0), name) for name in COUNTED if name != "log" or counts.get(name))
    return ", ".join(f"{count} {name}{'' if count == 1 else 's'}" for count, name in told)


_FORMS = {
    "uid": (re.compile("[0-9a-f]{32}"), "32 hex digits 0-9 a-f"),
    "digest": (re.compile("[0-9a-f]{64}"), "64 hex digits 0-9 a-f"),
    "_at": (re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z"), "UTC, e.g. 2026-03-01T09:30:00.000000Z"),
}
"""Format of the columns with a name or ending. An id is a file name in an export as well."""
_KINDS = (FRAME, "coil", "air")


class Flaw(NamedTuple):
    """What is wrong in a column of a row, and what to use."""

    table: str
    row: int
    column: str
    what: str
    accepted: str


def flaws(content: Content) -> tuple[Flaw, ...]:
    """Return all that is wrong with single rows, or else with references, histories and texts."""
    found = tuple(flaw for table in TABLES for flaw in _ill_formed(table, content[table.name]))
    if found:  # the other checks need well-formed rows
        return found
    pairs = ((_duplicates(table, content), _dangling(table, content)) for table in TABLES)
    return (*chain(*chain(*pairs)), *_histories(content), *_texts(content))


def disagreements(content: Content) -> Iterator[Flaw]:
    """Find job rows that differ from what follows from their revisions; the rows are sound otherwise."""
    revisions = by_job(content["revision"])
    for index, job in enumerate(content["job"]):
        due = shown_job(revisions[job["uid"]])
        # The folded words depend on the Unicode version of the writer.
        for column in (name for name in due if name != "words" and job[name] != due[name]):
            what = f"{_told(job[column])} disagrees with its revisions"
            yield Flaw("job", index, column, what, f"use {_told(due[column])}")


def _ill_formed(table: Table, rows: list[Row]) -> Iterator[Flaw]:
    for index, row in enumerate(rows):
        for column in table.columns:
            name, value, accepted = column.name, row.get(column.name), ""
            if value is None:
                if not column.nullable and name in row:
                    yield Flaw(table.name, index, name, "missing", "use a value")
            elif isinstance(column.type, Integer):
                accepted = "" if isinstance(value, int) and value >= 1 else "a whole number from 1 on"
            elif not isinstance(value, str) or "\0" in value:  # PostgreSQL takes no NUL
                accepted = "text"
            elif form := next((form for ending, form in _FORMS.items() if name.endswith(ending)), None):
                accepted = "" if form[0].fullmatch(value) else form[1]
            if accepted:
                what = f"{_told(value)} cannot be used"
                yield Flaw(table.name, index, name, what, f"use {accepted}")


def _told(value: object) -> str:
    return f'"{brief(value)}"' if isinstance(value, str) else str(value)


def _duplicates(table: Table, content: Content) -> Iterator[Flaw]:
    unique = [constraint for constraint in table.constraints if isinstance(constraint, UniqueConstraint)]
    for columns in (table.primary_key.columns, *(constraint.columns for constraint in unique)):
        names, seen = [column.name for column in columns], set()
        for index, row in enumerate(content[table.name]):
            value = tuple(row[name] for name in names)
            if value in seen:
                what = f"{' and '.join(map(_told, value))} appears twice"
                yield Flaw(table.name, index, names[-1], what, "keep one row of each")
            seen.add(value)


def _dangling(table: Table, content: Content) -> Iterator[Flaw]:
    for column in table.columns:
        for target in (key.column for key in column.foreign_keys):
            there = {row[target.name] for row in content[target.table.name]}
            for index, row in enumerate(content[table.name]):
                if row[column.name] not in there:
                    what = f"{_told(row[column.name])} is not a {target.name} of a {target.table.name}"
                    yield Flaw(table.name, index, column.name, what, "use one that exists")


def _histories(content: Content) -> Iterator[Flaw]:
    """Find jobs whose revisions are not numbered from 1 on, or refer to a revision that does not exist."""
    index = {row["uid"]: index for index, row in enumerate(content["revision"])}
    revisions = by_job(content["revision"])
    for place, job in enumerate(content["job"]):
        if job["uid"] not in revisions:
            yield Flaw("job", place, "uid", "has no revision", "add at least one")
    for rows in revisions.values():
        numbers = [row["number"] for row in rows]
        for due, row in enumerate(rows, 1):
            place, number, parent, settles = index[row["uid"]], row["number"], row["parent"], row["settles"]
            if number != due:
                yield Flaw("revision", place, "number", f"{number} leaves a gap", f"use {due}")
            if parent is not None and not (parent in numbers and parent < number):
                what = f"{parent} is not an earlier revision"
                yield Flaw("revision", place, "parent", what, "use an earlier number")
            if settles is not None and (settles not in numbers or settles == number):
                what = f"{settles} is not another revision"
                yield Flaw("revision", place, "settles", what, "use another number")


def _texts(content: Content) -> Iterator[Flaw]:
    """Find texts that cannot be parsed, and parts that do not match their kind or checksum."""
    for table in ("revision", "part"):
        for index, row in enumerate(content[table]):
            if table == "part" and row["kind"] not in _KINDS:
                accepted = f"use one of {', '.join(_KINDS)}"
                yield Flaw(table, index, "kind", f"{_told(row['kind'])} is not a kind of part", accepted)
            try:
                tree = parse(row["text"]).tree
            except UnusableJob as unusable:
                yield from (Flaw(table, index, "text", f.what, f.accepted) for f in unusable.faults)
                continue
            if table == "part" and Fitted("", row["kind"], row["name"], tree).digest != row["digest"]:
                accepted = "use the text that the digest was made from"
                yield Flaw(table, index, "text", "does not match its digest", accepted)


class Inspection(NamedTuple):
    """The content of the records, None if unreadable, and all of their faults.

    `told` is what was changed in a backup after it was made; its content is sound.
    """

    content: Content | None
    faults: tuple[str, ...]
    told: tuple[str, ...] = ()


def inspect_records(place: StoreAddress) -> Inspection:
    """Return the content of the records and all of their faults; raises `StoreTrouble` if there are none."""
    told: tuple[str, ...] = ()
    with in_words():
        if place.file is None:
            content, damaged_logs = _on_server(place)
        elif wrong := _in_file(place, place.file):
            return Inspection(None, wrong)
        else:
            told = seals_broken(place.file)
            content, damaged_logs = _of_copy(place.file)
    found = flaws(content) or tuple(disagreements(content))
    lines = (f"{_where(content, flaw)}: {flaw.what}; {flaw.accepted}" for flaw in found)
    return Inspection(content, (*lines, *damaged_logs), told)


def require_records(place: StoreAddress) -> None:
    """Raise `StoreTrouble` if a file contains no records or is damaged."""
    if place.file is None:
        return
    with in_words():
        if place.file.is_dir():
            raise StoreTrouble(f"{place} is a folder", "use the file of the records")
        version = check_file(place.file, VERSION)
    if not version:
        raise StoreTrouble(f"there are no records at {place}", "saving the first job creates them")


def _in_file(place: StoreAddress, path: Path) -> tuple[str, ...]:
    """Return the faults that the database itself finds in a file."""
    why = ""
    try:
        require_records(place)
    except Damaged as damage:
        why = damage.what
    try:
        return full_check(path) or ((why,) if why else ())
    except (sqlite3.DatabaseError, UnicodeDecodeError):  # too damaged for the check
        if not why:
            raise
        return (why,)


def _with_damage(engine: Engine) -> tuple[Content, tuple[str, ...]]:
    """Return all rows, and every log whose bytes do not match its checksum."""
    content, found = all_rows(engine), []
    with engine.connect() as connection:
        for row in content["log"]:
            try:
                log_bytes(connection, row["digest"])
            except StoreTrouble as trouble:
                found.append(f"log {row['digest']}: {trouble.what}; import it again from its file")
    return content, tuple(found)


def _of_copy(path: Path) -> tuple[Content, tuple[str, ...]]:
    """Return all rows of a file, also of an older schema: a copy is migrated, the file stays as it is."""
    with TemporaryDirectory(prefix="springwright-") as folder:
        copy = Path(folder) / "copy.sqlite"
        copy_file(path, copy)
        with closing(open_store(StoreAddress(copy))) as store:
            return _with_damage(store.engine)


def _on_server(place: StoreAddress) -> tuple[Content, tuple[str, ...]]:
    engine = server_engine(place.server)
    try:
        with engine.connect() as connection:
            version = version_of(connection)
        refuse_later(version)
        if version < VERSION:
            what = f"are from an older springwright (schema {version})" if version else "do not exist yet"
            raise StoreTrouble(f"the records at {place} {what}", "open them once on the bench")
        return _with_damage(engine)
    finally:
        engine.dispose()


def _where(content: Content, flaw: Flaw) -> str:
    row = content[flaw.table][flaw.row]
    if flaw.table == "revision":
        return f"revision {row['number']} of job {row['job']}, {flaw.column}"
    return f"{flaw.table} {next(iter(row.values()))}, {flaw.column}"
