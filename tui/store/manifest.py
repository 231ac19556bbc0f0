"""The form of an export: which tables a folder of it has, which columns, and where the texts stand.

The tables are CSV as RFC 4180 has it, in UTF-8 with the mark by which a spreadsheet knows that. A column
whose name begins with `SHOWN` is there for a person to read and means nothing when the folder is read in.
"""

from __future__ import annotations

import errno
import hashlib
import re
import tomllib
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, BinaryIO

from sqlalchemy import Integer, Table

from tui import __version__
from tui.job.faults import printable
from tui.store import schema as tables
from tui.store.content import Content, Row
from tui.store.schema import VERSION
from tui.store.trouble import StoreTrouble

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


_LARGEST = 10_000_000
"""Largest text taken [bytes]."""


def opened(path: Path) -> BinaryIO:
    """Open a file to be read; raises OSError, also for what is there and no file."""
    if path.exists() and not path.is_file():
        raise OSError(errno.EINVAL, "it is no file")
    return path.open("rb")


def whole_text(path: Path) -> str:
    """Return the text of a file exactly; raises OSError, and `UnicodeDecodeError` where it is none."""
    with opened(path) as file:
        data = file.read(_LARGEST + 1)
    if len(data) > _LARGEST:
        raise OSError(errno.EFBIG, f"larger than {_LARGEST // 10**6} MB")
    return data.decode()


_KEY = re.compile(r"\bW\b")
_USUAL = "a place that can be read and written is accepted"


def off_the_bench(trouble: StoreTrouble) -> str:
    """Return a trouble as a line without the key that saves to a file from the bench."""
    accepted = "; ".join(part for part in trouble.accepted.split("; ") if not _KEY.search(part))
    return f"{trouble.what}; {accepted or _USUAL}"


class Unimportable(Exception):
    """What cannot be brought in: one line for every fault."""

    def __init__(self, lines: tuple[str, ...]) -> None:
        """Keep the lines."""
        self.lines = tuple(map(printable, lines))
        super().__init__("\n".join(self.lines))


class Faults:
    """The faults found so far."""

    def __init__(self) -> None:
        """Begin with none."""
        self._lines: list[str] = []

    def add(self, place: str, what: str, accepted: str) -> None:
        """Note what is wrong at a place and what is accepted there."""
        self._lines.append(f"{place}: {what}; {accepted}")

    def stop(self) -> None:
        """Raise `Unimportable` where there are any."""
        if self._lines:
            raise Unimportable(tuple(self._lines))


WHOLE = "a folder that springwright store export wrote to the end is accepted"
_NEWER = "a springwright at least as new as the one that wrote it is needed"


def manifest(content: Content) -> str:
    """Return the text of the manifest."""
    counts = "".join(f"{_key(table)} = {len(rows)}\n" for table, rows in content.items())
    return (
        "# Everything in the records of springwright; `springwright store import FOLDER` reads it in.\n"
        f"form = {FORM}\nschema = {VERSION}\n"
        f'program = "{__version__}"\nwritten_at = {datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}\n\n'
        f"[counts]\n{counts}"
    )


def promised(folder: Path, tables: Iterable[str], faults: Faults) -> dict[str, int]:
    """Return how many rows of each table an export has by its manifest."""
    told = _read(folder, faults)
    if told is None:
        return {}
    for key, known in (("form", FORM), ("schema", VERSION)):
        _check_version(key, told.get(key), known, faults)
    counts = told.get("counts")
    counts = counts if isinstance(counts, dict) else {}
    found = {table: counts[_key(table)] for table in tables if isinstance(counts.get(_key(table)), int)}
    missing = [_key(table) for table in tables if table not in found]
    if missing:
        faults.add(MANIFEST, f"counts: no number of {', '.join(missing)}", WHOLE)
    return found


def _key(table: str) -> str:
    return csv_name(table).removesuffix(".csv")


def _read(folder: Path, faults: Faults) -> dict[str, Any] | None:
    try:
        return tomllib.loads(whole_text(folder / MANIFEST))
    except FileNotFoundError:
        faults.add(MANIFEST, "is missing, so this is no whole export", WHOLE)
    except OSError as error:
        faults.add(MANIFEST, f"cannot be read ({error.strerror})", WHOLE)
    except ValueError as error:
        faults.add(MANIFEST, f"cannot be read ({error})", WHOLE)
    except RecursionError:
        faults.add(MANIFEST, "cannot be read (nested without end)", WHOLE)
    return None


def _check_version(key: str, version: object, known: int, faults: Faults) -> None:
    if not isinstance(version, int) or version < 1:
        faults.add(MANIFEST, f"{key}: {version!r} is not known", WHOLE)
    elif version > known:
        what = f"{key}: {version} is of a later springwright, this one knows {known}"
        faults.add(MANIFEST, what, _NEWER)


SIGN = "'"
_RUN = "=+\\-@\uff1d\uff0b\uff0d\uff20"
"""Signs a formula begins with, the wide forms of East Asian keyboards among them (from memory)."""
_RISKY = re.compile(f"['\t\r\n]| *[{_RUN}]")
_INSIDE = re.compile(f"([;\t\r\n])(?='* *[{_RUN}])")
_INSIDE_SIGNED = re.compile(f"([;\t\r\n])'(?='* *[{_RUN}])")


def defused(text: str) -> str:
    """Return text as a cell."""
    inside = _INSIDE.sub(r"\1'", text)
    return SIGN + inside if _RISKY.match(inside) else inside


def restored(cell: str) -> str:
    """Return the text of a cell."""
    return _INSIDE_SIGNED.sub(r"\1", cell.removeprefix(SIGN))
