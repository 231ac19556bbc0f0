"""store check: every fault of a file or of the rows on a server, and nothing is ever changed by looking."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tui.store.address import StoreAddress
from tui.store.content import inspect_records
from tui.store.demo_shop import put_in_demo_shop
from tui.store.opening import open_store
from tui.store.schema import STEPS
from tui.store.store import Store
from tui.store.trouble import StoreTrouble

NOW = datetime(2026, 5, 4, 10, 30, tzinfo=UTC)


@pytest.fixture
def shop(store: Store) -> Store:
    """The records of the invented shop."""
    put_in_demo_shop(store, NOW)
    return store


def broken(store: Store, *statements: str) -> tuple[str, ...]:
    with store.writing() as connection:
        for statement in statements:
            connection.exec_driver_sql(statement)
    return inspect_records(store.place).faults


def test_sound_records_have_no_fault(shop: Store) -> None:
    looked = inspect_records(shop.place)
    assert looked.faults == ()
    assert looked.content is not None
    assert len(looked.content["job"]) == 12


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE job SET latest = 7", "latest: 7 disagrees with its revisions; use "),
        ("UPDATE job SET versions = 4", "versions: 4 disagrees with its revisions; use "),
        ("UPDATE job SET title = 'x'", 'title: "x" disagrees with its revisions; use "'),
        ("UPDATE revision SET text = 'a = '", ", text: not TOML"),
        ("UPDATE revision SET parent = 8", ", parent: 8 is not an earlier revision; "),
        ("UPDATE revision SET settles = 9", ", settles: 9 is not another revision; "),
        ("UPDATE revision SET saved_at = 'noon'", ', saved_at: "noon" cannot be used; use UTC, e.g. '),
        ("UPDATE revision SET number = number + 1 WHERE number = 3", ", number: 4 leaves a gap; use 3"),
        ("UPDATE part SET text = 'x = 1'", ", text: does not match its digest; "),
        (
            "UPDATE part SET kind = 'wheel'",
            ', kind: "wheel" is not a kind of part; use one of frame, coil, air',
        ),
    ],
)
def test_rows_that_do_not_agree_are_told(shop: Store, statement: str, said: str) -> None:
    faults = broken(shop, statement)
    assert faults
    assert all(said in fault for fault in faults if "digest" not in fault or "digest" in said), faults[0]
    assert any(said in fault for fault in faults)


@pytest.mark.slow
def test_every_fault_is_told_at_once(shop: Store) -> None:
    faults = broken(shop, "UPDATE revision SET text = 'a = '", "UPDATE part SET text = 'b = '")
    assert len([fault for fault in faults if fault.startswith("revision ")]) == 25
    assert len([fault for fault in faults if fault.startswith("part ")]) == 12


@pytest.mark.slow
def test_what_points_nowhere_is_told(file_store: Store) -> None:
    put_in_demo_shop(file_store, NOW)
    path = file_store.place.file
    assert path is not None
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("DELETE FROM customer")
    assert set(inspect_records(file_store.place).faults) == {"bike refers to a missing customer"}


@pytest.mark.slow
@pytest.mark.parametrize("damage", ["garbage", "truncated", "page"])
def test_a_damaged_file_is_told_and_stays_where_it_is(tmp_path: Path, damage: str) -> None:
    path = tmp_path / "records.sqlite"
    with closing(open_store(StoreAddress(path))) as store:
        put_in_demo_shop(store, NOW)
    data = path.read_bytes()
    left = {
        "garbage": b"no\xff\x00database" * 100,
        "truncated": data[: len(data) // 2],
        "page": data[:4096] + b"\xa5" * 8192 + data[12288:],
    }[damage]
    path.write_bytes(left)
    looked = inspect_records(StoreAddress(path))
    assert looked.content is None
    assert looked.faults
    assert path.read_bytes() == left
    assert [each.name for each in tmp_path.iterdir() if "damaged" in each.name] == []


def test_a_text_is_no_damaged_records(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    for text in ("format = 1\n", "Vélo\t" * 4095):  # cut within a letter
        path.write_text(text, encoding="utf-8")
        with pytest.raises(StoreTrouble, match="is a text file; use the file of the records"):
            inspect_records(StoreAddress(path))
        with pytest.raises(StoreTrouble, match="is a text file"):
            open_store(StoreAddress(path))
        assert path.read_text("utf-8") == text
    path.write_bytes(b"SQLite ")  # records cut off
    assert inspect_records(StoreAddress(path)).faults


def test_where_nothing_is_nothing_is_made(tmp_path: Path) -> None:
    with pytest.raises(StoreTrouble, match="there are no records at"):
        inspect_records(StoreAddress(tmp_path / "folder" / "records.sqlite"))
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(StoreTrouble, match="is a folder"):
        inspect_records(StoreAddress(tmp_path))


def test_records_not_made_yet_or_of_another_program_are_refused(place: StoreAddress) -> None:
    if place.file is None:
        with pytest.raises(StoreTrouble, match="do not exist yet"):
            inspect_records(place)
    open_store(place, (*STEPS, ("CREATE TABLE later (uid TEXT PRIMARY KEY)",))).close()
    with pytest.raises(StoreTrouble, match="later springwright"):
        inspect_records(place)
