"""Readings on the bench: asked for in a line or a file, told with errors and a plot, taken with one key."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from textual.widgets import Static

from physics.loop import loop_of
from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.looks import LOOK, PLAIN_LOOK
from tests.tui.tables.testers import bent, csv_of, csv_of_demo, demo_set, loop_of_demo, one_way, spring_alone
from tui.bench.edit import undo
from tui.bench.prompts import ReadingsPrompt
from tui.bench.state import BenchState, open_bench, with_answer
from tui.bench.views.pane import ViewPane
from tui.bench.views.readings import KEYS, lines, readings_taken, said_of, task, with_readings
from tui.bench.words import foot_lines
from tui.job.job import ON_BIKE, History, Job
from tui.kit.cells import text_of
from tui.kit.work import Worked
from tui.shop_units import IMPERIAL, METRIC
from tui.tables.source import CyclingRead, LoopRead, Readings, SagRead

SIZES = [(80, 24), (120, 40)]
PSI = 6894.757293168


def on_bench(readings: Readings, setup: int = 1, job: Job | None = None) -> BenchState:
    """Return the bench with readings, what they say already worked out."""
    state = replace(with_answer(open_bench(History.starting_at(job or demo_set()))), setup=setup)
    state = with_readings(state, readings)
    asked = task(state)
    assert asked is not None
    assert state.answer is not None
    return replace(state, worked=Worked(asked.key, said_of(state.answer, setup, readings)))


def told(state: BenchState, width: int = 74) -> str:
    return " ".join(text_of(lines(state, width, LOOK)).split())


def everything(bench: Bench) -> str:
    return text_of(bench.screen.query_one(ViewPane)._lines)


async def settled(bench: Bench) -> None:
    """Wait until what the view works out is there."""
    await bench.pilot.app.workers.wait_for_complete()
    await bench.pilot.pause()
    await bench.pilot.pause()


def test_parameters_stand_with_error_and_what_the_setup_has() -> None:
    said = told(on_bench(loop_of_demo(1)))
    assert "41 readings in and out, tester.csv" in said
    assert "found ± now" in said
    for name in ("positive volume", "negative volume", "port", "friction"):
        assert f" {name} " in said
    assert "negative volume cm3" in said
    assert "i going in, o coming out" in said
    assert "Volumes are without spacers" in said
    assert "lbf/in" in told(on_bench(loop_of_demo(0), setup=0))
    assert "N/mm" in told(replace(on_bench(loop_of_demo(0), setup=0), units=METRIC))


def test_the_numbers_come_first_then_what_to_mind() -> None:
    rows = text_of(lines(on_bench(bent(0), setup=0), 74, LOOK)).splitlines()
    assert rows[0].startswith(f"{LOOK.marker(0)} coil: rate 470.5 ± 3.0 lbf/in, preload 1.420 ± 0.127 mm")
    del rows[0]  # what was found takes two lines
    assert rows[1].startswith("Measured: the whole shock; damper gas (133 N at full extension) and bumper")
    assert rows[2] == "from the setup subtracted. Left or Right changes it."
    assert rows[3].split() == ["found", "±", "now"]
    assert rows[4].startswith("rate lbf/in")
    said = " ".join(" ".join(rows).split())
    bend = said.index("do not fit a linear coil: a progressive coil, or the spring alone was measured?")
    assert said.index("friction N") < bend < said.index("RESIDUAL FORCE")
    assert "The ± is not valid for residuals that bend" in said
    assert "Left out: 1 reading past full stroke, at 60.40 mm." in said
    assert "41 readings in and out, bent.csv" in said
    assert (
        "The residuals bend. Runs of one sign: going in 3 where chance makes about 11, so few by chance"
        in said
    )


def test_a_spring_measured_alone_is_told_by_its_force_at_full_extension_and_taken_as_such() -> None:
    """The gas of the setup, subtracted from a spring alone, would make it 2 % too soft."""
    state = on_bench(spring_alone(), setup=0)
    said = told(state)
    assert "! The force at full extension is 13 N, but the damper gas alone would make it 133 N: this" in said
    assert "this looks like the spring alone, and then the gas must not be subtracted." in said
    assert "missing in the setup" not in said
    other = KEYS["right"](state)
    assert isinstance(other.readings, LoopRead)
    state = on_bench(other.readings, setup=0)
    said = told(state)
    assert "Measured: the spring alone; nothing subtracted, and only the rate is applied." in said
    assert "looks like" not in said
    assert "preload" not in said
    taken = readings_taken(state)
    assert taken.job.get(("setup", 0, "rate")) == "450.2 lbf/in"
    assert taken.note == "Rate set in the setup; u undoes it."
    before = state.job.without(("setup", 0, "rate"))
    assert taken.job.without(("setup", 0, "rate")) == before
    back = KEYS["left"](other).readings
    assert isinstance(back, LoopRead)
    assert (other.readings.alone, back.alone) == (True, False)
    air = on_bench(loop_of_demo(1))
    assert "Only a coil's force" in KEYS["left"](air).note
    assert "damper gas (93 N at full extension) and bumper from the setup subtracted." in told(air)


def test_gas_is_called_missing_only_where_the_setup_has_none() -> None:
    bare = demo_set()
    for key in ("gas_pressure", "gas_volume", "bumper_length", "bumper_force"):
        bare = bare.without(("setup", 0, key))
    said = told(on_bench(bent(0), setup=0, job=bare))
    assert "a progressive coil, or a damper gas or bumper missing in the setup?" in said
    assert "Measured: the whole shock; the setup has no damper gas to subtract." in said


def test_a_loop_of_the_law_is_said_to_scatter_by_chance() -> None:
    said = told(on_bench(loop_of_demo(1)))
    assert (
        "The residuals are random. Runs of one sign: going in 10 where chance makes about 11, so few" in said
    )
    assert "Left out: 1 reading at a turning point, which is neither in nor out." in said
    counts = re.search(r"(\d+) readings in and out, .*?: (\d+) used, (\d+) left out\.", said)
    assert counts is not None
    whole, used, left_out = map(int, counts.groups())
    assert (whole, left_out) == (used + 1, 1)
    assert "bend in a way" not in said
    # Where the errors come from, with the gauge of the job.
    assert "WHERE THE ± COMES FROM" in said
    assert "positive volume ± in cm3: diameters " in said
    assert "Tool errors (±): gauge 2.0 psi; diameters 0.10 mm for bore, rod and body" in said
    assert "gauge" not in told(on_bench(loop_of_demo(0), setup=0))


def test_one_way_says_what_it_cannot_tell_and_how_far_that_moves_the_rest() -> None:
    said = told(on_bench(one_way(0), setup=0))
    assert "20 readings going in" in said
    assert "! One-way readings cannot separate friction: assumed 30 N, the middle of 0 to 60 N" in said
    assert "With 10 N more friction: rate +0.0 lbf/in, preload -0.127 mm." in said
    assert "preload ± in mm: unknown friction 0.220" in said
    assert "Type the measurements again with the friction" in said
    setup = told(on_bench(one_way(0, "setup"), setup=0))
    assert "One-way readings cannot separate friction: 14 N from the setup." in setup
    typed = told(on_bench(one_way(0, 12.0), setup=0))
    assert "One-way readings cannot separate friction: 12 N as typed." in typed
    assert "unknown friction" not in setup + typed
    air = told(on_bench(one_way(1)))
    assert "With 10 N more friction: positive volume +0." in air
    assert ", negative volume +0." in air
    assert ", port +0." in air
    imperial = told(replace(on_bench(one_way(0), setup=0), units=IMPERIAL))
    assert "With 10 lbf more friction: rate +0.0 lbf/in, preload -0.56" in imperial


def test_friction_of_a_loop_is_its_own() -> None:
    read = replace(loop_of_demo(0), friction=12.0)
    assert "leave out the friction entered with them" in told(on_bench(read, setup=0))


def test_what_says_nothing_says_why() -> None:
    assert "cannot separate" not in told(on_bench(loop_of_demo(1)))
    assert "has none" in told(on_bench(CyclingRead(200 * PSI, 170 * PSI), setup=0))
    state = on_bench(SagRead(2.0, is_share=True))
    assert "is not between 0 and" in told(state)
    assert readings_taken(state).job == state.job
    assert "no usable result" in readings_taken(state).note


@pytest.mark.slow
async def test_a_bare_number_takes_the_unit_that_the_prompt_shows() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press("tab", "tab", "right", "s")
        await bench.do("readings")
        prompt = pilot.app.screen
        assert isinstance(prompt, ReadingsPrompt)
        assert "Measurements of air" in " ".join(str(one.render()) for one in prompt.query(Static))
        hint = " ".join(str(static.render()) for static in prompt.query(Static))
        assert "or psi: before 200 after 170; or mm or %: sag 45, sag 30 %" in hint
        await bench.write("sag 0.3")
        await bench.press("enter")
        assert pilot.app.screen is prompt
        note = str(prompt.query_one(".note", Static).render())
        assert note == 'sag: "0.3" may be a share of the whole: write 30 % or 45 mm'
        await bench.press("ctrl+u")
        await bench.write("sag 95 %")
        await bench.press("enter")
        assert pilot.app.screen is prompt
        note = str(prompt.query_one(".note", Static).render())
        assert note == "95.0 % for a sag? Enter again accepts it."
        await bench.press("enter")
        assert bench.state.readings == SagRead(0.95, is_share=True)
        await bench.do("readings")
        await bench.write("sag 48")
        await bench.press("enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert bench.state.readings == SagRead(0.048, is_share=False)
        assert "7104" not in bench.screen.query_one(ViewPane).text
        assert "48" in bench.screen.query_one(ViewPane).text


def test_gauge_and_sag_in_sentences() -> None:
    assert "Negative over positive volume: 0." in told(on_bench(CyclingRead(200 * PSI, 170 * PSI)))
    said = told(on_bench(SagRead(0.3, is_share=True)))
    assert "the sprung load at the axle is" in said
    assert "of the rider on this wheel" in said
    assert "N; seal friction may make that" in said
    assert "Measured at once, while the air is still warm, it would be" in said
    assert "Measured at once" not in told(on_bench(SagRead(0.3, is_share=True), setup=0))
    state = on_bench(SagRead(0.3, is_share=True), job=demo_set().without(("setup", 1, "friction")))
    assert "the setup has no seal friction: 0 to 60 N of it (rule of thumb) may make that" in told(state)


@pytest.mark.fast_cases(4)
@pytest.mark.parametrize("width", [24, 40, 78])
@pytest.mark.parametrize(
    "readings", [loop_of_demo(1), one_way(1), bent(0), CyclingRead(200 * PSI, 170 * PSI), SagRead(0.3, True)]
)
def test_plain_terminals_get_plain_letters(readings: Readings, width: int) -> None:
    shown = text_of(lines(on_bench(readings), width, PLAIN_LOOK))
    assert shown.replace("±", "+").isascii()


def test_taking_is_one_edit_that_undo_takes_back() -> None:
    before = on_bench(loop_of_demo(1))
    after = readings_taken(before)
    assert after.job != before.job
    assert after.faults == ()
    assert "set in the setup; u undoes it" in after.note
    assert undo(after).job == before.job
    assert "No measurements yet" in readings_taken(replace(before, readings=None)).note


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_a_file_is_asked_for_and_taken(size: tuple[int, int], own_home: Path) -> None:
    (own_home / "loop.csv").write_text(csv_of_demo(0))
    async with bench_app(demo_set()).run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.show("readings")
        assert "Space, then r, and type one of these" in " ".join(everything(bench).split())
        await bench.press("space", "r")
        await bench.write("nothing here")
        await bench.press("enter")
        assert len(pilot.app.screen_stack) > 1
        await bench.press("ctrl+u")
        await bench.write("loop.csv")
        await bench.press("enter")
        await settled(bench)
        shown = everything(bench)
        assert "41 readings in and out, loop.csv" in shown
        assert max(map(len, shown.splitlines())) <= size[0] - (39 if size[0] >= 100 else 0)
        await bench.press("enter")
        assert bench.state.job.get(("setup", 0, "rate")) != "450 lbf/in"
        await settled(bench)
        assert "41 readings" in everything(bench)
        await bench.press("u")
        assert bench.state.job.get(("setup", 0, "rate")) == "450 lbf/in"


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_a_line_typed_by_hand_asks_for_the_friction(size: tuple[int, int]) -> None:
    async with bench_app(demo_set()).run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.do("readings")
        await bench.write("0 80; 10 870; 20 1660; 30 2450; 40 3240")
        await bench.press("enter")
        await bench.write("much")
        await bench.press("enter")
        assert len(pilot.app.screen_stack) > 1
        await bench.press("ctrl+u")
        await bench.write("12")
        await bench.press("enter")
        await settled(bench)
        shown = " ".join(everything(bench).split())
        assert "5 readings going in, typed by hand" in shown
        assert "cannot separate friction: 12 N as typed" in shown
        # Taking it over leaves the friction of the setup as it was.
        before = bench.state.job.get(("setup", 0, "friction"))
        await bench.press("enter")
        assert bench.state.job.get(("setup", 0, "preload")) != demo_set().get(("setup", 0, "preload"))
        assert bench.state.job.get(("setup", 0, "friction")) == before


@pytest.mark.slow
async def test_a_file_one_way_asks_for_the_friction(own_home: Path) -> None:
    (own_home / "in.csv").write_text(csv_of(one_way(1)))
    async with bench_app(demo_set()).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.do("readings")
        await bench.write("in.csv")
        await bench.press("enter")
        await bench.write("unknown")
        await bench.press("enter")
        await settled(bench)
        assert "assumed 30 N" in " ".join(everything(bench).split())


def test_a_load_that_is_set_names_the_pressure_to_set_and_the_one_that_the_gauge_read() -> None:
    job = demo_set().with_value(("setup", 1, "pressure"), "solve")
    job = job.with_value(("measured",), {"setup": "air", "sag": "52 mm", "of": "travel", "gauge": "185 psi"})
    after = readings_taken(on_bench(SagRead(0.052, is_share=False), 1, job))
    assert after.note == "Load set for every setup: set 217 psi, the gauge read 185 psi; u undoes it."


def test_errors_and_residuals_too_small_to_write_are_said_to_be_small_not_nothing() -> None:
    said = told(on_bench(loop_of_demo(0, noise=1e-4), setup=0))
    assert "friction 14.0 ± 0.1 N" in said
    assert "below 1 N" in said
    assert "+0 " not in said
    loop = loop_of_demo(0, noise=0.0).loop
    bends = LoopRead(loop_of(loop.stroke, loop.force + 0.8 * np.sin(loop.stroke * 55.0)), "typed by hand")
    said = told(on_bench(bends, setup=0))
    assert "less than 0.1 % of the range of the forces" in said
    assert "The residuals are random" not in said


@pytest.mark.parametrize("setup", [0, 1])
def test_keys_are_offered_only_where_they_do_something(setup: int) -> None:
    sag = on_bench(SagRead(0.045, is_share=False), setup)
    loop = on_bench(loop_of_demo(setup), setup)
    shown = [text_of(foot_lines(replace(one, in_view=True), 80, 6, LOOK)) for one in (sag, loop)]
    assert "spring or shock" not in shown[0]
    assert ("spring or shock" in shown[1]) == (setup == 0)
    assert all("apply" in one for one in shown)


async def test_the_setup_selected_is_named_high_up_whatever_was_measured_on_the_bike() -> None:
    job = demo_set().with_value(("measured", "sag"), "43 mm").with_value(ON_BIKE, "air")
    async with bench_app(job).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("readings")
        for place, name in ((1, "air"), (0, "coil")):
            assert bench.state.setup == place
            top = " ".join(" ".join(everything(bench).splitlines()[:5]).split())
            assert (
                f"{name}: measurements go to this setup; Left and Right in the fields choose another" in top
            )
            await bench.press("escape", "right", "f6")


def test_a_side_key_that_the_view_refuses_says_which_setup_it_stays_on_and_how_to_change_it() -> None:
    refused = KEYS["right"](on_bench(loop_of_demo(1)))
    assert refused.note == (
        "Only a coil's force over stroke may be that of the spring alone: the setup is still air. "
        "Escape, then Left or Right chooses another."
    )


def test_readings_without_a_pressure_say_which_one_and_how_another_setup_is_chosen() -> None:
    job = demo_set().with_value(("setup", 1, "pressure"), "solve")
    said = told(on_bench(loop_of_demo(1), job=job))
    assert "air: Type the pressure at which these readings were taken in the setup" in said
    assert "Left and Right in the fields choose another setup." in said


def test_a_load_as_measured_is_not_said_to_be_less_by_nothing() -> None:
    state = on_bench(SagRead(0.045, is_share=False), 0)
    assert state.answer is not None
    exact = SagRead(float(state.answer.answer.setups[0].sag.wheel), is_share=False)
    said = told(on_bench(exact, 0))
    assert "0.0 %" not in said
    assert re.search(r"The load fields give \d+ N: as measured\.", said)
