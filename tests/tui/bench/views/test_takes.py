"""Whatever a view shows to be set is set by Enter, does what the line says, and is undone by u."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from physics.solve import solved_case
from tests.tui.bench.conftest import bench_app, started
from tests.tui.bench.views.test_pairs import STROKES, measured
from tests.tui.bench.views.test_sweep import mapped
from tests.tui.bench.views.test_tolerance import on_bench
from tests.tui.job.two_ends import BIKE
from tests.tui.looks import LOOK
from tui.bench.edit import undo
from tui.bench.state import (
    BenchState,
    map_field,
    open_bench,
    select_field,
    show_view,
    sweep_field,
    with_answer,
    with_job,
)
from tui.bench.views import match, pairs, sweep
from tui.bench.views.cursor import move_read, place_takes
from tui.bench.views.documents import conditions_lines, wire_lines
from tui.bench.views.pane import view_keys
from tui.bench.views.takes import OFFERS, move_take, spacer_chosen, take_selected, takes_here
from tui.bench.words import keys_line
from tui.job.demo import demo_job
from tui.job.figures import figure_named, read_figure
from tui.job.job import History, Job
from tui.job.typed import SOLVE
from tui.job.wheels import wheel_job
from tui.kit.cells import text_of
from tui.shop_units import USUAL, Measure

DEMO = wheel_job(demo_job(), "rear")
COLD = DEMO.with_value(("ride", "temperature"), "0 degC").with_value(("ride", "altitude"), "1500 m")
COIL, AIR = 0, 1


def start(view: str, job: Job = DEMO, setup: int = COIL) -> BenchState:
    return show_view(replace(on_bench(job), setup=setup), view)


def press(state: BenchState, *keys: str) -> BenchState:
    for key in keys:
        state = view_keys(state)[key](state)
    return state


def footer(state: BenchState) -> str:
    return text_of(keys_line(state, 120, LOOK.glyphs))


SHOWN = {
    "order": start("order"),
    "spacers": press(start("spacers", setup=AIR), "down"),
    "leverage": start("leverage", DEMO.with_value(("frame", "stroke"), "55 mm")),
    "pairs": start("pairs", DEMO.with_value(("frame", "stroke"), "55 mm")),
    "balance": move_take(show_view(with_answer(open_bench(History.starting_at(BIKE))), "balance"), 1),
    "conditions": start("conditions", COLD, AIR),
    "wire": start("wire"),
    "sweep": press(start("sweep"), "right", "right"),
    "map": press(mapped(start("map")), "right", "up"),
}


@pytest.mark.fast_cases(3)
@pytest.mark.parametrize("view", OFFERS)
def test_enter_takes_what_is_shown_and_u_undoes_it(view: str) -> None:
    shown = SHOWN[view]
    assert takes_here(shown)
    assert "Enter " in footer(shown)
    taken = press(shown, "enter")
    assert taken.bike != shown.bike
    assert not taken.faults
    assert taken.note.endswith(": on the bench; u undoes it.")
    assert ("Now at the " in taken.note) == (taken.wheel != shown.wheel)
    assert taken.in_view
    assert taken.view == view
    assert undo(taken).bike == shown.bike


def test_where_nothing_can_be_taken_enter_is_not_offered() -> None:
    for view, setup in (("conditions", AIR), ("spacers", COIL), ("pairs", COIL), ("sweep", COIL)):
        bare = replace(start(view), setup=setup)
        assert not takes_here(bare)
        assert "enter" not in view_keys(bare)
        assert "Enter" not in footer(bare)
    assert take_selected(start("conditions")).note == "Nothing to use here."


@pytest.mark.slow
def test_each_line_of_both_ends_makes_its_measure_agree_at_the_wheel_it_names() -> None:
    first = show_view(with_answer(open_bench(History.starting_at(demo_job()))), "balance")
    both = show_view(with_answer(open_bench(History.starting_at(BIKE))), "balance")
    named = {"sag": "sag_fraction", "natural frequency": "natural_frequency", "support at 50 %": "support_50"}
    count = 0
    for shown in (first, both):
        for place, take in enumerate(takes_here(shown)):
            taken = with_answer(take_selected(move_take(shown, place)))
            if not take.values:
                assert place == 0
                continue
            assert taken.wheel == take.wheel  # what is changed is what is on the bench
            assert f"set the {take.wheel} to" in take.head
            assert taken.bike_answer is not None
            told = r".*?: (.*?)(?:; sag)? ([\d.]+) %, (?:on target|off its target of ([\d.]+) % of travel)"
            what = re.fullmatch(told, take.text)
            assert what is not None, take.text
            here = taken.bike_answer.at(take.wheel)
            assert here is not None
            # What it does to the sag stands beside the target of that wheel, and comes out as announced.
            sag = float(here.answer.setups[0].sag.wheel_fraction)
            assert USUAL.plain(sag, Measure.FRACTION) == what[2]
            target = 100 * float(here.answer.target.sag)
            assert float(what[3] or what[2]) == pytest.approx(target, abs=0.1 if what[3] else 0.6)
            figure = named.get(what[1])
            if figure is None:
                continue
            rear, front = taken.bike_answer.at("rear"), taken.bike_answer.at("front")
            assert rear is not None
            assert front is not None
            at = (rear.answer.setups[0], front.answer.setups[0])
            # A fork of 30 psi is set to a whole psi, which is 3 % of it.
            coarse = 0.5 / float(take.text.split()[0]) if take.text.split()[1].startswith("psi") else 0.0
            if figure == "sag_fraction":
                rear_is, front_is = (float(setup.sag.wheel_fraction) for setup in at)
            else:
                rear_is, front_is = (read_figure(figure_named(figure), setup) for setup in at)
            assert front_is == pytest.approx(rear_is, rel=0.02 + coarse)
            count += 1
    assert count > 4


def test_the_pressure_for_the_ride_gives_the_target_sag_there() -> None:
    shown = SHOWN["conditions"]
    taken = press(shown, "enter")
    assert taken.answer is not None
    ride = taken.answer.answer.setups[AIR].ride
    assert ride is not None
    assert float(ride.sag_wheel_fraction) == pytest.approx(0.29, abs=0.001)
    # The line then says that it is set, and the sag here that the table below has.
    first, *rest = text_of(conditions_lines(taken, 78, LOOK)).splitlines()
    told = re.match(r"› (\d+) psi is set here, for 29\.0 % sag there", first)
    assert told is not None, first
    announced = re.search(r"the sag here is ([\d.]+) %", " ".join(" ".join([first, *rest]).split()))
    assert announced is not None
    shop = next(line.split() for line in rest if line.startswith("shop"))
    assert shop[1:] == [told[1], announced[1]]
    before = " ".join(text_of(conditions_lines(shown, 78, LOOK)).split())
    assert f"Pump {told[1]} psi here for 29.0 % sag there" in before
    assert f"the sag here is then {announced[1]} %" in before
    assert press(taken, "enter").note == taken.note.replace(
        "on the bench; u undoes it.", "already on the bench."
    )


def test_a_count_of_spacers_keeps_the_sag_and_one_over_a_limit_is_not_set() -> None:
    shown = start("spacers", setup=AIR)
    assert spacer_chosen(shown) == (1, 0)  # what is fitted
    as_it_is = press(shown, "enter")
    assert as_it_is.job == shown.job
    assert as_it_is.note == "1 positive, 0 negative: already on the bench."
    there = press(shown, "down", "right")
    taken = press(there, "enter")
    setup = taken.job.setups[AIR]
    assert (setup["positive_spacers"], setup["negative_spacers"], setup["pressure"]) == (2, 1, SOLVE)
    assert spacer_chosen(taken) == (2, 1)
    assert taken.answer is not None
    assert float(taken.answer.answer.setups[AIR].sag.wheel_fraction) == pytest.approx(0.29, abs=1e-6)
    low = start("spacers", DEMO.with_value(("setup", AIR, "max_pressure"), "180 psi"), AIR)
    refused = press(low, "enter")
    assert refused.job == low.job
    assert refused.note == "1 positive, 0 negative, 205 psi is above max pressure: not set."


def test_the_cursor_stays_on_the_spring_that_was_taken() -> None:
    state = start("order")
    for chosen in range(len(takes_here(state))):
        after = press(replace(state, taken=chosen), "enter")
        shown = takes_here(after)[after.taken]
        assert shown.values[0] == takes_here(state)[chosen].values[0]
        assert press(after, "enter").job.get(("setup", 0, "rate")) == after.job.get(("setup", 0, "rate"))


def test_the_wire_to_order_has_the_rate_that_was_asked_for() -> None:
    roomy = start("wire", DEMO.with_value(("setup", COIL, "free_length"), "175 mm"))
    for place in (0, 1):
        taken = take_selected(move_take(roomy, place))
        assert taken.answer is not None
        coil = taken.answer.answer.setups[COIL].coil
        assert coil is not None
        assert coil.wire is not None
        assert float(coil.wire.rate) == pytest.approx(float(coil.rate), rel=0.01)
        assert "mass" not in taken.job.setups[COIL]  # what another coil weighed
        # It is checked again, and nobody has measured it yet.
        # Lengths are written to 0.1 mm.
        assert float(coil.wire.gap) == pytest.approx(float(coil.wire.gap_due), abs=1e-4)
        for key in ("free_length", "solid_length", "wire_diameter", "total_coils"):
            assert taken.job.is_unconfirmed(("setup", COIL, key))


def test_a_wire_too_long_for_the_shock_is_marked_and_not_taken() -> None:
    shown = SHOWN["wire"]
    fits, long = takes_here(shown)
    assert fits.text.startswith("8.9 mm beta titanium wire")
    assert re.fullmatch(
        r"! 8\.5 mm chrome-silicon wire, \d+ g: too long, free 166\.9 mm less 1\.9 mm preload; the shock "
        r"takes 160\.0 mm \(rule of thumb\)",
        long.text,
    ), long.text
    refused = take_selected(move_take(shown, 1))
    assert refused.job == shown.job
    assert "too long" in refused.note
    assert refused.note.endswith(": not set.")
    # With more preload neither goes on, and the first line says so.
    bound = DEMO.without(("setup", COIL, "preload_turns")).with_value(("setup", COIL, "preload"), "14 mm")
    bound = bound.with_value(("setup", COIL, "rate"), "475 lbf/in")
    state = start("wire", bound)
    assert all(take.head == "None of these fits the shock" and not take.values for take in takes_here(state))
    # The coil that is on the shock goes on it, whatever is usual.
    room = DEMO.with_value(("setup", COIL, "free_length"), "175 mm")
    assert all(take.values for take in takes_here(start("wire", room)))
    unknown = DEMO.without(("setup", COIL, "free_length")).without(("frame", "eye_to_eye"))
    assert all(take.values for take in takes_here(start("wire", unknown)))
    assert "is not checked" in " ".join(text_of(wire_lines(start("wire", unknown), 78, LOOK)).split())


def test_what_is_read_off_a_sweep_is_what_the_job_then_gives() -> None:
    over = select_field(on_bench(DEMO), ("setup", COIL, "preload_turns"))
    shown = press(sweep_field(over), "right", "right", "right")
    taken = press(shown, "enter")
    assert taken.job.get(("setup", COIL, "preload_turns")) != DEMO.get(("setup", COIL, "preload_turns"))
    assert taken.answer is not None
    found = takes_here(shown)[0].text
    assert found.startswith("preload ")
    figure = read_figure(figure_named("starting_shaft"), taken.answer.answer.setups[COIL])
    assert float(found.rpartition("coil ")[2].split()[0]) == pytest.approx(figure, abs=1.0)


@pytest.mark.slow
def test_what_is_read_off_a_map_is_what_the_job_then_gives() -> None:
    shown = mapped(map_field(select_field(sweep_field(on_bench(DEMO)), ("target", "sag"))))
    assert not takes_here(shown)  # nothing is read yet: the job stands there
    there = move_read(shown, across=3, up=1)
    taken = press(there, "enter")
    assert taken.answer is not None
    figure = read_figure(figure_named("starting_shaft"), taken.answer.answer.setups[COIL])
    assert float(place_takes(there)[0].text.rpartition("coil ")[2].split()[0]) == pytest.approx(
        figure, rel=0.02
    )


@pytest.mark.slow
def test_every_input_that_is_swept_types_the_number_it_shows() -> None:
    from physics.inputs import inputs_of
    from tui.subjects.sweep import number_typed

    for index in (COIL, AIR):
        state = replace(on_bench(DEMO), setup=index)
        assert state.answer is not None
        case = solved_case(state.answer.case)
        known = replace(case, setups=(case.setups[index],))
        for one in inputs_of(known):
            low, high = one.reach(known)
            number = float(one.along(low, high, 7)[4])
            typed = number_typed(state.job, index, one, number, known, state.units)
            assert typed, one.name
            job = state.job
            for path, raw in typed:
                job = job.taken_out(path) if raw is None else job.with_value(path, raw)
            after = with_job(state, job)
            if (
                after.faults
            ):  # a range may go beyond what a frame can be: leverage and stroke then do not close
                assert one.name in ("start", "middle", "end", "stroke", "wheel_travel")
                continue
            assert after.answer is not None
            there = solved_case(after.answer.case)
            read = one.read(replace(there, setups=(there.setups[index],)))
            assert read is not None
            assert float(np.asarray(read)) == pytest.approx(number, rel=0.02, abs=0.01), one.name


def test_the_sweep_is_not_moved_by_the_line_that_is_read() -> None:
    shown = start("sweep")
    before, after = (sweep.lines(state, 41, LOOK) for state in (shown, press(shown, "right")))
    assert len(before) == len(after)
    assert sum(one != two for one, two in zip(before, after, strict=True)) <= 3
    found = place_takes(press(shown, "right"))[0]
    assert "rider mass 83.0 kg" in found.text


def test_a_coil_one_can_buy_is_added_in_the_place_of_the_closest() -> None:
    shown = start("match", setup=AIR)
    said = text_of(match.lines(shown, 78, LOOK))
    assert "Nearest rates to buy:" in said
    coils = match.coils_here(shown)
    assert len(coils) > 1
    closest, bought = press(shown, "enter"), press(shown, "down", "enter")
    assert closest.job.setups[-1]["rate"] == dict(coils[0].values)[("rate",)]
    assert bought.job.setups[-1]["rate"] == dict(coils[1].values)[("rate",)]
    assert bought.answer is not None
    # It is too stiff for the target's sag, and the line says which sag it has.
    sag = float(bought.answer.answer.setups[-1].sag.wheel_fraction)
    assert f": sag {USUAL.show(sag, Measure.FRACTION)}, too stiff for 29.0 %; " in coils[1].text
    softer = press(shown, "down", "down", "enter")
    assert softer.answer is not None
    assert float(softer.answer.answer.setups[-1].sag.wheel_fraction) == pytest.approx(0.29, abs=0.003)
    assert undo(bought).job == shown.job


@pytest.mark.slow
def test_pairs_that_do_not_close_with_the_stroke_show_what_fits() -> None:
    state = measured(*STROKES)
    short, long = (
        show_view(with_job(state, state.job.with_value(("frame", "stroke"), stroke)), "pairs")
        for stroke in ("55 mm", "64 mm")
    )
    # The wheel was seen to go further than a shorter travel, and no further than it was measured.
    assert [take.values[0][0][-1] for take in takes_here(short)] == ["stroke"]
    assert [take.values[0][0][-1] for take in takes_here(long)] == ["stroke"]
    for refused in (short, long):
        said = " ".join(text_of(pairs.lines(refused, 78, LOOK)).split())
        assert "Each of these alone makes the frame fit" in said
        assert not press(refused, "enter").faults
        assert not press(refused, *["down"] * (len(takes_here(refused)) - 1), "enter").faults


@pytest.mark.slow
async def test_the_lines_are_moved_along_and_the_view_scrolls_past_the_last() -> None:
    async with bench_app(BIKE).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("balance")
        last = len(takes_here(bench.state)) - 1
        assert last > 0
        top = bench.text("view").splitlines()[0]
        await bench.press(*["down"] * last)
        assert bench.state.taken == last
        assert bench.text("view").splitlines()[0] == top
        await bench.press("down")
        assert bench.text("view").splitlines()[0] != top
        await bench.press("enter", "u")
        assert bench.state.bike == BIKE
