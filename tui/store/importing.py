"""Rows of other records brought into these: nothing here is written over, nothing that comes is lost.

Who is who is told by the ids that every row got when it was made. A row that is here already is left as it
is. A revision whose number another one has here, or whose id stands for something else here, is kept beside
it as the next revision of its job.
"""

from __future__ import annotations

import csv
import hashlib
import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from difflib import get_close_matches
from io import TextIOWrapper
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from sqlalchemy import Column, Connection, Table, select, update

from tui.job.clean import brief
from tui.job.faults import Findings, UnusableJob, spelled
from tui.job.files import FileTrouble, read_path
from tui.job.job import Job, parse
from tui.job.reading import check_format
from tui.store import schema as tables
from tui.store.address import StoreAddress
from tui.store.content import Content, Flaw, Row, by_job, content_of, flaws, look_through, rows_of, shown_job
from tui.store.kept import folded
from tui.store.manifest import (
    COLUMNS,
    DIGEST,
    SHOWN,
    WHOLE,
    Faults,
    Unimportable,
    csv_name,
    digest_of,
    is_number,
    may_be_empty,
    off_the_bench,
    opened,
    part_name,
    promised,
    restored,
    revision_name,
    whole_text,
)
from tui.store.opening import open_store
from tui.store.saving import Saving, add_job, bike_of
from tui.store.store import Store
from tui.store.trouble import StoreTrouble, in_words

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


_LONGEST_CELL = 10_000_000


class ReadTable(NamedTuple):
    """The rows of a table, and the line of its file that each begins in."""

    rows: list[Row]
    lines: list[int]


def read_table(folder: Path, table: str, faults: Faults) -> ReadTable:
    """Return what can be read of a table."""
    name = csv_name(table)
    csv.field_size_limit(_LONGEST_CELL)
    try:
        with TextIOWrapper(opened(folder / name), encoding="utf-8-sig", newline="") as file:
            found = list(_rows(table, file, faults))
        return ReadTable([row for _, row in found], [line for line, _ in found])
    except FileNotFoundError:
        faults.add(name, "is missing", WHOLE)
    except OSError as error:
        faults.add(name, f"cannot be read: {error.strerror}", "a file that can be read is accepted")
    except UnicodeDecodeError:
        faults.add(name, "is not text in UTF-8", "a CSV table saved as UTF-8 is accepted")
    return ReadTable([], [])


def refuse_others(folder: Path, faults: Faults) -> None:
    """Tell of tables that would be left out."""
    known = {csv_name(table) for table in COLUMNS}
    for path in sorted(folder.glob("*.csv")):
        if path.name not in known:
            faults.add(path.name, "is no table of the records", f"{', '.join(sorted(known))} are")


def _rows(table: str, file: Iterable[str], faults: Faults) -> Iterator[tuple[int, Row]]:
    name, header = csv_name(table), None
    for line, cells in _lines(name, file, faults):
        if header is None:
            header = cells
            _check_header(table, header, faults)
        elif len(cells) != len(header):
            accepted = f"{len(header)} as in line 1 are accepted"
            faults.add(f"{name}, line {line}", f"has {len(cells)} cells", accepted)
        else:
            yield line, _row(table, f"{name}, line {line}", dict(zip(header, cells, strict=True)), faults)
    if header is None:
        faults.add(name, "is empty", "a line with the names of the columns is accepted")


def _lines(name: str, file: Iterable[str], faults: Faults) -> Iterator[tuple[int, list[str]]]:
    """Walk the rows, each with the line it begins in; a cell may hold line ends."""
    reader = csv.reader(file, strict=True)
    line = 1
    try:
        for cells in reader:
            yield line, cells
            line = reader.line_num + 1
    except csv.Error as error:
        faults.add(f"{name}, line {line}", f"is no CSV ({error})", "RFC 4180 with commas is accepted")


def _check_header(table: str, cells: list[str], faults: Faults) -> None:
    place, known = f"{csv_name(table)}, line 1", COLUMNS[table]
    own = [cell for cell in cells if not cell.startswith(SHOWN)]
    for cell in dict.fromkeys(own):
        if cell not in known:
            near = (get_close_matches(cell[:40], known, n=1, cutoff=0.0) or known)[0]
            accepted = f'{near} is, and names that begin with "{SHOWN}"'
            faults.add(place, f'the column "{brief(cell)}" is not known', accepted)
        elif own.count(cell) > 1:
            faults.add(place, f"the column {cell} is there twice", "one is accepted")
    if missing := [column for column in known if column not in own]:
        faults.add(place, f"{', '.join(missing)}: missing", f"all of {', '.join(known)} are needed")


def _row(table: str, place: str, cells: dict[str, str], faults: Faults) -> Row:
    row: Row = {}
    for column in COLUMNS[table]:
        cell = restored(cells.get(column, ""))
        if cell == "" and may_be_empty(table, column):
            row[column] = None
        elif is_number(table, column):
            row[column] = _number(f"{place}, {column}", cell, faults)
        else:
            row[column] = cell
    return row


def _number(place: str, cell: str, faults: Faults) -> int:
    if cell.isascii() and cell.isdecimal() and len(cell) < 10:
        return int(cell)
    faults.add(place, f'"{brief(cell)}" cannot be used', "a whole number from 1 on is accepted")
    return 1


_AS_WRITTEN = "the file as it was written is accepted"
_PATTERNS = ("parts/*.toml", "jobs/*/*.toml")


