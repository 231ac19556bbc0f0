"""The export folder, written and read: CSV tables, one file per text, and a manifest.

The tables are CSV according to RFC 4180, in UTF-8 with a byte order mark, by which spreadsheets recognize the
encoding. A column whose name begins with `SHOWN` is for people and ignored when the folder is read.
"""

from __future__ import annotations

import csv
import errno
import hashlib
import os
import tomllib
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from io import TextIOWrapper
from pathlib import Path
from typing import BinaryIO

from sqlalchemy import Integer

from tui import version
from tui.job.faults import UnusableJob
from tui.job.fields import MEASURED, RIDDEN
from tui.job.files import real_path
from tui.job.job import Job, parse
from tui.job.tree import Tree, brief
from tui.kit.document import defused, restored
from tui.saying import nearest
from tui.store.address import make_file
from tui.store.content import by_job, flaws
from tui.store.guarding import is_part, part_of
from tui.store.kept import folded
from tui.store.reading import Content, Row, all_rows
from tui.store.saving import shown_job
from tui.store.schema import VERSION, metadata
from tui.store.store import Store
from tui.store.trouble import StoreTrouble, Unimportable, in_words

MANIFEST = "springwright-export.toml"
"""Written last: a folder without it is incomplete."""
FORM = 1
SHOWN = "shown "
LOAD = "load"
"""Reads the bytes of a log that is to be imported, in its row."""
DIGEST = "sha256"
"""The checksum of the text of a revision, which never changes."""

COLUMNS: dict[str, tuple[str, ...]] = {
    "customer": ("uid", "name", "ticket"),
    "bike": ("uid", "customer", "name"),
    "part": ("digest", "kind", "name", "first_at", "hidden_at"),
    "job": ("uid", "bike", "deleted_at"),
    "revision": ("uid", "job", "number", "parent", "settles", "saved_at", "saved_by", "note", DIGEST),
    "fitting": ("revision", "place", "part"),
    "log": ("digest", "name", "size", "first_at"),
    "attachment": ("revision", "place", "log", "told"),
}
"""The columns of every table that are read: all that cannot be derived from others."""
_LATER = {"log": 3, "attachment": 3}
"""Tables added by a later schema, absent from older exports."""
_WHEELS = {"": (), "front ": ("front",)}
_NAMED = {"of": "sag of"}
_IN_JOB = {
    "rider mass": ("load", "rider_mass"),
    **{
        f"measured {wheel}{_NAMED.get(key, key.replace('_', ' '))}": (*at, "measured", key)
        for wheel, at in _WHEELS.items()
        for key in MEASURED
    },
    **{f"ride {key}": ("ridden", key) for key in RIDDEN},
}
"""The values of a job that are shown beside its revisions, by their path in it."""
_WHOSE = ("title", "customer", "ticket", "bike")
_SHOWN_COLUMNS: dict[str, tuple[str, ...]] = {
    "customer": (),
    "bike": ("customer", "ticket"),
    "part": (),
    "job": (*_WHOSE, "hardware", "latest", "versions", "saved_at", "saved_by"),
    "revision": (*_WHOSE, *_IN_JOB),
    "fitting": ("title", "part"),
    "log": (),
    "attachment": ("title", "log"),
}
_DIGESTS = DIGEST
"""The table of checksums in the manifest."""
_LARGEST = 10_000_000
"""Largest text and longest cell read [bytes, characters]."""

_WHOLE = "use a complete folder from springwright store export"
_NEWER = "use a springwright at least as new as the one that wrote it"
_AS_WRITTEN = "use the file as it was written"


_CSV_NAMES = {table: f"{table}s.csv" for table in COLUMNS}


def _text_name(table: str, row: Row) -> str:
    """Return the path in the folder of the text of a part or a revision."""
    return f"parts/{row['digest']}.toml" if table == "part" else f"jobs/{row['job']}/{row['number']}.toml"


def _log_name(row: Row) -> str:
    """Return the path in the folder of a log, as its logger wrote it."""
    return f"logs/{row['digest']}.csv"


