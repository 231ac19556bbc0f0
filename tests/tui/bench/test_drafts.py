"""Drafts on the screen: what is offered after a session died, and what is told while none can be kept."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.bench.conftest import bench_app, started
from tests.tui.job.full_disk import no_room
from tui.bench.files import load_job
from tui.bench.session import Session
from tui.job.demo import demo_job
from tui.job.drafts import Draft, Entry, abandoned_drafts, draft_places
from tui.job.files import save
from tui.kit.dialogs import Question

SIZE = (80, 24)
RIDER_MASS = ("load", "rider_mass")
ENTRY: Entry = {"store": "/shop/records.db", "job": "a1", "base": 3}


def leave(title: str, file: Path | None = None, entry: Entry | None = None) -> None:
    session = Draft()
    assert session.keep(demo_job().with_value(("title",), title), file, entry).folder
    session.leave_behind()


def shown(pilot: Pilot[int]) -> str:
    """Return the question in front, empty where there is none."""
    front = pilot.app.screen
    if not isinstance(front, Question):
        return ""
    return "\n".join(str(part.render()) for part in front.query("Static"))


@pytest.mark.slow
async def test_several_drafts_are_offered_one_after_the_other() -> None:
    for title in ("oldest", "middle", "newest"):
        leave(title)
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        assert "newest" in shown(pilot)
        assert "And 2 more after this one." in shown(pilot)
        await bench.press("d")
        assert "middle" in shown(pilot)
        assert "And 1 more after this one." in shown(pilot)
        await bench.press("escape")
        assert "oldest" in shown(pilot)
        assert "more" not in shown(pilot)
        await bench.press("o")
        assert not shown(pilot)
        assert bench.state.job.title == "oldest"
    assert {draft.job.title for draft in abandoned_drafts().drafts} == {"middle", "oldest"}


@pytest.mark.slow
async def test_opening_a_second_draft_leaves_the_first_one_for_the_next_start() -> None:
    leave("first")
    leave("second")
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("o")
        assert "The job on screen is kept" in shown(pilot)
        await bench.press("o")
        assert bench.state.job.title == "first"
    assert {draft.job.title for draft in abandoned_drafts().drafts} == {"first", "second"}


@pytest.mark.slow
async def test_the_draft_of_a_file_names_the_file_and_goes_on_there(tmp_path: Path) -> None:
    path = tmp_path / "stand 3.toml"
    save(demo_job(), path, None)
    leave("of the file", path)
    leave("of no file")
    file = load_job(path)
    async with bench_app(file.job, Session(file)).run_test(size=(200, 50)) as pilot:
        bench = await started(pilot)
        assert f"Unsaved changes to {path}." in shown(pilot)
        assert "more" not in shown(pilot)
        await bench.press("o")
        assert bench.screen.session.path == path


async def test_the_draft_of_an_entry_says_whose_it_is_and_goes_on_there() -> None:
    session = Draft()
    job = (
        demo_job().with_value(("record", "customer"), "[b]N. N.[/]").with_value(("record", "ticket"), "T-12")
    )
    session.keep(job, None, ENTRY)
    session.leave_behind()
    leave("of another entry", entry={**ENTRY, "job": "b2"})
    async with bench_app(session=Session(entry={**ENTRY, "base": 4})).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        assert "[b]N. N.[/], T-12" in shown(pilot)
        assert "a job in the records" in shown(pilot)
        await bench.press("o")
        assert bench.screen.session.entry == ENTRY
        bench.screen.hang_up()
    assert ENTRY in [draft.entry for draft in abandoned_drafts().drafts]


@pytest.mark.slow
async def test_a_damaged_draft_is_named_before_the_others_are_offered() -> None:
    leave("sound")
    damaged = draft_places()[0].folder / "7-bad.json"
    damaged.write_text("{")
    async with bench_app().run_test(size=(200, 50)) as pilot:
        bench = await started(pilot)
        assert str(damaged.with_suffix(".damaged")) in shown(pilot)
        await bench.press("escape")
        assert "sound" in shown(pilot)
    assert damaged.with_suffix(".damaged").read_text() == "{"


@pytest.mark.slow
async def test_a_draft_that_cannot_be_kept_is_told_until_it_can(monkeypatch: pytest.MonkeyPatch) -> None:
    first, second = (place.folder for place in draft_places())
    with monkeypatch.context() as full:
        no_room(full, first, second)
        async with bench_app().run_test(size=SIZE) as pilot:
            bench = await started(pilot)
            assert "no draft" not in bench.text("title")
            await bench.press("plus")
            for key in ("down", "tab", "]", "escape"):
                await bench.press(key)
                assert "disk full, no draft: save to a file" in bench.text("title")
            await bench.resize(40, 24)
            assert "disk full, no draft: save to a file" in bench.text("title")
            await bench.resize(*SIZE)
            full.undo()
            await bench.press("down")
            assert "no draft" not in bench.text("title")
            assert len(list(first.glob("*.json"))) == 1


@pytest.mark.slow
async def test_saving_elsewhere_ends_the_trouble(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    no_room(monkeypatch, *(place.folder for place in draft_places()))
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("plus", "space", "space", "f", "ctrl+u")
        await bench.write(str(tmp_path / "kept.toml"))
        await bench.press("enter")
        assert "no draft" not in bench.text("title")
        assert load_job(tmp_path / "kept.toml").job.get(RIDER_MASS) == "83 kg"


async def test_the_second_place_is_told_once_and_left_as_soon_as_the_first_works(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    first, second = (place.folder for place in draft_places())
    with monkeypatch.context() as full:
        no_room(full, first)
        async with bench_app().run_test(size=SIZE) as pilot:
            bench = await started(pilot)
            await bench.press("plus")
            assert "Disk full: drafts go to" in bench.text("note")
            assert "no draft" not in bench.text("title")
            await bench.press("plus")
            assert "Disk full" not in bench.text("note")
            assert len(list(second.glob("*.json"))) == 1
            full.undo()
            await bench.press("plus")
            assert not list(second.glob("*.json"))
    [draft] = abandoned_drafts().drafts
    assert draft.job.get(RIDER_MASS) == "85 kg"


async def test_a_draft_taken_up_stays_where_it_was_while_no_other_can_be_kept(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    leave("only copy")
    no_room(monkeypatch, *(place.folder for place in draft_places()))
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("o")
        assert bench.state.job.title == "only copy"
        assert "no draft" in bench.text("title")
    assert [draft.job.title for draft in abandoned_drafts().drafts] == ["only copy"]


@pytest.mark.slow
async def test_the_linkage_screen_tells_it_too(monkeypatch: pytest.MonkeyPatch) -> None:
    no_room(monkeypatch, *(place.folder for place in draft_places()))
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.do("linkage")
        await bench.press("plus", "down")
        title = pilot.app.screen.query_one("#title")
        assert "disk full, no draft" in title.text  # type: ignore[attr-defined]


@pytest.mark.slow
async def test_a_hang_up_keeps_what_is_being_typed_on_the_linkage_screen() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.do("linkage")
        await bench.press("7")
        pilot.app._told_to_go(15)  # type: ignore[attr-defined]
    [draft] = abandoned_drafts().drafts
    assert draft.job.get(("frame", "leverage", "kind")) == "linkage"
