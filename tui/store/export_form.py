"""The form of an export: which tables a folder of it has, which columns, and where the texts stand.

The tables are CSV as RFC 4180 has it, in UTF-8 with the mark by which a spreadsheet knows that. A column
whose name begins with `SHOWN` is there for a person to read and means nothing when the folder is read in.
"""

from __future__ import annotations

import hashlib

from sqlalchemy import Integer, Table

from tui.store import tables
from tui.store.content import Row

MANIFEST = "springwright-export.toml"
"""Written last: a folder without it is no whole export."""
FORM = 1
SHOWN = "shown "
DIGEST = "sha256"
"""Of the text of a revision, which never changes."""

COLUMNS: dict[str, tuple[str, ...]] = {
    "customer": ("uid", "name", "ticket"),
    "bike": ("uid", "customer", "name"),
    "part": ("digest", "kind", "name", "first_at", "hidden_at"),
    "job": ("uid", "bike", "deleted_at"),
    "revision": ("uid", "job", "number", "parent", "settles", "saved_at", "saved_by", "note", DIGEST),
    "fitting": ("revision", "place", "part"),
}
"""The columns of every table that mean something: all that does not follow from the rest."""
_TABLES = {table.name: table for table in tables.TABLES}


def csv_name(table: str) -> str:
    """Return the name of the file of a table."""
    return f"{table}s.csv"


def part_name(part: Row) -> str:
    """Return where the text of a part stands in the folder."""
    return f"parts/{part['digest']}.toml"


def revision_name(revision: Row) -> str:
    """Return where the text of a revision stands in the folder."""
    return f"jobs/{revision['job']}/{revision['number']}.toml"


def digest_of(text: str) -> str:
    """Return what tells a text from any other."""
    return hashlib.sha256(text.encode()).hexdigest()


def is_number(table: str, column: str) -> bool:
    """Return whether a column holds whole numbers."""
    return column in (found := _table(table).columns) and isinstance(found[column].type, Integer)


def may_be_empty(table: str, column: str) -> bool:
    """Return whether a cell with nothing in it means that there is no value."""
    return column in (found := _table(table).columns) and bool(found[column].nullable)


def _table(name: str) -> Table:
    return _TABLES[name]
