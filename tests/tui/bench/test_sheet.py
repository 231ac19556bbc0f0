"""The setup sheet from the bench: read, saved in the form of its ending, never from an old answer."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.confirmed import confirmed_demo
from tests.tui.bench.conftest import bench_app, started
from tests.tui.bench.views.test_events import rode
from tests.tui.bench.views.test_logged import worked_out
from tests.tui.bench.views.test_sweep import one_line
from tests.tui.bench.views.test_tolerance import on_bench
from tests.tui.looks import LOOK
from tests.tui.ride.test_logged import BOTH
from tests.tui.screens import painted
from tui.bench.export import name_of
from tui.bench.prompts import SheetPrompt
from tui.bench.state import BenchState, show_view, with_job, with_log
from tui.bench.views.logged import found_here, switch_on_sheet
from tui.bench.views.pages import sheet_lines as view_lines
from tui.job.demo import demo_job
from tui.kit.cells import text_of
from tui.kit.dialogs import Question
from tui.ride.logged import used_text
from tui.tables.recorded import LogFile

SIZE = (80, 24)


async def test_it_is_read_and_saved_where_one_says(own_home: Path) -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("shift+tab")
        assert bench.state.view == "sheet"
        await bench.press("]")
        seen = bench.text("view")
        for _ in range(9):
            await bench.press("pagedown")
            seen += bench.text("view")
        assert "Setup 1 of 2: coil, coil spring" in seen
        assert "Front wheel" in seen
        await bench.press("space", "p")
        prompt = pilot.app.screen
        assert isinstance(prompt, SheetPrompt)
        assert prompt.line.value == f"{own_home}/demo-trail-bike-invented-figures.html"
        await bench.press("enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        target = own_home / "demo-trail-bike-invented-figures.html"
        assert target.read_text("utf-8").startswith("<!DOCTYPE html>")
        assert bench.text("note").strip().startswith(f"The setup sheet is saved to {target}"[:70])


async def test_enter_on_the_sheet_asks_where_to_save_it() -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("shift+tab", "f6")
        assert "Enter save it" in bench.text("keys")
        assert "[ ] views" not in bench.text("keys")  # it is the only one
        await bench.press("escape", "tab", "plus", "shift+tab", "f6")
        assert "Ctrl+S save" in bench.text("keys")
        await bench.press("enter")
        assert isinstance(pilot.app.screen, SheetPrompt)


@pytest.mark.slow
async def test_a_file_that_is_there_is_asked_about(own_home: Path) -> None:
    target = own_home / "a.txt"
    target.write_text("old")
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.do("sheet_save")
        await bench.press("ctrl+u")
        await bench.write(str(target))
        await bench.press("enter")
        assert isinstance(pilot.app.screen, Question)
        await bench.press("escape")
        assert target.read_text() == "old"
        await bench.do("sheet_save")
        await bench.press("ctrl+u")
        await bench.write(str(target))
        await bench.press("enter", "r")
        await pilot.app.workers.wait_for_complete()
        assert "Setup sheet: Demo trail bike" in target.read_text()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("a.pdf", ".pdf is not possible: use .html"),
        ("none/a.md", "That folder does not exist"),
        ("", "The file name is missing."),
    ],
)
async def test_a_path_that_cannot_be_used_says_why(own_home: Path, typed: str, said: str) -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.do("sheet_save")
        await bench.press("ctrl+u")
        await bench.write(typed)
        await bench.press("enter")
        assert isinstance(pilot.app.screen, SheetPrompt)
        assert said in painted(pilot)


@pytest.mark.slow
async def test_an_old_answer_is_marked_and_not_saved() -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.write("0")
        await bench.press("enter")
        await bench.show("sheet")
        assert bench.text("view").startswith("OLD: last valid result")
        await bench.do("sheet_save")
        assert pilot.app.screen is bench.screen
        assert "Not saved: the sheet shows OLD results" in bench.text("note")


async def test_without_any_answer_there_is_none() -> None:
    job = demo_job().with_value(("load", "rider_mass"), "0 kg")
    async with bench_app(job).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.show("sheet")
        assert "No results yet" in bench.text("view")
        await bench.do("sheet_save")
        assert pilot.app.screen is bench.screen
        assert "No results yet" in bench.text("note")


def logged_bench(folder: Path, *names: str) -> BenchState:
    """Return the bench with logged rides that are read, but not worked out yet."""
    state = on_bench(confirmed_demo())
    for place, name in enumerate(names):
        (folder / name).write_text("\n".join(BOTH.splitlines()[:1501]))
        state = with_log(state, LogFile.at(folder / name), beside=place > 0)
    return state


def sheet_told(state: BenchState) -> str:
    return one_line(text_of(view_lines(show_view(state, "sheet"), 80, LOOK)))


@pytest.mark.slow
def test_a_logged_ride_is_on_the_sheet_only_where_it_is_wanted(tmp_path: Path) -> None:
    state = rode(logged_bench(tmp_path, "morning.csv"))
    assert "Logged ride" not in sheet_told(state)
    wanted = switch_on_sheet(state)
    assert wanted.note == "morning.csv is on the sheet."
    said = sheet_told(wanted)
    assert "LOGGED RIDE" in said.upper()
    assert "File: morning.csv" in said
    found = found_here(wanted)
    assert found is not None
    assert used_text(found.rides[0].channels[0], wanted.units) in said
    off = switch_on_sheet(wanted)
    assert off.note == "The logged ride is removed from the sheet."
    assert "File: morning.csv" not in sheet_told(off)


@pytest.mark.slow
def test_a_ride_that_is_not_worked_out_yet_says_so_and_comes_to_the_sheet_by_itself(tmp_path: Path) -> None:
    wanted = switch_on_sheet(logged_bench(tmp_path, "morning.csv"))
    assert wanted.note == "morning.csv is still being calculated (0%); it is added when done."
    assert "Logged ride not on the sheet: morning.csv is still being calculated" in sheet_told(wanted)
    there = rode(show_view(wanted, "sheet"))
    assert "left off" not in sheet_told(there)
    assert "File: morning.csv" in sheet_told(there)
    # Another job gives another answer, on which the ride is worked out anew.
    nudged = with_job(there, there.job.with_value(("load", "rider_mass"), "90 kg"))
    assert "Logged ride not on the sheet" in sheet_told(nudged)
    assert "File: morning.csv" in sheet_told(rode(show_view(nudged, "sheet")))


@pytest.mark.slow
def test_a_second_ride_keeps_the_first_on_the_sheet_and_a_new_one_does_not(tmp_path: Path) -> None:
    one = switch_on_sheet(rode(logged_bench(tmp_path, "morning.csv")))
    other = tmp_path / "evening.csv"
    other.write_text("\n".join(BOTH.splitlines()[:1501]))
    two = with_log(one, LogFile.at(other), beside=True)
    assert two.log.on_sheet
    assert "File: morning.csv" in sheet_told(rode(show_view(two, "sheet")))
    assert not with_log(one, LogFile.at(other)).log.on_sheet


def test_a_ride_that_cannot_be_used_is_not_put_on_the_sheet(tmp_path: Path) -> None:
    state = rode(with_log(on_bench(confirmed_demo()), LogFile.at(tmp_path / "gone.csv")))
    refused = switch_on_sheet(state)
    assert not refused.log.on_sheet
    assert refused.note.startswith("Not on the sheet: gone.csv cannot be used: ")


@pytest.mark.slow
async def test_the_key_puts_the_ride_on_the_sheet_that_is_saved(own_home: Path) -> None:
    target = own_home / "a.txt"
    async with bench_app(confirmed_demo()).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.do("sheet_save")
        await bench.press("escape")
        bench.screen.take(logged_bench(own_home, "morning.csv"))
        await bench.show("sheet")
        await bench.press("space", "o")
        assert bench.state.log.on_sheet
        await worked_out(bench)
        await bench.do("sheet_save")
        await bench.press("ctrl+u")
        await bench.write(str(target))
        await bench.press("enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "File: morning.csv" in target.read_text("utf-8")
        await bench.press("space", "o")
        assert not bench.state.log.on_sheet


async def test_a_sheet_whose_ride_is_not_worked_out_is_not_saved(own_home: Path) -> None:
    async with bench_app(confirmed_demo()).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        state = logged_bench(own_home, "morning.csv")
        # The view of the fields' step has no work beside the screen: the ride stays as it is.
        bench.screen.take(switch_on_sheet(show_view(state, "chart")))
        await bench.do("sheet_save")
        assert pilot.app.screen is bench.screen
        assert "Not saved: morning.csv is still being calculated" in bench.text("note")


def test_a_title_becomes_the_name_of_a_file() -> None:
    assert name_of("Trail bike, stand 3", "setup-sheet") == "trail-bike-stand-3"
    assert name_of("../../etc/<x>", "setup-sheet") == "etc-x"
    assert name_of("", "setup-sheet") == name_of("...", "setup-sheet") == "setup-sheet"
    assert len(name_of("x" * 500, "setup-sheet")) == 60
