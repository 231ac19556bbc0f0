"""Disks and servers that hang: no key waits for them, the screen says so, and leaving is possible."""

from __future__ import annotations

import errno
import io
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event, current_thread, main_thread
from traceback import format_stack
from typing import Any, cast

import pytest
from textual import worker_manager
from textual.pilot import Pilot
from textual.worker import Worker

from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.screens import painted
from tui import app
from tui.app import BenchApp
from tui.bench import session as sessions
from tui.bench.files import load_job
from tui.bench.session import Session
from tui.bench.steps import VIEWS, Step
from tui.job import drafts, files
from tui.job.demo import demo_job
from tui.job.drafts import abandoned_drafts
from tui.job.files import save
from tui.job.job import Job
from tui.job.panels import RIDER_MASS
from tui.kit.prompts import Prompt
from tui.kit.work import Threads
from tui.saying import say
from tui.store.records import Records
from tui.store.remembered import Remembered, file_place, written

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


def is_in_front(bench: Bench) -> bool:
    return bench.pilot.app.screen is bench.screen


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


class DeadMount:
    """A folder on a disk that does not answer. Whoever asks it in the thread of the screen is noted."""

    CALLS = (
        *((os, name) for name in ("stat", "lstat", "open", "listdir", "scandir", "mkdir", "access")),
        *((os, name) for name in ("rename", "replace", "unlink", "link", "chmod")),
        (io, "open"),
        (Path, "glob"),  # from Python 3.13 on it keeps a `scandir` of its own
    )

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.may, self.asked, self.asked_on_screen = Event(), list[str](), list[str]()
        self._folder = str(folder)
        for module, name in self.CALLS:
            monkeypatch.setattr(module, name, self._behind(getattr(module, name)))

    def _behind(self, call: Callable[..., Any]) -> Callable[..., Any]:
        def asking(*given: object, **named: object) -> object:
            path = os.fspath(given[0]) if given and isinstance(given[0], str | os.PathLike) else ""
            is_here = f"{path}/".startswith(f"{self._folder}/")
            if is_here and not self.may.is_set():
                if current_thread() is main_thread():
                    self.asked_on_screen.append("".join(format_stack()[-12:-1]))
                    raise OSError(errno.EIO, "asked on the screen's own thread")
                self.asked.append(path)
                assert self.may.wait(60)
            return call(*given, **named)

        return asking


