"""Export: everything goes out whole, and comes back into empty records as it was."""

from __future__ import annotations

import csv
import sqlite3
import tomllib
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.tui.store.jobs import job_for, weighing
from tui.store import export as exporting
from tui.store.address import StoreAddress
from tui.store.demo_shop import put_in_demo_shop
from tui.store.export import MANIFEST, export, read_export
from tui.store.importing import Merged, merge
from tui.store.kept import KeptLog
from tui.store.opening import open_store
from tui.store.reading import Content, all_rows
from tui.store.schema import VERSION
from tui.store.store import Store
from tui.store.trouble import StoreTrouble

NOW = datetime(2026, 5, 4, 10, 30, tzinfo=UTC)
HOSTILE = '=cmd|"/c x"!A1,\r\n;-1\t\'@\u540d\u524d'


@pytest.fixture
def full(store: Store) -> Store:
    """Records with everything in them that there can be."""
    put_in_demo_shop(store, NOW)
    logs = [KeptLog("=ride.csv", b"time,shock\r\n0,\xff\n", "{}"), KeptLog("b.csv", b"0 1" * 9999, "{}")]
    first = store.save(job_for(HOSTILE, "=1+1", ticket="-5"), "@Mo", note="'+1; -2", logs=logs)
    entry = first.entry
    store.save(weighing(job_for("", "=1+1"), "90 kg"), "Ben", entry=entry)
    store.save(weighing(job_for("Ida"), "91 kg"), "Ana", entry=entry)
    store.settle(entry.job, chosen=3, over=2)
    store.delete(store.save(job_for("Gone"), "Mo").entry.job)
    store.hide_part(store.parts("Hire", "frame")[0].digest)
    text = 'format = 1  # ours\r\ntitle = """a\r\nb"""\n'
    store.save(job_for("Ida"), "Mo", before=text)
    return store


@pytest.fixture
def other(tmp_path: Path, store: Store) -> Iterator[Store]:
    """Empty records in another file."""
    with closing(open_store(StoreAddress(tmp_path / "other" / "records.sqlite"))) as opened:
        yield opened


def as_sets(content: Content) -> dict[str, set[tuple[tuple[str, object], ...]]]:
    return {table: {tuple(sorted(row.items())) for row in rows} for table, rows in content.items()}


def brought_in(store: Store, folder: Path) -> Merged:
    with store.writing() as connection:
        return merge(connection, read_export(folder))


def test_all_of_it_comes_back_into_empty_records(full: Store, other: Store, tmp_path: Path) -> None:
    written = export(full, tmp_path / "out")
    merged = brought_in(other, tmp_path / "out")
    there, here = as_sets(all_rows(full.engine)), as_sets(all_rows(other.engine))
    assert here == there
    assert {table: len(rows) for table, rows in written.items()} == dict(merged.new)
    assert sum(merged.known.values()) == 0
    assert merged.told == []


@pytest.mark.slow
def test_a_file_goes_to_either_database_too(store: Store, other: Store, tmp_path: Path) -> None:
    put_in_demo_shop(other, NOW)
    export(other, tmp_path / "out")
    brought_in(store, tmp_path / "out")
    assert as_sets(all_rows(store.engine)) == as_sets(all_rows(other.engine))


@pytest.mark.slow
def test_the_same_records_make_the_same_files_whatever_database_they_are_in(
    full: Store, other: Store, tmp_path: Path
) -> None:
    export(full, tmp_path / "one")
    brought_in(other, tmp_path / "one")
    export(other, tmp_path / "two")
    for path in sorted((tmp_path / "one").rglob("*.*")):
        if path.name != MANIFEST:
            assert path.read_bytes() == (tmp_path / "two" / path.relative_to(tmp_path / "one")).read_bytes()


