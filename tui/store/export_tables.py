"""The CSV tables of an export read back, every line and cell that is not as it was written told."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from io import TextIOWrapper
from pathlib import Path
from typing import NamedTuple

from tui.jobs.clean import brief
from tui.store.cells import restored
from tui.store.content import Row
from tui.store.export_files import opened
from tui.store.export_form import COLUMNS, SHOWN, csv_name, is_number, may_be_empty
from tui.store.export_manifest import WHOLE
from tui.store.refusing import Faults

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