def add_texts(folder: Path, rows: Content, faults: Faults) -> None:
    """Put the texts to the rows of parts and revisions; every file belongs to one, and each has its file."""
    due: dict[str, list[Row]] = defaultdict(list)
    for name_of, table in ((part_name, "part"), (revision_name, "revision")):
        for row in rows[table]:
            due[name_of(row)].append(row)
    there = {path.relative_to(folder).as_posix() for pattern in _PATTERNS for path in folder.glob(pattern)}
    for name, wanting in due.items():
        if name not in there:
            faults.add(name, "is missing", _AS_WRITTEN)
        elif (text := _text(folder, name, faults)) is not None:
            for row in wanting:
                _put(row, name, text, faults)
    for name in sorted(there - due.keys()):
        faults.add(name, "is in no line of a table", "only what the tables name is accepted")


def _text(folder: Path, name: str, faults: Faults) -> str | None:
    try:
        return whole_text(folder / name)
    except OSError as error:
        faults.add(name, f"cannot be read: {error.strerror}", "a file that can be read is accepted")
    except UnicodeDecodeError:
        faults.add(name, "is not text in UTF-8", _AS_WRITTEN)
    return None


def _put(row: Row, name: str, text: str, faults: Faults) -> None:
    row["text"] = text
    if "digest" in row:
        row["words"] = folded(row["name"])
    elif digest_of(text) != row.pop(DIGEST):
        accepted = "a changed job comes in by itself: springwright store import FILE.toml"
        faults.add(name, f"is not what was written ({DIGEST})", accepted)


def read_export(folder: Path) -> Content:
    """Return what an export holds; raises `Unimportable` with every fault of it.

    What hangs on something faulty is looked at only when that is in order, so that no fault is told twice.
    """
    faults = Faults()
    counts = promised(folder, COLUMNS, faults)
    faults.stop()
    tables = {name: read_table(folder, name, faults) for name in COLUMNS}
    for name, table in tables.items():
        _count(folder, name, len(table.rows), counts[name], faults)
    refuse_others(folder, faults)
    faults.stop()
    rows = {name: table.rows for name, table in tables.items()}
    add_texts(folder, rows, faults)
    faults.stop()
    for flaw in flaws(rows):
        faults.add(_place(tables, flaw), flaw.what, flaw.accepted)
    faults.stop()
    revisions = by_job(rows["revision"])
    return {**rows, "job": [{**row, **shown_job(revisions[row["uid"]])} for row in rows["job"]]}


def _count(folder: Path, table: str, found: int, due: int, faults: Faults) -> None:
    name = csv_name(table)
    if found != due and (folder / name).exists():  # one that is missing is told already
        faults.add(name, f"has {found} rows, {due} were written", "the file as it was written is accepted")


def _place(tables: dict[str, ReadTable], flaw: Flaw) -> str:
    """Return where a flaw is: a text in its own file, anything else in a line and column."""
    row = tables[flaw.table].rows[flaw.row]
    if flaw.column == "text":
        return part_name(row) if flaw.table == "part" else revision_name(row)
    return f"{csv_name(flaw.table)}, line {tables[flaw.table].lines[flaw.row]}, {flaw.column}"


_DATABASE = b"SQLite format 3\0"
ACCEPTED = "one folder of an export, one backup, or job files are accepted"


def bring_in(store: Store, paths: Sequence[Path], by: str) -> Merged:
    """Bring in what stands at some paths; job files as new jobs that were saved `by` somebody.

    Raises `Unimportable` with every fault, or `StoreTrouble`; then nothing came in.
    """
    are_jobs = not any(path.is_dir() or _is_database(path) for path in paths)
    if len(paths) > 1 and not are_jobs:
        raise Unimportable((f"{len(paths)} files and folders at once cannot be told apart; {ACCEPTED}",))
    content = _job_files(paths, by) if are_jobs else content_at(paths[0])
    with store.writing() as connection:
        return merge(connection, content)


def content_at(path: Path) -> Content:
    """Return what an export or a backup holds; raises `Unimportable` with every fault of it."""
    if path.is_dir():
        return read_export(path)
    try:
        looked = look_through(StoreAddress(path))
    except StoreTrouble as trouble:
        raise Unimportable((f"{path}: {off_the_bench(trouble)}",)) from trouble
    if looked.content is None or looked.faults:
        raise Unimportable(tuple(f"{path}: {fault}" for fault in looked.faults))
    return looked.content


def _is_database(path: Path) -> bool:
    try:
        if not path.is_file():  # what has come through a pipe cannot be read again
            return False
        with path.open("rb") as file:
            return file.read(len(_DATABASE)) == _DATABASE
    except (OSError, ValueError):  # told where it is read as a job
        return False


def _job_files(paths: Sequence[Path], by: str) -> Content:
    """Return what records would hold that begin with these jobs: making it ready holds nobody up."""
    jobs = _read_jobs(paths)
    with (
        in_words(),
        TemporaryDirectory(prefix="springwright-") as folder,
        closing(open_store(StoreAddress(Path(folder) / "jobs.sqlite"))) as beside,
    ):
        with beside.writing() as connection:
            for path, text, job in jobs:
                add_job(connection, Saving.of(job, by, f"from {path.name}", text))
        return content_of(beside.engine)


def _read_jobs(paths: Sequence[Path]) -> list[tuple[Path, str, Job]]:
    faults, jobs = [], []
    for path in paths:
        try:
            text = read_path(path)
            jobs.append((path, text, _job(text)))
        except FileTrouble as trouble:
            faults.append(f"{path}: {trouble.fault}")
        except UnusableJob as unusable:
            faults += [f"{path}: {fault}" for fault in unusable.faults]
    if faults:
        raise Unimportable(tuple(faults))
    return jobs


def _job(text: str) -> Job:
    """Return the job of a file; one that cannot be answered yet is a job too, any other TOML is not."""
    job = parse(text)
    found = Findings(spelled(job.tree))
    check_format(job.get(("format",)), found)
    if found.faults:
        raise UnusableJob(tuple(found.faults))
    return job
