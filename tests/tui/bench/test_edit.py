"""What the keys of the bench put into the job and say, on the demo job and at the edge of each field."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tui.bench import edit
from tui.bench.state import (
    BenchState,
    open_bench,
    select_field,
    select_setup,
    show_setup,
    show_step,
    show_view,
    with_answer,
    with_cursor,
    with_job,
)
from tui.bench.steps import Step, panel_of
from tui.job.demo import demo_job
from tui.job.fields import Field
from tui.job.job import MOST_SETUPS, History, Job
from tui.job.panels import LEVERAGE, RIDER_MASS
from tui.job.tree import Raw, Tree, TreePath
from tui.kit.edit import Edit, empty_edit, rub_out, rub_out_ahead, type_text
from tui.shop_units import IMPERIAL, METRIC, ShopUnits

RATE: TreePath = ("setup", 0, "rate")
PRESSURE: TreePath = ("setup", 1, "pressure")
POSTURE: TreePath = ("load", "posture")
LOAD_FROM: TreePath = ("load", "by")
KIND: TreePath = (*LEVERAGE, "kind")
SAG: TreePath = ("target", "sag")
FIRST_PAIR: TreePath = (*LEVERAGE, "travel_mm", 0)


def on_bench(job: Job) -> BenchState:
    return with_answer(open_bench(History.starting_at(job)))


FIRST_SETUP = panel_of(Step.SPRINGS, 0, 1)
BENCH = on_bench(demo_job())
FRONT = edit.show_wheel(BENCH, "front")
REAR_ALONE = edit.remove_wheel(FRONT)
FORK_ALONE = edit.remove_wheel(BENCH)


def at(path: TreePath, state: BenchState = BENCH) -> BenchState:
    found = select_field(state, path)
    assert found.row.path == path
    return found


def typed(state: BenchState, text: str) -> BenchState:
    return edit.commit(type_text(state, text))


def starts(state: BenchState, path: TreePath, option: int) -> dict[str, Raw]:
    row: Field = at(path, state).row
    return dict(edit.start_values(state, row, option))


def table_of(ratio: tuple[float, ...], travel: tuple[float, ...], job: Job) -> Job:
    table = Tree({"kind": "table", "travel_mm": travel, "ratio": ratio})
    return job.with_value(LEVERAGE, table)


PRELOAD_BY: TreePath = ("setup", 0, "preload_by")


def test_a_preload_given_otherwise_is_the_same_preload() -> None:
    as_length = edit.nudge(at(PRELOAD_BY), 1)
    assert as_length.job.get(("setup", 0, "preload")) == "1.875 mm"
    assert as_length.job.is_unconfirmed(("setup", 0, "preload"))
    assert edit.nudge(at(PRELOAD_BY, as_length), 1).job == BENCH.job
    pitched = edit.confirm_value(at(("setup", 0, "thread_pitch")))
    wound = edit.nudge(at(PRELOAD_BY, typed(at(("setup", 0, "preload_turns"), pitched), "2")), 1)
    assert wound.job.get(("setup", 0, "preload")) == "2.5 mm"
    assert not wound.job.is_unconfirmed(("setup", 0, "preload"))
    # Without a thread pitch nothing is known of the turns.
    bare = on_bench(wound.job.without(("setup", 0, "thread_pitch")))
    turned = edit.nudge(at(PRELOAD_BY, bare), 1)
    assert turned.job.is_unconfirmed(("setup", 0, "preload_turns"))
    assert turned.job.is_unconfirmed(("setup", 0, "thread_pitch"))


# --- starting values -------------------------------------------------------------------------


def test_another_way_to_the_leverage_starts_at_that_of_the_answer_in_seven_equal_steps() -> None:
    # Ratios to a hundredth at the ends and to a thousandth in a table, lengths to a tenth of a millimetre.
    values = {
        "start": 2.78,
        "middle": 2.46,
        "end": 2.22,
        "travel_mm": (0.0, 24.7, 49.3, 74.0, 98.7, 123.3, 148.0),
        "ratio": (2.784, 2.669, 2.562, 2.464, 2.375, 2.295, 2.223),
        "stroke_mm": (0.0, 9.1, 18.5, 28.3, 38.5, 49.1, 60.0),
    }
    for option in (1, 2):
        assert starts(BENCH, KIND, option) == values | {"unconfirmed": tuple(sorted(values))}


def test_ends_start_at_the_ratios_of_the_table_before() -> None:
    job = table_of((2.8374, 2.6126, 2.2851), (0.0, 74.0, 148.0), demo_job())
    # The stroke typed is shorter than these ratios ask for, so they are scaled to it.
    state = on_bench(job)
    assert state.answer is not None
    ratio = state.answer.answer.frame.ratio
    found = starts(state, KIND, 0)
    ends = found["start"], found["middle"], found["end"]
    assert ends == (round(float(ratio[0]), 2), 2.49, round(float(ratio[-1]), 2))
    assert ends == (2.71, 2.49, 2.18)
    chosen = edit.nudge(at(KIND, state), -1)
    assert chosen.job.get(LEVERAGE) == Tree(
        {
            "kind": "ends",
            "start": 2.71,
            "end": 2.18,
            "middle": 2.49,
            "unconfirmed": ("end", "middle", "start"),
        }
    )


def test_a_steady_ratio_has_a_stroke_in_step_with_the_travel() -> None:
    job = table_of((2.5, 2.5, 2.5), (0.0, 75.0, 150.0), demo_job())
    job = job.with_value(("frame", "wheel_travel"), "150 mm")
    found = starts(on_bench(job), KIND, 2)
    assert (found["start"], found["middle"], found["end"]) == (2.5, 2.5, 2.5)
    assert found["ratio"] == (2.5,) * 7
    assert found["travel_mm"] == (0.0, 25.0, 50.0, 75.0, 100.0, 125.0, 150.0)
    assert found["stroke_mm"] == (0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0)


def test_without_an_answer_a_way_starts_at_what_was_typed_last_and_at_nothing_before() -> None:
    unanswered = replace(BENCH, bike_answer=None)
    assert starts(unanswered, KIND, 1) == {}
    assert starts(unanswered, LOAD_FROM, 1) == {}
    edited = replace(edit.nudge(at((*LEVERAGE, "end")), 1), bike_answer=None)
    found = starts(edited, KIND, 1)
    assert (found["start"], found["end"], found["kind"]) == (2.78, 2.22, "ends")
    assert found["unconfirmed"] == ("end", "middle", "start")


@pytest.mark.parametrize(("times", "mass", "share"), [(0, "58.6 kg", 0.62), (1, "62.7 kg", 0.67)])
def test_a_load_starts_at_what_a_scale_would_show_and_at_the_share_of_the_posture(
    times: int, mass: str, share: float
) -> None:
    state = at(POSTURE)
    for _ in range(times):
        state = edit.nudge(state, 1)
    found = starts(state, LOAD_FROM, 1)
    assert (found["scale_mass"], found["rider_share"]) == (mass, share)
    doubted = found["unconfirmed"]
    assert isinstance(doubted, tuple)
    assert {"scale_mass", "rider_share"} <= set(doubted)


def test_a_share_typed_for_the_rider_is_not_worked_out_anew() -> None:
    by_share = edit.nudge(edit.nudge(at(POSTURE), 1), 1)
    assert by_share.job.get(POSTURE) is None
    assert by_share.job.get(("load", "rider_share")) == 0.67
    assert by_share.job.is_unconfirmed(("load", "rider_share"))
    own = typed(at(("load", "rider_share"), by_share), "64")
    again = edit.nudge(edit.nudge(at(POSTURE, own), 1), -1)
    assert again.job.get(("load", "rider_share")) == 0.64
    assert not again.job.is_unconfirmed(("load", "rider_share"))


def test_a_choice_of_another_table_starts_at_nothing_worked_out() -> None:
    found = starts(BENCH, ("target", "of"), 1)
    assert found == {}


# --- confirming ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "note"),
    [
        (LOAD_FROM, "load source: nothing to confirm here; Enter lists its options."),
        (RATE, "spring rate: nothing to confirm here; digits type over it."),
        (("record", "customer"), "customer: nothing to confirm here; digits type over it."),
    ],
)
def test_where_nothing_is_unverified_a_confirmation_says_what_to_do(path: TreePath, note: str) -> None:
    state = at(path)
    assert edit.confirm_value(state) == replace(state, note=note)


def test_a_confirmed_value_is_told_and_only_it_is_confirmed() -> None:
    after = edit.confirm_value(at(POSTURE))
    assert after.note == "posture: confirmed as it stands; u undoes it."
    assert not after.job.is_unconfirmed(POSTURE)
    assert after.job.is_unconfirmed(RIDER_MASS)
    table = edit.nudge(at(KIND), 1)
    pairs = edit.confirm_value(at(FIRST_PAIR, table))
    assert pairs.note == "all pairs: confirmed as it stands; u undoes it."
    assert not pairs.job.is_unconfirmed((*LEVERAGE, "travel_mm"))
    assert not pairs.job.is_unconfirmed((*LEVERAGE, "ratio"))


def test_confirming_the_rider_of_the_demo_says_that_the_example_front_is_left_out() -> None:
    after = edit.confirm_value(at(RIDER_MASS))
    assert after.note == "Example front left off sheet and report; on Frame: Space e, Space k remove it."
    assert not after.job.is_unconfirmed(RIDER_MASS)


# --- typing ----------------------------------------------------------------------------------


def test_what_is_typed_stands_open_until_it_is_committed() -> None:
    opened = type_text(at(RIDER_MASS), "9")
    assert opened.edit is not None
    assert (opened.edit.text, opened.edit.caret) == ("9", 1)
    assert opened.job is BENCH.job
    assert edit.commit(opened).edit is None
    assert edit.commit(BENCH) is BENCH
    assert empty_edit(opened).edit is not None
    emptied = empty_edit(edit.open_edit(at(RIDER_MASS))).edit
    assert emptied is not None
    assert (emptied.text, emptied.caret) == ("", 0)


def test_rubbing_out_takes_the_letter_before_the_caret_or_the_one_behind_it() -> None:
    opened = edit.open_edit(at(RIDER_MASS))
    before, behind = rub_out(opened).edit, rub_out_ahead(opened).edit
    assert before is not None
    assert behind is not None
    assert (before.text, before.caret) == ("8 kg", 1)
    assert (behind.text, behind.caret) == ("82kg", 2)


def listed(state: BenchState, *keys: str) -> BenchState:
    """Return the state after keys in the list of options of the choice with the cursor."""
    state = edit.open_edit(state)
    for key in keys:
        assert edit.is_of_list(key, key if len(key) == 1 else None)
        state = edit.list_pressed(state, key, key if len(key) == 1 else None)
    return state


def test_enter_opens_the_list_of_a_choice_at_what_stands_there_and_changes_nothing() -> None:
    opened = edit.open_edit(at(POSTURE))
    assert (opened.edit, opened.option, opened.job) == (None, 0, BENCH.job)
    seated = edit.nudge(at(POSTURE), 1)
    assert edit.open_edit(seated).option == 1
    odd = at(POSTURE, with_job(BENCH, BENCH.job.with_value(POSTURE, "hovering")))
    assert edit.open_edit(odd).option == 0


@pytest.mark.parametrize(
    ("keys", "option"),
    [
        (("right",), 1), (("down", "down"), 2), (("left",), 3), (("up", "right"), 0), (("+", "+"), 2),
        (("-",), 3), (("end",), 3), (("end", "home"), 0), (("n",), 3), (("s",), 1), (("c", "e"), 0),
        (("C",), 2), (("x",), 0), (("7",), 0),
    ],
)  # fmt: skip
def test_arrows_and_letters_pick_in_the_list_and_take_nothing(keys: tuple[str, ...], option: int) -> None:
    negative = at(("setup", 1, "negative"))
    picked = listed(negative, *keys)
    assert (picked.option, picked.job) == (option, BENCH.job)
    assert picked.note == (f"No option begins with {keys[-1]}." if keys[-1] in "x7" else "")
    assert listed(negative, *keys, "escape") == replace(negative, note=picked.note)
    chosen = listed(negative, *keys, "enter")
    words = ("equalised", "separate", "mechanical", "none")
    assert (chosen.option, chosen.job.get(("setup", 1, "negative"))) == (None, words[option])


def test_the_list_is_closed_by_whatever_leaves_the_field() -> None:
    opened = edit.open_edit(at(POSTURE))
    for after in (
        edit.show_row(opened, 0, 3),
        show_step(opened, Step.FRAME),
        show_setup(opened, 0),
        edit.undo(edit.open_edit(edit.nudge(at(POSTURE), 1))),
    ):
        assert after.option is None


def test_enter_on_the_option_of_a_confirmed_choice_takes_it_and_goes_on() -> None:
    sure = edit.confirm_value(at(POSTURE))
    assert listed(sure, "enter").job == sure.job
    after = listed(sure, "down", "enter")
    assert after.job.get(POSTURE) == "seated"
    assert listed(sure, "enter").row.path == after.row.path == ("load", "bike_mass")


def test_another_option_taken_for_an_unverified_one_goes_to_the_next_value() -> None:
    after = listed(at(POSTURE), "down", "enter")
    assert (after.job.get(POSTURE), after.job.is_unconfirmed(POSTURE)) == ("seated", False)
    assert after.row.path == ("load", "bike_mass")


def test_enter_twice_on_an_unverified_choice_confirms_it_and_goes_to_the_next_value() -> None:
    after = listed(at(POSTURE), "enter")
    assert after.job.get(POSTURE) == "standing"
    assert not after.job.is_unconfirmed(POSTURE)
    assert after.row.path == ("load", "bike_mass")
    assert after.note == "posture: confirmed as it stands; u undoes it."


def test_enter_twice_confirms_an_unverified_value_and_goes_to_the_next_one() -> None:
    after = edit.take_value(edit.open_edit(at(RIDER_MASS)))
    assert (after.edit, after.job.get(RIDER_MASS)) == (None, "82 kg")
    assert not after.job.is_unconfirmed(RIDER_MASS)
    assert after.row.path == POSTURE
    back = edit.undo(after)
    assert back.job == BENCH.job
    assert back.row.path == RIDER_MASS


def test_enter_goes_on_from_any_value_and_stays_where_it_is_wrong() -> None:
    over = edit.take_value(type_text(at(RIDER_MASS), "91"))
    assert (over.job.get(RIDER_MASS), over.row.path) == ("91 kg", POSTURE)
    sure = at(RIDER_MASS, over)
    again = edit.take_value(type_text(sure, "92"))
    assert (again.job.get(RIDER_MASS), again.row.path) == ("92 kg", POSTURE)
    wrong = edit.take_value(type_text(at(SAG), "120"))
    assert [fault.path for fault in wrong.faults] == [SAG]
    assert wrong.row.path == SAG
    moved = edit.move_by_rows(type_text(at(RIDER_MASS), "91"), 2)
    assert moved.row.path == ("load", "bike_mass"), "a moving key takes the value and moves as it says"


@pytest.mark.slow
def test_enter_alone_leads_through_everything_that_is_unverified_on_a_step() -> None:
    state, seen = BENCH, list[TreePath]()
    unverified = [path for path in state.job.unconfirmed if path != ("title",)]
    for panel in range(FIRST_SETUP + len(BENCH.job.setups)):
        state, there = with_cursor(state, panel, 0), list[TreePath]()
        while state.row.path not in there:
            there.append(state.row.path)
            opened = edit.open_edit(state)
            state = listed(state, "enter") if opened.edit is None else edit.take_value(opened)
            assert state.panel == panel, "another step, and another setup, is for other keys"
        seen += [path for path in there if path in unverified]
    assert sorted(map(str, seen)) == sorted(map(str, unverified))
    assert state.job.unconfirmed == (("title",),)
    assert state.note.endswith("Springs is complete. Still to type: 1 on Hand over.")
    assert (state.answer is not None, state.faults) == (True, ())


def test_a_value_opens_as_it_is_shown() -> None:
    shown = {
        RIDER_MASS: "82 kg",
        RATE: "393 lbf/in",
        PRESSURE: "205 psi",
        POSTURE: "standing",
        ("setup", 1, "positive_spacers"): "1 fitted",
        ("record", "customer"): "",
    }
    assert {path: edit.edit_text(BENCH, at(path).row) for path in shown} == shown
    assert edit.edit_text(replace(BENCH, bike_answer=None), at(RATE).row) == ""


def test_a_value_at_fault_is_an_edit_even_as_it_stood() -> None:
    wrong = typed(at(SAG), "120")
    assert [fault.path for fault in wrong.faults] == [SAG]
    assert edit.commit(edit.open_edit(wrong)).edit is None
    right = typed(wrong, "30")
    assert (right.job.get(SAG), right.faults) == ("30 %", ())


def test_a_ratio_typed_or_nudged_at_an_end_tells_that_the_middle_goes() -> None:
    note = "The unverified ratio at middle, 2.46, is removed; u undoes both."
    start, end = at((*LEVERAGE, "start")), at((*LEVERAGE, "end"))
    for after, path, value in (
        (typed(start, "2.9"), start.row.path, 2.9),
        (edit.nudge(end, 1), end.row.path, 2.23),
    ):
        assert after.note == note
        assert after.job.get((*LEVERAGE, "middle")) is None
        assert after.job.get(path) == value
        assert edit.undo(after).job == BENCH.job
    kept = edit.nudge(at((*LEVERAGE, "middle")), 1)
    assert (kept.job.get((*LEVERAGE, "middle")), kept.job.get((*LEVERAGE, "start"))) == (2.47, 2.78)


# --- nudging, solving, clearing --------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "down", "up", "up_two"),
    [
        (RIDER_MASS, "81 kg", "83 kg", "84 kg"),
        (RATE, "388 lbf/in", "398 lbf/in", "403 lbf/in"),
        (("setup", 1, "positive_spacers"), 0, 2, 3),
        (POSTURE, None, "seated", "seated"),
        (KIND, "measured", "table", "table"),
    ],
)
def test_a_step_of_a_value_and_of_a_choice(path: TreePath, down: Raw, up: Raw, up_two: Raw) -> None:
    state = at(path)
    found = tuple(edit.nudge(state, times).job.get(path) for times in (-1, 1, 2))
    assert found == (down, up, up_two)


@pytest.mark.parametrize(
    ("path", "times", "note"),
    [
        (RIDER_MASS, -99, "rider mass: cannot step that way."),
        (RATE, -99, "spring rate: cannot step that way."),
        (("setup", 1, "positive_spacers"), -2, "spacers: cannot step that way."),
        (("record", "customer"), 1, "customer: cannot step that way."),
    ],
)
def test_where_there_is_no_step_it_is_told_and_nothing_changes(path: TreePath, times: int, note: str) -> None:
    state = at(path)
    assert edit.nudge(state, times) == replace(state, note=note)


def test_a_rate_and_a_pressure_go_from_solved_to_typed_and_back() -> None:
    for path, text in ((RATE, "393 lbf/in"), (PRESSURE, "205 psi")):
        kept = edit.switch_solved(at(path))
        assert (kept.job.get(path), kept.note) == (text, "")
        assert edit.switch_solved(kept).job.get(path) == "solve"
        assert edit.clear_value(kept).job.get(path) == "solve"


def test_what_cannot_be_solved_says_so() -> None:
    for path in (RIDER_MASS, POSTURE, ("record", "customer"), ("setup", 1, "max_pressure")):
        state = at(path)
        note = "Only a spring rate and an air pressure can be solved."
        assert edit.switch_solved(state) == replace(state, note=note)
    unanswered = replace(at(RATE), bike_answer=None)
    note = "No solved value to keep yet: type one."
    assert edit.switch_solved(unanswered) == replace(unanswered, note=note)


def test_a_value_cleared_leaves_the_job_and_a_pair_goes_with_both_numbers() -> None:
    for path in (RIDER_MASS, ("setup", 1, "positive_spacers"), ("setup", 0, "shock")):
        assert edit.clear_value(at(path)).job.get(path) is None
    table = edit.nudge(at(KIND), 1)
    fewer = edit.clear_value(at(FIRST_PAIR, table)).job
    assert fewer.get((*LEVERAGE, "travel_mm")) == (24.7, 49.3, 74.0, 98.7, 123.3, 148.0)
    assert fewer.get((*LEVERAGE, "ratio")) == (2.669, 2.562, 2.464, 2.375, 2.295, 2.223)


# --- questions -------------------------------------------------------------------------------


def test_there_is_a_question_only_about_a_changed_unlikely_value() -> None:
    assert edit.question(BENCH) is None
    assert edit.question(edit.open_edit(at(RIDER_MASS))) is None
    assert edit.question(type_text(at(RIDER_MASS), "90")) is None
    opened = type_text(at(RIDER_MASS), "8.7")
    asked = edit.question(opened)
    assert asked is not None
    assert asked.note == "8.7 kg for a rider? Enter again accepts it, Esc leaves 82 kg."
    assert asked.edit is not None
    assert (asked.edit.text, asked.edit.asked) == ("8.7", "8.7")
    assert edit.take_value(opened) == asked
    assert edit.take_value(asked).job.get(RIDER_MASS) == "8.7 kg"


@pytest.mark.parametrize(
    ("path", "text", "note"),
    [
        (SAG, "0.3", '"0.3" may be a share of the whole: write 30 % or 44.4 mm.'),
        (("measured", "sag"), "0.25", '"0.25" may be a share of the whole: write 25 % or 37 mm.'),
        (("load", "bike_share"), "0.5", '"0.5" may be a share of the whole: write 50 %.'),
    ],
)
def test_a_fraction_is_refused_however_often_it_is_entered(path: TreePath, text: str, note: str) -> None:
    opened = type_text(at(path), text)
    once = edit.take_value(opened)
    assert once == replace(opened, note=note)
    assert edit.take_value(once) == once


def test_a_number_below_one_is_taken_where_no_share_is() -> None:
    for path, text, raw in (
        (("setup", 0, "mass"), "0.5", "0.5 kg"),
        (("setup", 0, "preload_turns"), "0.5", 0.5),
        (("record", "customer"), "0.5", "0.5"),
    ):
        after = edit.take_value(type_text(at(path), text))
        assert (after.job.get(path), after.note.count("share")) == (raw, 0)


def test_a_step_says_that_a_value_becomes_unlikely_and_only_then() -> None:
    for text, times, note in (("21", -2, "19 kg for a rider? u undoes it."), ("21", -1, ""), ("19", -1, "")):
        state = replace(typed(at(RIDER_MASS), text), note="")
        assert edit.nudge_or_ask(state, times).note == note
    still = edit.nudge_or_ask(at(RIDER_MASS), -99)
    assert still.note == "rider mass: cannot step that way."


# --- wheels ----------------------------------------------------------------------------------


def test_what_is_missing_where_a_job_has_one_wheel() -> None:
    rear = "This job has one wheel. Space, then e, adds a typical fork to type over."
    fork = "This job is a fork only: open the job of the rear and add the front there."
    assert edit.one_wheel_text(REAR_ALONE) == rear
    assert edit.one_wheel_text(FORK_ALONE) == fork
    assert edit.show_other_wheel(FORK_ALONE) == replace(FORK_ALONE, note=fork)


def test_a_wheel_taken_off_leaves_the_other_and_is_told() -> None:
    assert (REAR_ALONE.wheel, REAR_ALONE.note) == ("rear", "The front wheel is removed; u undoes it.")
    assert (FORK_ALONE.wheel, FORK_ALONE.note) == ("rear", "The rear wheel is removed; u undoes it.")
    assert [setup.get("name") for setup in REAR_ALONE.job.setups] == ["coil", "air"]
    assert [setup.get("name") for setup in FORK_ALONE.job.setups] == ["fork"]
    assert REAR_ALONE.cursor == pytest.approx(0.29)
    assert FORK_ALONE.cursor == pytest.approx(0.21)
    last = edit.remove_wheel(REAR_ALONE)
    assert last == replace(REAR_ALONE, note="This job has one wheel, which cannot be removed.")
    # The setup selected at the wheel that stays is selected again.
    of_air = edit.remove_wheel(edit.show_wheel(select_setup(BENCH, 1), "front"))
    assert (of_air.setup, of_air.other_setup) == (1, 0)


def test_the_other_wheel_is_read_at_its_sag_and_an_invented_front_is_told() -> None:
    assert (FRONT.wheel, FRONT.note, FRONT.setup, FRONT.other_setup) == ("front", "", 0, 0)
    assert FRONT.cursor == pytest.approx(0.21)
    back = edit.show_other_wheel(edit.show_other_wheel(select_setup(BENCH, 1)))
    assert (back.wheel, back.setup, back.panel, back.note) == ("rear", 1, 0, "")
    springs = edit.show_other_wheel(edit.show_other_wheel(show_setup(BENCH, 1)))
    assert (springs.wheel, springs.setup, springs.panel) == ("rear", 1, FIRST_SETUP + 1)
    grown = edit.show_other_wheel(REAR_ALONE)
    note = "Typical fork added, off the sheet until its values are typed; u undoes it."
    assert (grown.wheel, grown.note, grown.faults) == ("front", note, ())
    assert edit.undo(grown).bike == REAR_ALONE.bike


def test_an_invented_front_is_weighed_where_the_rear_is() -> None:
    scale: TreePath = ("front", "load", "scale_mass")
    assert edit.with_invented_front(REAR_ALONE.bike).get(scale) is None
    weighed = edit.with_invented_front(REAR_ALONE.bike.with_value(("load", "scale_mass"), "50 kg"))
    assert weighed.get(scale) == "38 kg"
    assert weighed.is_unconfirmed(scale)


# --- setups ----------------------------------------------------------------------------------


def test_a_setup_added_comes_last_is_selected_and_is_named_apart() -> None:
    for state, add, note, path in (
        (BENCH, edit.add_coil, "Typical setup, coil 2: type its own values.", ("setup", 2, "rate")),
        (
            BENCH,
            edit.add_air,
            "Typical setup, air 2: type its own values.",
            ("setup", 2, "pressure"),
        ),
        (BENCH, edit.copy_setup, "Copy, coil 2: type its own values.", ("setup", 2, "rate")),
        (
            FRONT,
            edit.add_air,
            "Typical setup, fork air: type its own values.",
            ("setup", 1, "pressure"),
        ),
    ):
        after = add(state)
        assert (after.note, after.row.path, after.setup) == (note, path, path[1])
        assert after.job.setups[:-1] == state.job.setups
    copied = edit.copy_setup(select_setup(BENCH, 1)).job.setups
    assert {**copied[2], "name": "air"} == {**copied[1]}


@pytest.mark.slow
def test_no_setup_is_added_to_as_many_as_are_taken() -> None:
    state = BENCH
    while len(state.job.setups) < MOST_SETUPS:
        state = edit.copy_setup(state)
    assert state.answer is not None
    for more in (edit.copy_setup, edit.add_coil, edit.add_air):
        after = more(state)
        assert after.note == f"A job holds {MOST_SETUPS} setups at most; remove one first."
        assert after.job == state.job


def test_without_a_setup_none_is_copied() -> None:
    bare = on_bench(demo_job().without(("front",)).without(("setup",)))
    assert edit.copy_setup(bare) == replace(bare, note="No setup to copy: add a coil or an air spring.")


@pytest.mark.parametrize("step", [step for step in Step if step not in (Step.SPRINGS, Step.COMPARE)])
def test_a_setup_that_is_not_shown_is_shown_before_it_is_removed(step: Step) -> None:
    elsewhere = show_step(select_setup(BENCH, 1), step)
    shown = edit.remove_setup(elsewhere)
    assert shown.job == BENCH.job
    assert shown.note == "This is the setup to be removed: do it again to remove it."
    assert (shown.step, shown.setup, shown.panel, shown.in_view) == (Step.SPRINGS, 1, FIRST_SETUP + 1, False)
    assert [setup.get("name") for setup in edit.remove_setup(shown).job.setups] == ["coil"]


def test_a_setup_is_removed_where_it_is_shown_and_the_last_one_stays() -> None:
    for index, name, left in ((0, "coil", "air"), (1, "air", "coil")):
        gone = edit.remove_setup(show_setup(BENCH, index))
        assert gone.note == f"{name} is removed; u undoes it."
        assert [setup.get("name") for setup in gone.job.setups] == [left]
        assert (gone.panel, gone.setup) == (FIRST_SETUP, 0)
        alone = replace(gone, note="The last setup cannot be removed.")
        assert edit.remove_setup(gone) == alone
        compared = edit.remove_setup(select_setup(show_step(BENCH, Step.COMPARE), index))
        assert [setup.get("name") for setup in compared.job.setups] == [left]
        assert (compared.step, compared.setup) == (Step.COMPARE, 0)
    three = edit.add_coil(BENCH)
    places = [edit.remove_setup(show_setup(three, index)).setup for index in range(3)]
    assert places == [0, 1, 1]


@pytest.mark.parametrize(("view", "kind"), [("pump", "air"), ("spacers", "air"), ("wire", "coil")])
def test_a_view_of_one_kind_of_setup_selects_such_a_one_and_its_tab(view: str, kind: str) -> None:
    expected = {(0, "coil"): 0, (0, "air"): 1, (1, "coil"): 0, (1, "air"): 1}
    for selected in (0, 1):
        for step in Step:
            here = show_step(select_setup(BENCH, selected), step)
            shown = show_view(here, view)
            assert (shown.view, shown.kind, shown.in_view) == (view, kind, True)
            assert (shown.step, shown.setup) == (Step.SPRINGS, expected[selected, kind])
            assert shown.panels[shown.panel].setup == shown.setup
    without = show_view(on_bench(demo_job().without_setup(0 if kind == "coil" else 1)), view)
    assert without.view != view
    assert without.note.startswith("The job has no ")


def test_a_selected_setup_of_the_kind_keeps_the_cursor_even_where_it_is_not_the_first() -> None:
    there = with_cursor(edit.add_coil(BENCH), FIRST_SETUP + 2, 2)
    assert there.setup == 2
    shown = show_view(there, "wire")
    assert (shown.setup, shown.panel, shown.rows) == (2, there.panel, there.rows)


def test_renaming_opens_the_name_of_the_selected_setup() -> None:
    renaming = edit.rename_setup(select_setup(BENCH, 1))
    assert renaming.row.path == ("setup", 1, "name")
    assert renaming.edit is not None
    assert (renaming.edit.text, renaming.edit.caret) == ("air", 3)


# --- moving ----------------------------------------------------------------------------------


def test_moving_takes_what_is_typed_and_stays_on_what_there_is() -> None:
    opened = type_text(at(RIDER_MASS), "91")
    for after, place in (
        (edit.move_by_rows(opened, 2), (0, 3)),
        (edit.move_by_rows(opened, -9), (0, 0)),
        (edit.move_by_rows(opened, 99), (0, 8)),
        (edit.show_row(opened, 1, 3), (1, 3)),
        (edit.show_row(opened, 9, 9), (6, 3)),
    ):
        assert after.job.get(RIDER_MASS) == "91 kg"
        assert (after.panel, after.rows[after.panel]) == place


def test_undo_and_redo_show_the_row_that_differs_at_its_wheel() -> None:
    edited = edit.nudge(at(("setup", 1, "port")), 1)
    for there in (show_step(edited, Step.RIDER), edit.show_wheel(edited, "front")):
        undone = edit.undo(there)
        assert (undone.wheel, undone.row.path) == ("rear", ("setup", 1, "port"))
        again = edit.redo(show_step(undone, Step.RIDE))
        assert (again.row.path, again.job) == (("setup", 1, "port"), edited.job)


def test_undo_unfolds_a_field_that_is_folded_away() -> None:
    edited = edit.nudge(at(("setup", 1, "bore")), 1)
    folded = replace(with_cursor(edited, 0, 0), unfolded=frozenset())
    undone = edit.undo(folded)
    assert undone.row.path == ("setup", 1, "bore")
    assert undone.unfolded == {Step.SPRINGS}


def test_undo_stays_where_setups_are_compared() -> None:
    compared = show_step(BENCH, Step.COMPARE)
    nudged = edit.nudge(edit.move_by_rows(compared, 1), 1)
    assert nudged.job.get(("setup", 0, "preload_turns")) != BENCH.job.get(("setup", 0, "preload_turns"))
    undone = edit.undo(nudged)
    assert (undone.step, undone.row.path) == (Step.COMPARE, ("setup", 0, "preload_turns"))


# --- at the edges ----------------------------------------------------------------------------


def test_a_way_that_was_chosen_before_comes_back_as_typed_and_another_starts_at_what_is_worked_out() -> None:
    # The stroke typed is shorter than these ratios ask for, so those of the answer are other ones.
    state = typed(at((*LEVERAGE, "start")), "3.2")
    state = edit.nudge(at(KIND, state), 1)
    worked_out = starts(state, KIND, 1)["start"]
    assert worked_out == starts(state, KIND, 2)["start"]
    assert worked_out != 3.2
    back = starts(state, KIND, 0)
    assert (back["start"], back["kind"]) == (3.2, "ends")
    assert "start" not in back["unconfirmed"]
    assert "start" in starts(state, KIND, 2)["unconfirmed"]


def test_a_way_starts_at_the_answer_of_the_only_setup_there_is() -> None:
    alone = on_bench(demo_job().without_setup(1))
    assert starts(alone, KIND, 2) == starts(BENCH, KIND, 2)


@pytest.mark.parametrize(("other", "setup"), [(0, 0), (1, 1), (2, 1), (9, 1)])
def test_the_setup_of_the_other_wheel_is_the_nearest_that_is_there(other: int, setup: int) -> None:
    back = edit.show_wheel(replace(FRONT, other_setup=other), "rear")
    assert (back.setup, back.other_setup) == (setup, 0)
    on_setup = edit.show_wheel(replace(show_setup(FRONT, 0), other_setup=other), "rear")
    assert (on_setup.setup, on_setup.panel) == (setup, FIRST_SETUP + setup)
    assert edit.show_wheel(replace(BENCH, other_setup=other), "front").setup == 0


def test_a_wheel_without_setups_is_shown_all_the_same() -> None:
    bare = on_bench(demo_job().with_value(("setup",), ()).with_value(("front", "target", "sag"), "x"))
    front = edit.show_wheel(bare, "front")
    assert (front.wheel, front.setup, front.note) == ("front", 0, "")
    assert edit.show_wheel(front, "rear").setup == 0


def test_a_value_typed_as_it_stood_confirms_it_and_one_left_alone_does_not() -> None:
    opened = edit.open_edit(at(RIDER_MASS))
    assert edit.commit(opened).job.is_unconfirmed(RIDER_MASS)
    retyped = type_text(rub_out(opened), "2")
    assert retyped.edit is not None
    assert retyped.edit.text == "82 kg"
    assert edit.commit(retyped).job.get(RIDER_MASS) == "82 kg"
    assert not edit.commit(retyped).job.is_unconfirmed(RIDER_MASS)
    sure = edit.commit(retyped)
    again = edit.commit(type_text(rub_out(edit.open_edit(sure)), "2"))
    assert again == replace(sure, edit=None)


def test_a_confirmation_goes_through_undo_and_says_what_it_was() -> None:
    sure = edit.confirm_value(at(POSTURE))
    assert edit.undo(sure).job == BENCH.job
    assert edit.undo(sure).row.path == POSTURE
    assert edit.redo(show_setup(edit.undo(sure), 1)).row.path == POSTURE


def test_a_step_to_a_fault_is_refused_and_one_from_a_fault_is_taken() -> None:
    low = typed(at(SAG), "1 %")
    assert edit.nudge(low, -1) == replace(
        low, note="sag: no further, use a fraction above 0 % and up to 99 %."
    )
    wrong = replace(typed(at(RIDER_MASS), "82 psi"), note="")
    assert [fault.path for fault in wrong.faults] == [RIDER_MASS]
    still = edit.nudge(wrong, 1)
    assert (still.job.get(RIDER_MASS), still.note, len(still.faults)) == ("83 psi", "", 1)


def test_what_is_typed_at_a_choice_is_refused_and_at_a_value_taken() -> None:
    refused = "+ and - step through the options."
    assert type_text(at(POSTURE), "5") == replace(at(POSTURE), note=refused)
    assert edit.clear_value(at(POSTURE)).job == BENCH.job
    # A typing key at a closed choice opens nothing either.
    assert rub_out(at(POSTURE)) == replace(at(POSTURE), note=refused)
    assert edit.open_edit(type_text(at(RIDER_MASS), "5")).edit == Edit("82 kg", 2, "82 kg")


def test_no_question_is_asked_about_a_choice_an_unchanged_value_or_one_at_fault() -> None:
    unlikely = typed(at(RIDER_MASS), "8.7")
    assert edit.question(edit.open_edit(unlikely)) is None
    assert edit.question(type_text(at(RIDER_MASS), "-8")) is None
    assert edit.question(type_text(at(RIDER_MASS), "8.7 stone")) is None
    empty = edit.clear_value(at(RIDER_MASS))
    asked = edit.question(type_text(empty, "8.7"))
    assert asked is not None
    assert asked.note == "8.7 kg for a rider? Enter again accepts it, Esc leaves it empty."
    imperial = replace(at(RIDER_MASS), units=IMPERIAL)
    asked = edit.question(type_text(imperial, "8.7 kg"))
    assert asked is not None
    assert asked.note == "8.7 kg (19.2 lb) for a rider? Enter again accepts it, Esc leaves 82 kg."
    # The question is about the text it was asked of, and about no other.
    assert edit.take_value(type_text(asked, "x")).note != asked.note
    other = replace(asked, edit=Edit("8.8 kg", 6, asked="8.7 kg"))
    assert edit.take_value(other).edit == Edit("8.8 kg", 6, asked="8.8 kg")


@pytest.mark.parametrize(
    ("path", "text", "units", "note"),
    [
        (SAG, "0.3", IMPERIAL, '"0.3" may be a share of the whole: write 30 % or 44.4 mm.'),
        (("measured", "sag"), "0.25", IMPERIAL, '"0.25" may be a share of the whole: write 25 % or 0.25 in.'),
        (("measured", "sag"), " .5 ", METRIC, '".5" may be a share of the whole: write 50 % or 74 mm.'),
        (("load", "bike_share"), "0.5", IMPERIAL, '"0.5" may be a share of the whole: write 50 %.'),
    ],
)
def test_a_fraction_is_told_as_a_share_or_as_the_length_that_was_meant(
    path: TreePath, text: str, units: ShopUnits, note: str
) -> None:
    opened = type_text(replace(at(path), units=units), text)
    asked = edit.question(opened)
    assert asked == replace(opened, note=note)


def test_a_step_that_makes_a_value_unlikely_says_so_in_the_units_of_the_shop() -> None:
    state = replace(typed(at(RIDER_MASS), "21"), note="", units=IMPERIAL)
    assert edit.nudge_or_ask(state, -2).note == "19 kg (41.9 lb) for a rider? u undoes it."
    assert edit.nudge_or_ask(state, 2).note == ""


def test_the_last_of_three_setups_removed_selects_the_one_before_it_and_others_the_next() -> None:
    three = edit.add_air(BENCH)
    gone = {index: edit.remove_setup(show_setup(three, index)) for index in range(3)}
    assert {index: (after.setup, after.panel, after.row.path[:2]) for index, after in gone.items()} == {
        0: (0, 2, ("setup", 0)), 1: (1, 3, ("setup", 1)), 2: (1, 3, ("setup", 1)),
    }  # fmt: skip
    rows = with_cursor(with_cursor(with_cursor(three, 2, 4), 3, 5), 4, 6)
    assert edit.remove_setup(with_cursor(rows, 3, 5)).rows == (1, 0, 4, 6, 0, 0, 0)
    typing = type_text(at(("setup", 1, "friction"), three), "31")
    assert edit.remove_setup(typing).history.past[-1].get(("setup", 1, "friction")) == "31 N"


def test_a_new_setup_is_shown_at_its_first_row_and_takes_what_was_typed_first() -> None:
    typing = type_text(at(RIDER_MASS), "91")
    for add in (edit.add_coil, edit.add_air, edit.copy_setup):
        after = add(typing)
        assert after.job.get(RIDER_MASS) == "91 kg"
        assert (after.panel, after.rows[after.panel], after.setup) == (4, 0, 2)
        assert len(after.history.past) == 2
    nameless = edit.add_setup(BENCH, {"kind": "coil", "rate": "solve", "friction": "9 N"}, "A bare one")
    assert nameless.note == "A bare one, setup: type its own values."


def test_steps_are_gone_through_round_and_keep_the_setup_and_the_row_of_each() -> None:
    assert [show_step(BENCH, n).step for n in (1, 2, 5, 6, -1, -6)] == [
        Step.FRAME, Step.SPRINGS, Step.HAND_OVER, Step.RIDER, Step.HAND_OVER, Step.RIDER,
    ]  # fmt: skip
    there = edit.show_row(BENCH, 3, 4)
    assert (there.panel, there.row.path[0], there.setup) == (3, "setup", 1)
    assert show_step(show_step(there, Step.RIDER), Step.SPRINGS) == there
    assert edit.show_row(BENCH, 1, 99).rows[1] == len(BENCH.panels[1].rows) - 1
    assert edit.PAGE == 10


def test_undo_leaves_the_cursor_where_nothing_in_a_panel_differs() -> None:
    renamed = edit.undo(typed(at(("title",)), "Ann"))
    assert renamed.row.path == ("title",)
    hidden = BENCH.history.then(BENCH.bike.with_value(("format",), 1.0).with_value(("ambient", "odd"), 3))
    state = edit.show_row(replace(BENCH, history=hidden), 3, 4)
    assert edit.undo(state).row.path == state.row.path
    # What an undo adds or takes away in a setup is shown at its first row that is another one.
    wound = edit.nudge(at(("setup", 0, "winding")), 1)
    assert edit.undo(show_step(wound, Step.RIDER)).row.path == RATE
    removed = edit.remove_setup(show_setup(BENCH, 0))
    assert edit.undo(removed).row.path == RATE
    record = typed(at(("record", "ticket")), "17")
    assert edit.undo(show_step(record, Step.RIDER)).row.path == ("record", "ticket")


def test_undo_shows_the_wheel_that_changed_and_stays_where_both_did() -> None:
    at_front = typed(at(SAG, FRONT), "25")
    assert edit.undo(edit.show_wheel(at_front, "rear")).wheel == "front"
    both = typed(at(RIDER_MASS, FRONT), "70")
    assert (edit.undo(both).wheel, edit.undo(both).row.path) == ("front", RIDER_MASS)
    from_rear = edit.undo(edit.show_wheel(both, "rear"))
    assert (from_rear.wheel, from_rear.row.path) == ("rear", RIDER_MASS)
