"""Sweep, map and spacers on the bench: chosen by the field under the cursor, live, worked out beside it."""

import re
from dataclasses import replace

import numpy as np
import pytest

from physics.limits import PSI
from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.bench.views.test_tolerance import on_bench
from tests.tui.looks import LOOK, PLAIN_LOOK
from tui.bench.state import (
    BenchState,
    figures_here,
    map_field,
    next_figure,
    select_field,
    show_view,
    sweep_field,
)
from tui.bench.views import documents, sweep
from tui.bench.views.cursor import move_read, place_takes
from tui.bench.views.pane import ViewPane, view_task, worked_on
from tui.job.demo import demo_job
from tui.job.fields import input_at
from tui.job.figures import SWEPT
from tui.job.wheels import wheel_job
from tui.kit.cells import text_of
from tui.kit.work import Worked

DEMO = wheel_job(demo_job(), "rear")
SIZES = [(80, 24), (120, 40)]


def state(figure: str = "starting_shaft") -> BenchState:
    bench = on_bench(DEMO)
    return replace(bench, sweep=bench.sweep._replace(figure=figure))


def mapped(bench: BenchState) -> BenchState:
    """Return the state with its map worked out."""
    bench = show_view(bench, "map")
    task = view_task(bench)
    assert task is not None
    return worked_on(bench, task.key, 1.0, task.work(lambda share: None))


def one_line(text: str) -> str:
    return " ".join(text.split())


