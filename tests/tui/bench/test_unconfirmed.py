"""Values that nobody has typed or confirmed, on the bench: what puts them there, and what confirms them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.confirmed import confirmed, confirmed_demo
from tests.random_cases import cases
from tui.bench import edit
from tui.bench import edit as setups
from tui.bench.cells import caution_at, cell_of
from tui.bench.edit import with_invented_front
from tui.bench.keymap import KEYMAP
from tui.bench.overlays import OVERLAYS
from tui.bench.session import Session
from tui.bench.state import (
    LEFT_OUT,
    BenchState,
    open_bench,
    select_field,
    show_step,
    show_view,
    with_answer,
    with_job,
)
from tui.bench.steps import Step
from tui.bench.views.documents import balance_lines
from tui.bench.words import fields_strip, meaning_lines, title_line
from tui.job.demo import demo_job
from tui.job.faults import dotted
from tui.job.job import History, Job
from tui.job.tree import Tree, TreePath
from tui.job.wheels import left_out, wheel_job
from tui.kit.cells import CellRow
from tui.kit.edit import restore, rub_out, type_text
from tui.kit.edit import type_text as linkage_typed
from tui.kit.keymap import Action, quiet
from tui.kit.look import ASCII, UTF8, ChartLook
from tui.linkage.commands import with_adopted
from tui.linkage.sketch import LEVERAGE
from tui.linkage.state import commit as linkage_committed
from tui.linkage.state import open_linkage as linkage_opened
from tui.records.exchange import take_shock
from tui.store.kept import Part
from tui.store.saving import hardware_of
from tui.subjects.match import matched_job
from tui.themes import find_themes

TYPED = wheel_job(confirmed_demo(), "rear")
SAG: TreePath = ("target", "sag")
LOOK: ChartLook = find_themes().themes["dark"].chart(UTF8)


def told(job: Job) -> set[str]:
    return {dotted(path) for path in job.unconfirmed}


def bench(job: Job) -> BenchState:
    return with_answer(open_bench(History.starting_at(job)))


def typed(state: BenchState, path: TreePath, text: str) -> BenchState:
    return edit.commit(type_text(select_field(state, path), text))


def chosen(state: BenchState, path: TreePath, times: int = 1) -> BenchState:
    return edit.nudge(select_field(state, path), times)


def do(state: BenchState, id: str) -> BenchState:
    """Do an act as the menu does, which has it at the step of the state."""
    letter = KEYMAP.named[id].letter
    closed, action = OVERLAYS.menu_pressed(OVERLAYS.open_menu(state), letter, letter)
    assert isinstance(action, Action)
    assert action.id == id
    assert action.step is not None
    return action.step(closed)


def confirming(state: BenchState) -> BenchState:
    return do(state, "confirm")


# --- what confirms ---------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["29 %", "27 %"])
def test_typing_a_value_confirms_it_and_undo_brings_the_mark_back(text: str) -> None:
    start = bench(demo_job())
    after = typed(start, SAG, text)
    assert told(start.bike) - told(after.bike) == {"target.sag"}
    back = edit.undo(after)
    assert back.bike == start.bike
    assert back.row.path == SAG


def test_a_nudge_a_choice_and_a_solved_value_confirm() -> None:
    start = bench(demo_job())
    nudged = edit.nudge(select_field(start, ("frame", "stroke")), 1)
    assert told(start.bike) - told(nudged.bike) == {"frame.stroke"}
    turned = chosen(start, ("target", "of"))
    assert told(start.bike) - told(turned.bike) == {"target.of"}
    job = TYPED.with_invented(("setup", 0, "rate"), "450 lbf/in")
    solved = edit.switch_solved(select_field(bench(job), ("setup", 0, "rate")))
    assert told(solved.bike) == set()
    assert solved.bike.get(("setup", 0, "rate")) == "solve"


def test_a_value_opened_and_left_alone_is_not_confirmed_but_one_typed_again_is() -> None:
    start = select_field(bench(demo_job()), SAG)
    left = edit.commit(edit.open_edit(start))
    assert left.bike == start.bike
    again = type_text(rub_out(edit.open_edit(start)), "%")
    assert told(start.bike) - told(edit.commit(again).bike) == {"target.sag"}


# --- what is not confirmed -------------------------------------------------------------------


def test_a_new_setup_is_unconfirmed_but_its_name_and_what_is_solved() -> None:
    start = bench(TYPED)
    for add, asked in ((setups.add_coil, "rate"), (setups.add_air, "pressure")):
        added = add(start)
        keys = set(added.bike.setups[2]) - {"name", "kind", "unconfirmed", asked}
        assert len(keys) > 4
        assert told(added.bike) == {f"setup.2.{key}" for key in keys}
        assert edit.undo(added).bike == TYPED


def test_values_put_in_for_another_way_are_unconfirmed_and_typed_ones_come_back_typed() -> None:
    negative: TreePath = ("setup", 1, "negative")
    start = bench(TYPED)
    mechanical = chosen(start, negative, 1)
    while mechanical.bike.get(negative) != "mechanical":
        mechanical = chosen(mechanical, negative, 1)
    new = {"setup.1.negative_pressure", "setup.1.negative_rate", "setup.1.negative_length"}
    assert told(mechanical.bike) <= new
    assert {"setup.1.negative_rate", "setup.1.negative_length"} <= told(mechanical.bike)
    by_typed = typed(mechanical, ("setup", 1, "negative_rate"), "55 N/mm")
    assert "setup.1.negative_rate" not in told(by_typed.bike)

    scale = chosen(start, ("load", "by"))
    assert told(scale.bike) == {"load.scale_mass"}
    back = chosen(scale, ("load", "by"), -1)
    assert told(back.bike) == set()
    geometry = chosen(scale, ("load", "by"))
    assert "load.geometry" in told(geometry.bike)


def test_a_pair_typed_confirms_no_other_pair() -> None:
    table = chosen(bench(TYPED), (*LEVERAGE, "kind"))
    assert told(table.bike) == {"frame.leverage.travel_mm", "frame.leverage.ratio"}
    one = typed(table, (*LEVERAGE, "travel_mm", 1), "25 2.7")
    assert one.bike != table.bike
    assert told(one.bike) == told(table.bike)


def test_an_invented_front_on_a_scale_is_unconfirmed() -> None:
    weighed = TYPED.with_value(("load",), {"scale_mass": "60 kg", "unsprung_mass": "4 kg"})
    grown = with_invented_front(weighed)
    assert "front.load.scale_mass" in told(grown)
    assert all(path[0] == "front" for path in grown.unconfirmed)
    # Nothing of the demo's fork comes along: the sizes are those of a fork of its travel.
    grown_alone, demo = with_invented_front(TYPED), demo_job()
    assert {"front.frame.stroke", "front.setup.0.positive_volume"} <= told(grown_alone)
    assert grown_alone.get(("front", "setup", 0)) != demo.get(("front", "setup", 0))
    assert all(path[0] == "front" for path in grown_alone.unconfirmed)


def test_settings_found_are_typed_but_a_chamber_nobody_measured_is_not() -> None:
    state = bench(confirmed(bench(wheel_job(demo_job(), "rear")).job))
    assert state.answer is not None
    volumes = matched_job(state.answer, 0, 1, state.units, volumes=True)
    assert not isinstance(volumes, str)
    assert volumes.table["unconfirmed"] == ("negative_volume", "port", "positive_volume")
    demo = bench(wheel_job(demo_job(), "rear"))
    assert demo.answer is not None
    spacers = matched_job(demo.answer, 0, 1, demo.units)
    assert not isinstance(spacers, str)
    assert "pressure" not in spacers.table["unconfirmed"]
    assert "bore" in spacers.table["unconfirmed"]


def test_an_example_of_a_linkage_stays_unconfirmed_with_a_point_typed_over() -> None:
    linkage = linkage_opened(TYPED)
    one = linkage_committed(linkage_typed(linkage, "3"))
    assert one.sketch != linkage.sketch
    adopted = with_adopted(TYPED, one.job)
    assert told(adopted) == {"frame.leverage.points_mm"}
    assert told(with_adopted(demo_job(), one.job)) >= {"frame.wheel_travel", "frame.leverage.points_mm"}
    own = adopted.confirmed((*LEVERAGE, "points_mm"))
    again = linkage_opened(own)
    two = linkage_committed(linkage_typed(again, "5"))
    assert told(with_adopted(own, two.job)) == set()


def test_hardware_of_the_records_is_as_confirmed_as_it_was_kept() -> None:
    demo = wheel_job(demo_job(), "rear")
    kept = hardware_of(demo.with_value(("setup", 1, "bore"), "40 mm").setups[1])
    assert {"positive_spacers", "bore"} & set(kept["unconfirmed"]) == set()
    state = replace(bench(TYPED), setup=1)
    after = take_shock(state, Part("d", "air", "Stand shock", kept, "", 1)).bike
    assert "setup.1.positive_volume" in told(after)
    assert {"setup.1.bore", "setup.1.positive_spacers"} & told(after) == set()
    valve = Tree({**hardware_of(TYPED.setups[1]), "negative": "separate"})
    fresh = take_shock(state, Part("e", "air", "Own valve", valve, "", 1))
    assert told(fresh.bike) == {"setup.1.negative_pressure"}


def test_a_job_put_on_the_bench_whole_keeps_its_lists() -> None:
    state = bench(TYPED)
    assert told(with_job(state, wheel_job(demo_job(), "rear")).bike) == told(wheel_job(demo_job(), "rear"))


# --- a ratio at half travel that nobody typed ------------------------------------------------

MIDDLE: TreePath = (*LEVERAGE, "middle")


@pytest.mark.parametrize("key", ["start", "end"])
def test_a_ratio_typed_at_an_end_removes_an_invented_one_at_half_travel(key: str) -> None:
    start = bench(demo_job())
    after = typed(start, (*LEVERAGE, key), "2.6")
    assert after.bike.get(MIDDLE) is None
    assert "2.46" in after.note
    assert "u undoes" in after.note
    assert edit.undo(after).bike == start.bike
    nudged = edit.nudge(select_field(start, (*LEVERAGE, key)), 1)
    assert nudged.bike.get(MIDDLE) is None
    assert "2.46" in nudged.note


def test_a_ratio_at_half_travel_that_was_typed_or_confirmed_stays() -> None:
    start = bench(demo_job())
    for own in (typed(start, MIDDLE, "2.5"), confirming(select_field(start, MIDDLE))):
        after = typed(quiet(own), (*LEVERAGE, "start"), "2.9")
        assert after.bike.get(MIDDLE) == own.bike.get(MIDDLE)
        assert after.note == ""


# --- as it stands ----------------------------------------------------------------------------


def test_a_letter_of_the_menu_confirms_a_value_as_it_is_and_undo_brings_the_mark_back() -> None:
    start = bench(demo_job())
    for path in (SAG, ("load", "posture"), ("setup", 1, "negative"), ("title",)):
        here = select_field(start, path)
        after = confirming(here)
        assert told(here.bike) - told(after.bike) == {dotted(path)}
        assert after.bike.get(path) == here.bike.get(path)
        assert after.row.path == path
        assert "confirmed" in after.note or after.note == LEFT_OUT.format("front")
        back = edit.undo(after)
        assert back.bike == start.bike
        assert back.row.path == path


def test_confirming_changes_nothing_where_nothing_is_unconfirmed() -> None:
    for path in (SAG, ("load", "posture"), ("setup", 0, "rate")):
        here = select_field(bench(TYPED), path)
        after = confirming(here)
        assert after.bike == here.bike
        assert "nothing to confirm" in after.note


def test_confirming_a_pair_confirms_the_whole_table() -> None:
    table = chosen(bench(TYPED), (*LEVERAGE, "kind"))
    after = confirming(select_field(table, (*LEVERAGE, "travel_mm", 2)))
    assert told(after.bike) == set()
    assert "all pairs" in after.note


def test_confirming_a_drawn_linkage_confirms_its_points() -> None:
    job = with_adopted(TYPED, linkage_committed(linkage_typed(linkage_opened(TYPED), "3")).job)
    kind = select_field(bench(job), (*LEVERAGE, "kind"))
    assert cell_of(kind, kind.row).unconfirmed
    assert told(confirming(kind).bike) == set()


def test_space_types_a_blank_while_a_value_is_open() -> None:
    opened_title = edit.open_edit(select_field(bench(demo_job()), ("title",)))
    after = KEYMAP.pressed(opened_title, "space", " ")
    assert after.edit is not None
    assert after.edit.text.endswith(" ")


# --- what is seen ----------------------------------------------------------------------------


def test_a_field_a_title_and_the_help_say_that_a_value_is_unverified() -> None:
    state = select_field(bench(demo_job()), SAG)
    assert cell_of(state, state.row).unconfirmed
    words = text(meaning_lines(state, 120, 3, UTF8))
    assert "sag: ~ unverified" in words
    assert "Enter twice confirms it" in words
    assert " ~72 unverified" in text(title_line(state, Session(), 120, UTF8))
    assert text(title_line(state, Session(), 80, UTF8)).rstrip().endswith(" ~72")
    assert text(title_line(state, Session(), 80, ASCII)).rstrip().endswith(" *72")
    after = confirming(state)
    assert not cell_of(after, after.row).unconfirmed
    assert "unverified" not in text(meaning_lines(after, 120, 3, UTF8))
    assert " ~71 unverified" in text(title_line(after, Session(), 120, UTF8))


@pytest.mark.slow
def test_a_confirmed_job_shows_nothing_of_it() -> None:
    state = bench(confirmed_demo())
    rows = [row for panel in state.panels for row in (*panel.rows, *panel.hidden)]
    assert not any(cell_of(state, row).unconfirmed for row in rows)
    assert "~" not in text(title_line(state, Session(), 120, UTF8))
    assert "to type" not in text(fields_strip(state, 120, LOOK, framed=True))


def text(lines: list[CellRow]) -> str:
    return "\n".join("".join(cell[0] for cell in line) for line in lines)


# --- any edits -------------------------------------------------------------------------------

KEYS = sorted(
    {key for action in KEYMAP.actions if action.step for key in action.keys} | set("0123456789.,%psi ")
)


@pytest.mark.slow
@settings(max_examples=cases(60))
@given(st.lists(st.sampled_from(KEYS), max_size=40))
def test_after_any_keys_the_lists_name_what_there_is_and_undo_restores_them(keys: list[str]) -> None:
    start = bench(demo_job())
    state = start
    for key in keys:
        before = state.bike
        state = KEYMAP.pressed(state, key, key if len(key) == 1 else " " if key == "space" else None)
        for path in state.bike.unconfirmed:
            assert state.bike.get(path) not in (None, "solve")
        names = [fault for fault in state.bike_faults if "unconfirmed" in fault.path]
        assert names == []
        if state.bike != before and state.history.past[-1:] == (before,):
            assert edit.undo(restore(state)).bike == before
    state = restore(state)
    while state.history.past:
        state = edit.undo(state)
    assert state.bike == start.bike


# --- an end that is still an example ---------------------------------------------------------


def touched(job: Job, end: str) -> Job:
    lead: TreePath = ("front",) if end == "front" else ()
    return job.confirmed((*lead, "frame", "stroke"))


def test_the_demo_has_both_its_ends_until_it_is_somebodys_job() -> None:
    demo = demo_job()
    assert left_out(demo) is None
    assert left_out(touched(demo, "rear")) is None
    for path, raw in (
        (("title",), "Stand 3"),
        (("load", "rider_mass"), "70 kg"),
        (("record", "ticket"), "7"),
    ):
        assert left_out(demo.with_value(path, raw)) == "front"
    begun = demo.with_value(("title",), "Stand 3")
    assert left_out(touched(begun, "rear")) == "front"
    assert left_out(touched(begun, "front")) == "rear"
    assert left_out(touched(touched(begun, "front"), "rear")) is None
    assert left_out(begun.with_value(("front", "measured"), {"sag": "30 mm"})) == "rear"
    assert left_out(confirmed_demo()) is None
    assert left_out(TYPED) is None


def test_the_bench_says_that_the_example_fork_is_left_out_when_the_job_becomes_somebodys() -> None:
    after = typed(bench(demo_job()), ("load", "rider_mass"), "70")
    assert after.note == LEFT_OUT.format("front")
    assert len(after.note) < 80
    assert typed(quiet(after), ("load", "bike_mass"), "14").note == ""
    by_hand = confirming(select_field(bench(demo_job()), ("load", "rider_mass")))
    assert by_hand.note == LEFT_OUT.format("front")
    assert left_out(edit.undo(after).bike) is None


def test_an_example_front_added_to_a_customers_job_is_left_out_until_it_is_typed() -> None:
    grown = do(bench(TYPED), "end")
    assert grown.wheel == "front"
    assert left_out(grown.bike) == "front"
    own = typed(grown, ("frame", "stroke"), "150")
    assert left_out(own.bike) is None
    balance = show_view(grown, "balance")
    assert "still the invented example" in text(balance_lines(balance, 100, LOOK))
    assert "invented example" not in text(balance_lines(show_view(own, "balance"), 100, LOOK))


@pytest.mark.parametrize("end", ["rear", "front"])
def test_an_act_takes_the_end_on_the_bench_off_and_undo_puts_it_back(end: str) -> None:
    start = replace(bench(confirmed_demo()), setup=1)
    there = start if end == "rear" else do(start, "end")
    assert there.wheel == end
    alone = do(show_step(there, Step.FRAME), "end_off")
    assert alone.bike == wheel_job(there.bike, "front" if end == "rear" else "rear")
    assert not alone.bike_faults
    assert not alone.is_outdated
    assert f"The {end} wheel is removed" in alone.note
    back = edit.undo(alone)
    assert back.bike == start.bike
    letter = KEYMAP.named["end_off"].letter
    last, nothing = OVERLAYS.menu_pressed(OVERLAYS.open_menu(show_step(alone, Step.FRAME)), letter, letter)
    assert nothing is None
    assert last.bike == alone.bike
    assert last.note == "Remove this wheel: not now, the job has one wheel."


def test_the_caution_of_a_field_says_that_its_limit_is_unverified() -> None:
    path: TreePath = ("setup", 0, "rated_stroke")
    doubted = select_field(bench(TYPED.with_invented(path, "60 mm")), path)
    assert "Unverified: rated stroke 60 mm." in caution_at(doubted, doubted.row)
    after = confirming(doubted)
    assert "rated for 60.0 mm" in caution_at(after, after.row)
    assert "Unverified" not in caution_at(after, after.row)
