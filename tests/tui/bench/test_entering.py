"""What a key does to a value: digits after a question, names, where Enter goes on, what undo undid."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.confirmed import confirmed_demo
from tests.tui.looks import LOOK
from tui.bench.edit import show_wheel
from tui.bench.keymap import KEYMAP
from tui.bench.state import (
    BenchState,
    leaving,
    open_bench,
    select_field,
    select_setup,
    show_step,
    show_view,
    switch_zoom,
    with_answer,
    with_history,
    with_job,
)
from tui.bench.steps import Step
from tui.bench.views import pages
from tui.bench.views.pairs import lines, measuring
from tui.bench.views.pane import view_keys
from tui.bench.words import fields_strip, keys_line, results_line, view_strip
from tui.job.demo import demo_job
from tui.job.job import ON_BIKE, History
from tui.job.tree import TreePath
from tui.kit.cells import text_of
from tui.subjects.new_job import NewEnd, missing, new_job, typed_size

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
    assert results(half) == ("Still to measure: 60.0 mm to 148.0 mm of travel; curves and figures are OLD.")
    assert "stroke" not in results(half)
    assert len(results(half)) < 80
    view = show_view(half, "leverage")
    rows = pages.leverage_lines(view, 78, LOOK)
    assert text_of(rows).startswith("Still to measure: 60.0 mm to 148.0 mm of travel.")


def test_pairs_are_measured_again_only_where_one_is_marked() -> None:
    whole = paired("7.3", "14.8", "22.6", "30.6", "39.0", "47.7", "60")
    assert "Full travel is measured, 8 pairs. !" in shown(whole)
    assert "again" not in shown(whole)
    off = press(at((*TRAVEL, 3), whole), *"24.6", "enter")
    assert "Full travel is measured, 8 pairs. Measure pair 4 again, the marked one." in shown(off)
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


# --- where Enter goes on ---------------------------------------------------------------------

RIDER: TreePath = ("load", "rider_mass")
SPACERS: TreePath = ("setup", 1, "positive_spacers")


FRAME: dict[TreePath, str] = {
    ("frame", "wheel_travel"): "148",
    ("frame", "leverage", "start"): "2.75",
    ("frame", "leverage", "end"): "2.2",
}


def begun(*typed: TreePath) -> BenchState:
    """Return the bench with a new job, the rider and the frame still to type but for those `typed`."""
    air = NewEnd(("air",), typed_size("230 x 60", "rear"), True)
    state = with_answer(select_field(open_bench(History(new_job("Ida", rear=air), None)), RIDER))
    for path in typed:
        state = press(at(path, state), *{RIDER: "82", **FRAME}[path], "enter")
    return select_field(state, RIDER)


def test_enter_leads_through_the_step_then_to_what_is_missing_until_there_is_a_result() -> None:
    state, seen = press(begun(), *"82", "enter"), list[TreePath]()
    of_rider = [one.path for one in missing(state.bike) if one.path[0] in ("load", "target")]
    assert ("load", "bike_mass") in of_rider
    while state.step is Step.RIDER:
        assert "Now on" not in state.note
        seen.append(state.row.path)
        state = press(state, "enter", "enter")
    assert seen == of_rider, "no unverified value of the step is passed over"
    assert (state.step, state.row.path) == (Step.FRAME, ("frame", "wheel_travel"))
    assert state.note.endswith("Rider is complete. Now on Frame: wheel travel.")
    while state.answer is None:
        text = FRAME.get(state.row.path)
        state = press(state, *(text or ["enter"]), "enter")
        assert state.step is Step.FRAME
    assert "Now on" not in state.note, "with a result no step is left"


def test_enter_stays_on_a_step_with_values_above_that_are_to_type() -> None:
    state = begun()
    *_, last = (one.path for one in missing(state.bike) if one.path[0] in ("load", "target"))
    unverified = press(at(last, state), "enter", "enter")
    assert (unverified.step, unverified.row.path) == (Step.RIDER, RIDER), "missing above, so no result"
    later = press(at(last, press(state, *"82", "enter")), *"30", "enter")
    assert later.step is Step.RIDER
    assert later.note.endswith("Still to type on Rider: posture.")


def test_with_a_result_enter_goes_down_to_the_next_unverified_value_and_jumps_over_none() -> None:
    state, seen = begun(*FRAME, RIDER), list[TreePath]()
    assert state.answer is not None
    to_type = [one.path for one in missing(state.bike) if one.path[0] in ("load", "target")]
    state = press(state, "enter", "enter")
    while state.row.path not in seen:
        seen.append(state.row.path)
        state = press(state, "enter", "enter")
    assert seen[: len(to_type)] == to_type
    assert state.step is Step.RIDER, "another step is for Tab"


def test_spacers_go_on_to_the_next_unverified_field_and_not_past_it() -> None:
    state = press(at(("setup", 0, "positive_spacers"), begun(*FRAME, RIDER)), *"1", "enter")
    shown = [row.path for row in state.panels[state.panel].rows]
    between = shown[shown.index(("setup", 0, "positive_spacers")) + 1 : shown.index(state.row.path)]
    assert not [path for path in between if state.job.is_unconfirmed(path)]
    assert state.job.is_unconfirmed(state.row.path)
    assert not state.unfolded, "what is folded away comes last"


def test_on_a_field_that_was_sure_enter_goes_to_the_next_one() -> None:
    sure = press(at(RIDER), "enter", "enter")
    again = press(at(RIDER, sure), *"90", "enter")
    assert (again.job.get(RIDER), again.row.path) == ("90 kg", ("load", "posture"))
    titled = with_job(BENCH, DEMO.confirmed(("title",)))
    customer = press(at(("record", "customer"), titled), *"Ida", "enter")
    assert customer.row.path == ("record", "ticket")


def test_enter_never_leaves_the_step_and_says_what_is_left_elsewhere() -> None:
    ready = state = begun(*FRAME, RIDER)
    paths = [one.path for one in missing(state.bike) if one.path[0] in ("load", "target")]
    for path in paths:
        state = press(at(path, state), "enter", "enter")
        assert state.step is Step.RIDER
    left = [one.path[0] for one in missing(state.bike)]
    assert set(left) == {"setup"}
    assert state.note.endswith(f"Rider is complete. Still to type: {len(left)} on Springs.")
    skipped = press(at(paths[-1], ready), "enter", "enter")
    assert skipped.note.endswith("Still to type on Rider: posture.")


def test_the_source_of_the_leverage_leads_on_along_the_frame() -> None:
    state = press(at(("frame", "leverage", "kind"), begun(RIDER)), "enter", "enter")
    assert (state.step, state.row.path) == (Step.FRAME, ("frame", "leverage", "start"))


def test_the_last_field_of_hand_over_leads_to_saving() -> None:
    ends = "Space, then p, saves the setup sheet; Ctrl+S saves the job."
    state = with_answer(open_bench(History.starting_at(confirmed_demo())))
    job = at(("title",), state)
    assert press(job, "enter", "enter").note == ends
    assert press(at(("record", "bike"), state), *"blue", "enter").row.path == ("title",)


def test_where_setups_are_compared_enter_stays_at_its_setup() -> None:
    compared = show_step(BENCH, Step.COMPARE)
    of = [row.path for row in compared.panels[compared.panel].rows if row.path[1] == 0]
    first = press(compared, "enter", "enter")
    assert (first.step, first.row.path) == (Step.COMPARE, of[1])
    last = press(compared, *["down"] * (len(of) - 1), "enter", "enter")
    assert (last.step, last.setup, last.row.path) == (Step.COMPARE, 0, of[-1])


def test_what_is_said_of_a_value_is_told_when_enter_leaves_it() -> None:
    read = press(at(("measured", "sag")), *"60", "enter")
    assert read.row.path == ("measured", "of")
    assert "sag measured: " in read.note
    assert "expected" in read.note
    over = press(at(LIMIT), *"150", "enter")
    assert "max pressure: " in over.note
    assert "max pressure" in over.note.split(": ", 1)[1]


# --- what undo undid -------------------------------------------------------------------------


def test_undo_and_redo_say_what_they_did() -> None:
    typed = press(at(RIDER), *"84", "enter")
    back = press(typed, "u")
    assert back.note == "Undone: rider mass 84 → 82 kg."
    assert press(back, "ctrl+r").note == "Redone: rider mass 82 → 84 kg."
    assert press(at(RIDER), "enter", "enter", "u").note == "Undone: rider mass unverified."
    gone = press(show_step(typed, Step.SPRINGS), "u")
    assert gone.note == "Undone: rider mass 84 → 82 kg. Now on Rider."
    two = with_job(BENCH, DEMO.with_value(RIDER, "84 kg").with_value(SPACERS, 3))
    assert press(two, "u").note.startswith("Undone: rider mass 84 → 82 kg and 1 more.")
    fewer = press(two, "u", "u")
    assert fewer.note == "Nothing to undo."


def test_undo_says_that_a_setting_is_solved_again() -> None:
    pressure: TreePath = ("setup", 1, "pressure")
    typed = with_job(BENCH, DEMO.with_value(pressure, "180 psi"))
    back = press(typed, "u")
    assert back.note == "Undone: air pressure 180 psi → solved for target sag. Now on Springs."
    assert press(back, "ctrl+r").note == "Redone: air pressure solved for target sag → 180 psi."


def test_undo_leaves_the_view_that_has_the_focus_where_it_is() -> None:
    port: TreePath = ("setup", 1, "port")
    for view in ("readings", "balance", "conditions"):
        changed = press(at(port), "+")
        there = show_view(select_setup(changed, 0), view)
        back = press(there, "u")
        assert (back.step, back.view, back.in_view) == (there.step, view, True)
        assert back.setup == 1, "the setup moves along"
        assert back.note.startswith("Undone: air port position 8.5")


def test_undo_says_which_wheel_it_shows_and_shows_none_that_was_not_shown() -> None:
    changed = press(at(("setup", 1, "port")), "+")
    front = show_wheel(changed, "front")
    back = press(front, "u")
    assert back.wheel == "rear"
    assert back.note.endswith("Now at the rear.")
    # A change of the front that was made from the rear is undone from there.
    job = BENCH.bike.with_value(("front", "setup", 0, "friction"), "33 N")
    made = with_history(leaving(BENCH), BENCH.history.then(job))
    undone = press(made, "u")
    assert (undone.wheel, undone.bike) == ("rear", BENCH.bike)
    assert undone.note.startswith("Undone: front ")