async def settled(bench: Bench) -> None:
    await bench.pilot.app.workers.wait_for_complete()
    await bench.pilot.pause()
    await bench.pilot.pause()


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_the_rider_sweep_comes_first_and_the_field_chooses_another(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.do("sweep")
        pane = bench.screen.query_one(ViewPane)
        assert one_line(pane.text).startswith("Now, rider mass 82.0 kg: coil 276 N, air 512 N ")
        assert "breakaway, shaft (N) over rider mass" in one_line(pane.text)
        await bench.press("greater_than_sign")
        assert "breakaway, wheel (N) over rider mass" in one_line(pane.text)
        await bench.press("less_than_sign", "escape", "down")
        await bench.do("sweep")
        assert "rider mass" not in pane.text
        await bench.press("escape")
        assert not bench.state.in_view


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_a_map_is_worked_out_beside_the_screen_and_follows_the_panels(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.do("map")
        await settled(bench)
        pane = bench.screen.query_one(ViewPane)
        assert one_line(pane.text).startswith("Now, rider mass 82.0 kg, preload 1.9 mm: coil 276 N ")
        assert "across rider mass, up preload" in one_line(pane.text)
        first = bench.state.worked.found
        assert first is not None
        await bench.press("escape")
        bench.screen.take(select_field(bench.state, ("load", "rider_mass")))
        await bench.press("plus", "plus", "plus")
        await bench.show("map")
        await settled(bench)
        task = view_task(bench.state)
        assert task is not None
        assert bench.state.worked.key == task.key
        assert bench.state.worked.found is not first
        assert "Now, rider mass 85.0 kg, " in one_line(pane.text)
        await bench.show("chart")
        assert not pane.display


@pytest.mark.slow
async def test_leaving_a_map_stops_its_work() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.do("map")
        await bench.show("tolerance")
        assert bench.state.view == "tolerance"
        assert view_task(bench.state) is None


@pytest.mark.parametrize("size", SIZES)
async def test_the_table_of_spacers_shows_the_air_setup(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.show("spacers")
        pane = bench.screen.query_one(ViewPane)
        assert bench.state.kind == "air"
        assert "spacers" in pane.text
        # What the hand must know before it opens a shock is in sight at once.
        assert "manual" in pane.text
        await bench.press("end")
        assert "outside the tested air model" in " ".join(pane.text.split())


def test_work_on_something_older_is_dropped() -> None:
    bench = show_view(state(), "map")
    old = view_task(bench)
    newer = next_figure(bench, 1)
    assert old is not None
    assert worked_on(newer, old.key, 1.0, "found") is newer
    halfway = worked_on(bench, old.key, 0.5, None)
    assert halfway.worked.found is None
    assert "Calculating: 50%" in text_of(sweep.map_lines(halfway, 60, LOOK))


def test_what_was_found_stays_while_something_else_is_under_way() -> None:
    worked = Worked("key", "found").towards("other", 0.25)
    assert (worked.key, worked.found, worked.asked, worked.share) == ("key", "found", "other", 0.25)


@pytest.mark.slow
@pytest.mark.parametrize("look", [LOOK, PLAIN_LOOK])
@pytest.mark.parametrize("width", [20, 42, 78])
def test_no_line_is_wider_than_its_place_nor_beyond_its_characters(look: object, width: int) -> None:
    chosen = LOOK if look is LOOK else PLAIN_LOOK
    for name in ("starting_shaft", "set_pressure", "bottom_ratio"):
        bench = state(name)
        for index in (0, 1):
            rows = sweep.lines(replace(bench, setup=index), width, chosen)
            rows += sweep.map_lines(mapped(replace(bench, setup=index)), width, chosen)
            if chosen is PLAIN_LOOK:
                assert text_of(rows).isascii()
            assert all(len(row) <= max(width, 45) for row in rows)


@pytest.mark.slow
def test_the_map_tells_its_shades_in_numbers_and_marks_the_label() -> None:
    text = one_line(text_of(sweep.map_lines(mapped(replace(state("bottom_ratio"), setup=1)), 78, PLAIN_LOOK)))
    assert "! above max pressure" in text
    assert "x not possible" in text
    assert "B now" in text
    assert " to " in text
    assert re.search(r"! \d+ of 3600 not possible: chamber too small by \d+\.\d cm3\.", text)


def test_the_same_input_is_never_taken_twice() -> None:
    bench = map_field(sweep_field(select_field(state(), ("load", "rider_mass"))))
    head = one_line(text_of(sweep.map_lines(bench, 78, LOOK)))
    assert "across rider mass" in head
    assert "up rider mass" not in head


def test_fields_and_what_they_sweep() -> None:
    assert input_at(("load", "posture")) == "rider_share"
    assert input_at(("setup", 1, "pressure")) == "pressure"
    assert input_at(("ambient", "temperature")) == "temperature"
    assert input_at(("ride", "temperature")) == ""
    assert input_at(("title",)) == ""


def test_figures_turn_in_the_round_and_only_those_there_are() -> None:
    bench = state()
    names = figures_here(bench)
    assert "ride_sag_fraction" not in names
    assert set(names) <= set(SWEPT)
    turned = bench
    for _ in names:
        turned = next_figure(turned, 1)
    assert turned.sweep == bench.sweep


def test_the_spacers_mark_what_is_fitted_and_what_the_label_forbids() -> None:
    low = DEMO.with_value(("setup", 1, "max_pressure"), "200 psi")
    text = text_of(documents.spacer_lines(replace(on_bench(low), setup=1), 78, PLAIN_LOOK))
    assert "[!205]" in text
    # What a mark means stands where the eye is: right above each table with marks, and nowhere else.
    rows = text.splitlines()
    meant = [at for at, row in enumerate(rows) if row.startswith("? estimate: peak above 1726 psi")]
    assert [rows[at - 1] for at in meant] == ["PEAK, FAST, PSI", "BOTTOM-OUT RATIO, X STATIC"]
    cells = [cell for row in rows for cell in row.split()]
    assert {cell for cell in cells if cell.startswith(">")} == {">3467", ">"}, (
        "a peak that explodes is a bound"
    )
    assert all(
        float(cell.strip("[]!?>")) < 4000 for cell in cells if cell.strip("[]!?>").replace(".", "").isdigit()
    )
    assert max(row.split().count("?") for row in rows[meant[1] + 1 :]) > 1
    coil = DEMO.without_setup(1)
    assert "A coil takes no volume spacers" in text_of(documents.spacer_lines(on_bench(coil), 78, LOOK))


def test_a_job_without_an_answer_says_so() -> None:
    blank = replace(state(), bike_answer=None)
    for lines in (sweep.lines, sweep.map_lines, documents.spacer_lines):
        assert "No results yet" in text_of(lines(blank, 60, LOOK))


FULL = DEMO.with_value(("setup", 1, "positive_spacers"), 7)
"""The air model cannot estimate what this chamber does at full travel."""
AT_THE_END = (
    "fast_peak_pressure",
    "peak_pressure",
    "bottom_ratio",
    "bottom_wheel_force",
    "slow_bottom_ratio",
)


@pytest.mark.parametrize("figure", AT_THE_END)
def test_a_sweep_shows_no_number_far_beyond_the_air_model(figure: str) -> None:
    spacers = ("setup", 1, "positive_spacers")
    swept = sweep_field(select_field(replace(on_bench(FULL), setup=1), spacers))
    bench = replace(swept, sweep=swept.sweep._replace(figure=figure))
    none = ">3467" if "peak" in figure else "?"
    shown = text_of(sweep.lines(bench, 100, LOOK))
    rows = [line.split() for line in shown.splitlines() if re.match(r"\d+ ", line)]
    cells = {int(row[0]): row[-1] for row in rows}
    assert cells[0] not in (none, "-")
    assert cells[7] == none
    # What is drawn, read now and read at the cursor ends there too.
    scene = sweep.scene(bench, LOOK)
    assert scene is not None
    air = scene.chart.lines[-1]
    assert np.isnan(air.y[7])
    assert np.nanmax(air.y) < (3467 * PSI if "peak" in figure else 1e5)
    first = one_line(shown).split(" over ")[0]
    assert first.startswith("Now, positive spacers 7: coil ")
    unit = " psi" if "peak" in figure else " "
    assert f"air {none}{unit}" in first
    assert place_takes(move_read(bench))[0].text.endswith(f"air {none}{unit}".rstrip())
    less = move_read(move_read(bench, across=-1), across=-6)
    assert re.search(r"^positive spacers 0: .*, air [\d.]+", place_takes(less)[0].text)
    assert re.search(r"Peak above 3467 psi, far outside the tested air model: no estimate", one_line(shown))
    # A figure elsewhere in the travel has all its numbers.
    support = replace(bench, sweep=bench.sweep._replace(figure="support_50"))
    assert "no estimate" not in text_of(sweep.lines(support, 100, LOOK))


def test_a_map_marks_what_is_far_beyond_the_air_model() -> None:
    fields = sweep_field(select_field(replace(on_bench(FULL), setup=1), ("setup", 1, "positive_spacers")))
    bench = replace(fields, sweep=fields.sweep._replace(figure="fast_peak_pressure"))
    shown = text_of(sweep.map_lines(mapped(bench), 100, LOOK))
    assert "? no estimate" in shown
    assert not re.search(r"\d{5,}", shown)
    highest = [int(number) for number in re.findall(r"to (\d+)", shown)]
    assert max(highest) <= 3467
    assert "far outside the tested air model" in one_line(shown)
    ordinary = text_of(sweep.map_lines(mapped(replace(bench, sweep=fields.sweep)), 100, LOOK))
    assert "no estimate" not in ordinary
