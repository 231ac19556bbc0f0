"""Everything in the records at one moment, as plain rows: what export, import and check look at."""

from __future__ import annotations

import re
import sqlite3
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

from sqlalchemy import Connection, Engine, Integer, Select, Table, UniqueConstraint

from tui.job.clean import brief
from tui.job.faults import UnusableJob
from tui.job.job import parse
from tui.store.address import StoreAddress
from tui.store.backup import copy_file
from tui.store.checking import check_file, full_check
from tui.store.engines import server_engine
from tui.store.opening import open_store
from tui.store.saving import FRAME, Fitted, ends_of, shown_by
from tui.store.schema import TABLES, VERSION, refuse_later, version_of
from tui.store.trouble import Damaged, StoreTrouble, in_words

Row = dict[str, Any]
Content = Mapping[str, list[Row]]
"""The rows of every table, by its name."""

COUNTED = ("job", "revision", "customer", "bike", "part")
"""The tables that a person hears of."""


def content_of(engine: Engine) -> Content:
    """Return all rows of records whose schema is up to date, while others write."""
    # A transaction on a file sees one state by itself.
    options = {} if engine.dialect.name == "sqlite" else {"isolation_level": "REPEATABLE READ"}
    with in_words(), engine.connect().execution_options(**options) as connection, connection.begin():
        return {table.name: rows_of(connection, table.select()) for table in TABLES}


def rows_of(connection: Connection, asked: Select[Any]) -> list[Row]:
    """Return the rows that are asked for."""
    return [dict(row._mapping) for row in connection.execute(asked)]


def content_of_file(path: Path) -> Content:
    """Return all rows of a file of records, of an older schema too; the file stays as it is."""
    with in_words(), TemporaryDirectory(prefix="springwright-") as folder:
        copy = Path(folder) / "copy.sqlite"
        copy_file(path, copy)
        with closing(open_store(StoreAddress(copy))) as store:
            return content_of(store.engine)


def by_job(revisions: Sequence[Row]) -> dict[str, list[Row]]:
    """Return revisions by the id of their job, the first one first."""
    found: dict[str, list[Row]] = defaultdict(list)
    for row in sorted(revisions, key=lambda row: row["number"]):
        found[row["job"]].append(row)
    return found


def shown_job(revisions: Sequence[Row]) -> Row:
    """Return what the row of a job has from its revisions, the newest one last."""
    newest = revisions[-1]
    said = (text for row in revisions for text in (row["note"], row["saved_by"]))
    ends = ends_of([(row["number"], row["parent"], row["settles"]) for row in revisions])
    return {
        **shown_by(parse(newest["text"]), said),
        "latest": newest["number"],
        "versions": len(ends),
        "saved_at": newest["saved_at"],
        "saved_by": newest["saved_by"],
    }


def counted(content: Mapping[str, Sequence[Row]] | Mapping[str, int]) -> str:
    """Return how many of what there are, in words."""
    counts = {name: rows if isinstance(rows, int) else len(rows) for name, rows in content.items()}
    told = ((counts.get(name, 0), name) for name in COUNTED)
    return ", ".join(f"{count} {name}{'' if count == 1 else 's'}" for count, name in told)


