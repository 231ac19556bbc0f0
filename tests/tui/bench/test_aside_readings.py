"""Readings on the bench: asked for in a line or a file, told with errors and a plot, taken with one key."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from physics.loop import loop_of
from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.bench_parts.looks import LOOK, PLAIN_LOOK
from tests.tui.readings.testers import csv_of_demo, demo_set, loop_of_demo
from tui.bench.aside_pane import AsidePane
from tui.bench.aside_readings import lines
from tui.bench.aside_work import Worked
from tui.bench.state import BenchState, answered, opened
from tui.bench.state_edit import undone
from tui.bench.state_readings import readings_taken, said_of, task, with_readings
from tui.charts.cells import text_of
from tui.jobs.history import History
from tui.readings.kinds import CyclingRead, LoopRead, Readings, SagRead
from tui.shop_units import METRIC

SIZES = [(80, 24), (120, 40)]
PSI = 6894.757293168


def on_bench(readings: Readings, setup: int = 1) -> BenchState:
    """Return the bench with readings, what they say already worked out."""
    state = replace(answered(opened(History.starting_at(demo_set()))), setup=setup)
    state = with_readings(state, readings)
    asked = task(state)
    assert asked is not None
    assert state.good is not None
    return replace(state, worked=Worked(asked.key, said_of(state.good, setup, readings)))


def told(state: BenchState, width: int = 74) -> str:
    return " ".join(text_of(lines(state, width, LOOK)).split())


def everything(bench: Bench) -> str:
    return text_of(bench.screen.query_one(AsidePane)._lines)


async def settled(bench: Bench) -> None:
    """Wait until what the view works out is there."""
    await bench.pilot.app.workers.wait_for_complete()
    await bench.pilot.pause()
    await bench.pilot.pause()


def test_parameters_stand_with_error_and_what_the_setup_has() -> None:
    said = told(on_bench(loop_of_demo(1)))
    assert "41 readings in and out, tester.csv" in said
    assert "found ± now" in said
    for name in ("positive volume", "negative volume", "port", "friction"):
        assert f" {name} " in said
    assert "negative volume cm3" in said
    assert "i going in, o coming out" in said
    assert "Volumes are without spacers" in said
    assert "lbf/in" in told(on_bench(loop_of_demo(0), setup=0))
    assert "N/mm" in told(replace(on_bench(loop_of_demo(0), setup=0), units=METRIC))


def test_one_way_says_what_it_cannot_tell() -> None:
    loop = loop_of_demo(0).loop
    half = LoopRead(loop_of(loop.stroke[:20], loop.force[:20]), "x")
    said = told(on_bench(half, setup=0))
    assert "friction is not told" in said
    assert "readings one way" in said


def test_what_says_nothing_says_why() -> None:
    assert "do not" not in told(on_bench(loop_of_demo(1)))
    assert "has none" in told(on_bench(CyclingRead(200 * PSI, 170 * PSI), setup=0))
    state = on_bench(SagRead(2.0, is_share=True))
    assert "is not between 0 and" in told(state)
    assert readings_taken(state).job == state.job
    assert "say nothing" in readings_taken(state).note


def test_gauge_and_sag_in_sentences() -> None:
    assert "Negative over positive volume: 0." in told(on_bench(CyclingRead(200 * PSI, 170 * PSI)))
    said = told(on_bench(SagRead(0.3, is_share=True)))
    assert "the spring carries" in said
    assert "of the rider on this wheel" in said


@pytest.mark.parametrize("width", [24, 40, 78])
@pytest.mark.parametrize("readings", [loop_of_demo(1), CyclingRead(200 * PSI, 170 * PSI), SagRead(0.3, True)])
def test_plain_terminals_get_plain_letters(readings: Readings, width: int) -> None:
    shown = text_of(lines(on_bench(readings), width, PLAIN_LOOK))
    assert shown.replace("±", "+").isascii()


def test_taking_is_one_edit_that_undo_takes_back() -> None:
    before = on_bench(loop_of_demo(1))
    after = readings_taken(before)
    assert after.job != before.job
    assert after.faults == ()
    assert "taken; u takes it back" in after.note
    assert undone(after).job == before.job
    assert "no readings" in readings_taken(replace(before, readings=None)).note


@pytest.mark.parametrize("size", SIZES)
async def test_a_file_is_asked_for_and_taken(size: tuple[int, int], own_home: Path) -> None:
    (own_home / "loop.csv").write_text(csv_of_demo(0))
    async with bench_app(demo_set()).run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.press("R")
        assert "Press R again and type one of these" in " ".join(everything(bench).split())
        await bench.press("R")
        await bench.write("nothing here")
        await bench.press("enter")
        assert len(pilot.app.screen_stack) > 1
        await bench.press("ctrl+u")
        await bench.write("loop.csv")
        await bench.press("enter")
        await settled(bench)
        shown = everything(bench)
        assert "41 readings in and out, loop.csv" in shown
        assert max(map(len, shown.splitlines())) <= size[0] - 40
        await bench.press("enter")
        assert bench.state.job.get(("setup", 0, "rate")) != "450 lbf/in"
        await settled(bench)
        assert "41 readings" in everything(bench)
        await bench.press("u")
        assert bench.state.job.get(("setup", 0, "rate")) == "450 lbf/in"


async def test_a_line_typed_by_hand() -> None:
    async with bench_app(demo_set()).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.press("R", "R")
        await bench.write("0 80; 10 870; 20 1660; 30 2450; 40 3240")
        await bench.press("enter")
        await settled(bench)
        assert "5 readings one way, typed by hand" in everything(bench)
