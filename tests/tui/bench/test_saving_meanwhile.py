"""What is done at the bench while a save is under way: nothing lands at another job, nothing is lost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from threading import Event

import pytest

from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.screens import painted
from tests.tui.store.jobs import job_for, weighing
from tui.bench.files import load_job, open_revision
from tui.bench.session import Session
from tui.job.drafts import draft_places
from tui.job.files import save
from tui.job.job import Job
from tui.job.panels import RIDER_MASS
from tui.kit.dialogs import Question
from tui.kit.prompts import OpenPrompt
from tui.records.screen import RecordsScreen
from tui.store.address import StoreAddress
from tui.store.kept import KeptLog, RecordLink, Saved
from tui.store.opening import open_store
from tui.store.records import Records
from tui.store.store import Store
from tui.store.trouble import StoreTrouble

SIZE = (80, 24)


class SlowRecords(Records):
    """Records whose saves wait until they may go on, and fail once if they are told to."""

    def __init__(self, place: StoreAddress) -> None:
        super().__init__(str(place))
        self.may = Event()
        self.fails = False

    def save(
        self,
        job: Job,
        note: str,
        entry: RecordLink | None,
        before: str | None,
        logs: Sequence[KeptLog] = (),
    ) -> Saved:
        assert self.may.wait(20)
        if self.fails:
            self.fails = False
            raise StoreTrouble("the disk is full", "room")
        return super().save(job, note, entry, before, logs)


@pytest.fixture
def slow(tmp_path: Path) -> Iterator[SlowRecords]:
    slow = SlowRecords(StoreAddress(tmp_path / "shop.sqlite"))
    yield slow
    slow.may.set()
    slow.close()


@pytest.fixture
def records(slow: SlowRecords) -> Iterator[Store]:
    store = open_store(slow.place)
    yield store
    store.close()


@pytest.fixture
def other(tmp_path: Path) -> Path:
    path = tmp_path / "other.toml"
    save(weighing(job_for("Ben Marsh"), "60 kg"), path, None)
    return path


async def let_go(bench: Bench, slow: SlowRecords) -> None:
    """Let the saves go on and wait until everything is done and shown."""
    slow.may.set()
    for _ in range(3):
        await bench.pilot.app.workers.wait_for_complete()
        await bench.pilot.pause()


async def opened_and_saved_by_another(
    bench: Bench, slow: SlowRecords, records: Store, start: RecordLink
) -> None:
    """Put a saved job on the bench, and let somebody else save it after that."""
    [revision] = records.revisions(start.job)
    open_revision(bench.screen, slow.open(), revision)
    await bench.pilot.app.workers.wait_for_complete()
    await bench.pilot.pause()
    records.save(weighing(job_for("Ida Fern"), "70 kg"), "Ana", entry=start)


def masses(records: Store, word: str) -> list[object]:
    [found] = records.find(word).entries
    return [revision.job.get(RIDER_MASS) for revision in records.revisions(found.uid)]


@pytest.mark.slow
async def test_another_job_is_opened_once_the_save_is_done(
    slow: SlowRecords, records: Store, other: Path
) -> None:
    async with bench_app(job_for("Ida Fern"), Session(records=slow)).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "ctrl+s", "space", "space", "o")
        assert pilot.app.screen is bench.screen
        assert "Still saving" in painted(pilot)
        await let_go(bench, slow)
        assert isinstance(pilot.app.screen, OpenPrompt), "all is saved: nothing to ask"
    assert masses(records, "ida") == ["83 kg"]


@pytest.mark.slow
async def test_another_job_on_the_bench_is_not_taken_for_the_one_being_saved(
    slow: SlowRecords, records: Store, other: Path
) -> None:
    async with bench_app(job_for("Ida Fern"), Session(records=slow)).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "ctrl+s", "space", "space", "o", "space", "space", "o")
        assert isinstance(pilot.app.screen, Question), "asked once more, it need not wait"
        await bench.press("d", "ctrl+u", *str(other), "enter")
        await let_go(bench, slow)
        assert bench.state.bike.get(RIDER_MASS) == "60 kg"
        assert "saved to the records as revision 1" in painted(pilot).casefold()
        assert bench.screen.session.entry is None
        assert bench.says_saved
        await bench.press("space", "space", "n", "enter")
        await let_go(bench, slow)
    assert masses(records, "ida") == ["83 kg"]
    assert masses(records, "ben") == ["60 kg"]


async def test_quitting_waits_for_the_save_and_asks_if_it_fails(slow: SlowRecords, records: Store) -> None:
    slow.fails = True
    async with bench_app(job_for("Ida Fern"), Session(records=slow)).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "ctrl+s", "q")
        await let_go(bench, slow)
        assert isinstance(pilot.app.screen, Question)
        await bench.press("escape")
        assert not bench.says_saved


@pytest.mark.slow
async def test_notes_given_while_a_save_is_under_way_are_all_kept(slow: SlowRecords, records: Store) -> None:
    async with bench_app(job_for("Ida Fern"), Session(records=slow)).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press(
            "ctrl+s",
            "space",
            "space",
            "n",
            "a",
            "enter",
            "space",
            "space",
            "n",
            "b",
            "enter",
            "ctrl+s",
            "ctrl+s",
        )
        await let_go(bench, slow)
        assert "as revision 3" in painted(pilot)
    [found] = records.find("ida").entries
    assert [revision.note for revision in records.revisions(found.uid)] == ["", "a", "b"]


async def test_what_is_saved_has_no_draft_left(slow: SlowRecords, records: Store) -> None:
    folder = draft_places()[0].folder
    async with bench_app(job_for("Ida Fern"), Session(records=slow)).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "ctrl+s")
        assert list(folder.glob("*.json"))
        await let_go(bench, slow)
        assert not list(folder.glob("*.json"))


@pytest.mark.slow
async def test_what_is_typed_meanwhile_is_asked_about_before_the_other_version_is_opened(
    slow: SlowRecords, records: Store
) -> None:
    start = records.save(job_for("Ida Fern"), "Mo").entry
    async with bench_app(session=Session(records=slow)).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await opened_and_saved_by_another(bench, slow, records, start)
        await bench.press("+", "ctrl+s", "+")
        await let_go(bench, slow)
        await bench.press("t")
        await let_go(bench, slow)
        assert isinstance(pilot.app.screen, Question)
        assert bench.state.bike.get(RIDER_MASS) == "84 kg"
        await bench.press("d")
        await let_go(bench, slow)
        assert bench.state.bike.get(RIDER_MASS) == "70 kg"
    assert records.open_ends(start.job) == (2,)


@pytest.mark.slow
async def test_what_is_typed_on_another_screen_is_no_reply_to_who_else_saved(
    slow: SlowRecords, records: Store
) -> None:
    start = records.save(job_for("Ida Fern"), "Mo").entry
    async with bench_app(session=Session(records=slow)).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await opened_and_saved_by_another(bench, slow, records, start)
        await bench.press("+", "ctrl+s", "space", "space", "r")
        await let_go(bench, slow)
        await bench.press("t")
        assert isinstance(pilot.app.screen, RecordsScreen)
        await let_go(bench, slow)
        await bench.press("escape", "escape")
        await let_go(bench, slow)
        assert isinstance(pilot.app.screen, Question)
        assert "Someone else saved this job too" in painted(pilot)
    assert records.open_ends(start.job) == (2, 3)


@pytest.mark.slow
async def test_a_file_saved_beside_the_records_says_what_these_do_not_have(
    slow: SlowRecords, records: Store, tmp_path: Path
) -> None:
    slow.may.set()
    path = tmp_path / "stand.toml"
    save(job_for("Ida Fern"), path, None)
    session = Session(records=slow)
    session.opened(load_job(path))
    async with bench_app(job_for("Ida Fern"), session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "space", "space", "n", "x", "enter")
        await let_go(bench, slow)
        assert "Ctrl+S saves it to stand.toml too" in painted(pilot)
        await bench.press("+", "space", "space", "f", "ctrl+u", *str(tmp_path / "copy"), "enter")
        assert "Ctrl+S saves it to the records too" in painted(pilot)
        await bench.press("ctrl+s")
        await let_go(bench, slow)
        assert "as revision 2" in painted(pilot)
        await bench.press("ctrl+s")
        assert "Saved to" in painted(pilot), "there is nothing for the records"
    assert masses(records, "ida") == ["83 kg", "84 kg"]
