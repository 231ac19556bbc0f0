"""After the ride on the bench: what was felt is chosen, changes are looked at, one key tries one."""

import re
from dataclasses import replace

import pytest

from tests.confirmed import confirmed_demo
from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.looks import LOOK, PLAIN_LOOK
from tui.bench.edit import show_other_wheel, undo
from tui.bench.state import (
    BenchState,
    Complaint,
    open_bench,
    select_field,
    show_step,
    show_view,
    symptom_now,
    with_answer,
)
from tui.bench.state import symptoms_ticked as ticked
from tui.bench.steps import Step
from tui.bench.views.advice import (
    advice_asked,
    advice_here,
    asked,
    change_tried,
    change_turned,
    lines,
    symptom_ticked,
    symptom_turned,
)
from tui.bench.views.pane import ViewPane
from tui.job.choices import SYMPTOMS
from tui.job.demo import demo_job
from tui.job.job import History, Job
from tui.job.wheels import wheel_job
from tui.kit.cells import text_of
from tui.kit.document import plain_lines
from tui.shop_units import METRIC
from tui.subjects.advice import document, json_object, sag_measured
from tui.subjects.readings import finding, taken_into
from tui.tables.source import SagRead

BOTH = demo_job()
SIZES = [(80, 24), (120, 40)]
ALL_SYMPTOMS = range(len(SYMPTOMS))


def on_bench(job: Job = BOTH, setup: int = 1, symptom: int = 0) -> BenchState:
    return replace(
        with_answer(open_bench(History.starting_at(job))), setup=setup, complaint=Complaint(symptom)
    )


def told(state: BenchState, width: int = 74) -> str:
    return " ".join(text_of(lines(state, width, LOOK)).split())


def test_changes_are_told_with_effect_side_effect_rebound_and_caution() -> None:
    first = told(on_bench())
    assert "wallows mid-stroke, not ticked (1 of 9)" in first
    assert (
        "› 1 pressure 205 → 223 psi mid-stroke support 1.82 → 2.01 x static (+10 %) sag 29.0 → 26.0 % "
        "(-3.0 points) could cause: never uses all its travel, rides too high takes the sag further from its "
        "target of 29 % of travel rebound about 5 % slower ! Never above max pressure"
    ) in first
    said = told(on_bench(symptom=tuple(SYMPTOMS).index("blows_through")))
    assert (
        "› 1 positive spacers 1 → 2, set 201 psi for the same sag energy from sag to stop 180 → 194 J (+8 %) "
        "side effect: natural frequency 2.39 → 2.42 Hz (+1 %) could cause: harsh ramp-up, never uses all "
        "its travel rebound about 1 % slower ! Let all air out"
    ) in said
    assert "2 pressure 205 → 223 psi: energy from sag to stop +11 %" in said
    assert "coil rebound about 4 % faster (less damping): critical damping 10919 → 10511 N s/m" in said


def test_the_limit_of_the_gas_law_is_said_to_be_one_of_slow_strokes() -> None:
    said = told(on_bench(), 200)
    assert "more than 120 bar at full stroke (slow; a fast hit may peak higher)" in said


def test_the_other_way_round_is_the_other_ratio() -> None:
    assert "air rebound about 4 % slower (more damping)" in told(on_bench(setup=0))


def test_clicks_stay_where_less_of_critical_is_what_helps() -> None:
    state = on_bench(symptom=tuple(SYMPTOMS).index("packs_down"))
    said = told(state)
    assert "Open rebound (less damping, faster) one click at a time" in said
    assert "rebound unchanged: damping ratio 4 % lower" in said


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("symptom", ALL_SYMPTOMS)
@pytest.mark.parametrize("width", [24, 40, 78])
def test_no_line_is_wider_than_its_place_and_plain_terminals_get_plain_letters(
    symptom: int, width: int
) -> None:
    for setup in (0, 1):
        state = on_bench(setup=setup, symptom=symptom)
        assert all(len(row) <= max(width, 44) for row in lines(state, width, LOOK))
        assert text_of(lines(state, width, PLAIN_LOOK)).isascii()


