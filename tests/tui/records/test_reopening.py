"""The job that was open last is on the bench again at the next start, from the records as from a file."""

from __future__ import annotations

from pathlib import Path
from threading import Event

import pytest
from textual import events
from textual.pilot import Pilot

from tests.tui.bench.conftest import Bench, started
from tests.tui.records.conftest import save
from tests.tui.screens import painted
from tests.tui.store.jobs import job_for, weighing
from tui.app import BenchApp
from tui.bench.memory import taken_up
from tui.bench.session import Session
from tui.bench.state import open_bench
from tui.job.demo import demo_job
from tui.job.job import History
from tui.store.kept import Revision
from tui.store.records import Records
from tui.store.remembered import JobPlace, Remembered, read
from tui.store.store import Store

_MOST = 2000


def app_with(place: Path, remembered: Remembered) -> BenchApp:
    state = taken_up(open_bench(History.starting_at(demo_job())), remembered)
    return BenchApp(state, Session(records=Records(str(place))), remembered)


async def until_opened(pilot: Pilot[int], bench: Bench) -> None:
    for _ in range(_MOST):
        await pilot.pause()
        if bench.screen.session.entry is not None:
            return
    raise AssertionError("nothing was opened")


def remembered_of(store: Store, job: str) -> Remembered:
    return Remembered((JobPlace(store=store.name, job=job, title="Ann", at=1.0),))


@pytest.mark.slow
async def test_the_newest_revision_of_the_last_job_is_opened(store: Store, place: Path) -> None:
    first = save(store, job_for("Ann", "Trail M"))
    save(store, weighing(job_for("Ann", "Trail M"), "88 kg"), first)
    app = app_with(place, remembered_of(store, first.entry.job))
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await until_opened(pilot, bench)
        assert bench.state.job.get(("load", "rider_mass")) == "88 kg"
        assert "Revision 2 is open." in bench.text("foot")
        assert not bench.state.history.has_unsaved_changes
        assert [one.job for one in bench.state.recent] == [first.entry.job]
    # What was open when the bench was left is there again.
    left = read().remembered.last
    assert left is not None
    assert left.job == first.entry.job


def answering_later(monkeypatch: pytest.MonkeyPatch) -> Event:
    """Let the records answer only once the event is set."""
    answers, asked = Event(), Store.revision

    def slow(store: Store, job: str, number: int) -> Revision | None:
        answers.wait()
        return asked(store, job, number)

    monkeypatch.setattr(Store, "revision", slow)
    return answers


async def test_keys_typed_before_the_last_job_is_there_wait_for_it(
    store: Store, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ann = save(store, job_for("Ann", "Trail M"))
    remembered = Remembered((remembered_of(store, ann.entry.job).recent[0]._replace(title="Ann Trail M"),))
    answers = answering_later(monkeypatch)
    async with app_with(place, remembered).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        assert painted(pilot).split("\n")[0].strip() == "Opening Ann Trail M …"
        assert "rider mass" not in painted(pilot), "nothing is there to be edited"
        for key in "91":
            pilot.app.post_message(events.Key(key, key))
        await pilot.pause()
        assert (bench.state.edit, bench.state.bike) == (None, demo_job())
        answers.set()
        await until_opened(pilot, bench)
        await pilot.pause()
        assert bench.state.edit is not None
        assert bench.state.edit.text == "91"
        await bench.press("enter")
        assert bench.state.bike.get(("record", "customer")) == "Ann"
        assert bench.state.bike.get(("load", "rider_mass")) == "91 kg"
        assert "rider mass" in painted(pilot)


async def test_records_that_do_not_answer_hold_no_key_up_for_long(
    store: Store, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ann = save(store, job_for("Ann", "Trail M"))
    answers = answering_later(monkeypatch)
    async with app_with(place, remembered_of(store, ann.entry.job)).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        bench.screen.give_up_waiting()
        await bench.press("9", "1")
        assert bench.state.edit is not None
        assert "rider mass" in painted(pilot)
        answers.set()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert bench.state.bike == demo_job(), "a job that comes late takes nothing over"
        assert bench.state.edit.text == "91"


async def test_a_job_that_is_gone_is_told_and_the_demo_stays(store: Store, place: Path) -> None:
    save(store, job_for("Ann", "Trail M"))
    async with app_with(place, remembered_of(store, "no such job")).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        for _ in range(_MOST):
            await pilot.pause()
            if bench.state.note:
                break
        assert bench.state.note == "That job is not in the records any more."
        assert bench.state.bike == demo_job()


@pytest.mark.slow
async def test_a_recent_job_is_opened_from_the_finder(store: Store, place: Path) -> None:
    ben = save(store, job_for("Ben", "Hardtail"))
    recent = (
        JobPlace(file="/none/kim.toml", title="Kim", at=2.0),
        *remembered_of(store, ben.entry.job).recent,
    )
    async with app_with(place, Remembered(recent)).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press("slash", *"ann", "enter")
        await until_opened(pilot, bench)
        assert bench.state.job.get(("record", "customer")) == "Ben"


async def test_a_saved_job_that_was_never_open_here_is_found_and_opened(store: Store, place: Path) -> None:
    ann = save(store, job_for("Ann", "Trail M"))
    save(store, job_for("Ben", "Hardtail"))
    async with app_with(place, remembered_of(store, ann.entry.job)).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await until_opened(pilot, bench)
        bench.screen.session.opened(None)
        await bench.press("slash", *"ben")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert [saved.place.store for saved in bench.state.saved] == [store.name] * 2
        assert "saved job" in bench.text("foot")
        await bench.press("enter")
        await until_opened(pilot, bench)
        assert bench.state.job.get(("record", "customer")) == "Ben"
