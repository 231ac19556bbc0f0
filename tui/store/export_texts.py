"""The job files and parts of an export put to the rows of its tables."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path

from tui.store.content import Content, Row
from tui.store.export_files import whole_text
from tui.store.export_form import DIGEST, digest_of, part_name, revision_name
from tui.store.refusing import Faults
from tui.store.words import folded

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