@pytest.fixture
def dead(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[DeadMount]:
    """A mount beside the home, on which are a job file and a table."""
    folder = tmp_path / "mount"
    folder.mkdir()
    save(demo_job().with_value(("title",), "far away"), folder / "far.toml", None)
    (folder / "table.csv").write_text("stroke mm;force N\n0;120\n10;700\n50;3000\n")
    monkeypatch.setattr(drafts, "BRIEFLY", 0.01)
    mount = DeadMount(folder, monkeypatch)
    yield mount
    mount.may.set()
    assert not mount.asked_on_screen, mount.asked_on_screen[0]


NO_ANSWER = "The disk does not answer yet. Escape goes back."


async def test_completing_a_path_on_a_dead_mount_holds_up_no_key(dead: DeadMount, tmp_path: Path) -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.do("open")
        await bench.press("ctrl+u")
        await bench.write(f"{tmp_path}/mount/f")
        await bench.press("tab", "tab")
        assert NO_ANSWER in painted(pilot)
        assert len(dead.asked) == 1, "asked again nothing more waits"
        line = cast(Prompt[Any], pilot.app.screen).line
        await bench.press("a")
        assert line.value.endswith("/mount/fa"), "keys go on"
        await bench.press("backspace")
        dead.may.set()
        await until(pilot, lambda: line.value.endswith("/mount/far.toml"))
        await bench.press("escape")
        assert is_in_front(bench)


PATHS = {
    "open": "far.toml",
    "save_as": "new.toml",
    "sheet_save": "sheet.html",
    "export": "chart.svg",
    "import": "table.csv",
    "damper_table": "table.csv",
    "log": "table.csv",
    "readings": "table.csv",
}
"""Acts that ask for a path, and what is typed."""


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("act", PATHS)
async def test_no_prompt_for_a_path_on_a_dead_mount_holds_up_a_key(
    act: str, dead: DeadMount, tmp_path: Path
) -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.do(act)
        assert isinstance(pilot.app.screen, Prompt)
        await bench.press("ctrl+u")
        await bench.write(f"{tmp_path}/mount/{PATHS[act]}")
        await bench.press("enter")
        assert NO_ANSWER in painted(pilot)
        assert dead.asked
        await bench.press("a", "escape")
        assert is_in_front(bench)
        await bench.press("plus")
        assert bench.state.job.get(RIDER_MASS) == "83 kg"
        dead.may.set()
        await pilot.app.workers.wait_for_complete()
        assert is_in_front(bench), "what comes too late opens and asks nothing"


@pytest.fixture
def dead_home(own_home: Path, disk: Disk, monkeypatch: pytest.MonkeyPatch) -> Iterator[DeadMount]:
    """A home that does not answer, with settings, a theme and what was remembered in it."""
    (own_home / "springwright" / "themes").mkdir(parents=True, exist_ok=True)
    (own_home / "springwright" / "settings.toml").write_text('[shop]\nname = "Invented Wheels"\n')
    save(demo_job().with_value(("title",), "last time"), own_home / "last.toml", None)
    mount = DeadMount(own_home, monkeypatch)
    yield mount
    mount.may.set()
    assert not mount.asked_on_screen, mount.asked_on_screen[0]


def begun(monkeypatch: pytest.MonkeyPatch, *jobs: Path) -> BenchApp:
    """Return the application that the start makes, before it takes the terminal."""
    made: list[BenchApp] = []
    monkeypatch.setattr(app, "PATIENCE", 0.05)
    monkeypatch.setattr(BenchApp, "run", lambda self, **_: made.append(self))
    monkeypatch.setattr(os, "_exit", lambda code: None)
    assert app.run(jobs[0] if jobs else None) == 0
    return made[0]


def test_the_first_frame_waits_a_second_for_disks_at_most() -> None:
    assert app.PATIENCE <= 1.0


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("steps", [(Step(0),), tuple(Step)], ids=["one step", "every step"])
async def test_the_bench_starts_and_is_used_on_a_home_that_does_not_answer(
    steps: tuple[Step, ...], dead_home: DeadMount, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with begun(monkeypatch).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        for what in (
            "No settings are read: the disk does not answer",
            "The last jobs and choices are not known: the disk does not answer",
            "Own themes are not read: the disk does not answer",
        ):
            assert what in " ".join(painted(pilot).split())
        await bench.press("escape", "plus")
        assert bench.state.job.get(RIDER_MASS) == "83 kg"
        for step in steps:
            for view in VIEWS[step]:
                await bench.show(view)
        await bench.press("escape", "/", "a", "escape", "?", "escape", "space", "escape", "f10", "f6")
        assert is_in_front(bench)
        assert dead_home.asked
        dead_home.may.set()
        await until(pilot, lambda: "The disk answers now: start springwright again" in bench.text("note"))


async def test_the_last_job_on_a_mount_that_does_not_answer_is_told_and_not_waited_for(
    dead: DeadMount, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    far = file_place(tmp_path / "mount" / "far.toml", "far away", 1.0)
    assert not written(Remembered(recent=(far,)), Remembered())
    async with begun(monkeypatch).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        assert "far.toml, the last job, is not opened: the disk does not answer" in bench.text("note")
        assert bench.state.bike == demo_job()
        await bench.press("plus")
        assert bench.state.job.get(RIDER_MASS) == "83 kg"


def test_a_file_asked_for_is_waited_for_and_the_terminal_says_so(
    dead: DeadMount, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:

    def saying(line: str) -> None:
        say(line)
        dead.may.set()

    monkeypatch.setattr(app, "say", saying)
    path = tmp_path / "mount" / "far.toml"
    assert begun(monkeypatch, path)._state.bike.title == "far away"
    assert f"{path}: the disk does not answer yet; Ctrl+C leaves" in capsys.readouterr().err


def test_the_end_waits_for_work_that_ends_and_for_no_other() -> None:
    threads, may = Threads(), Event()
    hangs = threads.submit(may.wait, 60)
    ends = threads.submit(lambda: "done")
    assert not threads.rest(0.05)
    assert ends.result(20) == "done"
    assert not hangs.done()
    may.set()
    assert threads.rest(20)


@pytest.mark.slow
async def test_no_task_is_spelt_out_with_all_that_it_works_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """For twenty setups that takes seconds, in which no key is heard."""
    told: list[str] = []

    class Told(Worker[Any]):
        def __init__(self, *given: Any, description: str, **named: Any) -> None:  # noqa: ANN401
            told.append(description)
            super().__init__(*given, description=description, **named)

    monkeypatch.setattr(worker_manager, "Worker", Told)
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        for step in Step:
            for view in VIEWS[step]:
                await bench.show(view)
        assert is_in_front(bench)
    assert told
    assert max(map(len, told)) < 40
