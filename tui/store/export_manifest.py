"""The manifest of an export: which program can read it, and how many rows were written."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tui import __version__
from tui.store.content import Content
from tui.store.export_files import whole_text
from tui.store.export_form import FORM, MANIFEST, csv_name
from tui.store.refusing import Faults
from tui.store.steps import VERSION

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
