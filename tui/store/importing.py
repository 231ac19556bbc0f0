"""Import: exports, backups and job files are merged into the records; nothing is overwritten or lost.

Rows are matched by the ids they got when they were made. A row that is here already stays as it is. A
revision whose number another one has here, or whose id belongs to another row here, becomes the next revision
of its job.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections import Counter
from collections.abc import Iterable, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import Column, Connection, Table, select

from tui.job.faults import Findings, UnusableJob, spelled
from tui.job.files import FileTrouble, read_path
from tui.job.job import UNTITLED, Job, parse
from tui.job.reading import check_format
from tui.job.tree import brief
from tui.store import schema as tables
from tui.store.address import StoreAddress
from tui.store.content import by_job, inspect_records
from tui.store.engines import address_of
from tui.store.export import LOAD, changed_since, read_export
from tui.store.guarding import HEAD
from tui.store.kept import packed, unpacked
from tui.store.opening import open_store
from tui.store.reading import Content, Row, all_rows, rows_of, told_of
from tui.store.saving import Saving, add_job, show_newest
from tui.store.store import Store
from tui.store.trouble import StoreTrouble, Unimportable, in_words, line_for_command

_CHUNK = 500
"""Values in one query: databases limit the number of parameters."""
_SAME = ("job", "saved_at", "saved_by", "note", "text")
"""Columns in which two rows of the same revision agree. Number and parent may differ after a merge."""


@dataclass
class Merged:
    """The numbers of rows inserted into each table and already present, and what to tell the person."""

    new: Counter[str] = field(default_factory=Counter)
    known: Counter[str] = field(default_factory=Counter)
    told: list[str] = field(default_factory=list)


def merge(connection: Connection, content: Content) -> Merged:
    """Merge sound rows in the transaction of the connection."""
    return _Merging(connection, content).done()


@dataclass
class _Merging:
    _connection: Connection
    _content: Content
    _merged: Merged = field(default_factory=Merged)
    _uids: dict[str, str] = field(default_factory=dict)
    """Ids of the inserted revisions by their ids in the content."""

    def done(self) -> Merged:
        customers = self._named(tables.customer, self._content["customer"], ("name", "ticket"))
        of_customers = [{**row, "customer": customers[row["customer"]]} for row in self._content["bike"]]
        bikes = self._named(tables.bike, of_customers, ("customer", "name"))
        parts = {row["digest"]: row for row in self._content["part"]}
        known = {row["digest"] for row in self._found(tables.part.c.digest, parts)}
        self._insert(tables.part, [row for digest, row in parts.items() if digest not in known])
        self._merged.known["part"] += len(known)
        self._logs({row["digest"]: row for row in self._content["log"]})
        self._jobs(bikes)
        for table in (tables.fitting, tables.attachment):
            self._of_revisions(table)
        return self._merged

    def _logs(self, logs: dict[str, Row]) -> None:
        known = {row["digest"] for row in self._found(tables.log.c.digest, logs)}
        for digest in logs.keys() - known:  # one by one: many may not fit into the memory
            row = logs[digest]
            self._insert(tables.log, [{**row, "data": packed(row[LOAD]())}])
        self._insert(tables.log, [])
        self._merged.known["log"] += len(known)

    def _named(self, table: Table, rows: Iterable[Row], key: tuple[str, str]) -> dict[str, str]:
        """Merge rows identified by their names; return the ids here by the ids of the rows."""
        found = rows_of(self._connection, table.select())
        here = {tuple(row[name] for name in key): row["uid"] for row in found}
        taken, uids, new = set(here.values()), {}, []
        for row in rows:
            uid = here.get(tuple(row[name] for name in key))
            if uid is None:
                uid = _other_uid(row) if row["uid"] in taken else row["uid"]
                new.append({**row, "uid": uid})
            uids[row["uid"]] = uid
        self._insert(table, new)
        self._merged.known[table.name] += len(uids) - len(new)
        return uids

    def _jobs(self, bikes: dict[str, str]) -> None:
        rows = {row["uid"]: row for row in self._content["job"]}
        jobs_here = {row["uid"]: row for row in self._found(tables.job.c.uid, rows)}
        there = by_job(self._content["revision"])
        here = by_job(self._found(tables.revision.c.job, jobs_here))
        same_uid = self._found(tables.revision.c.uid, [row["uid"] for row in self._content["revision"]])
        taken = {row["uid"]: row for row in same_uid}
        new_jobs, new_revisions = [], []
        for uid, job in rows.items():
            added = self._added(there[uid], here.get(uid, []), taken)
            new_revisions += added
            if uid not in jobs_here:
                new_jobs.append({**job, "bike": bikes[job["bike"]]})
            elif added:
                show_newest(self._connection, uid, [*here[uid], *added], parse(added[-1]["text"]))
                if jobs_here[uid]["deleted_at"] is not None:
                    self._tell(added[-1], "was deleted here and is restored, as new revisions were imported")
        self._insert(tables.job, new_jobs)
        self._insert(tables.revision, new_revisions)
        self._merged.known["job"] += len(jobs_here)

    def _added(self, there: Sequence[Row], here: Sequence[Row], taken: dict[str, Row]) -> list[Row]:
        """Return the revisions of a job that are not here, with numbers after those that are."""
        added: list[Row] = []
        numbers: dict[int | None, int | None] = {None: None}
        known = {row["uid"]: row for row in here}
        pairs = []
        for row in there:
            uid = row["uid"]
            if uid in taken and any(taken[uid][name] != row[name] for name in _SAME):
                uid = _other_uid({key: row[key] for key in ("uid", *_SAME)})
            if uid in known:
                numbers[row["number"]] = known[uid]["number"]
                pairs.append((known[uid], row))
                continue
            number = len(here) + len(added) + 1
            numbers[row["number"]] = number
            added.append({**row, "uid": uid, "number": number})
            self._uids[row["uid"]] = uid
            if number != row["number"] or uid != row["uid"]:
                kept = f"its revision {row['number']} is kept as revision {number} next to those here"
                self._tell(row, kept if uid == row["uid"] else f"{kept}, which has the same id")
        for row in added:
            row["parent"], row["settles"] = numbers[row["parent"]], numbers[row["settles"]]
        for mine, row in pairs:
            if row["settles"] is not None and numbers[row["settles"]] != mine["settles"]:
                what = f"revision {mine['number']} is the chosen version there and not here"
                self._tell(row, f"{what}: unchanged here")
        self._merged.known["revision"] += len(pairs)
        return added

    def _of_revisions(self, table: Table) -> None:
        """Insert what depends on the inserted revisions."""
        rows = [row for row in self._content[table.name] if row["revision"] in self._uids]
        self._insert(table, [{**row, "revision": self._uids[row["revision"]]} for row in rows])

    def _tell(self, revision: Row, what: str) -> None:
        title = parse(revision["text"]).title or UNTITLED
        self._merged.told.append(f"{brief(title)} ({revision['job'][:8]}): {what}")

    def _found(self, column: Column[str], values: Iterable[str]) -> list[Row]:
        """Return the rows here that have one of the values in a column."""
        wanted, rows = list(values), []
        for start in range(0, len(wanted), _CHUNK):
            asked = select(*told_of(column.table)).where(column.in_(wanted[start : start + _CHUNK]))
            rows += rows_of(self._connection, asked)
        return rows

    def _insert(self, table: Table, rows: list[Row]) -> None:
        if rows:
            names = [column.name for column in table.columns]
            self._connection.execute(table.insert(), [{name: row[name] for name in names} for row in rows])
        self._merged.new[table.name] += len(rows)


def _other_uid(row: Row) -> str:
    """Return another id for a row whose own belongs to another one here: the same in every import."""
    told = json.dumps(row, sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()[:32]


def import_paths(store: Store, paths: Sequence[Path], by: str) -> Merged:
    """Import an export, a backup, or job files, each as a new job saved `by` somebody.

    Raises `Unimportable` with all faults, or `StoreTrouble`; then nothing was imported.
    """
    are_jobs = not any(_is_folder(path) or _is_database(path) for path in paths)
    if len(paths) > 1 and not are_jobs:
        accepted = "use one folder of an export, one backup, or job files"
        raise Unimportable((f"{len(paths)} files and folders at once cannot be imported; {accepted}",))
    told: tuple[str, ...] = ()
    if are_jobs:
        content = _of_job_files(paths, by)
    elif _is_folder(paths[0]):
        content = read_export(paths[0])
        told = changed_since(paths[0])
    else:
        content, told = _of_backup(paths[0])
    with store.writing() as connection:
        merged = merge(connection, content)
    merged.told[:0] = told
    return merged


def _of_backup(path: Path) -> tuple[Content, tuple[str, ...]]:
    try:
        found = inspect_records(StoreAddress(path))
    except StoreTrouble as trouble:
        raise Unimportable((f"{path}: {line_for_command(trouble)}",)) from trouble
    if found.content is None or found.faults:
        raise Unimportable(tuple(f"{path}: {fault}" for fault in found.faults))
    for row in found.content["log"]:
        row[LOAD] = partial(_log_in, path, row["digest"])
    return found.content, found.told


def _log_in(path: Path, digest: str) -> bytes:
    """Return the bytes of a log out of a backup."""
    with closing(sqlite3.connect(address_of(path), uri=True)) as backup:
        [data] = backup.execute("SELECT data FROM log WHERE digest = ?", (digest,)).fetchone()
    return unpacked(data, digest)


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # reported when it is read as a job
        return False


def _is_database(path: Path) -> bool:
    try:
        if not path.is_file():  # a pipe cannot be read twice
            return False
        with path.open("rb") as file:
            return file.read(len(HEAD)) == HEAD
    except (OSError, ValueError):  # reported when it is read as a job
        return False


def _of_job_files(paths: Sequence[Path], by: str) -> Content:
    """Return new jobs as rows, made in temporary records so that the transaction on ours is short."""
    jobs = _read_jobs(paths)
    with (
        in_words(),
        TemporaryDirectory(prefix="springwright-") as folder,
        closing(open_store(StoreAddress(Path(folder) / "jobs.sqlite"))) as made,
    ):
        with made.writing() as connection:
            for path, text, job in jobs:
                add_job(connection, Saving.of(job, by, f"from {path.name}", text))
        return all_rows(made.engine)


def _read_jobs(paths: Sequence[Path]) -> list[tuple[Path, str, Job]]:
    """Return the texts and jobs of files; a job without an answer is accepted, any other TOML is not."""
    faults, jobs = [], []
    for path in paths:
        try:
            text = read_path(path)
            job = parse(text)
            found = Findings(spelled(job.tree))
            check_format(job.get(("format",)), found)
            jobs.append((path, text, job))
            faults += [f"{path}: {fault}" for fault in found.faults]
        except FileTrouble as trouble:
            faults.append(f"{path}: {trouble.fault}")
        except UnusableJob as unusable:
            faults += [f"{path}: {fault}" for fault in unusable.faults]
    if faults:
        raise Unimportable(tuple(faults))
    return jobs
