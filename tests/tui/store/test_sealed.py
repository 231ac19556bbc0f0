"""Exports and backups in which a bit has changed: told or refused, never taken in silence."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from tests.tui.store.jobs import job_for
from tests.tui.store.sessions import Line, Session, all_at_once
from tests.tui.store.test_export import as_sets
from tui.cli import main
from tui.store.address import StoreAddress
from tui.store.demo_shop import put_in_demo_shop
from tui.store.export import MANIFEST, export
from tui.store.importing import import_paths
from tui.store.kept import KeptLog
from tui.store.opening import open_store
from tui.store.reading import Content, all_rows
from tui.store.store import Store
from tui.store.trouble import StoreTrouble, Unimportable

NOW = datetime(2026, 5, 4, 10, 30, tzinfo=UTC)
FLIPS = 60


@pytest.fixture
def shop(file_store: Store) -> Store:
    """Records with a bit of everything."""
    logs = [KeptLog("ride.csv", b"time,shock\r\n0,1\r\n", "{}")]
    job = job_for("Ida Fern", "green").with_value(("frame", "name"), "Frame 1 (invented)")
    first = file_store.save(job, "Mo", note="first", logs=logs)
    file_store.save(job_for("Ida Fern", "green"), "Ben", note="second", entry=first.entry)
    return file_store


def brought_in(paths: Path, folder: Path) -> tuple[Content, list[str]] | None:
    """Return what comes into empty records and what is told, None where it is refused."""
    with closing(open_store(StoreAddress(folder / "new.sqlite"))) as store:
        try:
            told = import_paths(store, [paths], "Mo").told
        except (Unimportable, StoreTrouble):
            return None
        return all_rows(store.engine), told


def flipped(path: Path, random: Random) -> Callable[[], object]:
    """Flip one bit of a file and return what puts it back."""
    data = path.read_bytes()
    bit = random.randrange(len(data) * 8)
    changed = bytearray(data)
    changed[bit // 8] ^= 1 << bit % 8
    path.write_bytes(changed)
    return lambda: path.write_bytes(data)


def assert_no_flip_passes(paths: Path, files: list[Path], shop: Store, tmp_path: Path, flips: int) -> None:
    random, silent, before = Random(7), [], as_sets(all_rows(shop.engine))
    for number in range(flips):
        folder = tmp_path / f"try{number}"
        folder.mkdir()
        path = random.choice(files)
        put_back = flipped(path, random)
        found = brought_in(paths, folder)
        if found is not None and not found[1] and as_sets(found[0]) != before:
            silent.append((number, path.name))
        put_back()
    assert silent == []


@pytest.mark.parametrize("flips", [FLIPS // 10, pytest.param(FLIPS * 4, marks=pytest.mark.slow)])
def test_no_bit_of_an_export_changes_in_silence(shop: Store, tmp_path: Path, flips: int) -> None:
    out = tmp_path / "out"
    export(shop, out)
    files = [path for path in sorted(out.rglob("*")) if path.is_file()]
    assert_no_flip_passes(out, files, shop, tmp_path, flips)


@pytest.mark.parametrize("flips", [FLIPS // 10, pytest.param(FLIPS * 4, marks=pytest.mark.slow)])
def test_no_bit_of_a_backup_changes_in_silence(shop: Store, tmp_path: Path, flips: int) -> None:
    copy = shop.back_up(tmp_path / "copy.sqlite")
    assert_no_flip_passes(copy, [copy], shop, tmp_path, flips)


def test_a_table_edited_by_hand_is_taken_and_told(shop: Store, tmp_path: Path) -> None:
    out = tmp_path / "out"
    export(shop, out)
    table = out / "customers.csv"
    table.write_bytes(table.read_bytes().replace(b"Ida Fern", b"Ida Oak!"))
    found = brought_in(out, tmp_path)
    assert found is not None
    assert found[1] == ["customers.csv: changed after it was written; it was taken as it is now"]
    assert [row["name"] for row in found[0]["customer"]] == ["Ida Oak!"]


def test_an_export_without_checksums_is_taken_and_told(shop: Store, tmp_path: Path) -> None:
    out = tmp_path / "out"
    export(shop, out)
    manifest = out / MANIFEST
    manifest.write_text(manifest.read_text().partition("[sha256]")[0])
    found = brought_in(out, tmp_path)
    assert found is not None
    assert "has no checksums" in found[1][0]


def _edit(path: Path, old: str, new: str) -> None:
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("UPDATE revision SET note = ? WHERE note = ?", (new, old))


def test_a_changed_backup_is_told_where_it_is_checked_imported_or_put_to_use(
    shop: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = shop.back_up(tmp_path / "copy.sqlite")
    assert main(["store", "--store", str(copy), "check"]) == 0
    _edit(copy, "first", "fisrt")
    told = "revision: changed after the backup was made"
    assert main(["store", "--store", str(copy), "check"]) == 2
    assert told in capsys.readouterr().err
    found = brought_in(copy, tmp_path)
    assert found is not None
    assert found[1] == [told]
    with closing(open_store(StoreAddress(copy))) as store:
        assert store.told == told
        store.save(job_for("Bo Ash"), "Mo")
    with closing(open_store(StoreAddress(copy))) as store:
        assert store.told == ""
        again = store.back_up()
    assert main(["store", "--store", str(again), "check"]) == 0


def back_up_at_once(line: Line, place: StoreAddress, target: Path) -> None:
    """Make a backup at the same moment as others, and tell what became of it."""
    store = open_store(place)
    line.send(("ready",))
    line.recv()
    try:
        line.send(("made", store.back_up(target)))
    except StoreTrouble as trouble:
        line.send(("refused", str(trouble)))
    store.close()


def export_at_once(line: Line, place: StoreAddress, target: Path) -> None:
    """Write an export at the same moment as others, and tell what became of it."""
    store = open_store(place)
    line.send(("ready",))
    line.recv()
    try:
        export(store, target)
        line.send(("made", target))
    except StoreTrouble as trouble:
        line.send(("refused", str(trouble)))
    store.close()


@pytest.mark.parametrize("work", [back_up_at_once, pytest.param(export_at_once, marks=pytest.mark.slow)])
@pytest.mark.slow
def test_of_several_onto_one_path_at_once_one_is_made_and_the_others_are_told_why(
    file_store: Store, tmp_path: Path, work: Callable[..., None]
) -> None:
    put_in_demo_shop(file_store, NOW)
    for number in range(2):
        target = tmp_path / "there" / f"copy{number}"
        told = all_at_once([Session(work, file_store.place, target) for _ in range(3)])
        outcomes = sorted(lines[0][0] for lines in told)
        assert outcomes == ["made", "refused", "refused"], told
        assert all("exists already" in line[1] for lines in told for line in lines if line[0] == "refused")
        found = brought_in(target, target.parent)
        assert found is not None
        assert not found[1]
        assert as_sets(found[0]) == as_sets(all_rows(file_store.engine))
        (target.parent / "new.sqlite").unlink()
        assert [path.name for path in target.parent.glob(".*")] == []
