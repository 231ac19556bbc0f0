"""Whether rows make sense together, whichever database or file they come from: every flaw is told."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from sqlalchemy import Integer, Table, UniqueConstraint

from tui.jobs.clean import brief
from tui.jobs.faults import UnusableJob
from tui.jobs.job import parse
from tui.store.content import Content, Row, by_job, shown_job
from tui.store.hardware import FRAME, Fitted
from tui.store.tables import TABLES

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
