"""The bench as a pure state: what a key does to the job, the cursor and the answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tui.bench import edit
from tui.bench import edit as move
from tui.bench import edit as setups
from tui.bench import state as view
from tui.bench.cells import Look, caution_at, cell_of, faults_by_row, look_first_at
from tui.bench.state import BenchState, open_bench, select_field, with_answer
from tui.bench.steps import VIEWS, Step, panel_of, setup_of_row
from tui.charts.views import ChartView
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import JobFault
from tui.job.job import History, Job
from tui.job.panels import RIDER_MASS
from tui.job.tree import TreePath
from tui.kit.edit import empty_edit, restore, rub_out, type_text
from tui.shop_units import IMPERIAL, METRIC, USUAL

RATE: TreePath = ("setup", 0, "rate")
PRESSURE: TreePath = ("setup", 1, "pressure")


FIRST_SETUP = panel_of(Step.SPRINGS, 0, 1)


@pytest.fixture
def bench() -> BenchState:
    return with_answer(open_bench(History.starting_at(demo_job())))


def type_in(state: BenchState, text: str) -> BenchState:
    for letter in text:
        state = type_text(state, letter)
    return edit.commit(state)


def test_riders_mass_is_selected_at_start(bench: BenchState) -> None:
    assert bench.row.path == RIDER_MASS
    assert not bench.is_outdated


def test_a_digit_types_over_and_enter_commits(bench: BenchState) -> None:
    after = type_in(bench, "91")
    assert after.job.get(RIDER_MASS) == "91 kg"
    assert after.answer is not None
    assert after.answer.job == after.job
    assert bench.answer is not None
    assert after.answer.answer.load.static_wheel_force > bench.answer.answer.load.static_wheel_force


def test_escape_restores_and_commits_nothing(bench: BenchState) -> None:
    after = restore(type_text(bench, "9"))
    assert after.job is bench.job
    assert restore(after).job is bench.job


def test_opening_puts_the_caret_behind_the_number_before_its_unit(bench: BenchState) -> None:
    opened_one = edit.open_edit(bench)
    assert opened_one.edit is not None
    assert (opened_one.edit.text, opened_one.edit.caret) == ("82 kg", 2)
    assert edit.commit(type_text(rub_out(opened_one), "9")).job.get(RIDER_MASS) == "89 kg"
    for path, text, caret in (
        (("load", "bike_share"), "52 %", 2),
        (("setup", 1, "positive_spacers"), "1 fitted", 1),
        (("setup", 1, "name"), "air", 3),
        (("ambient", "temperature"), "-4.5 degC", 4),
    ):
        job = bench.job.with_value(("ambient", "temperature"), "-4.5 degC")
        there = edit.open_edit(select_field(view.with_job(bench, job), path)).edit
        assert there is not None
        assert (there.text, there.caret) == (text, caret)


def test_text_that_is_no_number_opens_with_the_caret_behind_it(bench: BenchState) -> None:
    wrong = edit.open_edit(select_field(type_in(bench, "heavy 8"), RIDER_MASS)).edit
    assert wrong is not None
    assert (wrong.text, wrong.caret) == ("heavy 8", 7)


def test_a_solved_value_opens_as_what_is_solved(bench: BenchState) -> None:
    for path, unit in ((RATE, " lbf/in"), (PRESSURE, " psi")):
        solved = select_field(bench, path)
        shown = cell_of(solved, solved.row).text
        assert shown.endswith(unit)
        opened_one = edit.open_edit(solved)
        assert opened_one.edit is not None
        digits = shown.removesuffix(unit)
        assert (opened_one.edit.text, opened_one.edit.caret) == (shown, len(digits))
        changed = rub_out(opened_one)
        assert edit.commit(type_text(changed, "7")).job.get(path) == f"{digits[:-1]}7{unit}"


def test_a_value_that_could_not_be_solved_opens_empty(bench: BenchState) -> None:
    unanswered = select_field(replace(bench, bike_answer=None), RATE)
    opened_one = edit.open_edit(unanswered)
    assert opened_one.edit is not None
    assert opened_one.edit.text == ""
    assert edit.commit(opened_one).job.get(RATE) == "solve"


def test_committing_what_stood_there_is_no_edit(bench: BenchState) -> None:
    for path in (RIDER_MASS, RATE, ("load", "bike_share"), ("setup", 0, "preload_turns")):
        opened_one = edit.open_edit(select_field(bench, path))
        assert edit.commit(opened_one).history == bench.history


def test_moving_commits(bench: BenchState) -> None:
    after = move.move_by_rows(type_text(bench, "9"), 1)
    assert after.job.get(RIDER_MASS) == "9 kg"
    assert after.row.path != RIDER_MASS


def test_unusable_text_is_kept_told_and_the_last_answer_stays(bench: BenchState) -> None:
    after = type_in(bench, "9 stone or so")
    assert after.job.get(RIDER_MASS) == "9 stone or so"
    assert after.answer is bench.answer
    assert after.is_outdated
    [fault] = faults_by_row(after)[(0, after.rows[0])]
    assert fault.path == RIDER_MASS
    assert edit.undo(after).answer is bench.answer
    assert not edit.undo(after).faults


def test_a_nudge_answers_at_once(bench: BenchState) -> None:
    after = edit.nudge(bench, 10)
    assert after.job.get(RIDER_MASS) == "92 kg"
    assert after.answer is not None
    assert after.answer.job == after.job


def test_a_nudge_never_makes_a_value_unusable(bench: BenchState) -> None:
    state = type_in(select_field(bench, ("target", "sag")), "2 %")
    state = edit.nudge(edit.nudge(state, -1), -1)
    assert state.job.get(("target", "sag")) == "1 %"
    assert not state.faults
    assert "use a " in state.note


def test_toggling_keeps_the_solved_value_as_typed(bench: BenchState) -> None:
    solved = select_field(bench, RATE)
    assert cell_of(solved, solved.row).look is Look.SOLVED
    typed = edit.switch_solved(solved)
    assert typed.job.get(RATE) == cell_of(solved, solved.row).text
    assert cell_of(typed, typed.row).look is Look.TYPED
    assert edit.switch_solved(typed).job == bench.job


def test_a_solved_pressure_is_written_in_the_shops_unit(bench: BenchState) -> None:
    state = select_field(replace(bench, units=METRIC), PRESSURE)
    assert cell_of(state, state.row).text.endswith(" bar")
    assert str(edit.switch_solved(state).job.get(PRESSURE)).endswith(" bar")


def test_typing_and_nudging_make_a_solved_value_typed(bench: BenchState) -> None:
    state = select_field(bench, RATE)
    assert type_in(state, "450").job.get(RATE) == "450 lbf/in"
    rate = int(cell_of(state, state.row).text.split()[0])
    assert edit.nudge(state, 1).job.get(RATE) == f"{rate + 5} lbf/in"


def test_delete_gives_a_rate_back_to_the_solver(bench: BenchState) -> None:
    typed = type_in(select_field(bench, RATE), "450")
    assert edit.clear_value(typed).job == bench.job


def test_only_rate_and_pressure_are_toggled(bench: BenchState) -> None:
    assert edit.switch_solved(bench).job is bench.job
    assert "solved" in edit.switch_solved(bench).note


def test_undo_and_redo_lead_there_and_back_and_show_the_place(bench: BenchState) -> None:
    edited = view.show_step(type_in(bench, "91"), Step.FRAME)
    undone = edit.undo(edited)
    assert undone.job == bench.job
    assert undone.row.path == RIDER_MASS
    assert edit.redo(undone).job == edited.job
    assert edit.undo(bench).job is bench.job


def test_undo_of_an_added_setup_leaves_the_cursor_in_the_last_step(bench: BenchState) -> None:
    there = move.move_by_rows(view.show_step(bench, Step.HAND_OVER), 2)
    added = setups.add_coil(there)
    assert (added.step, added.setup) == (Step.SPRINGS, 2)
    back = edit.undo(view.show_step(added, Step.HAND_OVER))
    assert back.job == bench.job
    assert back.row.path == there.row.path
    again = edit.redo(back)
    assert (again.panels[again.panel].setup, again.rows[again.panel]) == (2, 0)


def test_a_choice_goes_round(bench: BenchState) -> None:
    state = select_field(bench, ("setup", 1, "negative"))
    seen = []
    for _ in range(4):
        state = edit.nudge(state, 1)
        seen.append(state.job.get(("setup", 1, "negative")))
        assert not state.faults
    assert seen == ["separate", "mechanical", "none", "equalised"]
    assert type_text(state, "5").edit is None


def test_a_choice_starts_from_the_answer_and_comes_back_to_what_was_typed(bench: BenchState) -> None:
    kind: TreePath = ("frame", "leverage", "kind")
    table = edit.nudge(select_field(bench, kind), 1)
    ratios = table.job.get(("frame", "leverage", "ratio"))
    assert ratios is not None
    assert ratios[0] == pytest.approx(2.78, abs=0.02)
    assert table.answer is not None
    assert bench.answer is not None
    before, after = bench.answer.answer.setups[0], table.answer.answer.setups[0]
    assert after.figures.bottom_ratio == pytest.approx(float(before.figures.bottom_ratio), rel=0.01)
    measured = edit.nudge(table, 1)
    assert not measured.faults
    assert edit.nudge(edit.nudge(measured, -1), -1).job == bench.job


def test_a_scale_starts_at_what_it_would_show(bench: BenchState) -> None:
    state = edit.nudge(select_field(bench, ("load", "by")), 1)
    assert state.job.get(("load", "scale_mass")) == "58.6 kg"
    back = edit.nudge(edit.nudge(state, 1), 1)
    assert back.job == bench.job


def test_units_change_what_is_shown_and_not_what_is_typed(bench: BenchState) -> None:
    state = replace(bench, units=IMPERIAL)
    assert cell_of(state, state.row).text == "82 kg"
    assert cell_of(state, state.row).in_shop_units == "180.8 lb"
    assert view.next_units(bench).units is METRIC
    assert view.next_units(view.next_units(view.next_units(bench))).units is USUAL


@pytest.mark.slow
def test_setups_are_added_copied_renamed_and_removed(bench: BenchState) -> None:
    state = bench
    for add in (setups.add_coil, setups.add_air, setups.copy_setup, setups.copy_setup):
        state = add(state)
        assert not state.faults
        assert state.panel == FIRST_SETUP + state.setup
    assert len(state.job.setups) == 6
    assert len({setup["name"] for setup in state.job.setups}) == 6
    assert state.answer is not None
    assert len(state.answer.answer.setups) == 6

    renaming = setups.rename_setup(state)
    assert renaming.edit is not None
    name = type_in(empty_edit(renaming), "[red]soft[/]")
    assert name.job.get(("setup", name.setup, "name")) == "[red]soft[/]"

    gone = setups.remove_setup(name)
    assert len(gone.job.setups) == 5
    assert edit.undo(gone).job == name.job
    for _ in range(10):
        gone = setups.remove_setup(gone)
    assert len(gone.job.setups) == 1
    while gone.history.past:
        gone = edit.undo(gone)
    assert gone.job == bench.job


def test_removing_the_last_panel_leaves_the_cursor_on_one_that_is_there(bench: BenchState) -> None:
    state = setups.remove_setup(view.show_setup(bench, 1))
    assert (state.panel, state.setup) == (2, 0)
    assert state.row.path[:2] == ("setup", 0)


def test_steps_go_round_and_remember_their_row(bench: BenchState) -> None:
    there = move.move_by_rows(view.show_step(bench, Step.FRAME), 2)
    state = there
    for _ in Step:
        state = view.show_step(state, state.step + 1)
    assert state == there


def test_the_chart_is_read_along_the_travel(bench: BenchState) -> None:
    state = view.cursor_to_sag(bench)
    assert state.answer is not None
    assert state.cursor == pytest.approx(float(state.answer.answer.setups[0].sag.wheel_fraction))
    assert view.move_cursor(bench, -5).cursor == 0
    assert view.move_cursor(bench, 500).cursor == 1


def test_the_read_out_follows_the_sag_until_it_is_moved_by_hand() -> None:
    bench = view.cursor_to_sag(view.with_answer(view.open_bench(History.starting_at(demo_job()))))
    deeper = demo_job().with_value(("target", "sag"), "33 %")
    followed = view.with_job(bench, deeper)
    assert followed.cursor == pytest.approx(0.33)
    assert edit.undo(followed).cursor == pytest.approx(0.29)
    # An invalid value between changes nothing.
    wrong = view.with_job(bench, demo_job().with_value(("target", "sag"), "x"))
    assert wrong.cursor == pytest.approx(0.29)
    assert view.with_job(wrong, deeper).cursor == pytest.approx(0.33)
    by_hand = view.move_cursor(bench, 5)
    assert view.with_job(by_hand, deeper).cursor == by_hand.cursor
    assert view.with_job(view.cursor_to_sag(by_hand), deeper).cursor == pytest.approx(0.33)


def test_views_go_round(bench: BenchState) -> None:
    seen = [bench.chart]
    for _ in ChartView:
        bench = view.next_chart(bench, 1)
        seen.append(bench.chart)
    assert seen[:-1] == list(ChartView)
    assert seen[-1] is seen[0]


def test_the_shown_answer_is_a_fresh_one(bench: BenchState) -> None:
    state = edit.nudge(bench, 3)
    fresh = answer_job(state.job).answer
    assert state.answer is not None
    assert np.array_equal(fresh.setups[1].curve.shaft_force, state.answer.answer.setups[1].curve.shaft_force)


def test_a_job_with_faults_from_the_start_shows_them_and_no_answer() -> None:
    job = demo_job().with_value(RIDER_MASS, "85").with_value(("setup", 1, "bore"), "40 psi")
    state = with_answer(open_bench(History.starting_at(job)))
    assert state.answer is None
    assert {fault.path for fault in state.faults} == {RIDER_MASS, ("setup", 1, "bore")}
    assert cell_of(state, state.row).text == "85"


def test_down_is_the_next_row_and_up_the_one_before_and_both_stop_at_the_ends(bench: BenchState) -> None:
    last = len(bench.panels[0].rows) - 1
    top = move.show_row(bench, 0, 0)
    assert move.move_by_rows(top, 1).rows[0] == 1
    assert move.move_by_rows(top, 3).rows[0] == 3
    assert move.move_by_rows(move.move_by_rows(top, 3), -1).rows[0] == 2
    assert move.move_by_rows(top, -1).rows[0] == 0
    assert move.move_by_rows(top, 500).rows[0] == last


def test_an_edit_keeps_the_selected_row_of_every_panel_and_a_new_setup_has_its_first(
    bench: BenchState,
) -> None:
    there = bench
    for panel in range(len(bench.panels)):
        there = move.show_row(there, panel, panel + 1)
    # Three setups are compared by four rows, four values are handed over.
    assert there.rows == (1, 2, 3, 4, 3, 6, 3)
    assert edit.nudge(view.show_step(there, Step.FRAME), 1).rows == there.rows
    added = setups.add_coil(there)
    assert added.rows == (1, 2, 3, 4, 0, 3, 6, 3)
    assert setups.remove_setup(added).rows == there.rows
    assert setups.remove_setup(view.show_setup(there, 0)).rows == (1, 2, 4, 1, 6, 3)


def test_a_setup_removed_leaves_the_cursor_on_a_row_that_is_there_in_every_step(bench: BenchState) -> None:
    for start in (view.show_step(bench, Step.COMPARE), view.show_setup(bench, 1)):
        below = move.show_row(start, 4, 99)
        for index in (0, 1):
            gone = setups.remove_setup(view.select_setup(below, index))
            assert len(gone.job.setups) == 1
            for step in Step:
                there = view.show_step(gone, step)
                assert there.row in there.panels[there.panel].rows
                assert there.setup == 0


def test_a_setup_of_a_kind_is_the_selected_one_before_the_first(bench: BenchState) -> None:
    coils = setups.add_coil(bench)
    assert [setup.get("kind") for setup in coils.job.setups] == ["coil", "air", "coil"]
    found = {
        (index, of): view.show_view(view.select_setup(coils, index), of).setup
        for index in range(3)
        for of in ("wire", "pump", "figures")
    }
    assert found == {
        (0, "wire"): 0, (1, "wire"): 0, (2, "wire"): 2,
        (0, "pump"): 1, (1, "pump"): 1, (2, "pump"): 1,
        (0, "figures"): 0, (1, "figures"): 1, (2, "figures"): 2,
    }  # fmt: skip


def test_the_last_row_of_every_panel_stays_selected_through_an_edit(bench: BenchState) -> None:
    there = bench
    for panel in range(len(bench.panels)):
        there = move.show_row(there, panel, 500)
    last = tuple(len(panel.rows) - 1 for panel in bench.panels)
    assert there.rows == last
    assert edit.nudge(select_field(there, ("target", "sag")), 1).rows[1:] == last[1:]


def test_a_panel_or_row_that_is_not_there_is_the_nearest_one(bench: BenchState) -> None:
    last = len(bench.panels) - 1
    assert (view.with_cursor(bench, 99, 2).panel, view.with_cursor(bench, 99, 2).rows[last]) == (last, 2)
    assert (view.with_cursor(bench, -1, -1).panel, view.with_cursor(bench, -1, -1).rows[0]) == (0, 0)


def test_the_case_as_solved_has_the_selected_setup_first(bench: BenchState) -> None:
    three = setups.add_coil(bench)
    assert three.answer is not None
    names = [found.setup.name for found in three.answer.answer.setups]

    def order(selected: int) -> list[int]:
        case = view.solved_case(replace(three, setup=selected))
        assert case is not None
        return [names.index(setup.name) for setup in case.setups]

    assert [order(index) for index in range(4)] == [[0, 1, 2], [1, 0, 2], [2, 0, 1], [2, 0, 1]]
    assert view.solved_case(replace(three, bike_answer=None)) is None


def test_figures_are_those_of_the_springs_there_are_and_of_a_ride_where_there_is_one() -> None:
    def figures(job: Job) -> set[str]:
        return set(view.figures_here(with_answer(open_bench(History.starting_at(job)))))

    demo = demo_job()
    both, coil, air = figures(demo), figures(demo.without_setup(1)), figures(demo.without_setup(0))
    riding = {"ride_sag_fraction", "ride_starting_shaft"}
    assert {"rate", "preload", "set_pressure", "sag_wheel"} <= both
    assert both - coil == {name for name in both if name.startswith("slow_")} | {
        "set_pressure", "rest_stroke", "equalised_pressure", "compression_ratio", "peak_pressure",
        "fast_peak_pressure", "fast_peak_temperature", "rate_at_sag",
    }  # fmt: skip
    assert both - air == {"rate", "preload"}
    assert coil | air == both
    assert not both & riding
    assert figures(demo.with_value(("ride", "altitude"), "2000 m")) - both == riding
    unanswered = open_bench(History.starting_at(demo))
    assert set(view.figures_here(unanswered)) == both


def test_a_measured_value_without_an_answer_has_no_caution(bench: BenchState) -> None:
    row = select_field(bench, ("measured", "sag")).row
    for state in (bench, replace(bench, bike_answer=None)):
        assert look_first_at(state, row) == ""
        assert caution_at(state, row) == ""


def test_nothing_is_cleared_of_a_choice(bench: BenchState) -> None:
    state = select_field(bench, ("load", "posture"))
    told = "posture: one option is always set; Enter lists them."
    assert edit.clear_value(state) == replace(state, note=told)


def test_a_key_with_nothing_to_remove_or_to_leave_says_so(bench: BenchState) -> None:
    empty = select_field(bench, ("ride", "temperature"))
    assert edit.clear_value(empty) == replace(empty, note="riding temp.: no value to remove.")
    assert view.step_back(bench) == replace(bench, note="Already at the fields.")
    sheet = view.show_view(bench, "sheet")
    assert view.turn_view(sheet, 1) == replace(sheet, note="This step has one view.")
    assert view.turn_view(replace(sheet, in_view=False), 1) == sheet
    frame = select_field(bench, ("frame", "leverage", "kind"))
    picked = edit.type_or_pick(frame, "s")
    assert (picked.job, picked.note) == (frame.job, "leverage source: no other option begins with s.")


def test_a_setup_that_is_not_there_is_the_nearest_one(bench: BenchState) -> None:
    chosen = [view.select_setup(view.show_step(bench, Step.SPRINGS), index) for index in (-3, 0, 1, 2, 3)]
    assert [(state.setup, state.panel - FIRST_SETUP) for state in chosen] == [
        (0, 0), (0, 0), (1, 1), (1, 1), (1, 1),
    ]  # fmt: skip
    assert [view.show_setup(bench, index) for index in (-3, 3)] == [chosen[0], chosen[-1]]
    none = with_answer(open_bench(History.starting_at(demo_job().with_value(("setup",), ()))))
    assert view.select_setup(none, 1) == none
    assert none.kind == ""


@pytest.mark.parametrize("step", Step)
def test_a_setup_is_selected_in_the_step_where_one_is_and_its_own_rows_are_there(
    bench: BenchState, step: Step
) -> None:
    for index in (1, 0):
        state = view.select_setup(view.show_step(bench, step), index)
        assert (state.step, state.setup) == (step, index)
        if step is Step.SPRINGS:
            assert state.panels[state.panel].setup == index
        if step is Step.COMPARE:
            assert setup_of_row(state.row) == index


def test_the_figures_of_a_sweep_go_round_both_ways(bench: BenchState) -> None:
    names = view.figures_here(bench)
    here = names.index(bench.sweep.figure)
    shown = {
        steps: view.next_figure(bench, steps).sweep.figure
        for steps in (1, len(names), len(names) - here, -here - 1)
    }
    assert shown == {
        1: names[here + 1],
        len(names): names[here],
        len(names) - here: names[0],
        -here - 1: names[-1],
    }
    unknown = replace(bench, sweep=bench.sweep._replace(figure="none of them"))
    assert view.next_figure(unknown, 1).sweep.figure == names[1]


def test_the_slow_curve_is_hidden_at_first_then_shown_and_hidden_again(bench: BenchState) -> None:
    assert not bench.slow
    assert view.switch_slow(bench).slow
    assert not view.switch_slow(view.switch_slow(bench)).slow


def at(state: BenchState, path: TreePath) -> BenchState:
    found = select_field(state, path)
    assert found.row.path == path
    return found


SAG: TreePath = ("target", "sag")
LOAD_FROM: TreePath = ("load", "by")
"""A field that no input of a sweep is."""


def test_the_bench_opens_with_nothing_answered_felt_said_or_shown() -> None:
    opened = open_bench(History.starting_at(demo_job()))
    assert (opened.answer, opened.faults, opened.is_outdated) == (None, (), False)
    assert (opened.panel, opened.setup, opened.other_setup, opened.wheel) == (0, 0, 0, "rear")
    assert opened.rows == (1, 0, 0, 0, 0, 0, 0)
    assert (opened.slow, opened.cursor, opened.note, opened.edit) == (False, 0.0, "", None)
    assert (opened.step, opened.view, opened.in_view, opened.figure) == (Step.RIDER, "chart", False, "")
    assert (opened.zoom, opened.unfolded, opened.menu, opened.finder, opened.helps) == (
        False, frozenset(), "", None, False,
    )  # fmt: skip
    assert opened.chart is ChartView.SHAFT
    assert (opened.complaint, opened.wants, opened.readings) == (view.Complaint(None, 0), (), None)
    assert opened.sweep == view.SweepChoice("", "", "starting_shaft")
    assert (opened.units, open_bench(opened.history, METRIC).units) == (USUAL, METRIC)


def test_a_bench_opened_at_its_sag_is_answered_and_says_what_it_is_told_to() -> None:
    history = History.starting_at(demo_job())
    before = replace(open_bench(history, IMPERIAL), zoom=True)
    opened = view.open_at_sag(before, history, "Opened.")
    assert opened.zoom
    assert opened.cursor == pytest.approx(0.29)
    assert (opened.note, opened.units) == ("Opened.", IMPERIAL)
    assert opened.answer is not None
    assert view.open_at_sag(before, history).note == ""
    broken = view.open_at_sag(before, History.starting_at(demo_job().with_value(SAG, "x")))
    assert (broken.answer, broken.cursor, broken.note) == (None, 0.0, "")


def test_a_sweep_is_over_the_field_under_the_cursor_else_over_the_one_before(bench: BenchState) -> None:
    over = view.sweep_field(at(bench, RIDER_MASS))
    assert (over.view, over.in_view) == ("sweep", True)
    assert over.sweep == view.SweepChoice("rider_mass", "", "starting_shaft")
    assert view.sweep_field(at(over, LOAD_FROM)).sweep.over == "rider_mass"
    other = view.sweep_field(at(over, SAG))
    assert (other.view, other.sweep.over) == ("sweep", "sag")
    nothing = view.sweep_field(at(bench, LOAD_FROM))
    assert (nothing.view, nothing.sweep.over) == ("sweep", "")
    mapped = view.map_field(at(over, SAG))
    assert (mapped.step, mapped.view, mapped.in_view) == (Step.COMPARE, "map", True)
    assert mapped.sweep == view.SweepChoice("rider_mass", "sag", "starting_shaft")
    assert view.map_field(at(bench, LOAD_FROM)).sweep.against == ""
    assert view.sweep_field(mapped).step is Step.COMPARE


def test_the_first_wanted_input_that_a_case_has_is_taken_and_never_the_one_it_is_set_against(
    bench: BenchState,
) -> None:
    case = view.solved_case(bench)
    assert case is not None
    first = view.chosen_input(case, ())
    assert view.chosen_input(case, ("nothing",)) == first
    assert view.chosen_input(case, ("nothing", "sag", "rider_mass")).name == "sag"
    assert view.chosen_input(case, ("sag", "rider_mass"), "sag").name == "rider_mass"
    assert view.chosen_input(case, (), first.name).name != first.name


def test_charts_go_round_both_ways_and_leave_what_a_sweep_shows(bench: BenchState) -> None:
    charts = list(ChartView)
    assert [view.next_chart(bench, n).chart for n in (1, 2, -1, len(charts))] == [
        charts[1], charts[2], charts[-1], charts[0],
    ]  # fmt: skip
    assert view.next_chart(bench, 1).sweep == bench.sweep
    assert view.shown_chart(bench) is bench.chart
    assert view.shown_chart(view.show_view(bench, "leverage")) is ChartView.LEVERAGE
    assert view.shown_chart(view.show_view(bench, "figures")) is None


EVERY_VIEW = tuple(dict.fromkeys(one for views in VIEWS.values() for one in views))


@pytest.mark.fast_cases(4)
@pytest.mark.parametrize("shown", EVERY_VIEW)
def test_a_view_is_shown_in_its_step_with_the_focus_and_esc_leads_back_to_the_fields(
    bench: BenchState, shown: str
) -> None:
    for step in Step:
        before = view.show_step(bench, step)
        after = view.show_view(before, shown)
        assert (after.view, after.in_view) == (shown, True)
        assert shown in VIEWS[after.step]
        assert after.step is step if shown in VIEWS[step] else after.step is not step
        back = view.step_back(after)
        assert back == replace(after, in_view=False)
        assert view.step_back(back) == replace(back, note="Already at the fields.")
        assert not view.show_view(before, shown, focus=False).in_view


def test_esc_goes_back_one_step_from_help_to_view_to_fields_to_both_panes(bench: BenchState) -> None:
    state = replace(view.show_view(bench, "sweep"), helps=True, zoom=True)
    seen = []
    for _ in range(4):
        seen.append((state.helps, state.in_view, state.zoom))
        state = view.step_back(state)
    assert seen == [(True, True, True), (False, True, True), (False, False, True), (False, False, False)]
    assert view.step_back(state) == state


@pytest.mark.parametrize("setup", [0, 1])
def test_the_views_of_a_step_go_round_both_ways_and_each_step_remembers_its_own(
    bench: BenchState, setup: int
) -> None:
    state = view.select_setup(bench, setup)
    for step in Step:
        there = view.show_step(state, step)
        ids, forward = there.view_ids, there
        for name in (*ids[1:], ids[0]):
            forward = view.turn_view(forward, 1)
            assert (forward.view, forward.in_view) == (name, True)
        assert view.turn_view(there, -1).view == ids[-1]
        state = view.turn_view(there, 1)
    for step in Step:
        there = view.show_step(state, step)
        assert there.view == there.view_ids[1 % len(there.view_ids)]
        assert not there.in_view


def test_a_view_that_the_other_kind_of_setup_has_not_gives_way_to_the_first(bench: BenchState) -> None:
    pumped = view.show_view(bench, "pump")
    assert (pumped.setup, pumped.view) == (1, "pump")
    on_coil = view.select_setup(pumped, 0)
    assert on_coil.view == "chart"
    assert "pump" not in on_coil.view_ids
    assert view.select_setup(on_coil, 1).view == "pump"


def test_a_step_has_the_focus_in_its_fields_and_zoom_stays(bench: BenchState) -> None:
    zoomed = view.switch_zoom(view.show_view(bench, "sweep"))
    assert zoomed.zoom
    there = view.show_step(zoomed, Step.RIDE)
    assert (there.in_view, there.helps, there.zoom) == (False, False, True)
    assert not view.switch_zoom(zoomed).zoom


def test_units_are_told_by_name(bench: BenchState) -> None:
    for state, name in ((bench, "metric"), (view.next_units(bench), "imperial")):
        told = f"Figures in {name} units; typed values keep theirs."
        assert view.next_units(state).note == told
        assert view.next_units(state).job == bench.job


def test_the_chart_is_read_by_hundredths_and_a_setup_without_sag_says_so(bench: BenchState) -> None:
    middle = replace(bench, cursor=0.5)
    assert [view.move_cursor(middle, n).cursor for n in (1, -1, 10, 60, -60)] == pytest.approx(
        [0.51, 0.49, 0.6, 1.0, 0.0]
    )
    on_air = view.cursor_to_sag(view.select_setup(bench, 1))
    assert on_air.cursor == pytest.approx(0.29)
    told = "The selected setup has no sag."
    unanswered = replace(middle, bike_answer=None)
    assert view.cursor_to_sag(unanswered) == replace(unanswered, note=told)
    stiff = demo_job().with_value(("setup", 0, "rate"), "1500 lbf/in")
    stiff = stiff.with_value(("setup", 0, "preload_turns"), 10)
    topped_out = replace(with_answer(open_bench(History.starting_at(stiff))), cursor=0.5)
    assert view.cursor_to_sag(topped_out) == replace(topped_out, note=told)


def test_a_job_without_setups_has_a_panel_that_says_so_and_keeps_the_first_selected() -> None:
    bare = demo_job().without(("front",)).with_value(("setup",), ())
    state = with_answer(open_bench(History.starting_at(demo_job().without(("front",)))))
    state = move.show_row(view.select_setup(state, 1), 6, 3)
    emptied = view.with_job(state, bare)
    assert (emptied.setup, emptied.panel, emptied.rows) == (0, 5, (1, 0, 0, 0, 0, 3))
    assert [panel.title for panel in emptied.panels] == [
        "rider", "frame", "no setup", "setups", "ride", "hand over",
    ]  # fmt: skip
    on_setup = view.with_job(move.show_row(state, 3, 2), bare)
    assert (on_setup.setup, on_setup.panel, on_setup.row.label) == (0, 2, "no setup yet")
    assert "Space, then c, adds a coil" in on_setup.row.meaning
    for step in Step:
        there = view.show_step(emptied, step)
        assert there.step is step
        assert [view.show_view(there, name).step for name in there.view_ids] == [step] * len(there.view_ids)


def test_rows_that_are_gone_leave_the_cursor_on_the_last_one_of_their_panel(bench: BenchState) -> None:
    scaled = edit.nudge(at(bench, ("load", "by")), 1)
    rider = len(scaled.panels[0].rows)
    assert rider < len(bench.panels[0].rows)
    below = move.show_row(bench, 0, 99)
    moved = move.show_row(below, 1, 3)
    assert view.with_job(moved, scaled.job).rows == (rider - 1, 3, 0, 0, 0, 0, 0)
    # The row with the cursor is found again by its path, though rows before it are gone.
    there = at(bench, ("tolerance", "gauge"))
    again = view.with_job(there, scaled.job)
    assert again.row.path == ("tolerance", "gauge")
    assert again.rows[0] < there.rows[0]


def test_a_fresh_example_wheel_is_told_once_a_job_is_somebodys(bench: BenchState) -> None:
    told = "Example {} left off sheet and report; on Frame: Space e, Space k remove it."
    typed = view.with_job(bench, bench.job.with_value(RIDER_MASS, "70 kg"))
    assert typed.note == told.format("front")
    assert view.with_job(typed, typed.job.with_value(RIDER_MASS, "71 kg")).note == told.format("front")
    quiet = replace(typed, note="")
    assert view.with_job(quiet, quiet.job.with_value(RIDER_MASS, "71 kg")).note == ""
    front = replace(edit.show_wheel(quiet, "front"), note="")
    own = view.with_job(front, front.job.with_value(SAG, "20 %"))
    assert own.note == told.format("rear")
    assert view.with_job(bench, bench.job.with_value(SAG, "28 %")).note == ""


def test_an_answer_is_not_worked_out_again_for_the_same_job(bench: BenchState) -> None:
    assert with_answer(bench) == bench
    faulty = replace(bench, bike_faults=(JobFault(RIDER_MASS, "wrong", "another"),))
    assert (with_answer(faulty).bike_faults, with_answer(faulty).bike_answer) == ((), bench.bike_answer)
    wrong = view.with_job(bench, bench.job.with_value(RIDER_MASS, "x"))
    assert [fault.path for fault in wrong.bike_faults] == [RIDER_MASS]
    right = view.with_job(wrong, wrong.job.with_value(RIDER_MASS, "70 kg"))
    assert (right.bike_faults, right.is_outdated) == ((), False)


def test_a_value_is_solved_only_where_it_can_be_and_is_asked_for(bench: BenchState) -> None:
    solved = {row.path for panel in bench.panels for row in panel.rows if view.is_solved(bench.job, row)}
    assert solved == {RATE, PRESSURE}
    typed = bench.job.with_value(RATE, "400 lbf/in").with_value(("setup", 0, "name"), "solve")
    again = open_bench(History.starting_at(typed))
    assert {row.path for panel in again.panels for row in panel.rows if view.is_solved(again.job, row)} == {
        PRESSURE
    }


def test_the_answer_of_an_older_job_is_known_by_name_and_kind(bench: BenchState) -> None:
    def found(state: BenchState, index: int | str) -> str | None:
        answered = view.answered_setup(state, index)
        return None if answered is None else f"{answered.name} {answered.kind}"

    assert [found(bench, index) for index in (0, 1, "rate")] == ["coil coil", "air air", None]
    assert found(replace(bench, bike_answer=None), 0) is None
    broken = view.with_job(bench, bench.job.with_value(RIDER_MASS, "x"))
    assert [found(broken, index) for index in (0, 1)] == ["coil coil", "air air"]
    first = view.with_job(broken, broken.job.with_setup(0, {"name": "new", "kind": "coil"}))
    assert [found(first, index) for index in range(3)] == [None, "coil coil", "air air"]
    assert view.solved_text(first, at(first, RATE).row) is None
    assert view.solved_text(first, at(first, ("setup", 1, "rate")).row) == "393 lbf/in"
    turned = view.with_job(broken, broken.job.with_value(("setup", 0, "kind"), "air"))
    assert [found(turned, index) for index in (0, 1)] == [None, "air air"]
    renamed = view.with_job(broken, broken.job.with_value(("setup", 1, "name"), "coil"))
    assert [found(renamed, index) for index in (0, 1)] == ["coil coil", None]


def test_the_cursor_goes_to_a_field_that_is_there_and_else_stays(bench: BenchState) -> None:
    assert select_field(bench, ("nothing", "like", "it")) is bench
    port = at(bench, ("setup", 1, "port"))
    assert (port.panel, port.setup) == (3, 1)
    rider = at(port, RIDER_MASS)
    assert (rider.panel, rider.setup) == (0, 1)
    assert view.with_cursor(port, 6, 0).setup == 1
    assert [view.with_cursor(port, 4, row).setup for row in range(4)] == [0, 0, 1, 1]


def test_a_wheel_has_its_own_answer_faults_and_panels(bench: BenchState) -> None:
    front = edit.show_wheel(bench, "front")
    assert (front.bike, front.bike_answer) == (bench.bike, bench.bike_answer)
    assert front.job != bench.job
    assert front.answer is not None
    assert [found.name for found in front.answer.answer.setups] == ["fork"]
    alone = view.with_history(front, front.history.then(bench.bike.without(("front",))))
    assert (alone.wheel, len(alone.panels)) == ("rear", 7)
