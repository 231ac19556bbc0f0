"""What a key does to a value: digits after a question, names, where Enter goes on, what undo undid."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.tui.looks import LOOK
from tui.bench.keymap import KEYMAP
from tui.bench.state import (
    BenchState,
    open_bench,
    select_field,
    select_setup,
    show_step,
    show_view,
    switch_zoom,
    with_answer,
    with_job,
)
from tui.bench.steps import Step
from tui.bench.views.pairs import lines, measuring
from tui.bench.views.pane import view_keys
from tui.bench.words import fields_strip, keys_line, results_line, view_strip
from tui.job.demo import demo_job
from tui.job.job import ON_BIKE, History
from tui.job.tree import TreePath
from tui.kit.cells import text_of

DEMO = demo_job()
BENCH = with_answer(open_bench(History.starting_at(DEMO)))
LIMIT: TreePath = ("setup", 1, "max_pressure")
STROKE: TreePath = ("frame", "leverage", "stroke_mm")
TRAVEL: TreePath = ("frame", "leverage", "travel_mm")


def press(state: BenchState, *keys: str) -> BenchState:
    for key in keys:
        state = KEYMAP.pressed(state, key, key if len(key) == 1 else " " if key == "space" else None)
    return state


def at(path: TreePath, state: BenchState = BENCH) -> BenchState:
    found = select_field(state, path)
    assert found.row.path == path
    return found


# --- a number after a question ---------------------------------------------------------------


def text_open(state: BenchState) -> str:
    assert state.edit is not None
    return state.edit.text


def test_a_digit_typed_while_a_question_is_open_starts_the_value_anew() -> None:
    asked = press(at(LIMIT), "1", "enter")
    assert "Enter again accepts it" in asked.note
    anew = press(asked, "down", "down", *"2,4")
    assert text_open(anew) == "2,4"
    assert anew.job == BENCH.job
    assert press(anew, *" bar", "enter", "enter").job.get(LIMIT) == "2,4 bar"


def test_what_is_no_digit_goes_on_with_the_value_asked_about() -> None:
    asked = press(at(LIMIT), "1", "enter")
    assert text_open(press(asked, *" psi")) == "1 psi"
    assert text_open(press(asked, "left", "2")) == "21", "moving the caret goes on with it too"
    assert text_open(press(asked, "backspace", "7")) == "7"


def paired(*strokes: str) -> BenchState:
    state = BENCH
    for stroke in strokes:
        state = press(measuring(state), *stroke, "enter")
    return state


def test_a_digit_typed_while_a_pair_is_asked_about_starts_its_stroke_anew() -> None:
    asked = press(measuring(BENCH), *"20", "enter")
    assert "Is that right?" in asked.note
    anew = press(asked, *"7.3")
    assert text_open(anew) == "20 7.3"
    assert press(anew, "enter").job.get(STROKE) == (0.0, 7.3)


def test_one_number_typed_at_a_pair_is_its_stroke() -> None:
    state = press(at((*TRAVEL, 2), paired("7.3", "11", "22.6", "30.6")), *"14.8", "enter")
    assert state.job.get(TRAVEL) == (0.0, 20.0, 40.0, 60.0, 80.0)
    assert state.job.get(STROKE) == (0.0, 7.3, 14.8, 22.6, 30.6)
    assert not state.faults


# --- pairs on the stand ----------------------------------------------------------------------


def shown(state: BenchState) -> str:
    return " ".join(text_of(lines(state, 78, LOOK)).split())


def results(state: BenchState, width: int = 100) -> str:
    return text_of(results_line(state, width, LOOK)).strip()


def test_pairs_that_end_half_way_are_told_to_end_and_no_stroke_is_blamed() -> None:
    half = with_job(paired("7.3"), paired("8.9", "17.8", "26.8").job)
    assert [fault.path[:2] for fault in half.faults] == [("frame", "leverage")]
    assert results(half).startswith("Pairs end at 60.0 mm of 148.0 mm; use pairs up to full travel")
    assert "stroke" not in results(half)


def test_pairs_are_measured_again_only_where_one_is_marked() -> None:
    whole = paired("7.3", "14.8", "22.6", "30.6", "39.0", "47.7", "60")
    assert "Full travel is measured. More pairs" in shown(whole)
    assert "again" not in shown(whole)
    off = press(at((*TRAVEL, 3), whole), *"24.6", "enter")
    assert "Full travel is measured. Measure pair 4 again, the marked one." in shown(off)
    assert "! 4 " in shown(off)


def test_the_bars_stand_beside_their_pairs_at_every_width() -> None:
    state = paired("7.3", "14.8", "22.6")
    for width in range(30, 80):
        rows = text_of(lines(state, width, LOOK)).splitlines()
        barred = [row.split()[0] for row in rows if "━━" in row and row.lstrip()[0].isdigit()]
        assert barred in ([], ["1", "2", "3"]), width
        assert sum("━" in row for row in rows) in (0, 4), width


# --- what is said, and where -----------------------------------------------------------------


def test_a_fault_on_another_step_is_named_with_its_step() -> None:
    bad = press(at(("frame", "stroke")), *"900", "enter")
    assert bad.faults
    assert "1 invalid value; curves" in results(bad), "its mark is in sight"
    there = show_step(bad, Step.SPRINGS)
    assert "1 invalid value in Frame: shock stroke; curves" in results(there)
    two = press(at(("load", "rider_mass"), there), *"x", "9", "x", "enter")
    assert "2 invalid values, first in Rider: rider mass; curves" in results(show_step(two, Step.SPRINGS))


def test_a_zoomed_pane_says_which_key_shows_both_again() -> None:
    zoomed = switch_zoom(BENCH)
    for strip, state in (
        (fields_strip, zoomed),
        (view_strip, replace(zoomed, in_view=True)),
        (view_strip, replace(zoomed, helps=True)),
    ):
        assert "z both panes" in text_of(strip(state, 80, LOOK, framed=False))
        assert "z both panes" not in text_of(strip(replace(state, zoom=False), 80, LOOK, framed=False))


def test_conditions_begin_with_the_setup_on_the_bike_and_name_the_key_for_another() -> None:
    typed = with_job(BENCH, DEMO.with_value(ON_BIKE, DEMO.setups[1]["name"]))
    weather = show_view(select_setup(typed, 0), "conditions")
    assert (weather.setup, weather.view) == (1, "conditions")
    assert "Left Right setup" in text_of(keys_line(weather, 80, LOOK.glyphs))
    other = view_keys(weather)["right"](weather)
    assert (other.setup, other.view, other.in_view) == (0, "conditions", True)
    assert view_keys(other)["left"](other).setup == 1
    assert show_view(select_setup(BENCH, 0), "conditions").setup == 0, "nobody typed which one is on the bike"
    alone = show_view(with_job(BENCH, DEMO.without_setup(0)), "conditions")
    assert "setup" not in text_of(keys_line(alone, 80, LOOK.glyphs))


@pytest.mark.parametrize("view", ["balance", "wire"])
def test_other_views_in_lines_keep_their_keys(view: str) -> None:
    assert "left" not in view_keys(show_view(BENCH, view))
