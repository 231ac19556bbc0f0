"""An export read back: every file, line and column that is not as it was written is told, all at once."""

from __future__ import annotations

from pathlib import Path

from tui.store.content import Content, by_job, shown_job
from tui.store.export_form import COLUMNS, csv_name, part_name, revision_name
from tui.store.export_manifest import promised
from tui.store.export_tables import ReadTable, read_table, refuse_others
from tui.store.export_texts import add_texts
from tui.store.refusing import Faults
from tui.store.sound import Flaw, flaws


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
