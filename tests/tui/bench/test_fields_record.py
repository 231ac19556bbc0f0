"""What was measured and ridden, and whose it is: at either end, of the setup that was on the bike."""

from __future__ import annotations

import re

import pytest

from tests.tui.job.two_ends import BIKE
from tui.bench import edit
from tui.bench import edit as move
from tui.bench import edit as setups
from tui.bench.cells import caution_at, cell_of, faults_by_row
from tui.bench.grid import page
from tui.bench.state import (
    BenchState,
    open_bench,
    select_field,
    show_setup,
    show_step,
    with_answer,
    with_cursor,
)
from tui.bench.steps import Step
from tui.bench.words import meaning_lines
from tui.job.choices import WORDS
from tui.job.demo import demo_job
from tui.job.fields import Choice
from tui.job.job import ON_BIKE, History, Job, setup_on_bike
from tui.job.tree import Tree, TreePath
from tui.kit.edit import empty_edit, type_text
from tui.kit.look import UTF8
from tui.themes import find_themes

LOOK = find_themes().themes["dark"].chart(UTF8)
SAG: TreePath = ("measured", "sag")
SYMPTOM: TreePath = ("ridden", "symptom")


def bench(job: Job | None = None) -> BenchState:
    return with_answer(open_bench(History.starting_at(job or demo_job())))


def type_in(state: BenchState, path: TreePath, text: str) -> BenchState:
    state = empty_edit(edit.open_edit(select_field(state, path)))
    for letter in text:
        state = type_text(state, letter)
    return edit.commit(state)


def on_air() -> BenchState:
    """Return a bench whose air setup was on the bike, the cursor in the step of the ride."""
    return type_in(edit.nudge(select_field(bench(), ON_BIKE), 1), SAG, "43")


def test_what_is_typed_lands_in_the_job() -> None:
    state = bench()
    for key, text in (("customer", "Customer 12"), ("ticket", "0417"), ("bike", "green one")):
        state = type_in(state, ("record", key), text)
    state = type_in(type_in(state, ("measured", "rebound_clicks"), "7"), ("measured", "tyre"), "1.6 bar")
    assert state.job.get(("record",)) == Tree(
        {"customer": "Customer 12", "ticket": "0417", "bike": "green one"}
    )
    assert state.job.get(("measured",)) == Tree({"rebound_clicks": 7, "tyre": "1.6 bar"})
    assert not state.faults


def test_the_setup_on_the_bike_is_the_first_until_another_is_chosen() -> None:
    state = select_field(bench(), ON_BIKE)
    assert cell_of(state, state.row).text == "coil"
    assert state.job.get(ON_BIKE) is None
    other = edit.nudge(state, 1)
    assert (other.job.get(ON_BIKE), setup_on_bike(other.job)) == ("air", 1)


def test_the_sag_is_read_as_the_target_counts_it_until_it_says_otherwise() -> None:
    at: TreePath = ("measured", "of")
    state = select_field(bench(), at)
    assert cell_of(state, state.row).text == "the wheel"
    by_stroke = select_field(bench(demo_job().with_value(("target", "of"), "stroke")), at)
    assert cell_of(by_stroke, by_stroke.row).text == "the shock"
    assert edit.nudge(by_stroke, 1).job.get(at) == "travel"


@pytest.mark.slow
def test_how_it_rode_takes_every_word_and_nothing_leaves_nothing_behind() -> None:
    state = select_field(bench(), SYMPTOM)
    said = []
    for _ in WORDS:
        state = edit.nudge(state, 1)
        said.append(state.job.get(SYMPTOM))
    assert said == list(WORDS)
    assert edit.nudge(state, 1).bike == demo_job()


def test_renaming_the_setup_on_the_bike_takes_the_record_along() -> None:
    state = type_in(on_air(), ("setup", 1, "name"), "air, winter")
    assert state.job.get(ON_BIKE) == "air, winter"
    assert not state.faults
    assert edit.undo(state).job.get(ON_BIKE) == "air"
    assert type_in(state, ("setup", 0, "name"), "steel").job.get(ON_BIKE) == "air, winter"
    nameless = edit.clear_value(select_field(state, ("setup", 1, "name")))
    assert type_in(nameless, ("setup", 1, "name"), "air again").job.get(ON_BIKE) == "air again"


