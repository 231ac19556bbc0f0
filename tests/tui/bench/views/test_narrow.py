"""Views beside the panels in the least terminal: nothing cut, how to scroll is said, faults at their pair."""

import pytest

from physics.pairs import FEWEST
from tests.tui.bench.conftest import bench_app, started
from tests.tui.looks import LOOK
from tui.bench.cells import faults_by_row, pairs_missing
from tui.bench.keymap import KEYMAP
from tui.bench.state import BenchState, open_bench, with_answer
from tui.bench.views.documents import conditions_lines
from tui.bench.views.pairs import lines as pairs
from tui.bench.words import keys_line
from tui.job.demo import demo_job
from tui.job.job import History, Job
from tui.kit.cells import text_of

NARROW = 39
"""Cells beside the panels at 80 columns."""


def after(*keys: str, job: Job | None = None) -> BenchState:
    state = with_answer(open_bench(History.starting_at(demo_job() if job is None else job)))
    for key in keys:
        state = KEYMAP.pressed(state, key, key if len(key) == 1 else None)
    return state


def test_other_air_has_every_figure_with_its_unit_in_the_least_room() -> None:
    state = after("right", "right", "right", "i")
    rows = text_of(conditions_lines(state, NARROW, LOOK)).splitlines()
    assert max(map(len, rows)) <= NARROW
    heads = rows.index(next(row for row in rows if "pump on" in row))
    assert rows[heads].split() == ["gauge", "pump", "on", "sag", "start", "end"]
    assert rows[heads + 1].split() == ["degC", "psi", "psi", "%", "N", "x", "load"]
    assert len(rows[heads + 2].split()) == 6
    assert "gauge psi  pump on psi  sag %" in text_of(conditions_lines(state, 78, LOOK))


@pytest.mark.slow
async def test_a_view_longer_than_its_place_says_how_to_scroll() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press("n")
        line = text_of(keys_line(bench.state, 80, LOOK.glyphs))
        assert " t scroll" in line
        assert " t scroll" not in text_of(keys_line(after(), 160, LOOK.glyphs))


def test_a_reading_that_does_not_rise_is_marked_at_its_own_pair() -> None:
    leverage = ("frame", "leverage")
    job = demo_job().without((*leverage, "start")).without((*leverage, "middle")).without((*leverage, "end"))
    job = job.with_value((*leverage, "kind"), "measured")
    job = job.with_value((*leverage, "travel_mm"), (0.0, 40.0, 30.0, 100.0, 148.0))
    job = job.with_value((*leverage, "stroke_mm"), (0.0, 15.0, 23.0, 39.0, 60.0))
    state = after(job=job)
    ((panel, row),) = faults_by_row(state)
    assert state.panels[panel].rows[row].label == "pair 3"


def test_one_pair_alone_lacks_another_and_is_no_fault() -> None:
    state = after("z", "z", "escape")
    assert faults_by_row(state) == {}
    assert pairs_missing(state) == FEWEST - 1
    more_wrong = with_answer(open_bench(History.starting_at(state.bike.without(("frame", "stroke")))))
    assert pairs_missing(more_wrong) == 0
    told = {fault.path for faults in faults_by_row(more_wrong).values() for fault in faults}
    assert ("frame", "stroke") in told, "what else is wrong is told"


def test_a_fork_needs_no_pairs_and_says_so() -> None:
    words = " ".join(text_of(pairs(after("e", "z"), NARROW, LOOK)).split())
    assert "its leverage follows from the head angle, and no pairs are needed" in words
    assert "does not come from pairs" not in words
