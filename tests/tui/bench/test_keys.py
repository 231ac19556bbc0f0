"""The list of acts and keys: nothing twice, no key that a terminal swallows, every press is sound."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

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
from tui.bench.state import (
    BenchState,
    open_bench,
    select_field,
    show_setup,
    show_step,
    show_view,
    with_answer,
    with_cursor,
    with_log,
)
from tui.bench.steps import NAMES, Step, is_field
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.fields import Amount
from tui.job.job import History
from tui.job.panels import RIDER_MASS
from tui.kit.edit import empty_edit, move_caret, restore, rub_out, rub_out_ahead, type_text
from tui.kit.keymap import PROGRAM, key_text
from tui.tables.recorded import LogFile

SURVIVES = re.compile(
    r"[^\d.,]|ctrl\+[a-z]|f([1-9]|10)|up|down|left|right|home|end|tab|shift\+tab|enter|escape|space"
    r"|backspace|delete|pageup|pagedown"
)
START = with_answer(open_bench(History.starting_at(demo_job())))


def press(state: BenchState, *keys: str) -> BenchState:
    for key in keys:
        state = KEYMAP.pressed(state, key, key if len(key) == 1 else " " if key == "space" else None)
    return state


def test_ids_are_unique_and_so_are_the_keys_of_a_pane() -> None:
    assert max(Counter(action.id for action in KEYMAP.actions).values()) == 1
    for while_typing in (True, False):
        for page in KEYMAP.pages:
            keys = [
                key
                for action in KEYMAP.actions
                if action.typing is while_typing and page in (action.pages or KEYMAP.pages)
                for key in action.keys
            ]
            assert max(Counter(keys).values()) == 1


def test_keys_survive_ssh_and_tmux() -> None:
    assert [key for action in KEYMAP.actions for key in action.keys if not SURVIVES.fullmatch(key)] == []


def test_quitting_has_a_second_key_for_terminals_that_swallow_the_first() -> None:
    keys = {action.id: action.keys for action in KEYMAP.actions}
    assert {"q", "ctrl+q"} <= set(keys["quit"])
    assert keys["save"] == ("ctrl+s",)
    assert keys["suspend"] == ("ctrl+z",)


LETTERS = {"s": "solve", "u": "undo", "z": "zoom", "q": "quit"}
"""Letters that are keys, all others type, pick or are found in the menu."""


def test_few_keys_are_letters_and_no_two_acts_are_told_apart_by_shift() -> None:
    keys = {key: action.id for action in KEYMAP.actions for key in action.keys if not action.typing}
    assert {key: id for key, id in keys.items() if len(key) == 1 and key.isalpha()} == LETTERS
    assert not any(key.isupper() for key in keys)
    shifted = {"+": "=", "_": "-"}
    assert all(keys[key] == keys[plain] for key, plain in shifted.items())
    assert not any(key.startswith("shift+") and key != "shift+tab" for key in keys)


ACTS = [action for action in KEYMAP.actions if not action.typing]
SHELVES = (*Step, PROGRAM)


@pytest.mark.parametrize("act", ACTS, ids=lambda act: act.id)
def test_an_act_has_a_name_that_fits_a_sentence_and_a_way_to_it(act: keymap.BenchAction) -> None:
    assert re.fullmatch(r"[a-z][a-z_]*", act.id)
    assert 0 < len(act.name) <= 24
    assert act.name == act.name.strip()
    assert act.meaning[0].isupper()
    assert act.meaning.endswith(".")
    assert len(act.meaning) <= 80
    assert act.keys or (act.letter and act.shelves), "neither key nor menu leads to it"
    assert bool(act.letter) == bool(act.shelves)
    assert len(key_text(act)) <= 14


@pytest.mark.parametrize("shelf", SHELVES, ids=str)
def test_the_letters_of_a_shelf_are_unique_and_small(shelf: object) -> None:
    letters = [action.letter for action in KEYMAP.shelf(shelf)]
    assert letters
    assert len(set(letters)) == len(letters)
    assert all(len(letter) == 1 and "a" <= letter <= "z" for letter in letters)


def test_no_name_of_an_act_stands_twice() -> None:
    assert max(Counter(action.name for action in ACTS).values()) == 1


def test_every_act_of_a_screen_is_done_and_nothing_that_is_done_has_no_act() -> None:
    from tui.bench.commands import COMMANDS

    without_step = {action.id for action in KEYMAP.actions if action.step is None}
    assert set(COMMANDS) <= without_step


ONE_WHEEL = with_answer(open_bench(History.starting_at(demo_job().without(("front",)))))
ONE_SETUP = edit.remove_setup(show_setup(START, 0))
BARE = with_answer(open_bench(History.starting_at(demo_job().without(("front",)).without(("setup",)))))
FORK = edit.remove_wheel(START)


WITH_LOG = with_log(START, LogFile.at(Path("ride.csv")))
IN_EVENTS = ("event_enter", "event_shows", "replay", "take_rebound")


@pytest.mark.parametrize(
    ("id", "possible", "not_now", "reason"),
    [
        ("undo", edit.nudge(START, 1), START, "nothing has changed yet"),
        ("redo", undo(edit.nudge(START, 1)), START, "nothing was undone"),
        ("solve", show_setup(START, 0), START, "the cursor is not on a rate or pressure"),
        ("copy", START, BARE, "the job has no setup"),
        ("rename", START, BARE, "the job has no setup"),
        ("remove", START, ONE_SETUP, "a job needs at least one setup"),
        ("end", START, FORK, "this job is a fork only"),
        ("end", ONE_WHEEL, FORK, "this job is a fork only"),
        ("end_off", START, ONE_WHEEL, "the job has one wheel"),
        ("wants", START, BARE, "the job has no setup"),
        ("readings", START, BARE, "the job has no setup"),
        ("log", START, BARE, "the job has no setup"),
        *(
            (id, WITH_LOG, START, "no logged ride has been read")
            for id in ("log_beside", "log_off", "log_on_sheet")
        ),
        *((id, show_view(START, "events"), START, "the events view is not shown") for id in IN_EVENTS),
    ],
)
def test_what_cannot_be_done_now_says_why_and_changes_nothing(
    id: str, possible: BenchState, not_now: BenchState, reason: str
) -> None:
    act = KEYMAP.named[id]
    assert act.why is not None
    assert (act.why(possible), act.why(not_now)) == ("", reason)
    if act.step is not None:
        assert act.step(not_now).bike == not_now.bike
        assert act.step(possible) != possible


def test_every_reason_is_tested() -> None:
    assert {action.id for action in KEYMAP.actions if action.why} == {
        "undo", "redo", "solve", "copy", "rename", "remove", "end", "end_off", "wants", "readings",
        "event_enter", "event_shows", "replay", "take_rebound",
        "export",
        "log", "log_beside", "log_off", "log_on_sheet",
    }  # fmt: skip


def test_where_an_act_belongs_is_said_unless_it_is_everywhere() -> None:
    assert keymap.where_of(KEYMAP.named["copy"]) == "Springs, Compare"
    assert keymap.where_of(KEYMAP.named["end_off"]) == "Frame"
    for id in ("confirm", "end", "undo", "units"):
        assert keymap.where_of(KEYMAP.named[id]) == ""


@pytest.mark.parametrize(
    ("id", "text"),
    [("undo", "u"), ("save", "Ctrl+S"), ("copy", "Space d"), ("new", "Space Space j"), ("theme", "F10")],
)
def test_the_way_to_an_act_is_its_key_or_its_letters_in_the_menu(id: str, text: str) -> None:
    assert key_text(KEYMAP.named[id]) == text


@pytest.mark.parametrize("state", [START, show_view(START, "chart"), show_view(START, "balance")])
def test_a_key_without_an_act_says_so_and_changes_nothing(state: BenchState) -> None:
    idle = [chr(code) for code in range(33, 127)] + ["é", "f5", "ctrl+g"]
    acts = {key for action in KEYMAP.actions for key in action.keys} | set("0123456789.,")
    seen = 0
    for key in idle:
        if key in acts:
            continue
        after = press(state, key)
        name = {"f5": "F5", "ctrl+g": "Ctrl+G"}.get(key, key)
        assert after == replace(state, note=f"{name} does nothing here. / finds.")
        seen += 1
    assert seen > 60


@pytest.mark.parametrize("key", ["enter", "+", "delete", "s", "<"])
def test_a_key_for_the_fields_pressed_in_a_view_says_the_way_back_and_touches_no_field(key: str) -> None:
    viewed = show_view(select_field(START, ("setup", 0, "rate")), "figures")
    name = {"enter": "Enter", "delete": "Delete"}.get(key, key)
    assert press(viewed, key) == replace(viewed, note=f"{name} is for the fields: Esc goes back to them.")
    assert press(replace(START, helps=True), "+").bike == START.bike


@pytest.mark.parametrize("key", list("0123456789.,-abc"))
def test_nothing_is_typed_in_a_view(key: str) -> None:
    viewed = show_view(START, "figures")
    after = press(viewed, key)
    assert (after.edit, after.bike) == (None, START.bike)


def test_letters_are_typed_into_an_empty_text_alone() -> None:
    for path in (("record", "customer"), ("record", "ticket")):
        at_text = select_field(START, path)
        for letter in "aqzusMé7":
            after = press(at_text, letter)
            assert after.edit is not None
            assert after.edit.text == letter
        finding = KEYMAP.action_for(at_text, "/", "/")
        assert finding is not None
        assert finding.id == "find"
        assert "q" not in {key for action in KEYMAP.key_line(at_text) for key in action.keys}
    named = press(select_field(START, ("record", "customer")), "I", "d", "a", "enter")
    assert named.job.get(("record", "customer")) == "Ida"


NUMBERS = {
    row.path: row.kind.words
    for step in Step
    for panel in show_step(START, step).panels
    for row in (*panel.rows, *panel.hidden)
    if isinstance(row.kind, Amount)
}


def test_the_first_letter_of_a_word_that_a_number_field_takes_begins_it() -> None:
    assert {word for words in NUMBERS.values() for word in words} == {"none", "solve"}
    for path, words in NUMBERS.items():
        here = select_field(START, path)
        after = press(here, "n")
        if "none" in words:
            assert after.edit is not None
            assert after.edit.text == "n"
            taken = press(after, "o", "n", "e", "enter")
            assert taken.job.get(path) == "none"
        else:
            assert after == replace(here, note="n does nothing here. / finds.")
        # A letter with an act of its own keeps it: s solves or keeps the value.
        solved = KEYMAP.action_for(here, "s", "s")
        assert solved is not None
        assert solved.id == "solve"
        assert press(here, "s").edit is None
        for key in ("q", "u", "z"):
            assert KEYMAP.action_for(here, key, key) is not None


def test_a_name_that_stands_is_edited_by_enter_and_its_letters_are_keys() -> None:
    for path in (("title",), ("setup", 0, "name")):
        at_name = press(select_field(START, path), "F", "7")
        assert (at_name.edit, at_name.job) == (None, START.job)
        assert at_name.note.endswith(": Enter edits the text, Backspace clears it.")
        for key, id in (("q", "quit"), ("u", "undo"), ("z", "zoom")):
            action = KEYMAP.action_for(at_name, key, key)
            assert action is not None
            assert action.id == id
        shown = {key for action in KEYMAP.key_line(at_name) for key in action.keys}
        assert {"q", "u", "z"} <= shown
        assert press(at_name, "z").zoom
        opened = press(at_name, "enter")
        assert opened.edit is not None
        assert opened.edit.text == START.job.get(path)


@pytest.mark.parametrize("leaving", ["enter", "down", "tab"])
def test_a_name_replaced_or_cleared_is_told_and_undone(leaving: str) -> None:
    at_name = select_field(START, ("setup", 0, "name"))
    other = press(at_name, "backspace", "u", leaving)
    assert other.job.setups[0]["name"] == "u"
    assert other.note == "name: coil → u; u undoes it."
    back = press(other, "u")
    assert (back.job, back.note) == (START.job, "Undone: u renamed to coil." + _now(back, other))
    cleared = press(at_name, "backspace", leaving)
    assert cleared.note.startswith("name: coil is removed; u on any other field undoes it.")
    assert press(cleared, "down", "u").job == START.job


def _now(after: BenchState, before: BenchState) -> str:
    return "" if after.step is before.step else f" Now on {NAMES[after.step]}."


@pytest.mark.parametrize("state", [with_cursor(START, 0, 8), show_step(BARE, Step.SPRINGS)])
def test_a_row_that_is_no_field_takes_nothing_typed(state: BenchState) -> None:
    assert not is_field(state.row)
    for keys in (("backspace", "5", "enter"), ("enter", "5", "enter"), ("a",), ("delete",), ("s",)):
        after = press(state, *keys)
        assert (after.edit, after.bike) == (None, state.bike)
    assert KEYMAP.typed(state, "pasted").edit is None


def test_a_letter_picks_the_option_of_a_choice_that_begins_with_it_and_goes_on_to_the_next_such() -> None:
    negative = ("setup", 1, "negative")
    at_choice = select_field(START, negative)
    assert [press(at_choice, *keys).job.get(negative) for keys in ("n", "s", "c", "ss", "ce")] == [
        "none", "separate", "mechanical", "separate", "equalised",
    ]  # fmt: skip
    assert press(at_choice, "S").job.get(negative) == "separate"
    kind = ("frame", "leverage", "kind")
    at_kind = select_field(START, kind)
    assert [press(at_kind, key).job.get(kind) for key in "lm"] == ["table", "measured"]
    assert press(at_kind, "l", "s").job.get(kind) == "ends"
    # A letter that begins no option is a key as everywhere else.
    nothing = press(at_choice, "x")
    assert (nothing.bike, nothing.note) == (START.bike, "x does nothing here. / finds.")
    assert press(at_choice, "c", "u").job.get(negative) == "equalised"


def test_every_action_says_what_it_does() -> None:
    assert all(action.label and action.meaning.endswith(".") for action in KEYMAP.actions)
    assert len({group.title for group in KEYMAP.groups}) == len(KEYMAP.groups)


def test_every_step_leads_from_a_state_to_a_state() -> None:
    steps = [action.step for action in KEYMAP.actions if action.step is not None]
    assert len(steps) > 40
    assert {type(step(START)) for step in steps} == {BenchState}


def test_the_key_line_follows_what_the_hand_is_at() -> None:
    at_rest = {action.id for action in KEYMAP.key_line(START)}
    assert {"edit", "more", "find", "menu", "undo", "help", "quit"} <= at_rest
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
    assert press(START, "enter", "backspace", "7", "enter").job.get(RIDER_MASS) == "87 kg"
    assert press(START, "backspace", "enter").job.get(RIDER_MASS) is None
    assert press(START, "tab").step is Step.FRAME
    assert press(START, "9", "1", "tab").job.get(RIDER_MASS) == "91 kg"
    assert press(START, "shift+tab").step is Step.HAND_OVER
    assert press(show_setup(START, 0), "right", "left").row == show_setup(START, 0).row
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
MIDDLE = replace(edit.show_row(START, 3, 5), cursor=0.5)
COMPARED = show_step(START, Step.COMPARE)
SHOWN = show_view(show_setup(START, 1), "pump")
FLYING = move_caret(edit.open_edit(START), 1)


@pytest.mark.parametrize(
    ("key", "start", "same"),
    [
        ("up", MIDDLE, edit.move_by_rows(MIDDLE, -1)),
        ("down", MIDDLE, edit.move_by_rows(MIDDLE, 1)),
        ("left", MIDDLE, bench.show_setup(MIDDLE, 0)),
        ("right", MIDDLE, bench.show_setup(MIDDLE, 0)),
        ("left", COMPARED, bench.select_setup(COMPARED, 1)),
        ("tab", MIDDLE, bench.show_step(MIDDLE, Step.COMPARE)),
        ("shift+tab", MIDDLE, bench.show_step(MIDDLE, Step.FRAME)),
        ("tab", SHOWN, bench.show_step(SHOWN, Step.COMPARE)),
        ("]", SHOWN, bench.show_view(SHOWN, "order")),
        ("[", SHOWN, bench.show_view(SHOWN, "figures")),
        ("]", START, bench.show_view(START, "sweep")),
        ("z", SHOWN, bench.switch_zoom(SHOWN)),
        ("z", START, replace(START, zoom=True)),
        ("escape", SHOWN, replace(SHOWN, in_view=False)),
        ("escape", replace(START, zoom=True), START),
        ("escape", replace(SHOWN, helps=True), SHOWN),
        ("s", select_field(START, ("setup", 0, "rate")), edit.switch_solved(show_setup(START, 0))),
        ("pageup", MIDDLE, edit.move_by_rows(MIDDLE, -10)),
        ("pagedown", MIDDLE, edit.move_by_rows(MIDDLE, 10)),
        ("home", MIDDLE, edit.show_row(MIDDLE, 3, 0)),
        ("end", MIDDLE, edit.show_row(MIDDLE, 3, 999)),
        ("+", START, edit.nudge(START, 1)),
        ("=", START, edit.nudge(START, 1)),
        ("_", START, edit.nudge(START, -1)),
        (">", START, edit.nudge(START, 10)),
        ("<", START, edit.nudge(START, -10)),
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


def test_which_keys_there_are_where_the_hand_is() -> None:
    rate, posture = (select_field(START, path) for path in (("setup", 0, "rate"), ("load", "posture")))
    assert [keymap.on_choice(state) for state in (START, rate, posture, FLYING)] == [
        False, False, True, False,
    ]  # fmt: skip
    typing = edit.open_edit(rate)
    assert [keymap.on_solvable(state) for state in (START, rate, posture, typing)] == [
        False, True, False, False,
    ]  # fmt: skip
    table = edit.nudge(select_field(START, ("frame", "leverage", "kind")), 1)
    pair = type_text(select_field(table, ("frame", "leverage", "travel_mm", 1)), "5")
    assert [keymap.between_pairs(state) for state in (START, FLYING, pair)] == [True, False, True]
    assert not keymap.on_choice(replace(posture, edit=FLYING.edit))


FIRST_KEYS = (
    "leave_view edit find menu view_back view_on next save help more less undo quit zoom much_more much_less"
)


def test_the_key_line_has_the_most_wanted_first_and_what_belongs_to_the_field_before_all() -> None:
    def shown(state: BenchState) -> str:
        return " ".join(action.id for action in KEYMAP.key_line(state))

    assert shown(START) == FIRST_KEYS
    assert shown(select_field(START, ("setup", 0, "rate"))) == FIRST_KEYS.replace("edit", "solve edit")
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
    assert kept == {"help", "mouse", "lines", "theme", "suspend"}
    at_cursor = " ".join(action.id for action in KEYMAP.actions if action.at_cursor)
    assert (
        at_cursor == "commit restore caret_left caret_right caret_first caret_last rub_out rub_out_at empty"
    )
