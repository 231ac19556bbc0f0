"""An export read back: every file, line and column that is not as it was written is told, all at once."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterator
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from tui.jobs.clean import brief
from tui.jobs.faults import printable
from tui.store.cells import restored
from tui.store.content import Content, Row, by_job, shown_job
from tui.store.export import digest_of
from tui.store.export_form import (
    COLUMNS,
    DIGEST,
    FORM,
    MANIFEST,
    SHOWN,
    csv_name,
    is_number,
    may_be_empty,
    part_name,
    revision_name,
)
from tui.store.sound import Flaw, flaws
from tui.store.steps import VERSION
from tui.store.words import folded

_LONGEST_CELL = 10_000_000
_OTHER_EXPORT = "a folder that springwright store export wrote to the end is accepted"


class Unimportable(Exception):
    """What cannot be brought in: one line for every fault."""

    def __init__(self, lines: tuple[str, ...]) -> None:
        """Keep the lines."""
        self.lines = tuple(map(printable, lines))
        super().__init__("\n".join(self.lines))


def read_export(folder: Path) -> Content:
    """Return what an export holds; raises `Unimportable` with every fault of it."""
    return _ExportReading(folder).content()


class _ExportReading:
    """One folder: its rows with the line each begins in, and the faults found so far."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._faults: list[str] = []
        self._lines: dict[str, list[int]] = {table: [] for table in COLUMNS}

    def content(self) -> Content:
        counts = self._counts()
        self._stop()
        rows = {table: self._table(table) for table in COLUMNS}
        for table in COLUMNS:
            self._count(table, counts, len(rows[table]))
        self._others()
        self._stop()  # a row that cannot be read has no text to look for
        self._texts(rows)
        self._stop()
        for flaw in flaws(rows):
            self._fault(self._place(rows, flaw), f"{flaw.what}; {flaw.accepted}")
        self._stop()
        revisions = by_job(rows["revision"])
        return {**rows, "job": [{**row, **shown_job(revisions[row["uid"]])} for row in rows["job"]]}

    def _place(self, rows: Content, flaw: Flaw) -> str:
        if flaw.column == "text":
            row = rows[flaw.table][flaw.row]
            return part_name(row) if flaw.table == "part" else revision_name(row)
        return f"{csv_name(flaw.table)}, line {self._lines[flaw.table][flaw.row]}, {flaw.column}"

    def _fault(self, *told: str) -> None:
        self._faults.append(": ".join((", ".join(told[:-1]), told[-1])))

    def _stop(self) -> None:
        if self._faults:
            raise Unimportable(tuple(self._faults))

    def _counts(self) -> dict[str, Any]:
        """Return how many rows the manifest promises."""
        path = self._folder / MANIFEST
        try:
            told = tomllib.loads(path.read_text("utf-8"))
        except FileNotFoundError:
            self._fault(MANIFEST, f"is missing, so this is no whole export; {_OTHER_EXPORT}")
            return {}
        except (OSError, ValueError) as error:
            self._fault(MANIFEST, f"cannot be read ({error}); {_OTHER_EXPORT}")
            return {}
        for key, known in (("form", FORM), ("schema", VERSION)):
            self._version(key, told.get(key), known)
        counts = told.get("counts")
        if not isinstance(counts, dict):
            self._fault(MANIFEST, f"counts: missing; {_OTHER_EXPORT}")
            return {}
        return counts

    def _version(self, key: str, version: object, known: int) -> None:
        if not isinstance(version, int) or version < 1:
            self._fault(MANIFEST, f"{key}: {version!r} is not known; {_OTHER_EXPORT}")
        elif version > known:
            what = f"{key}: {version} is of a later springwright, this one knows {known}"
            self._fault(MANIFEST, f"{what}; a springwright at least as new as the one that wrote it")

    def _count(self, table: str, counts: dict[str, Any], found: int) -> None:
        name = csv_name(table)
        due = counts.get(name.removesuffix(".csv"))
        if found != due and (self._folder / name).exists():
            self._fault(name, f"has {found} rows, {due} were written; the file as it was written is accepted")

    def _table(self, table: str) -> list[Row]:
        name = csv_name(table)
        try:
            with (self._folder / name).open(encoding="utf-8-sig", newline="") as file:
                return list(self._rows(table, name, file))
        except FileNotFoundError:
            self._fault(name, f"is missing; {_OTHER_EXPORT}")
        except OSError as error:
            self._fault(name, f"cannot be read: {error.strerror}; a file that can be read is accepted")
        except UnicodeDecodeError:
            self._fault(name, "is not text in UTF-8; a CSV table saved as UTF-8 is accepted")
        return []

    def _rows(self, table: str, name: str, file: Iterator[str]) -> Iterator[Row]:
        csv.field_size_limit(_LONGEST_CELL)
        reader = csv.reader(file, strict=True)
        line = 1
        header: list[str] | None = None
        try:
            for cells in reader:
                if header is None:
                    header = self._header(table, name, cells)
                elif len(cells) != len(header):
                    what = f"has {len(cells)} cells; {len(header)} as in line 1 are accepted"
                    self._fault(name, f"line {line}", what)
                else:
                    self._lines[table].append(line)
                    yield self._row(table, f"{name}, line {line}", dict(zip(header, cells, strict=True)))
                line = reader.line_num + 1
        except csv.Error as error:
            self._fault(name, f"line {line}", f"is no CSV ({error}); RFC 4180 with commas is accepted")
        if header is None:
            self._fault(name, "is empty; a line with the names of the columns is accepted")

    def _header(self, table: str, name: str, cells: list[str]) -> list[str]:
        known = COLUMNS[table]
        own = [cell for cell in cells if not cell.startswith(SHOWN)]
        for cell in own:
            if cell not in known:
                near = (get_close_matches(cell[:40], known, n=1, cutoff=0.0) or known)[0]
                accepted = f'{near} is, and names that begin with "{SHOWN}"'
                self._fault(name, "line 1", f'the column "{brief(cell)}" is not known; {accepted}')
            elif own.count(cell) > 1:
                self._fault(name, "line 1", f"the column {cell} is there twice; one is accepted")
        missing = [column for column in known if column not in own]
        if missing:
            accepted = f"all of {', '.join(known)} are needed"
            self._fault(name, "line 1", f"{', '.join(missing)}: missing; {accepted}")
        return cells

    def _row(self, table: str, place: str, cells: dict[str, str]) -> Row:
        row: Row = {}
        for column in COLUMNS[table]:
            cell = restored(cells.get(column, ""))
            if "\0" in cell:
                self._fault(place, column, "is not text; text is accepted")
            row[column] = None if cell == "" and may_be_empty(table, column) else cell
            if row[column] is not None and is_number(table, column):
                row[column] = self._number(f"{place}, {column}", cell)
        return row

    def _number(self, place: str, cell: str) -> int:
        if cell.isascii() and cell.isdecimal() and len(cell) < 10:
            return int(cell)
        self._fault(place, f'"{brief(cell)}" cannot be used; a whole number from 1 on is accepted')
        return 1

    def _others(self) -> None:
        """Tell of tables that would be left out."""
        known = {csv_name(table) for table in COLUMNS}
        for path in sorted(self._folder.glob("*.csv")):
            if path.name not in known:
                self._fault(path.name, f"is no table of the records; {', '.join(sorted(known))} are")

    def _texts(self, rows: Content) -> None:
        """Put the texts to the rows of parts and revisions."""
        due: dict[str, list[Row]] = {}
        for name_of, table in ((part_name, "part"), (revision_name, "revision")):
            for row in rows[table]:
                due.setdefault(name_of(row), []).append(row)
        there = {
            path.relative_to(self._folder).as_posix(): path
            for pattern in ("parts/*.toml", "jobs/*/*.toml")
            for path in self._folder.glob(pattern)
        }
        for name, wanting in due.items():
            text = self._text(name, there.get(name))
            for row in wanting:
                self._with_text(row, name, text)
        for name in sorted(there.keys() - due.keys()):
            self._fault(name, "is in no line of a table; only what the tables name is accepted")

    def _text(self, name: str, path: Path | None) -> str | None:
        if path is None:
            self._fault(name, "is missing; the file as it was written is accepted")
            return None
        try:
            return path.read_bytes().decode()
        except OSError as error:
            self._fault(name, f"cannot be read: {error.strerror}; a file that can be read is accepted")
        except UnicodeDecodeError:
            self._fault(name, "is not text in UTF-8; the file as it was written is accepted")
        return None

    def _with_text(self, row: Row, name: str, text: str | None) -> None:
        if text is None:
            return
        row["text"] = text
        if "digest" in row:
            row["words"] = folded(row["name"])
        elif digest_of(text.encode()) != row.pop(DIGEST):
            accepted = "a changed job comes in by itself: springwright store import FILE.toml"
            self._fault(name, f"is not what was written ({DIGEST}); {accepted}")