_FORMS = {
    "uid": (re.compile("[0-9a-f]{32}"), "32 of 0-9 and a-f"),
    "digest": (re.compile("[0-9a-f]{64}"), "64 of 0-9 and a-f"),
    "_at": (re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z"), "UTC as in 2026-03-01T09:30:00.000000Z"),
}
"""What a column of this name or ending takes. An id is the name of a file in an export as well."""
_KINDS = (FRAME, "coil", "air")


class Flaw(NamedTuple):
    """What is wrong in a row of a table, there in a column, and what is accepted."""

    table: str
    row: int
    column: str
    what: str
    accepted: str


def flaws(content: Content) -> tuple[Flaw, ...]:
    """Return all that is wrong with rows by themselves and together."""
    found = tuple(flaw for table in TABLES for flaw in _ill_formed(table, content[table.name]))
    if found:  # nothing can be said of what hangs together before
        return found
    together = (flaw for table in TABLES for flaw in (*_twice(table, content), *_astray(table, content)))
    return (*together, *_histories(content), *_revision_texts(content), *_part_texts(content))


def disagreements(content: Content) -> Iterator[Flaw]:
    """Find jobs that lists do not show as their revisions have them; the rows are sound otherwise."""
    revisions = by_job(content["revision"])
    for index, job in enumerate(content["job"]):
        due = shown_job(revisions[job["uid"]])
        # The words that find it depend on the tables of characters that the writer had.
        wrong = (column for column in due if column != "words" and job[column] != due[column])
        for column in wrong:
            what = f"{_told(job[column])} disagrees with its revisions"
            yield Flaw("job", index, column, what, f"{_told(due[column])} is what they say")


def _ill_formed(table: Table, rows: list[Row]) -> Iterator[Flaw]:
    for index, row in enumerate(rows):
        for column in table.columns:
            value = row.get(column.name)
            if value is None:
                if not column.nullable and column.name in row:
                    yield Flaw(table.name, index, column.name, "nothing is there", "a value is accepted")
            elif isinstance(column.type, Integer):
                if not isinstance(value, int) or value < 1:
                    yield _refused(table, index, column.name, value, "a whole number from 1 on")
            elif not isinstance(value, str) or "\0" in value:  # a server takes none such
                yield _refused(table, index, column.name, value, "text")
            elif (form := _form(column.name)) and not form[0].fullmatch(value):
                yield _refused(table, index, column.name, value, form[1])


def _form(column: str) -> tuple[re.Pattern[str], str] | None:
    return next((form for ending, form in _FORMS.items() if column.endswith(ending)), None)


def _refused(table: Table, index: int, column: str, value: object, accepted: str) -> Flaw:
    return Flaw(table.name, index, column, f"{_told(value)} cannot be used", f"{accepted} is accepted")


def _told(value: object) -> str:
    return f'"{brief(value)}"' if isinstance(value, str) else str(value)


def _twice(table: Table, content: Content) -> Iterator[Flaw]:
    """Find values that stand twice where they may stand once."""
    unique = [set for set in table.constraints if isinstance(set, UniqueConstraint)]
    for columns in (table.primary_key.columns, *(constraint.columns for constraint in unique)):
        names, seen = [column.name for column in columns], set()
        for index, row in enumerate(content[table.name]):
            value = tuple(row[name] for name in names)
            if value in seen:
                what = f"{' and '.join(map(_told, value))} is there twice"
                yield Flaw(table.name, index, names[-1], what, "one row of each is accepted")
            seen.add(value)


def _astray(table: Table, content: Content) -> Iterator[Flaw]:
    """Find values that point to a row which is not there."""
    for column in table.columns:
        for key in column.foreign_keys:
            target = key.column
            there = {row[target.name] for row in content[target.table.name]}
            for index, row in enumerate(content[table.name]):
                if row[column.name] not in there:
                    what = f"{_told(row[column.name])} is no {target.name} of a {target.table.name}"
                    yield Flaw(table.name, index, column.name, what, "one that is there is accepted")


def _histories(content: Content) -> Iterator[Flaw]:
    """Find jobs whose revisions are not numbered from 1 on, or were made from none that is there."""
    places = {row["uid"]: index for index, row in enumerate(content["revision"])}
    revisions = by_job(content["revision"])
    for index, job in enumerate(content["job"]):
        if job["uid"] not in revisions:
            yield Flaw("job", index, "uid", "has no revision", "one at least is accepted")
    for rows in revisions.values():
        numbers = [row["number"] for row in rows]
        for due, row in enumerate(rows, 1):
            place, number, parent, settles = (
                places[row["uid"]], row["number"], row["parent"], row["settles"]
            )  # fmt: skip
            if number != due:
                yield Flaw("revision", place, "number", f"{number} leaves a gap", f"{due} is accepted")
            if parent is not None and not (parent in numbers and parent < number):
                yield Flaw("revision", place, "parent", f"{parent} is no earlier one", "an earlier number")
            if settles is not None and (settles not in numbers or settles == number):
                yield Flaw("revision", place, "settles", f"{settles} is no other one", "another number")


def _revision_texts(content: Content) -> Iterator[Flaw]:
    for index, row in enumerate(content["revision"]):
        try:
            parse(row["text"])
        except UnusableJob as unusable:
            yield from (Flaw("revision", index, "text", f.what, f.accepted) for f in unusable.faults)


def _part_texts(content: Content) -> Iterator[Flaw]:
    for index, row in enumerate(content["part"]):
        if row["kind"] not in _KINDS:
            accepted = f"one of {', '.join(_KINDS)} is accepted"
            yield Flaw("part", index, "kind", f"{_told(row['kind'])} is no kind of part", accepted)
        try:
            tree = parse(row["text"]).tree
        except UnusableJob as unusable:
            yield from (Flaw("part", index, "text", f.what, f.accepted) for f in unusable.faults)
            continue
        if Fitted("", row["kind"], row["name"], tree).digest != row["digest"]:
            accepted = "the text the digest was made of is accepted"
            yield Flaw("part", index, "text", "is not what its digest says", accepted)


@dataclass(frozen=True, slots=True)
class Looked:
    """What is in the records, None where that cannot be read, and every fault of them."""

    content: Content | None
    faults: tuple[str, ...]


def look_through(place: StoreAddress) -> Looked:
    """Return what is in the records with every fault found; raises `StoreTrouble` where there are none."""
    with in_words():
        if place.file is None:
            content = _on_server(place)
        else:
            if wrong := _in_file(place, place.file):
                return Looked(None, wrong)
            content = content_of_file(place.file)
    return Looked(content, _faults(content))


def refuse_none(place: StoreAddress) -> None:
    """Raise `StoreTrouble` where a file has no records to look at, or is not sound."""
    if place.file is None:
        return
    if place.file.is_dir():
        raise StoreTrouble(f"{place} is a folder", "the file of the records is accepted")
    with in_words():
        version = check_file(place.file, VERSION)
    if not version:
        raise StoreTrouble(f"there are no records at {place}", "the first job that is saved makes them")


def _in_file(place: StoreAddress, path: Path) -> tuple[str, ...]:
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


def _on_server(place: StoreAddress) -> Content:
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