def test_another_setup_on_the_bike_says_whose_readings_they_are_now() -> None:
    assert edit.nudge(select_field(bench(), ON_BIKE), 1).note == ""
    both = type_in(on_air(), ("measured", "rebound_clicks"), "7")
    moved = edit.nudge(select_field(both, ON_BIKE), 1)
    told = "Sag measured and rebound now count for coil, not air; u undoes it."
    assert moved.note == told
    assert edit.undo(moved).job == both.job
    picked = edit.pick_from_list(edit.open_edit(select_field(both, ON_BIKE)), 0)
    assert picked.note == told


def test_taking_out_the_setup_on_the_bike_leaves_what_was_measured() -> None:
    there = with_cursor(on_air(), 3, 0)
    gone = setups.remove_setup(there)
    assert gone.job.get(("measured",)) == Tree({"sag": "43 mm"})
    assert gone.note == "air is removed. Sag measured now counts for coil, not air; u undoes it."
    assert not gone.faults
    other = setups.remove_setup(with_cursor(on_air(), 2, 0))
    assert (other.job.get(ON_BIKE), setup_on_bike(other.job)) == ("air", 0)


def test_the_cursor_stays_on_what_was_ridden_while_setups_come_and_go() -> None:
    state = select_field(bench(), SYMPTOM)
    assert (state.step, state.panel) == (Step.RIDE, len(state.panels) - 2)
    kept = setups.remove_setup(state)
    assert kept.job == state.job
    assert "do it again to remove it" in kept.note
    gone = setups.remove_setup(show_setup(state, 1))
    added = setups.add_coil(gone)
    assert added.panels[added.panel].setup == 1
    for there in (gone, added, edit.undo(added)):
        assert show_step(there, Step.RIDE).row.path == SYMPTOM
    front = move.show_other_wheel(select_field(bench(BIKE), SYMPTOM))
    assert front.row.path == SYMPTOM


def test_undo_goes_back_to_the_setup_it_brings_back() -> None:
    gone = setups.remove_setup(with_cursor(bench(), 3, 0))
    back = edit.undo(gone)
    assert back.panels[back.panel].setup == 1
    again = edit.redo(back)
    assert (again.step, again.setup, again.job) == (Step.SPRINGS, 0, gone.job)


def test_each_wheel_has_its_own_measures_and_the_bike_one_record() -> None:
    rear = type_in(type_in(bench(BIKE), SAG, "43"), ("record", "ticket"), "0417")
    front = type_in(move.show_other_wheel(rear), SAG, "33")
    assert (front.bike.get(SAG), front.bike.get(("front", "measured", "sag"))) == ("43 mm", "33 mm")
    assert front.job.get(("record", "ticket")) == "0417"
    words = type_in(front, ("ridden", "words"), "dives")
    assert words.bike.get(("ridden", "words")) == "dives"
    row = select_field(words, ON_BIKE).row
    assert isinstance(row.kind, Choice)
    assert [option.word for option in row.kind.options] == ["fork air", "fork coil"]


@pytest.mark.parametrize(
    ("path", "raw"), [(SAG, "43 psi"), (("record", "ticket"), 3), (SYMPTOM, "odd"), (ON_BIKE, "third")]
)
def test_a_fault_stands_at_its_row(path: TreePath, raw: object) -> None:
    state = select_field(bench(demo_job().with_value(path, raw)), path)
    assert list(faults_by_row(state)) == [(state.panel, state.rows[state.panel])]


def test_setups_without_names_leave_no_choice() -> None:
    job = demo_job().without(("setup", 0, "name")).without(("setup", 1, "name"))
    for state in (bench(job), bench(demo_job().without(("setup",)))):
        ride = show_step(state, Step.RIDE)
        assert ride.panels[ride.panel].index_of(SAG) is not None
        assert ride.panels[ride.panel].index_of(ON_BIKE) is None


# --- measured against expected, at the row ---------------------------------------------------