def test_going_round_complaints_and_changes() -> None:
    state = on_bench(symptom=tuple(SYMPTOMS).index("blows_through"))
    assert symptom_now(symptom_turned(on_bench(), -1)) == "unbalanced"
    assert symptom_now(symptom_turned(symptom_turned(state, -1), 1)) == "blows_through"
    found = advice_here(state)
    assert found is not None
    assert change_turned(state, -1).complaint.change == len(found.changes) - 1
    assert "› 2 pressure" in told(change_turned(state, 1))


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("symptom", ALL_SYMPTOMS)
@pytest.mark.parametrize("setup", [0, 1])
def test_every_change_can_be_tried_and_does_what_it_said(symptom: int, setup: int) -> None:
    state = on_bench(setup=setup, symptom=symptom)
    found = advice_here(state)
    assert found is not None
    for place, advice in enumerate(found.changes):
        tried = change_tried(change_turned(state, place))
        assert not tried.faults
        assert tried.answer is not None
        assert tried.setup == 2
        new = tried.answer.answer.setups[2]
        assert float(new.sag.wheel_fraction) == pytest.approx(advice.after.sag_fraction, rel=1e-9)
        assert float(new.figures.starting_wheel) == pytest.approx(advice.after.starting_wheel, rel=1e-9)
        for name in ("support_50", "bottom_ratio", "end_ramp", "natural_frequency", "critical_damping"):
            promised = getattr(advice.after, name)
            assert float(getattr(new.riding, name)) == pytest.approx(promised, rel=1e-9, nan_ok=True)
        assert undo(tried).bike == state.bike


def test_a_rate_that_is_tried_forgets_the_lengths_of_the_old_spring() -> None:
    tried = change_tried(on_bench(setup=0))
    assert tried.job.setups[2]["rate"] == "425 lbf/in"
    assert not {"free_length", "solid_length", "mass"} & set(tried.job.setups[2])
    assert tried.job.setups[0]["free_length"] == "152 mm"


def test_other_units() -> None:
    assert "pressure 14.1 → 15.4 bar" in told(replace(on_bench(), units=METRIC))


def test_what_there_is_no_change_for_is_said() -> None:
    rear = wheel_job(BOTH, "rear")
    unbalanced = tuple(SYMPTOMS).index("unbalanced")
    assert "This job has one wheel" in told(on_bench(rear, symptom=unbalanced))
    assert change_tried(on_bench(rear, symptom=unbalanced)).note == "No change to try."
    heavy = rear.with_value(("load", "rider_mass"), "450 kg").with_value(("setup", 1, "bore"), "20 mm")
    stuck = on_bench(heavy.with_value(("setup", 1, "body"), "15 mm"))
    assert "No sag yet: solve rate or pressure for the target sag first." in told(stuck)
    assert "A coil's ramp-up is fixed" in told(on_bench(setup=0))


