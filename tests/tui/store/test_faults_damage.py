"""Damaged files of every kind: moved aside whole or refused untouched, never served in silence."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from pathlib import Path
from random import Random

import pytest

from tests.tui.store.sessions import Session, all_at_once
from tests.tui.store.soundness import assert_whole
from tests.tui.store.test_opening import ONE_MORE
from tests.tui.store.work import hold_a_change, job_of, keep_saving, open_and_save
from tui.job.faults import UnusableJob
from tui.store.address import StoreAddress
from tui.store.guarding import FileLock, full_check
from tui.store.opening import open_store
from tui.store.store import Store
from tui.store.trouble import Damaged, StoreTrouble

PAGE = 4096
BESIDE = ("", "-wal", "-journal")
"""Endings of what holds records; the shared memory beside them can be made from these at any time."""

Harm = Callable[[bytearray], None]


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return sound records of a dozen saves."""
    path = tmp_path_factory.mktemp("sound") / "records.sqlite"
    with closing(open_store(StoreAddress(path))) as store:
        entry = None
        for number in range(12):
            note = f"n{number}"
            saved = store.save(job_of(note), "Mo", note=note, entry=entry)
            entry = saved.entry if number % 3 else None
    return path


@pytest.fixture(scope="module", params=[0, 4])
def killed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return records whose last session was killed: its saves lie beside the file, earlier ones in it."""
    path = tmp_path_factory.mktemp("killed") / "records.sqlite"
    with closing(open_store(StoreAddress(path))) as store:
        for number in range(request.param):
            store.save(job_of(f"n{number}"), "Mo", note=f"n{number}")
    session = Session(keep_saving, StoreAddress(path), "k")
    while session.hear()[:2] != ("saved", "k.4"):
        pass
    session.kill()
    assert path.with_name(f"{path.name}-wal").stat().st_size > PAGE
    return path


def _copy(path: Path, folder: Path) -> Path:
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    for ending in BESIDE:
        with suppress(FileNotFoundError):
            shutil.copy(f"{path}{ending}", folder)
    return folder / path.name


def _bytes(path: Path) -> dict[str, bytes]:
    files = ((ending, path.with_name(path.name + ending)) for ending in BESIDE)
    return {ending: file.read_bytes() for ending, file in files if file.exists() and file.stat().st_size}


def _harmed(path: Path, harm: Harm, ending: str = "") -> Path:
    file = path.with_name(path.name + ending)
    data = bytearray(file.read_bytes())
    harm(data)
    file.write_bytes(data)
    return path


def _read_everything(store: Store) -> None:
    """Use records that may have a flaw no check can see; only what is told in words may come of it."""
    acts = (
        store.find,
        store.back_up,
        lambda: store.parts("", "frame", "air"),
        lambda: store.find("rider w1"),
    )
    for act in acts:
        with suppress(StoreTrouble):
            act()
    with suppress(StoreTrouble):
        for found in store.find().entries:
            for revision in (*store.revisions(found.uid), *store.timeline(found.uid)):
                with suppress(UnusableJob):
                    assert revision.job
    with suppress(StoreTrouble):
        store.save(job_of("new"), "Mo", note="new")


def _open_harmed(path: Path, saved: dict[str, int] | None = None) -> str:
    """Open damaged records; check that nothing of them is lost, and return what became of them.

    Where `saved` is given, those that are served after all have all that was saved.
    """
    left = _bytes(path)
    try:
        store = open_store(StoreAddress(path))
    except StoreTrouble:
        assert _bytes(path) == left, "what is refused stays as it is"
        assert not list(path.parent.glob("*damaged*"))
        return "refused"
    with closing(store):
        if store.told:
            [aside] = [file for file in path.parent.glob("*.damaged-*.sqlite*") if file.suffix == ".sqlite"]
            assert _bytes(aside) == left, "what is left of it is kept whole"
            assert str(aside) in store.told
            store.save(job_of("new"), "Mo", note="new")
            assert assert_whole(store) == {"new": 1}
            return "aside"
        assert full_check(path) == ()
        assert saved is None or assert_whole(store) == saved
        _read_everything(store)
        return "served"


def _cuts(size: int) -> list[int]:
    odd = Random(7).sample(range(size), 20)
    return sorted({*range(0, size, PAGE), 1, 15, 16, 17, 99, 100, 101, size - 1, *odd})


@pytest.mark.slow
def test_wherever_a_file_ends_it_is_moved_aside_whole(sound: Path, tmp_path: Path) -> None:
    for cut in _cuts(sound.stat().st_size):
        path = _copy(sound, tmp_path / "cut")
        os.truncate(path, cut)
        expected = "served" if cut == 0 else "aside"  # an empty one is one that is not made yet
        assert _open_harmed(path) == expected, cut


@pytest.mark.slow
def test_wherever_a_file_ends_what_a_dead_session_left_beside_it_goes_with_it(
    killed: Path, tmp_path: Path
) -> None:
    with closing(open_store(StoreAddress(_copy(killed, tmp_path / "whole")))) as store:
        saved = assert_whole(store)
    outcomes = []
    for cut in _cuts(killed.stat().st_size):
        path = _copy(killed, tmp_path / "cut")
        os.truncate(path, cut)
        outcomes.append(_open_harmed(path, saved))
    assert "refused" not in outcomes
    assert ("aside" if "n3" in saved else "served") in outcomes, "what lies beside it may make it whole again"


@pytest.mark.slow
def test_a_file_that_is_gone_does_not_take_what_lies_beside_it_along(killed: Path, tmp_path: Path) -> None:
    path = _copy(killed, tmp_path / "gone")
    path.unlink()
    left = _bytes(path)
    with closing(open_store(StoreAddress(path))) as store:
        [aside] = list(path.parent.glob("*damaged*-wal"))
        assert str(aside) in store.told
        assert aside.read_bytes() == left["-wal"]
        assert store.find().entries == ()


def _garbage(random: Random) -> Harm:
    def harm(data: bytearray) -> None:
        for _ in range(random.choice((1, 1, 3, 20))):
            start, length = random.randrange(len(data)), random.choice((1, 2, 16, 300, PAGE))
            end = min(len(data), start + length)
            data[start:end] = random.randbytes(end - start)

    return harm


def _zeros(random: Random) -> Harm:
    def harm(data: bytearray) -> None:
        start = random.randrange(len(data) // PAGE) * PAGE
        data[start : start + PAGE] = bytes(PAGE)

    return harm


@pytest.mark.slow
@pytest.mark.parametrize("kind", [_garbage, _zeros])
def test_garbage_in_a_file_is_never_served_in_silence(
    sound: Path, tmp_path: Path, kind: Callable[[Random], Harm]
) -> None:
    outcomes = []
    for seed in range(80 if kind is _garbage else 20):
        path = _harmed(_copy(sound, tmp_path / "garbage"), kind(Random(seed)))
        outcomes.append(_open_harmed(path))
    assert outcomes.count("aside") > len(outcomes) // 2


@pytest.mark.slow
def test_garbage_in_the_first_bytes_is_never_served_in_silence(sound: Path, tmp_path: Path) -> None:
    """There stand the mark, the version, the sizes: most of these bytes mean something."""
    outcomes = set()
    for at in (*range(16, 24), *range(24, 100, 3), 63, 71):

        def harm(data: bytearray, at: int = at) -> None:
            data[at] ^= 0xFF

        outcomes.add(_open_harmed(_harmed(_copy(sound, tmp_path / "head"), harm)))
    assert outcomes == {"aside", "refused", "served"}


@pytest.mark.slow
def test_garbage_beside_a_file_never_leaves_half_a_save(killed: Path, tmp_path: Path) -> None:
    """The database takes what stands before the garbage; where the file alone is not sound, it is damaged."""
    for seed in range(20):
        path = _harmed(_copy(killed, tmp_path / "beside"), _garbage(Random(seed)), "-wal")
        left = _bytes(path)
        with closing(open_store(StoreAddress(path))) as store:
            if store.told:
                [aside] = list(path.parent.glob("*.damaged-*.sqlite"))
                assert _bytes(aside) == left
            else:
                assert all(note.startswith(("n", "k.")) for note in assert_whole(store))


def _write_over(path: Path, old: bytes, new: bytes) -> None:
    def harm(data: bytearray) -> None:
        assert old in data
        data[:] = data.replace(old, new)

    _harmed(path, harm)


def test_text_that_no_check_can_see_to_be_damaged_is_told_when_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    with closing(open_store(StoreAddress(path))) as store:
        entry = store.save(job_of("one"), "Mo", note="noted by Mo").entry
        store.save(job_of("two"), "Mo", note="whole")
    _write_over(path, b"noted by Mo", b"noted \xff\xfe\xfdMo")
    assert full_check(path) == ()
    with closing(open_store(StoreAddress(path))) as store:
        with pytest.raises(StoreTrouble):
            store.revisions(entry.job)
        assert len(store.find().entries) == 2
        _read_everything(store)


def test_a_part_that_is_no_longer_a_job_file_is_told_when_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    with closing(open_store(StoreAddress(path))) as store:
        store.save(job_of("one"), "Mo", note="one")
    _write_over(path, b"wheel_travel = ", b"wheel_travel : ")
    with closing(open_store(StoreAddress(path))) as store:
        with pytest.raises(StoreTrouble):
            store.parts("", "frame")
        [found] = store.find().entries
        with pytest.raises(UnusableJob):
            assert store.revisions(found.uid)[0].job


@pytest.mark.slow
def test_damage_that_comes_while_it_is_open_is_told(sound: Path, tmp_path: Path) -> None:
    path = _copy(sound, tmp_path / "open")
    with closing(open_store(StoreAddress(path))) as store:

        def harm(data: bytearray) -> None:
            data[PAGE:] = b"\xa5" * (len(data) - PAGE)

        _harmed(path, harm)
        with pytest.raises(Damaged):
            store.find()
        with pytest.raises(StoreTrouble):
            store.save(job_of("new"), "Mo")
    assert not list(path.parent.glob("*damaged*")), "it is moved when it is opened, and not before"
    assert _open_harmed(path) == "aside"


def test_what_a_later_program_left_beside_its_file_stays_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    open_store(StoreAddress(path), ONE_MORE).close()
    with closing(open_store(StoreAddress(path), ONE_MORE)) as later:
        with later.engine.begin() as connection:
            connection.exec_driver_sql("INSERT INTO later VALUES ('x')")
        copied = _copy(path, tmp_path / "left")
    left = _bytes(copied)
    assert set(left) == {"", "-wal"}
    with pytest.raises(StoreTrouble, match="later springwright"):
        open_store(StoreAddress(copied))
    assert _bytes(copied) == left


@pytest.fixture
def stuck(tmp_path: Path) -> Iterator[tuple[Path, Session]]:
    """Return records that a session has open, and that session."""
    path = tmp_path / "records.sqlite"
    session = Session(hold_a_change, StoreAddress(path))
    assert session.hear() == ("holding",)
    yield path, session
    session.kill()


def test_a_dead_session_holds_nobody_up(stuck: tuple[Path, Session]) -> None:
    path, session = stuck
    lock = path.with_name(f"{path.name}.lock")
    assert lock.exists()
    _harmed(path, lambda data: data.__setitem__(slice(0, 32), bytes(32)))
    with pytest.raises(Damaged, match="close all other sessions"):
        open_store(StoreAddress(path))
    session.kill()
    assert lock.exists(), "the file is still there, and nobody holds it"
    assert _open_harmed(path) == "aside"


def test_who_finds_damage_that_another_has_seen_to_goes_on(
    sound: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between looking and having the file alone, another session moved it and saved into a new one."""
    path = _harmed(_copy(sound, tmp_path / "seen"), lambda data: data.__setitem__(slice(0, 9), bytes(9)))

    def alone_late(_hold: FileLock) -> bool:
        monkeypatch.undo()
        session = Session(open_and_save, StoreAddress(path), "other")
        all_at_once([session])
        return True

    monkeypatch.setattr(FileLock, "alone", alone_late)
    monkeypatch.setattr(FileLock, "shared", lambda _hold: None)
    with closing(open_store(StoreAddress(path))) as store:
        assert store.told == ""
        assert assert_whole(store) == {"other": 1}
    assert len(list(path.parent.glob("*.damaged-*.sqlite"))) == 1
