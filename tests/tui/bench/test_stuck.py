"""Disks and servers that hang: no key waits for them, the screen says so, and leaving is possible."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from textual.pilot import Pilot

from tests.tui.bench.conftest import bench_app, started
from tests.tui.screens import painted
from tui.bench import session as sessions
from tui.bench.files import load_job
from tui.bench.session import Session
from tui.job import drafts, files
from tui.job.demo import demo_job
from tui.job.drafts import abandoned_drafts
from tui.job.files import save
from tui.job.job import Job
from tui.job.panels import RIDER_MASS
from tui.kit.work import Threads
from tui.store.records import Records

SIZE = (80, 24)


class Disk:
    """A disk on which nothing ends before it may; `times` counts what was begun."""

    def __init__(self) -> None:
        self.may, self.times = Event(), 0

    def behind(self, work: Callable[..., Any]) -> Callable[..., Any]:
        """Return work that waits for the disk."""

        def waiting(*given: object, **named: object) -> object:
            self.times += 1
            assert self.may.wait(60)
            return work(*given, **named)

        return waiting


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch) -> Iterator[Disk]:
    """Let no key wait for a disk that hangs, and tell it at once."""
    made = Disk()
    monkeypatch.setattr(drafts, "BRIEFLY", 0.01)
    monkeypatch.setattr(sessions, "_LATE", 0.0)
    yield made
    made.may.set()


async def until(pilot: Pilot[int], holds: Callable[[], object]) -> None:
    """Wait for a state; what never comes fails the test."""
    for _ in range(1000):
        if holds():
            return
        await pilot.pause(0.02)
    pytest.fail(f"never came: {painted(pilot)}")


async def test_no_key_waits_for_the_draft_and_the_newest_is_kept(
    disk: Disk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drafts, "replace_file", disk.behind(files.replace_file))
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        for mass in (83, 84, 85, 86):
            await bench.press("plus")
            assert bench.state.job.get(RIDER_MASS) == f"{mass} kg"
            assert f"{mass}" in bench.text("grid")
        await until(pilot, lambda: "the disk does not answer, no draft" in bench.text("title"))
        disk.may.set()
        await until(pilot, lambda: "no draft" not in bench.text("title"))
        assert disk.times == 2, "the one that hung, and the newest"
    [draft] = abandoned_drafts().drafts
    assert draft.job.get(RIDER_MASS) == "86 kg"


async def test_a_session_whose_draft_hangs_can_be_left(disk: Disk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drafts, "replace_file", disk.behind(files.replace_file))
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("plus", "q", "d")
        assert pilot.app._exit
    assert not disk.may.is_set()


class Silent(Records):
    """Records on a server that never answers."""

    def __init__(self, disk: Disk) -> None:
        super().__init__()
        self.save = disk.behind(super().save)  # type: ignore[method-assign]


def owned() -> Job:
    return demo_job().with_value(("record", "customer"), "Ida Fern (invented)")


async def test_a_save_that_hangs_can_be_left_and_keeps_the_draft(disk: Disk) -> None:
    async with bench_app(owned(), Session(records=Silent(disk))).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("plus", "ctrl+s", "q")
        assert "Still saving to the records: this waits. The same again does not." in painted(pilot)
        await bench.press("q")
        assert "kept as a draft" in painted(pilot)
        await bench.press("l")
        assert pilot.app._exit
    assert not disk.may.is_set()
    [draft] = abandoned_drafts().drafts
    assert draft.job.get(RIDER_MASS) == "83 kg"


async def test_leaving_says_where_there_is_no_draft_either(
    disk: Disk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drafts, "replace_file", disk.behind(files.replace_file))
    async with bench_app(owned(), Session(records=Silent(disk))).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("plus", "ctrl+s", "q", "q")
        assert "No draft could be kept either" in painted(pilot)
        await bench.press("l")
        assert pilot.app._exit


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    path = tmp_path / "job.toml"
    save(demo_job(), path, None)
    return path


async def test_saving_to_a_file_that_hangs_holds_up_no_key(
    disk: Disk, job_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = load_job(job_file)
    async with bench_app(file.job, Session(file)).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        monkeypatch.setattr(files, "replace_file", disk.behind(files.replace_file))
        await bench.press("plus", "ctrl+s")
        assert "Saving to" in bench.text("note")
        await bench.press("plus")
        assert bench.state.job.get(RIDER_MASS) == "84 kg"
        await bench.press("ctrl+s")
        assert "Still saving to" in bench.text("note")
        disk.may.set()
        await until(pilot, lambda: "Saved to" in bench.text("note"))
        assert bench.state.history.has_unsaved_changes, "what was typed meanwhile is not saved"
        assert load_job(job_file).job.get(RIDER_MASS) == "83 kg"
        await bench.press("ctrl+s")
        await until(pilot, lambda: not bench.state.history.has_unsaved_changes)
    assert load_job(job_file).job.get(RIDER_MASS) == "84 kg"


async def test_a_file_on_a_disk_that_hangs_is_opened_when_it_comes(
    disk: Disk, job_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    save(demo_job().with_value(("title",), "late"), job_file, None, overwrite=True)
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        monkeypatch.setattr("tui.bench.files.load_job", disk.behind(load_job))
        await bench.press("space", "space", "o", "ctrl+u")
        await bench.write(str(job_file))
        await bench.press("enter")
        assert "Reading job.toml." in bench.text("note")
        await bench.press("plus")
        assert bench.state.job.get(RIDER_MASS) == "83 kg"
        disk.may.set()
        await until(pilot, lambda: "Changes are not saved" in painted(pilot))
        await bench.press("d")
        assert bench.state.job.title == "late"


def test_the_end_waits_for_work_that_ends_and_for_no_other() -> None:
    threads, may = Threads(), Event()
    hangs = threads.submit(may.wait, 60)
    ends = threads.submit(lambda: "done")
    assert not threads.rest(0.05)
    assert ends.result(20) == "done"
    assert not hangs.done()
    may.set()
    assert threads.rest(20)
