"""Rows of other records brought into these: nothing here is written over, nothing that comes is lost.

Who is who is told by the ids that every row got when it was made. A row that is here already is left as it
is. A revision whose number another one has here, or whose id stands for something else here, is kept beside
it as the next revision of its job.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from sqlalchemy import Column, Connection, Table, select, update

from tui.jobs.clean import brief
from tui.jobs.job import parse
from tui.store import tables
from tui.store.content import Content, Row, by_job, rows_of, shown_job
from tui.store.saving import bike_of

_CHUNK = 500
_SAME = ("job", "saved_at", "saved_by", "note", "text")
"""What makes two rows the same revision. Its number and parent may differ, where it was kept beside."""


@dataclass
class Merged:
    """How many rows of each table came in and how many were here already, and what a person must know."""

    new: Counter[str] = field(default_factory=Counter)
    known: Counter[str] = field(default_factory=Counter)
    told: list[str] = field(default_factory=list)


def merge(connection: Connection, content: Content) -> Merged:
    """Bring sound rows in, within the transaction of the connection."""
    return _Merging(connection, content).done()


class _Merging:
    def __init__(self, connection: Connection, content: Content) -> None:
        self._connection = connection
        self._content = content
        self._merged = Merged()
        self._uids: dict[str, str] = {}
        """Ids of the revisions that come in, and what they are here."""

    def done(self) -> Merged:
        customers = self._named(tables.customer, self._content["customer"], ("name", "ticket"))
        of_customers = [{**row, "customer": customers[row["customer"]]} for row in self._content["bike"]]
        bikes = self._named(tables.bike, of_customers, ("customer", "name"))
        self._parts()
        self._jobs(bikes)
        self._fittings()
        return self._merged

    def _named(self, table: Table, rows: Iterable[Row], key: tuple[str, str]) -> dict[str, str]:
        """Bring in what is the same where it is called the same; return the ids here by those there."""
        here = {
            tuple(getattr(row, name) for name in key): row.uid
            for row in self._connection.execute(table.select())
        }
        taken, uids, new = set(here.values()), {}, []
        for row in rows:
            called = tuple(row[name] for name in key)
            uid = here.get(called)
            if uid is None:
                uid = _other_uid(row) if row["uid"] in taken else row["uid"]
                new.append({**row, "uid": uid})
            uids[row["uid"]] = uid
        self._insert(table, new)
        self._merged.known[table.name] += len(uids) - len(new)
        return uids

    def _parts(self) -> None:
        rows = {row["digest"]: row for row in self._content["part"]}
        here = {row["digest"] for row in self._found(tables.part.c.digest, rows)}
        self._insert(tables.part, [row for digest, row in rows.items() if digest not in here])
        self._merged.known["part"] += len(here)

    def _jobs(self, bikes: dict[str, str]) -> None:
        rows = {row["uid"]: row for row in self._content["job"]}
        jobs_here = {row["uid"]: row for row in self._found(tables.job.c.uid, rows)}
        there = by_job(self._content["revision"])
        here = by_job(self._found(tables.revision.c.job, jobs_here))
        strangers = self._found(tables.revision.c.uid, [row["uid"] for row in self._content["revision"]])
        taken = {row["uid"]: row for row in strangers}
        new_jobs, new_revisions = [], []
        for uid, job in rows.items():
            placed = self._placed(there[uid], here.get(uid, []), taken)
            new_revisions += placed
            if uid not in jobs_here:
                new_jobs.append({**job, "bike": bikes[job["bike"]]})
            elif placed:
                self._goes_on(jobs_here[uid], [*here[uid], *placed])
        self._insert(tables.job, new_jobs)
        self._insert(tables.revision, new_revisions)
        self._merged.known["job"] += len(jobs_here)

    def _placed(self, there: Sequence[Row], here: Sequence[Row], taken: dict[str, Row]) -> list[Row]:
        """Return the rows of the revisions of a job that are not here, numbered behind those that are."""
        placed: list[Row] = []
        numbers: dict[int | None, int | None] = {None: None}
        known = {row["uid"]: row for row in here}
        settled = []
        for row in there:
            uid = row["uid"]
            if uid in taken and not _same(taken[uid], row):
                uid = _other_uid({key: row[key] for key in ("uid", *_SAME)})
            if uid in known:
                numbers[row["number"]] = known[uid]["number"]
                settled.append((known[uid], row))
                continue
            number = len(here) + len(placed) + 1
            numbers[row["number"]] = number
            placed.append({**row, "uid": uid, "number": number})
            self._uids[row["uid"]] = uid
            self._tell_kept_beside(row, number, other_content=uid != row["uid"])
        for row in placed:
            row["parent"], row["settles"] = numbers[row["parent"]], numbers[row["settles"]]
        self._tell_settled(settled, numbers)
        self._merged.known["revision"] += len(settled)
        return placed

    def _tell_kept_beside(self, row: Row, number: int, *, other_content: bool) -> None:
        if number == row["number"] and not other_content:
            return
        kept = f"its revision {row['number']} is kept as revision {number} beside what is here"
        self._tell(row, f"{kept}, which has its id" if other_content else kept)

    def _tell_settled(self, pairs: Sequence[tuple[Row, Row]], numbers: dict[int | None, int | None]) -> None:
        for here, there in pairs:
            if there["settles"] is not None and numbers[there["settles"]] != here["settles"]:
                what = f"revision {here['number']} was chosen over another one there and not here"
                self._tell(there, f"{what}: it stays as it is here")

    def _tell(self, revision: Row, what: str) -> None:
        title = parse(revision["text"]).title or "a job without a title"
        self._merged.told.append(f"{brief(title)} ({revision['job'][:8]}): {what}")

    def _goes_on(self, job: Row, revisions: Sequence[Row]) -> None:
        """Show a job that is here as its newest revision has it, which came in."""
        shown = shown_job(revisions)
        bike = bike_of(self._connection, parse(revisions[-1]["text"]))
        values = {**shown, "bike": bike, "deleted_at": None}
        self._connection.execute(update(tables.job).where(tables.job.c.uid == job["uid"]).values(values))
        if job["deleted_at"] is not None:
            self._tell(revisions[-1], "was deleted here and is back, as more of it came in")

    def _fittings(self) -> None:
        rows = [row for row in self._content["fitting"] if row["revision"] in self._uids]
        self._insert(tables.fitting, [{**row, "revision": self._uids[row["revision"]]} for row in rows])

    def _found(self, column: Column[str], values: Iterable[str]) -> list[Row]:
        """Return the rows here that have one of some values in a column."""
        wanted, rows = list(values), []
        for start in range(0, len(wanted), _CHUNK):
            asked = select(column.table).where(column.in_(wanted[start : start + _CHUNK]))
            rows += rows_of(self._connection, asked)
        return rows

    def _insert(self, table: Table, rows: list[Row]) -> None:
        if rows:
            names = [column.name for column in table.columns]
            self._connection.execute(table.insert(), [{name: row[name] for name in names} for row in rows])
        self._merged.new[table.name] += len(rows)


def _same(one: Row, other: Row) -> bool:
    return all(one[name] == other[name] for name in _SAME)


def _other_uid(row: Row) -> str:
    """Return the id of a row whose own one stands for something else here: the same one every time."""
    told = json.dumps(row, sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()[:32]
