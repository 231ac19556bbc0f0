"""Everything in the records at one moment, as plain rows: what export, import and check look at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import Connection, Engine, Select

from tui.jobs.job import parse
from tui.store.backup import copy_file
from tui.store.opening import open_store
from tui.store.place import Place
from tui.store.saving import ends_of, shown_by
from tui.store.tables import TABLES
from tui.store.trouble import in_words

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
        with closing(open_store(Place(copy))) as store:
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