def meaning(state: BenchState, path: TreePath) -> str:
    rows = meaning_lines(select_field(state, path), 80, 3, UTF8)
    return " ".join("".join(text for text, _ in row).strip() for row in rows).strip()


def test_a_measured_value_says_at_once_how_it_lies() -> None:
    state = type_in(bench(), SAG, "43")
    assert "43.0 mm, expected 42.9 mm (40.5 to 45.5 mm): OK. Rider on" in meaning(state, SAG)
    assert caution_at(state, select_field(state, SAG).row) == ""
    assert meaning(bench(), SAG).startswith("sag measured: Expect 42.9 mm. Rider on, still")


def test_one_outside_of_its_band_is_marked_and_says_where_to_look() -> None:
    state = type_in(bench(), SAG, "60")
    told = meaning(state, SAG)
    assert "60.0 mm, expected 42.9 mm" in told
    assert told.endswith("To find the load: Space r, type sag 60.0 mm.")
    lines = page(select_field(state, SYMPTOM), 40, 60, 0, LOOK).lines
    texts = ["".join(text for text, _ in line) for line in lines]
    assert next(text for text in texts if "sag measured" in text).startswith(UTF8.caution)


def test_where_the_reading_would_mean_another_sag_it_is_not_offered() -> None:
    state = edit.nudge(select_field(type_in(bench(), SAG, "30"), ("measured", "of")), 1)
    assert "Check load and posture first" in meaning(state, SAG)
    assert "To find the load" not in meaning(state, SAG)


def test_a_sag_is_told_for_the_pressure_that_the_gauge_read() -> None:
    soft = type_in(type_in(on_air(), SAG, "60"), ("measured", "gauge"), "150 psi")
    assert "expected 61.1 mm at 150 psi, 50.4 mm at once (47.6 to 63.8 mm): OK" in meaning(soft, SAG)
    firm = type_in(type_in(on_air(), SAG, "60"), ("measured", "gauge"), "250 psi")
    assert "at 250 psi (" in meaning(firm, SAG)
    assert "To find the load: Space r, type sag 60.0 mm." in meaning(firm, SAG)


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(
    ("key", "texts"),
    [
        ("sag", ("30 mm", "60 mm")),
        ("gauge", ("5 bar", "220 psi", "20 bar")),
        ("scale", ("40 kg", "58.6 kg", "90 kg")),
    ],
)
def test_how_it_lies_where_to_look_and_the_caution_are_told_to_their_end(
    key: str, texts: tuple[str, ...]
) -> None:
    for text in texts:
        state = select_field(type_in(on_air(), ("measured", key), text), ("measured", key))
        told = meaning(state, ("measured", key))
        assert re.search(
            r": (OK|too \w+ sag|(above|below) the set pressure|(more|less) weight than expected)\. ",
            told,
        )
        for wanted in (caution_at(state, state.row), state.row.caution):
            assert wanted in told


def test_an_old_answer_holds_nothing_against_anything() -> None:
    state = type_in(type_in(bench(), SAG, "60"), ("load", "rider_mass"), "heavy")
    assert state.is_outdated
    assert meaning(state, SAG).startswith("sag measured: Rider on, still")
    assert caution_at(state, select_field(state, SAG).row) == ""


def test_before_sag_is_typed_its_row_says_what_to_expect_and_how_long_to_wait() -> None:
    state = select_field(edit.nudge(select_field(bench(), ON_BIKE), 1), SAG)
    told = meaning(state, SAG)
    assert told.startswith(
        "sag measured: Expect 42.9 mm, 36.6 mm at once: sit still for about 20 s, then measure."
    )
    assert "take the average." in told
    assert meaning(select_field(bench(), SAG), SAG).startswith(
        "sag measured: Expect 42.9 mm. Rider on, still"
    )
    at_shock = edit.nudge(select_field(state, ("measured", "of")), 1)
    assert meaning(at_shock, SAG).startswith("sag measured: Expect 16.0 mm, 13.6 mm at once")
    assert meaning(type_in(state, SAG, "43"), SAG).startswith("sag measured: 43.0 mm, expected 42.9 mm")
