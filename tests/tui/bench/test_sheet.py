"""The setup sheet from the bench: read, saved in the form of its ending, never from an old answer."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.bench.conftest import bench_app, started
from tests.tui.screens import painted
from tui.bench.export import name_of
from tui.bench.prompts import SheetPrompt
from tui.job.demo import demo_job
from tui.kit.dialogs import Question

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


@pytest.mark.fast_cases(1)
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


def test_a_title_becomes_the_name_of_a_file() -> None:
    assert name_of("Trail bike, stand 3", "setup-sheet") == "trail-bike-stand-3"
    assert name_of("../../etc/<x>", "setup-sheet") == "etc-x"
    assert name_of("", "setup-sheet") == name_of("...", "setup-sheet") == "setup-sheet"
    assert len(name_of("x" * 500, "setup-sheet")) == 60
