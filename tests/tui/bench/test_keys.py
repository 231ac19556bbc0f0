"""The list of keys: nothing twice, nothing that a terminal swallows, every press leads to a sound state."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tui.bench import edit, keymap
from tui.bench import state as bench
from tui.bench.cells import cell_of, faults_by_row
from tui.bench.edit import undo
from tui.bench.keymap import KEYMAP
from tui.bench.state import BenchState, open_bench, select_field, with_answer
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.job import History
from tui.job.panels import RIDER_MASS
from tui.kit.edit import empty_edit, move_caret, restore, rub_out, rub_out_ahead, type_text

SURVIVES = re.compile(
    r"[^\d.,]|ctrl\+[a-z]|f([1-9]|10)|up|down|left|right|home|end|tab|shift\+tab|enter|escape|space"
    r"|backspace|delete|pageup|pagedown"
)
START = with_answer(open_bench(History.starting_at(demo_job())))


def press(state: BenchState, *keys: str) -> BenchState:
    for key in keys:
        state = KEYMAP.pressed(state, key, key if len(key) == 1 else " " if key == "space" else None)
    return state


def test_ids_and_keys_are_unique() -> None:
    assert max(Counter(action.id for action in KEYMAP.actions).values()) == 1
    for while_typing in (True, False):
        keys = [k for a in KEYMAP.actions if a.typing is while_typing for k in a.keys]
        assert max(Counter(keys).values()) == 1


def test_keys_survive_ssh_and_tmux() -> None:
    assert [key for action in KEYMAP.actions for key in action.keys if not SURVIVES.fullmatch(key)] == []


def test_quitting_and_saving_have_a_second_key() -> None:
    keys = {action.id: action.keys for action in KEYMAP.actions}
    assert {"q", "ctrl+q"} <= set(keys["quit"])
    assert len(keys["save"]) == 2
    assert keys["suspend"] == ("ctrl+z",)


def test_every_action_says_what_it_does() -> None:
    assert all(action.label and action.meaning.endswith(".") for action in KEYMAP.actions)
    assert len({group.title for group in KEYMAP.groups}) == len(KEYMAP.groups)


def test_every_step_leads_from_a_state_to_a_state() -> None:
    steps = [action.step for action in KEYMAP.actions if action.step is not None]
    assert len(steps) > 40
    assert {type(step(START)) for step in steps} == {BenchState}


def test_the_key_line_follows_what_the_hand_is_at() -> None:
    at_rest = {action.id for action in KEYMAP.key_line(START)}
    assert {"edit", "more", "undo", "help", "quit"} <= at_rest
    assert {action.id for action in KEYMAP.key_line(type_text(START, "9"))} == {"commit", "restore"}
    assert "solve" in {action.id for action in KEYMAP.key_line(select_field(START, ("setup", 0, "rate")))}
    assert "edit" in {action.id for action in KEYMAP.key_line(select_field(START, ("load", "posture")))}


def test_letters_are_commands_at_rest_and_letters_while_typing() -> None:
    state = press(START, "9", "0", "q", "u", "?")
    assert state.edit is not None
    assert state.edit.text == "90qu?"
    quitting = KEYMAP.action_for(START, "q", "q")
    assert quitting is not None
    assert quitting.id == "quit"


@pytest.mark.parametrize("sign", ["9", ",", "."])
def test_digits_and_decimal_signs_start_typing(sign: str) -> None:
    state = press(START, sign)
    assert state.edit is not None
    assert state.edit.text == sign


def test_minus_nudges_except_where_a_value_may_be_below_zero() -> None:
    assert press(START, "-").job.get(RIDER_MASS) == "81 kg"
    cold = select_field(START, ("ambient", "temperature"))
    assert press(cold, "-", "5", "enter").job.get(("ambient", "temperature")) == "-5 degC"
    assert press(cold, "_").job.get(("ambient", "temperature")) == "19 degC"
    assert press(cold, "<").job.get(("ambient", "temperature")) == "10 degC"


def test_a_spreadsheets_habits() -> None:
    assert press(START, "9", "1", "down").job.get(RIDER_MASS) == "91 kg"
    assert press(START, "9", "1", "escape").job == START.job
    assert (
        press(START, "enter", "left", "left", "left", "backspace", "7", "enter").job.get(RIDER_MASS)
        == "87 kg"
    )
    assert press(START, "backspace", "enter").job.get(RIDER_MASS) is None
    assert press(START, "tab").panel == 1
    assert press(START, "right", "left").row == START.row
    assert press(START, ">").job.get(RIDER_MASS) == "92 kg"


KEYS = sorted({key for action in KEYMAP.actions for key in action.keys} | set("0123456789.,%abkgps "))


@settings(max_examples=cases(60))
@given(st.lists(st.sampled_from(KEYS), max_size=30))
def test_any_keys_lead_to_a_sound_state_and_undo_leads_home(keys: list[str]) -> None:
    state = START
    for key in keys:
        state = press(state, key)
        assert 0 <= state.setup < len(state.job.setups)
        assert len(state.rows) == len(state.panels)
        assert "nan" not in cell_of(state, state.row).text.lower()
    state = restore(state)
    check_answer(state)
    for fault_place in faults_by_row(state):
        assert state.panels[fault_place[0]].rows[fault_place[1]]
    while state.history.past:
        state = undo(state)
    assert state.bike == START.bike
    assert not state.is_outdated


def check_answer(state: BenchState) -> None:
    """Check that what is shown is what the job gives afresh, or marked as older."""
    assert state.bike_answer is not None
    if state.bike_faults:
        with pytest.raises(UnusableJob) as unusable:
            answer_job(state.bike)
        assert state.bike_faults == unusable.value.faults
        return
    fresh = answer_job(state.bike).at(state.wheel)
    assert not state.is_outdated
    assert state.answer is not None
    assert fresh is not None
    for shown, again in zip(state.answer.answer.setups, fresh.answer.setups, strict=True):
        assert np.array_equal(shown.curve.wheel_force, again.curve.wheel_force, equal_nan=True)


# One row for each key that moves by a number: where it starts, and what it is the same as.
MIDDLE = replace(edit.show_row(START, 3, 12), cursor=0.5)
FLYING = move_caret(edit.open_edit(START), -2)


@pytest.mark.parametrize(
    ("key", "start", "same"),
    [
        ("up", MIDDLE, edit.move_by_rows(MIDDLE, -1)),
        ("down", MIDDLE, edit.move_by_rows(MIDDLE, 1)),
        ("left", MIDDLE, edit.move_by_panels(MIDDLE, -1)),
        ("right", MIDDLE, edit.move_by_panels(MIDDLE, 1)),
        ("tab", MIDDLE, edit.move_by_panels(MIDDLE, 1)),
        ("shift+tab", MIDDLE, edit.move_by_panels(MIDDLE, -1)),
        ("pageup", MIDDLE, edit.move_by_rows(MIDDLE, -10)),
        ("pagedown", MIDDLE, edit.move_by_rows(MIDDLE, 10)),
        ("home", MIDDLE, edit.show_row(MIDDLE, 3, 0)),
        ("end", MIDDLE, edit.show_row(MIDDLE, 3, 999)),
        ("+", START, edit.nudge(START, 1)),
        ("=", START, edit.nudge(START, 1)),
        ("_", START, edit.nudge(START, -1)),
        (">", START, edit.nudge(START, 10)),
        ("<", START, edit.nudge(START, -10)),
        ("v", START, bench.next_chart(START, 1)),
        ("V", START, bench.next_chart(START, -1)),
        ("f", START, bench.switch_slow(START)),
        ("h", MIDDLE, bench.move_cursor(MIDDLE, -1)),
        ("l", MIDDLE, bench.move_cursor(MIDDLE, 1)),
        ("H", MIDDLE, bench.move_cursor(MIDDLE, -10)),
        ("L", MIDDLE, bench.move_cursor(MIDDLE, 10)),
        ("g", MIDDLE, bench.cursor_to_sag(MIDDLE)),
        ("m", START, bench.next_units(START)),
        ("i", START, bench.switch_view(START, "conditions")),
        ("y", MIDDLE, bench.switch_view(bench.select_setup(MIDDLE, 0), "wire")),
        ("T", START, bench.switch_view(replace(START, setup=1), "spacers")),
        ("escape", replace(START, view="balance"), START),
        ("x", MIDDLE, edit.remove_setup(MIDDLE)),
        ("left", FLYING, move_caret(FLYING, -1)),
        ("right", FLYING, move_caret(FLYING, 1)),
        ("home", FLYING, move_caret(FLYING, -5)),
        ("end", FLYING, move_caret(FLYING, 5)),
        ("ctrl+a", FLYING, move_caret(FLYING, -5)),
        ("backspace", FLYING, rub_out(FLYING)),
        ("delete", FLYING, rub_out_ahead(FLYING)),
        ("ctrl+u", FLYING, empty_edit(FLYING)),
        ("escape", FLYING, START),
    ],
)
def test_a_key_goes_as_far_as_the_help_says(key: str, start: BenchState, same: BenchState) -> None:
    # Answers are equal only to themselves.
    after, same, start = (replace(state, bike_answer=None) for state in (press(start, key), same, start))
    assert after == same != start


def test_a_view_of_one_kind_closes_again_and_leaves_the_setup() -> None:
    shown = press(START, "T")
    assert press(shown, "T") == replace(shown, view="")
    on_coil = replace(shown, setup=0)
    assert press(on_coil, "T").setup == 0


def test_which_keys_there_are_where_the_hand_is() -> None:
    rate, posture = (select_field(START, path) for path in (("setup", 0, "rate"), ("load", "posture")))
    assert [keymap.on_choice(state) for state in (START, rate, posture, FLYING)] == [
        False, False, True, False,
    ]  # fmt: skip
    typing = edit.open_edit(rate)
    assert [keymap.on_solvable(state) for state in (START, rate, posture, typing)] == [
        False, True, False, False,
    ]  # fmt: skip
    viewed = replace(START, view="pairs")
    assert [keymap.in_view(state) for state in (START, viewed, replace(FLYING, view="pairs"))] == [
        False, True, False,
    ]  # fmt: skip
    table = edit.nudge(select_field(START, ("frame", "leverage", "kind")), 1)
    pair = type_text(select_field(table, ("frame", "leverage", "travel_mm", 1)), "5")
    open_values = (FLYING, pair, replace(FLYING, view="pairs"), replace(pair, view="pairs"))
    assert [keymap.between_pairs(state) for state in (START, *open_values)] == [
        True, False, False, False, True,
    ]  # fmt: skip
    assert not keymap.on_choice(replace(posture, edit=FLYING.edit))


FIRST_KEYS = (
    "edit more less much_more much_less help save quit undo records next view coil air fill table end slow "
    "read_back read_on copy order remove rename units balance advice match sheet open conditions tolerance "
    "sweep map spacers pairs wire wants readings linkage import"
)


def test_the_key_line_has_the_most_wanted_first_and_what_belongs_to_the_field_before_all() -> None:
    def shown(state: BenchState) -> str:
        return " ".join(action.id for action in KEYMAP.key_line(state))

    assert shown(START) == FIRST_KEYS
    assert shown(select_field(START, ("setup", 0, "rate"))) == f"solve {FIRST_KEYS}"
    assert shown(replace(START, view="balance")) == f"chart_again {FIRST_KEYS}"
    assert shown(FLYING) == "commit restore"


def test_digits_and_signs_open_a_value_and_a_minus_only_one_that_may_be_below_zero() -> None:
    cold = select_field(START, ("ambient", "temperature"))
    for character in "0123456789.,":
        assert KEYMAP.starts_typing(START, character)
    assert [KEYMAP.starts_typing(state, "-") for state in (START, cold)] == [False, True]
    assert not KEYMAP.starts_typing(cold, "+")
    assert not KEYMAP.starts_typing(START, "a")
    assert not KEYMAP.is_typed(START, None)
    assert not KEYMAP.is_typed(START, "\x07")
    assert [KEYMAP.is_open(state) for state in (START, FLYING)] == [False, True]


def test_what_quits_or_saves_leaves_no_open_value_and_what_only_looks_keeps_it() -> None:
    kept = {action.id for action in KEYMAP.actions if action.keeps_edit}
    assert kept == {"table", "help", "mouse", "lines", "theme", "suspend"}
    at_cursor = " ".join(action.id for action in KEYMAP.actions if action.at_cursor)
    assert at_cursor == (
        "up down left right next back page_up page_down first last "
        "edit confirm more less much_more much_less solve blank clear undo redo "
        "commit restore caret_left caret_right caret_first caret_last rub_out rub_out_at empty"
    )