def _digest_of(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def export(store: Store, folder: Path) -> Content:
    """Write all records into a folder that does not exist or is empty, and return what was written.

    Raises `StoreTrouble`; then nothing is left in the folder.
    """
    content = all_rows(store.engine)
    if found := flaws(content):
        raise StoreTrouble(
            f"the records have faults ({found[0].table} {found[0].column}: {found[0].what})",
            "springwright store check lists all; springwright store backup copies them as they are",
        )
    shown = _shown_beside(content)
    with in_words(), _whole_or_none(folder) as beside:
        for table in ("part", "revision"):
            for row in content[table]:
                _write_text(beside / _text_name(table, row), row["text"])
        for row in content["log"]:
            _write_bytes(beside / _log_name(row), store.log_bytes(row["digest"]))
        for table, rows in content.items():
            _write_table(beside / _CSV_NAMES[table], table, rows, shown)
        _write_text(beside / MANIFEST, manifest(content, _digests_in(beside)))
    return content


def _digests_in(folder: Path) -> dict[str, str]:
    """Return the checksum of every table in a folder, and of the texts of all parts together."""
    files = {name: [folder / name] for name in _CSV_NAMES.values()}
    files["parts"] = sorted((folder / "parts").glob("*.toml"))
    found = {name: hashlib.sha256() for name in files}
    for name, paths in files.items():
        for path in (path for path in paths if path.exists()):
            found[name].update(path.read_bytes())
    return {name: digest.hexdigest() for name, digest in found.items()}


def changed_since(folder: Path) -> tuple[str, ...]:
    """Return what was changed in a readable export after it was written."""
    promised = tomllib.loads(_whole_text(folder / MANIFEST)).get(_DIGESTS)
    if not isinstance(promised, dict):
        return (f"{MANIFEST}: has no checksums: whether something was changed cannot be told",)
    return tuple(
        f"{name}: changed after it was written; it was taken as it is now"
        for name, digest in _digests_in(folder).items()
        if promised.get(name) != digest
    )


@contextmanager
def _whole_or_none(folder: Path) -> Iterator[Path]:
    """Give a folder to write into, whose content is moved to `folder` at the end, or deleted on an error."""
    target = real_path(folder)
    target.parent.mkdir(parents=True, exist_ok=True)
    _require_empty(target, folder)
    # An empty folder may be a working directory or a mount point: it is filled, not replaced.
    with part_of(target, target if target.exists() else target.parent) as part:
        beside = part / "whole"
        # Thousands of small files: one call syncs them all, where the system has it.
        sync = getattr(os, "sync", lambda: None)
        beside.mkdir(mode=0o700)
        yield beside
        sync()
        _require_empty(target, folder)  # others may have filled it meanwhile
        if target.exists():
            _move_up(beside, target)
        else:
            try:
                beside.rename(target)
            except OSError:
                _require_empty(target, folder)
                raise
        sync()


def _require_empty(target: Path, folder: Path) -> None:
    """Raise `StoreTrouble` if a folder contains anything but what other sessions are writing there."""
    if target.exists() and (
        not target.is_dir() or not all(is_part(target, entry) for entry in target.iterdir())
    ):
        raise StoreTrouble(f"{folder} exists already", "use a new or an empty folder")


def _move_up(beside: Path, target: Path) -> None:
    """Move the content of a folder into its parent, the manifest last; on an error move all of it back."""
    moved = []
    try:
        for entry in sorted(beside.iterdir(), key=lambda entry: entry.name == MANIFEST):
            moved.append(entry.rename(target / entry.name))
    except BaseException:
        for entry in moved:
            with suppress(OSError):
                entry.rename(beside / entry.name)
        raise


def _write_text(path: Path, text: str) -> None:
    _write_bytes(path, text.encode())


def _write_bytes(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    make_file(path)
    path.write_bytes(data)


def _write_table(path: Path, table: str, rows: list[Row], shown: Callable[[str, Row], Row]) -> None:
    names, shown_names = COLUMNS[table], _SHOWN_COLUMNS[table]
    # The same order every time: by time where there is one.
    times = [name for name in ("first_at", "saved_at") if rows and name in rows[0]]
    keys = (*times, *(name for name in names if name != DIGEST))
    make_file(path)
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.writer(file)  # RFC 4180: commas, CR LF, quotes where they are needed
        writer.writerow([*names, *(SHOWN + name for name in shown_names)])
        for row in sorted(rows, key=lambda row: [str(row[key] or "").rjust(9) for key in keys]):
            own, beside = {**row, DIGEST: _digest_of(row.get("text", ""))}, shown(table, row)
            values = (*(own[name] for name in names), *(beside[name] for name in shown_names))
            writer.writerow("" if value is None else defused(str(value)) for value in values)


def _shown_beside(content: Content) -> Callable[[str, Row], Row]:
    """Return a function that finds the values shown beside a row of a table."""
    there = {table: {row[names[0]]: row for row in content[table]} for table, names in COLUMNS.items()}

    def shown(table: str, row: Row) -> Row:
        match table:
            case "bike":
                owner = there["customer"][row["customer"]]
                return {"customer": owner["name"], "ticket": owner["ticket"]}
            case "job":
                bike = there["bike"][row["bike"]]
                return {**row, **shown("bike", bike), "bike": bike["name"]}
            case "revision":
                return {**shown("job", there["job"][row["job"]]), **_in_job(row["text"])}
            case "fitting":
                job = there["job"][there["revision"][row["revision"]]["job"]]
                return {"title": job["title"], "part": there["part"][row["part"]]["name"]}
            case "attachment":
                job = there["job"][there["revision"][row["revision"]]["job"]]
                return {"title": job["title"], "log": there["log"][row["log"]]["name"]}
        return {}

    return shown


def _in_job(text: str) -> Row:
    """Return the values of `_IN_JOB`, nothing of a damaged text."""
    try:
        job = parse(text)
    except UnusableJob:
        job = Job(Tree({}))
    found = {}
    for name, path in _IN_JOB.items():
        raw = job.get(path)
        if isinstance(raw, tuple):
            raw = ", ".join(word for word in raw if isinstance(word, str))
        found[name] = raw if isinstance(raw, str | int | float) else ""
    return found


def manifest(content: Content, digests: Mapping[str, str]) -> str:
    """Return the text of the manifest; `digests` are the checksums of the files."""
    sums = "".join(f'"{name}" = "{digest}"\n' for name, digest in digests.items())
    counts = "".join(f"{table}s = {len(rows)}\n" for table, rows in content.items())
    return (
        "# Everything in the records of springwright; `springwright store import FOLDER` reads it in.\n"
        f"form = {FORM}\nschema = {VERSION}\n"
        f'program = "{version()}"\nwritten_at = {datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}\n\n'
        f"[counts]\n{counts}\n[{_DIGESTS}]\n{sums}"
    )


class _Faults(list[str]):
    def add(self, place: str, what: str, accepted: str) -> None:
        """Note what is wrong at a place and what to use there."""
        self.append(f"{place}: {what}; {accepted}")

    def stop(self) -> None:
        """Raise `Unimportable` where there are any faults."""
        if self:
            raise Unimportable(tuple(self))

    @contextmanager
    def reading(self, name: str, as_text: str) -> Iterator[None]:
        """Note the error of a file that cannot be read; `as_text` says what to use if it is not UTF-8."""
        try:
            yield
        except FileNotFoundError:
            self.add(name, "is missing", _WHOLE)
        except OSError as error:
            self.add(name, f"cannot be read: {error.strerror}", "use a file that can be read")
        except UnicodeDecodeError:
            self.add(name, "is not text in UTF-8", as_text)


def read_export(folder: Path) -> Content:
    """Return the content of an export; raises `Unimportable` with all of its faults.

    A step begins only if the one before found no fault, so that no fault is reported twice.
    """
    faults = _Faults()
    counts = _promised(folder, faults)
    faults.stop()
    tables = {table: _read_table(folder, table, faults) if table in counts else [] for table in COLUMNS}
    for table, found in tables.items():
        name, due = _CSV_NAMES[table], counts.get(table, 0)
        if len(found) != due and (folder / name).exists():  # a missing one is reported already
            faults.add(name, f"has {len(found)} rows, {due} were written", _AS_WRITTEN)
    known = sorted(_CSV_NAMES.values())
    for path in sorted(folder.glob("*.csv")):
        if path.name not in known:
            faults.add(path.name, "is not a table of the records", f"use {', '.join(known)}")
    faults.stop()
    rows = {table: [row for _, row in found] for table, found in tables.items()}
    _add_texts(folder, rows, faults)
    _add_logs(folder, rows["log"], faults)
    faults.stop()
    for flaw in flaws(rows):
        line, row = tables[flaw.table][flaw.row]
        in_table = f"{_CSV_NAMES[flaw.table]}, line {line}, {flaw.column}"
        place = _text_name(flaw.table, row) if flaw.column == "text" else in_table
        faults.add(place, flaw.what, flaw.accepted)
    faults.stop()
    revisions = by_job(rows["revision"])
    return {**rows, "job": [{**row, **shown_job(revisions[row["uid"]])} for row in rows["job"]]}


def _promised(folder: Path, faults: _Faults) -> dict[str, int]:
    """Return the numbers of rows in the manifest by table."""
    try:
        told = tomllib.loads(_whole_text(folder / MANIFEST))
    except FileNotFoundError:
        faults.add(MANIFEST, "is missing, so this export is incomplete", _WHOLE)
        return {}
    except (OSError, ValueError, RecursionError) as error:
        why = error.strerror if isinstance(error, OSError) else error
        why = "nested without end" if isinstance(error, RecursionError) else why
        faults.add(MANIFEST, f"cannot be read ({why})", _WHOLE)
        return {}
    for key, known in (("form", FORM), ("schema", VERSION)):
        version = told.get(key)
        if not isinstance(version, int) or version < 1:
            faults.add(MANIFEST, f"{key}: {version!r} is not known", _WHOLE)
        elif version > known:
            later = f"{version} is from a later springwright, this one knows {known}"
            faults.add(MANIFEST, f"{key}: {later}", _NEWER)
    counts = told.get("counts")
    counts = counts if isinstance(counts, dict) else {}
    found = {table: counts[f"{table}s"] for table in COLUMNS if isinstance(counts.get(f"{table}s"), int)}
    schema = told.get("schema")
    due = [table for table in COLUMNS if not isinstance(schema, int) or schema >= _LATER.get(table, 1)]
    if missing := [f"{table}s" for table in due if table not in found]:
        faults.add(MANIFEST, f"counts: no number of {', '.join(missing)}", _WHOLE)
    return found


def _opened(path: Path) -> BinaryIO:
    """Open a file to be read; raises OSError, also for a folder or a device."""
    if path.exists() and not path.is_file():
        raise OSError(errno.EINVAL, "it is not a file")
    return path.open("rb")


def _whole_text(path: Path) -> str:
    """Return the text of a file with its line ends; raises OSError or `UnicodeDecodeError`."""
    with _opened(path) as file:
        data = file.read(_LARGEST + 1)
    if len(data) > _LARGEST:
        raise OSError(errno.EFBIG, f"larger than {_LARGEST // 10**6} MB")
    return data.decode()


def _read_table(folder: Path, table: str, faults: _Faults) -> list[tuple[int, Row]]:
    """Return the rows of a table, each with the line of the file it begins in."""
    name = _CSV_NAMES[table]
    csv.field_size_limit(_LARGEST)
    with (
        faults.reading(name, "use a CSV table saved as UTF-8"),
        TextIOWrapper(_opened(folder / name), encoding="utf-8-sig", newline="") as file,
    ):
        return list(_rows(table, file, faults))
    return []


def _rows(table: str, file: Iterable[str], faults: _Faults) -> Iterator[tuple[int, Row]]:
    name, header, line = _CSV_NAMES[table], None, 1
    reader = csv.reader(file, strict=True)
    try:
        for cells in reader:
            place = f"{name}, line {line}"
            if header is None:
                header = cells
                _check_header(table, header, faults)
            elif len(cells) != len(header):
                faults.add(place, f"has {len(cells)} cells", f"use {len(header)} as in line 1")
            else:
                yield line, _row(table, place, dict(zip(header, cells, strict=True)), faults)
            line = reader.line_num + 1  # the line on which the next row begins: a cell may contain line ends
    except csv.Error as error:
        faults.add(f"{name}, line {line}", f"is not CSV ({error})", "use RFC 4180 with commas")
    if header is None:
        faults.add(name, "is empty", "add a line with the names of the columns")


def _check_header(table: str, cells: list[str], faults: _Faults) -> None:
    place, known = f"{_CSV_NAMES[table]}, line 1", COLUMNS[table]
    own = [cell for cell in cells if not cell.startswith(SHOWN)]
    for cell in dict.fromkeys(own):
        if cell not in known:
            use = nearest(cell, known) or f"one of {', '.join(known)}"
            accepted = f'use {use}, or a name that begins with "{SHOWN}"'
            faults.add(place, f'the column "{brief(cell)}" is not known', accepted)
        elif own.count(cell) > 1:
            faults.add(place, f"the column {cell} appears twice", "keep one")
    if missing := [column for column in known if column not in own]:
        faults.add(place, f"{', '.join(missing)}: missing", f"use all of {', '.join(known)}")


def _row(table: str, place: str, cells: Mapping[str, str], faults: _Faults) -> Row:
    row: Row = {}
    for name in COLUMNS[table]:
        column, cell = metadata.tables[table].columns.get(name), restored(cells.get(name, ""))
        row[name] = cell
        if cell == "" and column is not None and column.nullable:
            row[name] = None
        elif column is not None and isinstance(column.type, Integer):
            is_number = cell.isascii() and cell.isdecimal() and len(cell) < 10
            row[name] = int(cell) if is_number else 1
            if not is_number:
                what = f'"{brief(cell)}" cannot be used'
                faults.add(f"{place}, {name}", what, "use a whole number from 1")
    return row


def _add_texts(folder: Path, rows: Content, faults: _Faults) -> None:
    """Add the texts to the rows of parts and revisions: one file for each row, and no other files."""
    due: dict[str, list[Row]] = defaultdict(list)
    for table in ("part", "revision"):
        for row in rows[table]:
            due[_text_name(table, row)].append(row)
    paths = (path for pattern in ("parts/*.toml", "jobs/*/*.toml") for path in folder.glob(pattern))
    there = {path.relative_to(folder).as_posix() for path in paths}
    for name, wanting in due.items():
        if name not in there:
            faults.add(name, "is missing", _AS_WRITTEN)
            continue
        with faults.reading(name, _AS_WRITTEN):
            text = _whole_text(folder / name)
            for row in wanting:
                row["text"] = text
                if "digest" in row:
                    row["words"] = folded(row["name"])
                elif _digest_of(text) != row.pop(DIGEST):
                    accepted = "import a changed job by itself: springwright store import FILE.toml"
                    faults.add(name, f"is not what was written ({DIGEST})", accepted)
    for name in sorted(there - due.keys()):
        faults.add(name, "is not listed in a table", "remove it, or list it in a table")


def _add_logs(folder: Path, rows: list[Row], faults: _Faults) -> None:
    """Add to the row of each log how to read its bytes: one file for each, and no other files."""
    there = {path.relative_to(folder).as_posix() for path in folder.glob("logs/*")}
    for row in rows:
        name = _log_name(row)
        if name not in there:
            faults.add(name, "is missing", _AS_WRITTEN)
            continue
        with faults.reading(name, _AS_WRITTEN):
            if hashlib.sha256((folder / name).read_bytes()).hexdigest() != row["digest"]:
                faults.add(name, f"is not what was written ({DIGEST})", _AS_WRITTEN)
        row[LOAD] = (folder / name).read_bytes
    for name in sorted(there - {_log_name(row) for row in rows}):
        faults.add(name, "is not listed in a table", "remove it, or list it in a table")
