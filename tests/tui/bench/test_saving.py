"""Saving into the records from the bench: asked whose it is, kept for good, told who else saved it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from errno import ENOSPC
from pathlib import Path

import pytest
from textual.worker import WorkerCancelled

from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.ride.test_logged import SHOCK
from tests.tui.screens import painted, said
from tests.tui.store.jobs import job_for, weighing
from tui.bench.files import load_job, open_revision
from tui.bench.prompts import NotePrompt, WhosePrompt
from tui.bench.session import Session
from tui.bench.state import show_view, with_log, without_log
from tui.job.demo import demo_job
from tui.job.drafts import abandoned_drafts
from tui.job.files import load, save
from tui.job.job import Job
from tui.job.panels import RIDER_MASS
from tui.kit.dialogs import Question
from tui.store.address import StoreAddress
from tui.store.kept import KeptLog, RecordLink, Saved
from tui.store.opening import open_store
from tui.store.records import Records, login_name
from tui.store.store import Store
from tui.store.trouble import StoreTrouble, in_words
from tui.tables.recorded import LogFile

SIZE = (80, 24)


@pytest.fixture
def place(tmp_path: Path) -> StoreAddress:
    return StoreAddress(tmp_path / "shop.sqlite")


@pytest.fixture
def records(place: StoreAddress) -> Iterator[Store]:
    store = open_store(place)
    yield store
    store.close()


@pytest.fixture
def session(place: StoreAddress) -> Iterator[Session]:
    session = Session(records=Records(str(place)))
    yield session
    session.records.close()


async def quiet(bench: Bench) -> None:
    """Wait until what works beside the screen is done and shown."""
    await bench.pilot.app.workers.wait_for_complete()
    await bench.pilot.pause()
    with suppress(WorkerCancelled):  # two versions are compared after that, unless the program has ended
        await bench.pilot.app.workers.wait_for_complete()
    await bench.pilot.pause()


async def open_newest(bench: Bench, records: Store) -> None:
    """Put the newest job of the records on the bench."""
    [revision, *_] = reversed(records.revisions(records.find().entries[0].uid))
    open_revision(bench.screen, bench.screen.session.records.open(), revision)
    await quiet(bench)


async def test_a_new_job_is_asked_whose_it_is_and_kept(session: Session, records: Store) -> None:
    async with bench_app(session=session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.write("91,5")
        await bench.press("ctrl+s")
        assert isinstance(pilot.app.screen, WhosePrompt)
        await bench.press("enter")
        assert "Enter a name or a ticket number" in painted(pilot)
        await bench.write("Ida Fern")
        await bench.press("enter")
        await quiet(bench)
        assert "as revision 1" in painted(pilot)
        assert bench.says_saved
        assert abandoned_drafts().drafts == ()
        await bench.press("+", "ctrl+s")
        await quiet(bench)
    [found] = records.find("ida").entries
    kept = records.revisions(found.uid)
    assert [revision.job.get(RIDER_MASS) for revision in kept] == ["91,5 kg", "92,5 kg"]
    assert [revision.parent for revision in kept] == [None, 1]


async def test_where_a_job_lives_is_seen_beside_a_long_title(session: Session, records: Store) -> None:
    records.save(job_for("Ida Fern").with_value(("title",), "long " * 30), "Mo")
    async with bench_app(session=session).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await open_newest(bench, records)
        assert bench.text("title").rstrip().endswith(" records, revision 1")
        assert bench.text("title").startswith(" long long ")
        assert "[Rider] Frame" in bench.text("title")


@pytest.mark.slow
async def test_a_ticket_number_is_enough(session: Session, records: Store) -> None:
    async with bench_app(session=session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("ctrl+s")
        await bench.write("#204")
        await bench.press("enter")
        await quiet(bench)
    assert [found.ticket for found in records.find().entries] == ["#204"]


async def test_going_back_saves_nothing(session: Session, records: Store) -> None:
    async with bench_app(session=session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("ctrl+s", "escape", "space", "space", "n", "escape")
        await quiet(bench)
        assert bench.state.bike == demo_job()
    assert records.find().entries == ()


@pytest.mark.slow
async def test_a_note_goes_with_the_revision(session: Session, records: Store) -> None:
    async with bench_app(job_for("Ida Fern"), session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("space", "space", "n")
        assert isinstance(pilot.app.screen, NotePrompt)
        await bench.write("new seals")
        await bench.press("enter")
        await quiet(bench)
    [revision] = records.revisions(records.find("new seals").entries[0].uid)
    assert revision.note == "new seals"
    assert session.records.mechanic == ""
    assert revision.saved_by == login_name()


async def test_nothing_new_is_no_new_revision(session: Session, records: Store) -> None:
    records.save(job_for("Ida Fern"), "Mo")
    async with bench_app(session=session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await open_newest(bench, records)
        await bench.press("ctrl+s")
        await quiet(bench)
        assert "Nothing has changed" in painted(pilot)
    assert records.find().entries[0].latest == 1


async def saved_by_two(bench: Bench, records: Store) -> RecordLink:
    """Save a job that somebody else has saved meanwhile; return where both started."""
    start = records.save(job_for("Ida Fern"), "Mo").entry
    await open_newest(bench, records)
    records.save(weighing(job_for("Ida Fern"), "70 kg"), "Ana", note="lighter pack", entry=start)
    await bench.press("+", "ctrl+s")
    await quiet(bench)
    assert isinstance(bench.pilot.app.screen, Question)
    return start


@pytest.mark.slow
async def test_the_second_to_save_is_told_shown_both_and_keeps_both(session: Session, records: Store) -> None:
    async with bench_app(session=session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        start = await saved_by_two(bench, records)
        shown = said(pilot)
        for words in ("Ana saved revision 2, ", '"lighter pack"', "as revision 3", "rider mass 70 → 83 kg"):
            assert words in shown
        await bench.press("m")
        await quiet(bench)
        assert bench.state.job.get(RIDER_MASS) == "83 kg"
    assert records.open_ends(start.job) == (3,)
    assert [r.job.get(RIDER_MASS) for r in records.revisions(start.job)] == ["82 kg", "70 kg", "83 kg"]


@pytest.mark.slow
async def test_the_other_version_can_go_on(session: Session, records: Store) -> None:
    async with bench_app(session=session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        start = await saved_by_two(bench, records)
        await bench.press("t")
        await quiet(bench)
        await quiet(bench)
        assert bench.state.job.get(RIDER_MASS) == "70 kg"
        await bench.press("+", "ctrl+s")
        await quiet(bench)
    assert records.open_ends(start.job) == (4,)
    assert records.revisions(start.job)[3].parent == 2


@pytest.mark.slow
async def test_left_side_by_side_both_are_there(session: Session, records: Store) -> None:
    async with bench_app(session=session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        start = await saved_by_two(bench, records)
        await bench.press("escape")
    assert records.open_ends(start.job) == (2, 3)


@pytest.mark.slow
async def test_what_somebody_else_saved_may_be_damaged(
    session: Session, records: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    save_in = Records.save

    def with_damage(
        records: Records,
        job: Job,
        note: str,
        entry: RecordLink | None,
        before: str | None,
        logs: Sequence[KeptLog],
    ) -> Saved:
        saved = save_in(records, job, note, entry, before, logs)
        assert saved.meanwhile is not None
        return replace(saved, meanwhile=replace(saved.meanwhile, text="[[["))

    async with bench_app(session=session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        monkeypatch.setattr(Records, "save", with_damage)
        await saved_by_two(bench, records)
        assert "Their version can no longer be read." in said(pilot)


@pytest.mark.slow
async def test_a_job_with_a_file_is_saved_to_both(session: Session, records: Store, tmp_path: Path) -> None:
    path = tmp_path / "stand.toml"
    save(job_for("Ida Fern"), path, None)
    session.opened(load_job(path))
    async with bench_app(load(path).job, session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "ctrl+s")
        await quiet(bench)
        assert records.find().entries == (), "a file is where it lives, until a note is saved"
        await bench.press("space", "space", "n", "x", "enter")
        await quiet(bench)
        await bench.press("+", "ctrl+s")
        await quiet(bench)
    assert load(path).job.get(RIDER_MASS) == "84 kg"
    assert records.find().entries[0].latest == 2


async def test_records_that_cannot_be_opened_lose_nothing(tmp_path: Path) -> None:
    session = Session(records=Records(str(tmp_path)))
    async with bench_app(job_for("Ida Fern"), session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "ctrl+s")
        await quiet(bench)
        assert "Not saved: " in painted(pilot)
        assert not bench.says_saved
        await bench.press("ctrl+s")
        await quiet(bench)
        assert "Not saved: " in painted(pilot), "it can be tried again"


@pytest.mark.slow
async def test_records_that_can_only_be_read_ask_nothing_before_they_say_so(session: Session) -> None:
    session.records.open().read_only = True
    async with bench_app(session=session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("ctrl+s")
        await quiet(bench)
        assert "are read-only here" in bench.text("note")


@pytest.mark.slow
async def test_quitting_saves_first_where_that_is_wanted(session: Session, records: Store) -> None:
    async with bench_app(job_for("Ida Fern"), session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "q", "s")
        with suppress(WorkerCancelled):  # what is beside the screen when the program ends
            await quiet(bench)
        assert pilot.app.return_code == 0 or not pilot.app.is_running
    assert records.find().entries[0].latest == 1


def test_what_helps_on_a_full_disk_is_not_cut_by_a_narrow_screen() -> None:
    with pytest.raises(StoreTrouble) as told, in_words():
        raise OSError(ENOSPC, "No space left on device")
    assert "the disk is full; make room; Space Space f saves" in str(told.value)
    assert len(f" Not saved: {told.value}.") < SIZE[0]


@pytest.mark.slow
async def test_a_logged_ride_is_kept_with_the_job_and_comes_back_with_it(
    session: Session, records: Store, tmp_path: Path
) -> None:
    # Long enough for statistics, too short for the ground, which takes its time.
    for name in ("ride.csv", "gone.csv"):
        (tmp_path / name).write_text("\n".join(SHOCK.splitlines()[:1501]))
    records.save(job_for("Ida Fern"), "Mo")
    async with bench_app(session=session).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await open_newest(bench, records)
        gone = LogFile.at(tmp_path / "gone.csv")
        (tmp_path / "gone.csv").unlink()
        for log in (LogFile.at(tmp_path / "ride.csv"), gone):
            bench.screen.take(with_log(bench.state, log, beside=True))
        await quiet(bench)
        await bench.press("ctrl+s")
        await quiet(bench)
        assert "as revision 2. Without gone.csv, which cannot be read." in bench.state.note
        (tmp_path / "ride.csv").unlink()
        await bench.press("ctrl+s")
        await quiet(bench)
        assert "Nothing has changed" in bench.state.note
        bench.screen.take(without_log(bench.state))
        await open_newest(bench, records)
        assert [log.name for log in bench.state.log.files] == ["ride.csv"]
        bench.screen.take(show_view(bench.state, "logged"))
        for _ in range(3):
            await quiet(bench)
        assert "ride.csv: used " in painted(pilot)
    [found] = records.find("ida").entries
    assert [len(records.attached(one.uid)) for one in records.revisions(found.uid)] == [0, 1]


@pytest.mark.slow
async def test_the_log_of_one_job_never_joins_another(
    session: Session, records: Store, tmp_path: Path
) -> None:
    (tmp_path / "ride.csv").write_text(SHOCK)
    records.save(job_for("Ida Fern"), "Mo")
    async with bench_app(session=session).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        bench.screen.take(with_log(bench.state, LogFile.at(tmp_path / "ride.csv")))
        await open_newest(bench, records)
        assert bench.state.log.files == ()
