"""Views beside the panels in the least terminal: nothing cut, how to scroll is said, faults at their pair."""

import re

import pytest

from physics.pairs import FEWEST
from tests.tui.bench.conftest import bench_app, started
from tests.tui.looks import LOOK
from tui.bench.cells import faults_by_row, pairs_missing
from tui.bench.edit import show_other_wheel
from tui.bench.keymap import KEYMAP
from tui.bench.state import BenchState, open_bench, select_setup, show_view, with_answer
from tui.bench.views.documents import conditions_lines
from tui.bench.views.pairs import lines as pairs
from tui.bench.views.pairs import measuring
from tui.job.demo import demo_job
from tui.job.job import History, Job
from tui.kit.cells import text_of

NARROW = 39
"""Cells beside the panels at 80 columns."""


def start(job: Job | None = None) -> BenchState:
    return with_answer(open_bench(History.starting_at(demo_job() if job is None else job)))


def test_other_air_has_every_figure_with_its_unit_in_the_least_room() -> None:
    state = select_setup(start(), 1)
    rows = text_of(conditions_lines(state, NARROW, LOOK)).splitlines()
    assert max(map(len, rows)) <= NARROW
    heads = rows.index(next(row for row in rows if "pump" in row and "gauge" in row))
    assert rows[heads].split() == ["gauge", "pump", "sag", "breakaway", "bottom"]
    assert rows[heads + 1].split() == ["degC", "psi", "psi", "%", "N", "shaft", "x", "static"]
    assert len(rows[heads + 2].split()) == 6
    assert "gauge psi  pump psi  sag %" in text_of(conditions_lines(state, 78, LOOK))


@pytest.mark.slow
async def test_a_view_longer_than_its_place_says_how_far_down_one_is() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("tolerance")
        # The words at both ends of the scale would be cut by it: they come with the next line.
        assert re.search(r"\n +17/\d\d  ↓$", bench.text("view"))
        above, ends = bench.text("view").splitlines()[-2], r"\n +27\.4 +30\.7\n"
        assert not re.search(ends, bench.text("view"))
        await bench.press("down")
        assert re.search(r" 19/\d\d ↑↓$", bench.text("view"))
        assert bench.text("view").splitlines()[-3] == above
        assert re.search(ends, bench.text("view"))


def test_a_reading_that_does_not_rise_is_marked_at_its_own_pair() -> None:
    leverage = ("frame", "leverage")
    job = demo_job().without((*leverage, "start")).without((*leverage, "middle")).without((*leverage, "end"))
    job = job.with_value((*leverage, "kind"), "measured")
    job = job.with_value((*leverage, "travel_mm"), (0.0, 40.0, 30.0, 100.0, 148.0))
    job = job.with_value((*leverage, "stroke_mm"), (0.0, 15.0, 23.0, 39.0, 60.0))
    state = start(job)
    ((panel, row),) = faults_by_row(state)
    assert state.panels[panel].rows[row].label == "pair 3"


def test_one_pair_alone_lacks_another_and_is_no_fault() -> None:
    state = KEYMAP.pressed(measuring(start()), "escape", None)
    assert faults_by_row(state) == {}
    assert pairs_missing(state) == FEWEST - 1
    more_wrong = with_answer(open_bench(History.starting_at(state.bike.without(("frame", "stroke")))))
    assert pairs_missing(more_wrong) == 0
    told = {fault.path for faults in faults_by_row(more_wrong).values() for fault in faults}
    assert ("frame", "stroke") in told, "what else is wrong is told"


def test_a_fork_needs_no_pairs_and_says_so() -> None:
    words = " ".join(text_of(pairs(show_view(show_other_wheel(start()), "pairs"), NARROW, LOOK)).split())
    assert "leverage follows from the head angle, no pairs needed" in words
    assert "does not come from pairs" not in words
