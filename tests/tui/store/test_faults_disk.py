"""Disks that are full or closed for writing: told in words, and nothing that was acknowledged is lost."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from tests.tui.store.disks import SmallDisk
from tests.tui.store.sessions import Session
from tests.tui.store.soundness import assert_whole
from tests.tui.store.work import as_nobody, job_of, keep_saving
from tui.store.address import StoreAddress
from tui.store.opening import open_store
from tui.store.schema import STEPS
from tui.store.store import Store
from tui.store.trouble import StoreTrouble

FULL = "the disk is full"


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[SmallDisk]:
    """Return a disk of one megabyte."""
    mounted = SmallDisk(tmp_path / "disk", "1m")
    yield mounted
    mounted.take_away()


@pytest.fixture
def place(disk: SmallDisk) -> StoreAddress:
    """Where the records are: on the small disk."""
    return StoreAddress(disk.folder / "records.sqlite")


def _save(store: Store, name: str, times: int) -> list[str]:
    notes = [f"{name}.{number}" for number in range(times)]
    for note in notes:
        store.save(job_of(note), "Mo", note=note)
    return notes


def _save_until_full(store: Store, name: str) -> list[str]:
    notes: list[str] = []

    def save_all() -> None:
        for number in count():
            note = f"{name}.{number}"
            store.save(job_of(note), "Mo", note=note)
            notes.append(note)

    with pytest.raises(StoreTrouble, match=FULL):
        save_all()
    return notes


@contextmanager
def _full_at_most() -> Iterator[None]:
    """Let a disk be full, and nothing else be wrong."""
    try:
        yield
    except StoreTrouble as told:
        if FULL not in str(told):
            raise


@pytest.mark.slow
def test_a_disk_that_fills_up_takes_no_save_back(disk: SmallDisk, place: StoreAddress) -> None:
    with closing(open_store(place)) as store:
        kept = _save_until_full(store, "small")
        assert kept
        assert set(assert_whole(store)) == set(kept)
    with closing(open_store(place)) as store:
        assert store.told == ""
        assert set(assert_whole(store)) == set(kept)


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("room", [0, 1, 3, 8])
def test_saving_goes_on_when_room_is_made(disk: SmallDisk, place: StoreAddress, room: int) -> None:
    with closing(open_store(place)) as store:
        kept = _save(store, "before", 3)
        disk.fill(but=room)
        kept += _save_until_full(store, "full")
        assert {found.title for found in store.find().entries} == {job_of(note).title for note in kept}
        disk.make_room()
        kept += _save(store, "after", 3)
        assert set(assert_whole(store)) == set(kept)


@pytest.mark.parametrize("room", [0, 1, 4])
def test_nothing_is_begun_on_a_full_disk(disk: SmallDisk, place: StoreAddress, room: int) -> None:
    disk.fill(but=room)
    with pytest.raises(StoreTrouble, match=FULL):
        open_store(place)
    disk.make_room()
    with closing(open_store(place)) as store:
        assert store.told == ""
        assert assert_whole(store) == {}
        kept = _save(store, "after", 1)
        assert set(assert_whole(store)) == set(kept)


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("room", [0, 1, 6, 20])
def test_records_that_are_there_lose_nothing_on_a_full_disk(
    disk: SmallDisk, place: StoreAddress, room: int
) -> None:
    """They are read where there is room for what sessions share, else it is told; nothing is moved aside."""
    with closing(open_store(place)) as store:
        kept = _save(store, "before", 5)
    left = place.file.read_bytes() if place.file else b""
    disk.fill(but=room)
    with _full_at_most(), closing(open_store(place)) as store:
        assert {found.title for found in store.find().entries} == {job_of(note).title for note in kept}
    assert place.file is not None
    assert place.file.read_bytes() == left
    disk.make_room()
    with closing(open_store(place)) as store:
        assert store.told == ""
        assert set(assert_whole(store)) == set(kept)


@pytest.mark.parametrize("room", [0, 12])
def test_a_killed_session_and_a_full_disk_lose_nothing(
    disk: SmallDisk, place: StoreAddress, room: int
) -> None:
    session = Session(keep_saving, place, "k")
    told = [session.hear() for _ in range(8)]
    told += session.kill()
    disk.fill(but=room)
    with _full_at_most():
        open_store(place).close()
    disk.make_room()
    with closing(open_store(place)) as store:
        assert store.told == ""
        assert {line[1] for line in told if line[0] == "saved"} <= set(assert_whole(store))


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("room", [0, 2, 10])
def test_a_backup_that_has_no_room_leaves_no_half(disk: SmallDisk, place: StoreAddress, room: int) -> None:
    with closing(open_store(place)) as store:
        kept = _save(store, "before", 5)
        disk.fill(but=room)
        with pytest.raises(StoreTrouble, match=FULL):
            store.back_up()
        assert not place.backups.exists() or not list(place.backups.iterdir())
        disk.make_room()
        with closing(open_store(StoreAddress(store.back_up()))) as copy:
            assert set(assert_whole(copy)) == set(kept)


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("room", [0, 10, 25])
def test_a_schema_stays_as_it_is_where_there_is_no_room_to_change_it(
    disk: SmallDisk, place: StoreAddress, room: int
) -> None:
    with closing(open_store(place, STEPS[:1])) as store:
        kept = _save(store, "before", 5)
    disk.fill(but=room)
    with pytest.raises(StoreTrouble, match=FULL):
        open_store(place)
    if place.backups.exists():
        for copy in place.backups.iterdir():
            with closing(open_store(StoreAddress(copy), STEPS[:1])) as before:
                assert set(assert_whole(before)) == set(kept)
    disk.make_room()
    with closing(open_store(place)) as store:
        assert set(assert_whole(store)) == set(kept)


def _read_only_kept(place: StoreAddress, name: str) -> list[str]:
    """Let somebody who may not write read everything; return the notes found."""
    session = Session(as_nobody, place, name)
    kind, read_only, told, notes = session.hear()
    assert (kind, read_only) == ("read", True)
    assert "are read-only here" in told
    session.say("enough")
    [(kind, words)] = session.rest()
    assert kind == "refused"
    assert "are read-only here" in words
    return list(notes)


def test_a_disk_closed_for_writing_is_read(disk: SmallDisk, place: StoreAddress) -> None:
    with closing(open_store(place)) as store:
        kept = _save(store, "before", 3)
    before = sorted(path.name for path in disk.folder.iterdir())
    disk.close_for_writing()
    with closing(open_store(place)) as store:
        assert store.read_only
        assert set(assert_whole(store)) == set(kept)
        with pytest.raises(StoreTrouble, match="read-only here"):
            store.save(job_of("x"), "Mo")
    assert sorted(path.name for path in disk.folder.iterdir()) == before


def test_a_disk_closed_for_writing_after_a_kill_keeps_what_was_acknowledged(
    disk: SmallDisk, place: StoreAddress
) -> None:
    session = Session(keep_saving, place, "k")
    told = [session.hear() for _ in range(6)]
    told += session.kill()
    disk.close_for_writing()
    with closing(open_store(place)) as store:
        assert store.read_only
        assert {line[1] for line in told if line[0] == "saved"} <= set(assert_whole(store))


@pytest.fixture
def shop() -> Iterator[Path]:
    """Return a folder that everybody may look into."""
    with TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        yield Path(folder)
        Path(folder).chmod(0o755)


def _for_everybody(place: StoreAddress) -> None:
    """Make records that everybody may read, as their owner wants."""
    open_store(place).close()
    assert place.file is not None
    place.file.chmod(0o644)


def test_who_may_not_write_reads_and_finds(shop: Path) -> None:
    place = StoreAddress(shop / "records.sqlite")
    _for_everybody(place)
    with closing(open_store(place)) as store:
        kept = _save(store, "before", 3)
    shop.chmod(0o555)
    assert _read_only_kept(place, "nobody") == sorted(kept)
    assert not list(shop.glob("*damaged*"))


@pytest.mark.skipif(os.geteuid() != 0, reason="two users are needed")
def test_who_may_not_write_sees_what_another_saves_meanwhile(shop: Path) -> None:
    place = StoreAddress(shop / "records.sqlite")
    _for_everybody(place)
    with closing(open_store(place)) as store:
        kept = _save(store, "before", 2)
        assert _read_only_kept(place, "early") == sorted(kept), "what lies beside the file belongs to it"
    session = Session(as_nobody, place, "late")
    assert session.hear()[3] == sorted(kept)
    with closing(open_store(place)) as store:
        for number in range(3):
            kept += _save(store, f"meanwhile{number}", 1)
            session.say("again")
            assert session.hear()[3] == sorted(kept)
        assert store.told == ""
    session.say("enough")
    assert session.rest()[0][0] == "refused"


def test_nothing_is_made_where_nothing_can_be_written(shop: Path) -> None:
    shop.chmod(0o555)
    session = Session(as_nobody, StoreAddress(shop / "records.sqlite"), "nobody")
    [(kind, words)] = session.rest()
    assert kind == "refused"
    assert "cannot be written" in words
    session = Session(as_nobody, StoreAddress(shop / "deep" / "records.sqlite"), "nobody")
    [(kind, words)] = session.rest()
    assert kind == "refused"
    assert list(shop.iterdir()) == []
