"""The columns of an export that are for a person to read: whose job it is, and what was measured."""

from __future__ import annotations

import csv
import os
import shutil
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from tui.job.faults import UnusableJob
from tui.job.job import Job, parse
from tui.job.schema import MEASURED, RIDDEN
from tui.job.tree import Tree
from tui.store.address import make_file
from tui.store.content import Content, Row, content_of, flaws
from tui.store.manifest import (
    COLUMNS,
    DIGEST,
    MANIFEST,
    SHOWN,
    csv_name,
    defused,
    digest_of,
    manifest,
    part_name,
    revision_name,
)
from tui.store.store import Store
from tui.store.trouble import StoreTrouble, in_words

_WHEELS = {"": (), "front ": ("front",)}
_IN_JOB = {
    "rider mass": ("load", "rider_mass"),
    **{
        f"{wheel}{key.replace('_', ' ')} measured": (*at, "measured", key)
        for wheel, at in _WHEELS.items()
        for key in MEASURED
    },
    **{f"ride {key}": ("ridden", key) for key in RIDDEN},
}
"""What a revision is read for in a spreadsheet, and where it stands in its job."""
_WHOSE = ("title", "customer", "ticket", "bike")
SHOWN_COLUMNS: dict[str, tuple[str, ...]] = {
    "customer": (),
    "bike": ("customer", "ticket"),
    "part": (),
    "job": (*_WHOSE, "hardware", "latest", "versions", "saved_at", "saved_by"),
    "revision": (*_WHOSE, *_IN_JOB),
    "fitting": ("title", "part"),
}
"""What is shown beside the rows of each table."""
Shown = Mapping[str, object]


def shown_columns(content: Content) -> dict[str, Callable[[Row], Shown]]:
    """Return for each table what finds the values shown beside a row of it, by the name of the column."""
    customers = {row["uid"]: row for row in content["customer"]}
    bikes = {row["uid"]: row for row in content["bike"]}
    jobs = {row["uid"]: row for row in content["job"]}
    revisions = {row["uid"]: row for row in content["revision"]}
    parts = {row["digest"]: row for row in content["part"]}

    def of_bike(bike: Row) -> Shown:
        owner = customers[bike["customer"]]
        return {"customer": owner["name"], "ticket": owner["ticket"]}

    def of_job(job: Row) -> Shown:
        bike = bikes[job["bike"]]
        return {**job, **of_bike(bike), "bike": bike["name"]}

    def of_revision(revision: Row) -> Shown:
        return {**of_job(jobs[revision["job"]]), **_in(revision["text"])}

    def of_fitting(fitting: Row) -> Shown:
        job = jobs[revisions[fitting["revision"]]["job"]]
        return {"title": job["title"], "part": parts[fitting["part"]]["name"]}

    return {
        "customer": lambda _row: {},
        "part": lambda _row: {},
        "bike": of_bike,
        "job": of_job,
        "revision": of_revision,
        "fitting": of_fitting,
    }


def _in(text: str) -> Shown:
    """Return what is typed in a job, nothing of one whose text is damaged."""
    try:
        job = parse(text)
    except UnusableJob:
        job = Job(Tree({}))
    return {name: _plain(job.get(path)) for name, path in _IN_JOB.items()}


def _plain(raw: object) -> object:
    if isinstance(raw, tuple):
        return ", ".join(word for word in raw if isinstance(word, str))
    return raw if isinstance(raw, str | int | float) else ""


def export(store: Store, folder: Path) -> Content:
    """Write all records into a folder that is not there yet or is empty, and return what was written.

    Raises `StoreTrouble`; then there is no export at all.
    """
    content = content_of(store.engine)
    if found := flaws(content):
        raise StoreTrouble(
            f"the records are not sound ({found[0].table} {found[0].column}: {found[0].what})",
            "springwright store check tells everything; springwright store backup copies them as they are",
        )
    with in_words(), _whole_or_none(folder) as beside:
        _write(content, beside)
    return content


@contextmanager
def _whole_or_none(folder: Path) -> Iterator[Path]:
    """Give a folder to write into whose content is in `folder` afterwards, or nowhere if that fails."""
    target = folder.resolve()
    target.parent.mkdir(parents=True, exist_ok=True)
    # An empty folder may be somebody's working directory or a stick: it stays, and is filled from inside.
    beside = (target if target.exists() else target.parent) / f".{target.name}.part"
    if target.exists() and (not target.is_dir() or set(target.iterdir()) - {beside}):
        raise StoreTrouble(f"{folder} is there already", "a folder that is not there yet, or an empty one")
    shutil.rmtree(beside, ignore_errors=True)
    try:
        beside.mkdir(mode=0o700)
        yield beside
        _on_disk()
        if target.exists():
            _move_up(beside, target)
        else:
            beside.rename(target)
        _on_disk()
    finally:
        shutil.rmtree(beside, ignore_errors=True)


def _move_up(beside: Path, target: Path) -> None:
    """Move all that is in a folder into the one around it, the manifest last."""
    entries = sorted(beside.iterdir(), key=lambda entry: entry.name == MANIFEST)
    moved = []
    try:
        for entry in entries:
            moved.append(entry.rename(target / entry.name))
    except BaseException:
        for entry in moved:
            with suppress(OSError):
                entry.rename(beside / entry.name)
        raise


def _on_disk() -> None:
    # Thousands of small files: one call for all of them, where the system has it.
    if hasattr(os, "sync"):
        os.sync()


def _write(content: Content, folder: Path) -> None:
    for row in content["part"]:
        _write_text(folder / part_name(row), row["text"])
    for row in content["revision"]:
        _write_text(folder / revision_name(row), row["text"])
    shown = shown_columns(content)
    for table, rows in content.items():
        _write_table(folder / csv_name(table), table, _in_order(table, rows), shown[table])
    _write_text(folder / MANIFEST, manifest(content))


def _write_text(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    make_file(path)
    path.write_bytes(text.encode())


def _in_order(table: str, rows: list[Row]) -> list[Row]:
    """Return rows in an order that is the same every time, the oldest first where they have a time."""
    times = [name for name in ("first_at", "saved_at") if rows and name in rows[0]]
    keys = (*times, *(name for name in COLUMNS[table] if name != DIGEST))
    return sorted(rows, key=lambda row: [str(row[key] or "").rjust(9) for key in keys])


def _write_table(path: Path, table: str, rows: list[Row], shown: Callable[[Row], Shown]) -> None:
    names = COLUMNS[table]
    make_file(path)
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.writer(file)  # RFC 4180: commas, lines that end in CR LF, quotes where they are due
        writer.writerow([*names, *(SHOWN + name for name in SHOWN_COLUMNS[table])])
        for row in rows:
            own, beside = {**row, DIGEST: digest_of(row.get("text", ""))}, shown(row)
            values = (*(own[name] for name in names), *(beside[name] for name in SHOWN_COLUMNS[table]))
            writer.writerow(map(_cell, values))


def _cell(value: object) -> str:
    return "" if value is None else defused(str(value))