async def pane_of(bench: Bench) -> ViewPane:
    await bench.show("advice")
    pane = bench.screen.query_one(ViewPane)
    assert pane.has_focus, "the view takes the arrows at once"
    return pane


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_arrows_choose_and_enter_tries(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        pane = await pane_of(bench)
        assert "1 of 9" in pane.text
        await bench.press("down")
        assert "harsh ramp-up, not ticked (2 of 9)" in " ".join(pane.text.split())
        await bench.press("+")
        assert bench.state.bike.get(("ridden", "symptom")) == "harsh-ramp-up"
        assert "harsh ramp-up, ticked (2 of 9)" in " ".join(pane.text.split())
        await bench.press("-")
        assert bench.state.bike.get(("ridden",)) is None
        await bench.press("up", "right")
        assert bench.state.complaint == Complaint(0, 1)
        before = bench.state.bike
        await bench.press("left", "enter")
        assert len(bench.state.job.setups) == 3
        assert "u undoes it" in bench.text("note")
        assert pane.has_focus
        await bench.press("u")
        assert bench.state.bike == before


@pytest.mark.parametrize("size", SIZES)
async def test_it_follows_the_panels(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        pane = await pane_of(bench)
        await bench.press("escape")
        assert bench.screen.grid.has_focus
        before = pane.text
        bench.screen.take(select_field(bench.state, ("load", "rider_mass")))
        await bench.press("8", "8", "enter")
        await bench.show("advice")
        assert pane.text != before


@pytest.mark.slow
def test_several_symptoms_are_ticked_and_each_change_says_what_it_does_to_all() -> None:
    state = symptom_ticked(on_bench(), 1)
    assert ticked(state) == ("wallows",)
    assert state.job.get(("ridden", "symptom")) == "wallows"
    assert "wallows mid-stroke, ticked (1 of 9)" in told(state)
    assert re.match(r". air: wallows mid-stroke: pressure 205 → 223 psi\.", told(state))
    state = symptom_ticked(symptom_turned(state, 1), 1)
    assert state.bike.get(("ridden", "symptom")) == ("wallows", "harsh-ramp-up")
    assert asked(state) == ("wallows", "harsh_ramp_up")
    said = told(symptom_turned(state, 1))
    assert "not ticked (3 of 9)" in said
    assert "Changes are for all ticked: wallows mid-stroke, harsh ramp-up." in said
    spaced = "positive spacers 1 → 0, set 208 psi for the same sag: helps harsh ramp-up; worsens wallows"
    assert spaced in said
    assert (
        "Not worth it: less than 3 %, or as much harm as good: positive spacers 1 → 2, set 201 psi for the "
        "same sag: wallows mid-stroke 1.9 % better, harsh ramp-up 8.9 % worse"
    ) in said
    assert ticked(undo(state)) == ("wallows",)
    gone = symptom_ticked(symptom_turned(symptom_ticked(state, -1), -1), -1)
    assert ticked(gone) == ()
    assert gone.bike.get(("ridden",)) is None
    assert asked(gone) == ("wallows",)
    again = symptom_ticked(gone, -1)
    assert (again.bike, again.note) == (gone.bike, "wallows mid-stroke: not ticked.")


def test_all_that_is_ticked_says_what_to_do_wherever_the_cursor_is() -> None:
    """What is done by hand comes before that no other setting helps."""
    job = confirmed_demo().with_value(("ridden", "symptom"), ("packs-down", "harsh-off-top"))
    job = job.taken_out(("setup", 1, "negative_spacer_volume"))
    measured = {"setup": "air", "gauge": "190 psi"}
    state = on_bench(job.with_value(("measured",), measured))
    seals = "harsh off the top, ticked (5 of 9): Lower breakaway force. Dry or swollen seals feel the same"
    rebound = (
        "packs down over bumps, ticked (6 of 9): Open rebound (less damping, faster) one click at a time"
    )
    for symptom in (None, *ALL_SYMPTOMS):
        said = told(replace(state, complaint=Complaint(symptom)))
        head, _, below = said.partition("; no other setting found that helps.")
        assert below, said
        assert head.endswith(
            "harsh off the top, packs down over bumps: first set 205 psi (gauge read 190 psi), then service "
            "dry or swollen seals and open rebound (less damping, faster) one click at a time"
        )
        for text in (seals, rebound):
            assert below.count(text) == 1
            assert below.index(text) < below.index("WHAT TO CHANGE")
        assert said.count("ticked (") == (2 if symptom in (None, 4, 5) else 3)


def test_it_opens_on_the_first_complaint_that_is_ticked() -> None:
    job = confirmed_demo().with_value(("ridden", "symptom"), ("packs-down", "too-low"))
    state = replace(with_answer(open_bench(History.starting_at(job))), setup=1)
    for opened in (show_step(state, Step.RIDE), show_view(state, "advice")):
        assert symptom_now(opened) == "packs_down"
        assert "› packs down over bumps, ticked (6 of 9)" in told(opened)
        assert "not ticked" not in told(opened)
    # Moved to another it stays there while the view is open, and begins at one that is ticked again.
    moved = symptom_turned(show_view(state, "advice"), -1)
    assert symptom_now(moved) == "harsh_off_top"
    assert symptom_now(show_view(moved, "advice")) == "harsh_off_top"
    assert symptom_now(show_view(show_view(moved, "readings"), "advice")) == "packs_down"
    on_second = symptom_turned(symptom_turned(moved, 1), 2)
    assert symptom_now(show_view(show_view(on_second, "readings"), "advice")) == "too_low"
    # With none ticked it is where it was left.
    bare = symptom_turned(show_view(on_bench(confirmed_demo()), "advice"), 3)
    assert symptom_now(show_view(show_view(bare, "readings"), "advice")) == symptom_now(bare)


def test_what_was_ticked_is_the_bike_s_and_goes_with_it_to_the_other_end() -> None:
    kept = "Complaints count for the whole bike: ticked at the other wheel too."
    rear = symptom_ticked(on_bench(), 1)
    assert kept in told(rear)
    assert kept not in told(on_bench()), "none is ticked"
    assert kept not in told(symptom_ticked(on_bench(wheel_job(confirmed_demo(), "rear")), 1)), "one wheel"
    state = show_other_wheel(rear)
    assert ticked(state) == ("wallows",)
    assert kept in told(state)
    both = symptom_ticked(symptom_turned(state, 6), 1)
    assert both.bike.get(("ridden", "symptom")) == ("wallows", "too-high")
    assert "ridden" not in both.bike.tree["front"]


def test_the_sag_comes_first_where_it_is_off_and_enter_puts_it_right() -> None:
    off = confirmed_demo().with_value(("setup", 1, "pressure"), "175 psi")
    state = on_bench(off)
    said = told(state)
    first = "! First bring the sag to 29 % of travel: it is 35.0 %. Change 1 does it. › 1"
    assert first in said
    assert "› 1 pressure 175 → 205 psi sag 35.0 → 29.0 %" in said
    tried = change_tried(state)
    assert tried.job.setups[2]["pressure"] == "205 psi"
    assert "First bring" not in told(tried)
    assert "No other single step within this shock's limits helps by 3 % or more." in said


def test_a_sag_that_is_corrected_at_the_cost_of_the_complaint_waits_and_says_so() -> None:
    """After pressure is added for the complaint, letting it out again is not what comes first."""
    state = on_bench(confirmed_demo())
    tried = change_tried(state)
    assert tried.job.setups[2]["pressure"] == "223 psi"
    back = "Pressure 223 → 205 psi brings it there, but worsens wallows mid-stroke."
    assert f"! Sag is 26.0 %, target 29 % of travel. {back} › 1 pressure 223 → 244 psi" in told(tried)
    doubted = told(change_tried(on_bench()))
    assert f"29 % of travel, typical and not confirmed: confirm or type it. {back} › 1" in doubted


def test_a_typical_target_does_not_come_before_the_complaint() -> None:
    off = BOTH.with_value(("setup", 1, "pressure"), "190 psi")
    said = told(on_bench(off, symptom=tuple(SYMPTOMS).index("blows_through")))
    lead = "! Sag is 31.8 %, target 29 % of travel, typical and not confirmed: confirm or type it. › 1"
    assert f"{lead} positive spacers 1 → 2" in said
    assert "First bring the sag" not in said


def test_complaints_that_ask_for_opposite_changes_are_said_to() -> None:
    both = on_bench(BOTH.with_value(("ridden", "symptom"), ("blows-through", "unused-travel")))
    said = told(both)
    assert '! "blows through, bottoms out" and "never uses all its travel" ask for opposite changes.' in said
    assert "No single step within this shock's limits helps the complaints together by 3 % or more." in said


def test_a_measured_sag_outside_its_band_is_told_before_the_changes() -> None:
    measured = {"setup": "air", "sag": "56 mm", "of": "travel"}
    said = told(on_bench(confirmed_demo().with_value(("measured",), measured)))
    more = "56.0 mm measured at the wheel, too much sag: expected 34.3 to 45.2 mm."
    assert f"! First bring the sag to 29 % of travel on the bike: {more}" in said
    assert "psi gives 29 % of travel with it" in said
    said = told(on_bench(BOTH.with_value(("measured",), measured)))
    assert f"! {more}" in said
    assert "First bring" not in said


def measured_at(gauge: str, sag: str = "52 mm", job: Job | None = None) -> BenchState:
    measured = {"setup": "air", "sag": sag, "of": "travel", **({"gauge": gauge} if gauge else {})}
    job = (job or confirmed_demo()).with_value(("ridden", "symptom"), "packs-down")
    return on_bench(job.with_value(("measured",), measured))


def test_after_a_measured_sag_the_changes_start_from_what_it_says_and_say_what_to_set_first() -> None:
    """The same before and after the load is put in: one state, one reference."""
    state = measured_at("185 psi")
    said = told(state)
    assert said.startswith(
        "◆ air: packs down over bumps: first set 217 psi (gauge read 185 psi), then pressure"
    )
    assert "217 psi gives 29 % of travel with it" in said
    assert "The changes below are for that load and start from 217 psi: set that first." in said
    assert "› 1 pressure 217 → 236 psi" in said
    assert 'Space, then r, type "sag 52.0 mm", Enter, Enter.' in said
    assert state.answer is not None
    found = finding(state.answer, 1, SagRead(0.052, is_share=False))
    job = taken_into(state.job, 1, found, state.units)
    applied = told(on_bench(job or state.job))
    assert "First set 217 psi on the bike, where the gauge read 185 psi. The changes below" in applied
    first = "first set 217 psi (gauge read 185 psi), then pressure 217 → 236 psi."
    assert first in applied
    # A change that is tried brings the load that it was calculated for, in one edit.
    tried = change_tried(state)
    assert tried.job.tree["load"] == (job or state.job).tree["load"]
    assert tried.job.setups[2]["pressure"] == "236 psi"
    assert undo(tried).job == state.job


def test_the_rebound_of_another_setup_says_for_which_load_it_is() -> None:
    """The verdict is for the load as typed; with the measured one it may turn round."""
    state = measured_at("185 psi")
    said = told(state)
    load = re.search(r"With that sag the wheel carries (\d+ N), not (\d+ N)", said)
    assert load is not None
    for_load = (
        f"For the measured load, {load[1]} at the wheel; the verdict on Compare is for {load[2]} as typed."
    )
    head = "REBOUND IF ANOTHER SETUP IS FITTED IN PLACE OF AIR"
    assert f"{head} {for_load} ● coil rebound about" in said
    assert "For the measured load" not in told(on_bench())
    tried = change_tried(state)
    assert "For the measured load" not in told(tried), "the load is that of the job now"
    here = advice_asked(state)
    assert here is not None
    assert here.found is not None
    plain = plain_lines(document(here, here.found))
    assert any(
        line.strip().startswith("If coil is fitted instead, under the measured load: ") for line in plain
    )
    ratio = json_object(here, here.found)["rebound_ratio_to"]["coil"]
    setups = here.loaded.seat.there.answer.setups
    coil, air = (float(setups[place].riding.critical_damping) for place in (0, 1))
    assert ratio == pytest.approx(coil / air, rel=1e-12)
    typed = [float(one.riding.critical_damping) for one in here.seat.there.answer.setups]
    assert ratio != pytest.approx(typed[0] / typed[1], rel=1e-3), "another than the verdict has"


def test_a_sag_measured_without_a_gauge_is_one_at_the_pressure_as_solved() -> None:
    """To solve the pressure again for each load it gives would raise both without end."""
    state = measured_at("", "56 mm")
    assert "With the measured load the sag is 37.8 %. Change 1 does it. › 1 pressure 205 → 256 psi" in told(
        state
    )
    tried = change_tried(state)
    assert (tried.job.setups[1]["pressure"], tried.job.setups[2]["pressure"]) == ("205 psi", "256 psi")
    assert sag_measured(tried.answer, 1) is None if tried.answer else False


def test_what_would_help_without_a_complaint_is_headed_by_the_complaint_it_is_for() -> None:
    state = on_bench()
    assert 'WHAT WOULD HELP WITH "WALLOWS MID-STROKE"' in told(state)
    assert 'if the rider complained of "wallows mid-stroke".' in told(state)
    assert "WHAT TO CHANGE" not in told(state)
    assert "WHAT TO CHANGE" in told(symptom_ticked(state, 1))


def test_more_pressure_without_a_max_pressure_says_that_none_is_known() -> None:
    job = confirmed_demo()
    state = on_bench(job.taken_out(("setup", 1, "max_pressure")))
    caution = "! No max pressure entered: read the shock's label before pumping and stay below it. Eye"
    assert caution in told(state)
    assert "No max pressure entered" not in told(on_bench(job))
    assert "No max pressure entered" not in told(
        on_bench(state.job, symptom=tuple(SYMPTOMS).index("too_high"))
    )


def test_the_rebound_of_another_setup_says_what_it_takes_the_place_of() -> None:
    assert "REBOUND IF ANOTHER SETUP IS FITTED IN PLACE OF AIR ● coil rebound about 4 % faster" in told(
        on_bench()
    )


async def test_the_change_that_is_chosen_is_named_and_scrolled_to() -> None:
    job = confirmed_demo().with_value(("ridden", "symptom"), "blows-through")
    async with bench_app(job).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        bench.screen.take(replace(bench.state, setup=1))
        pane = await pane_of(bench)
        await bench.press("pagedown", "pagedown", "pagedown", "right")
        assert bench.state.complaint.change == 1
        assert re.search(r"^› 2 ", pane.text, re.MULTILINE)
        assert "Change 2 of 2: pressure 205 → 223 psi." in bench.text("note")


async def test_the_only_change_is_scrolled_to_as_well() -> None:
    job = confirmed_demo().with_value(("ridden", "symptom"), "wallows")
    async with bench_app(job).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        bench.screen.take(replace(bench.state, setup=1))
        pane = await pane_of(bench)
        await bench.press("pagedown", "pagedown")
        assert not re.search(r"^› 1 ", pane.text, re.MULTILINE)
        await bench.press("right")
        assert re.search(r"^› 1 ", pane.text, re.MULTILINE)
        assert "Change 1 of 1: pressure" in bench.text("note")


def test_cautions_of_the_changed_setup_stand_with_the_change() -> None:
    resting = BOTH.with_value(("front", "setup", 0, "port"), "3 mm")
    fork = show_other_wheel(on_bench(resting, symptom=tuple(SYMPTOMS).index("too_high")))
    said = told(fork)
    assert "Unloaded it sits" in said
    assert "stroke" not in said.partition("Unloaded it sits")[2][:60]


def test_without_a_complaint_the_first_line_says_how_one_is_ticked() -> None:
    first = told(on_bench())
    to_tick = "No complaint is ticked. Space, then v, comes here; Up Down chooses one, + ticks it."
    assert first.startswith(to_tick)
    assert told(replace(on_bench(), in_view=True)).startswith("No complaint is ticked. Up Down chooses one")
    ticked_one = symptom_ticked(on_bench(), 1)
    assert ticked(ticked_one)
    assert "No complaint" not in told(ticked_one)