@pytest.mark.slow
def test_every_revision_is_the_exact_job_file(full: Store, tmp_path: Path) -> None:
    export(full, tmp_path / "out")
    rows = all_rows(full.engine)["revision"]
    assert len(rows) > 25
    for row in rows:
        path = tmp_path / "out" / "jobs" / row["job"] / f"{row['number']}.toml"
        assert path.read_bytes() == row["text"].encode()


@pytest.mark.slow
def test_tables_are_for_a_spreadsheet(full: Store, tmp_path: Path) -> None:
    export(full, tmp_path / "out")
    for path in (tmp_path / "out").glob("*.csv"):
        data = path.read_bytes()
        assert data.startswith("\ufeff".encode())
        assert data.endswith(b"\r\n")
        with path.open(encoding="utf-8-sig", newline="") as file:
            cells = [cell for line in csv.reader(file, strict=True) for cell in line]
        assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]


@pytest.mark.slow
def test_revisions_show_a_person_what_they_are(full: Store, tmp_path: Path) -> None:
    export(full, tmp_path / "out")
    with (tmp_path / "out" / "revisions.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["note"] == "set, sag measured on the bike"]
    [row] = rows
    assert row["shown title"] == "First setup, green trail bike (invented)"
    assert row["shown customer"] == "Ida Fern (invented)"
    assert row["shown rider mass"] == "68 kg"
    assert row["shown measured sag"] == "43 mm"
    assert row["shown measured front gauge"] == "60 psi"
    assert row["shown measured rebound clicks"] == ""
    assert "shown measured front sag of" in row


@pytest.mark.slow
def test_the_manifest_counts_what_was_written(full: Store, tmp_path: Path) -> None:
    export(full, tmp_path / "out")
    told = tomllib.loads((tmp_path / "out" / MANIFEST).read_text("utf-8"))
    assert told["schema"] == VERSION
    content = all_rows(full.engine)
    assert told["counts"] == {f"{table}s": len(rows) for table, rows in content.items()}


@pytest.mark.slow
@pytest.mark.parametrize("is_there", [False, True])
def test_an_export_that_breaks_off_leaves_nothing(
    file_store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, is_there: bool
) -> None:
    put_in_demo_shop(file_store, NOW)
    folder = tmp_path / "out"
    if is_there:
        folder.mkdir()

    def full_disk(_content: Content, _digests: object) -> str:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(exporting, "manifest", full_disk)
        with pytest.raises(StoreTrouble, match="disk is full"):
            export(file_store, folder)
    assert folder.exists() == is_there
    assert list(tmp_path.glob(".*")) == []
    assert not is_there or list(folder.iterdir()) == []
    export(file_store, folder)
    assert len(read_export(folder)["job"]) == 12
    assert {path.name for path in folder.iterdir()} >= {"jobs", "parts", "jobs.csv", MANIFEST}


def test_what_an_export_left_that_was_killed_is_cleared(file_store: Store, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    (folder / ".out.part" / "jobs").mkdir(parents=True)
    export(file_store, folder)
    assert not (folder / ".out.part").exists()
    assert read_export(folder)["job"] == []


def test_a_folder_with_something_in_it_is_left_alone(file_store: Store, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "photo.jpg").write_bytes(b"x")
    for path in (tmp_path / "out", tmp_path / "out" / "photo.jpg"):
        with pytest.raises(StoreTrouble, match="exists already"):
            export(file_store, path)
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["photo.jpg"]


def test_an_id_never_leads_out_of_the_folder(file_store: Store, tmp_path: Path) -> None:
    file_store.save(job_for("Ida"), "Mo")
    assert file_store.place.file is not None
    with closing(sqlite3.connect(file_store.place.file, isolation_level=None)) as connection:
        connection.execute("UPDATE revision SET job = '../../gone'")
        connection.execute("UPDATE job SET uid = '../../gone'")
    with pytest.raises(StoreTrouble, match="have faults"):
        export(file_store, tmp_path / "a" / "out")
    assert not (tmp_path / "gone").exists()
