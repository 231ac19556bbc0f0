"""After the ride on the bench: what was felt is chosen, changes are looked at, one key tries one."""

from dataclasses import replace

import pytest

from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.bench_parts.looks import LOOK, PLAIN_LOOK
from tui.bench.aside_advice import lines
from tui.bench.aside_pane import AsidePane
from tui.bench.feeling import Feeling
from tui.bench.state import BenchState, answered, opened
from tui.bench.state_advice import advice_here, change_tried, change_turned, felt_now, felt_turned
from tui.bench.state_edit import undone
from tui.charts.cells import text_of
from tui.jobs.demo import demo_job
from tui.jobs.ends import end_of
from tui.jobs.felt_words import FELT
from tui.jobs.history import History
from tui.jobs.job import Job
from tui.shop_units import METRIC

BOTH = demo_job()
SIZES = [(80, 24), (120, 40)]
FELT_ALL = range(len(FELT))


def on_bench(job: Job = BOTH, setup: int = 1, felt: int = 0) -> BenchState:
    return replace(answered(opened(History.starting_at(job))), setup=setup, feeling=Feeling(felt))


def told(state: BenchState, width: int = 74) -> str:
    return " ".join(text_of(lines(state, width, LOOK)).split())


def test_changes_are_told_with_effect_side_effect_rebound_and_caution() -> None:
    said = told(on_bench())
    assert "1 of 9: wallows in the middle" in said
    assert "> 1 pressure 222 to 240 psi half-travel support 1.61 to 1.75 (+8 %)" in said
    assert "besides: sag 29.0 to 26.0 % (-10 %)" in said
    assert "rebound about 4 % slower" in said
    assert "2 positive spacers 1 to 2, then 218 psi for the same sag: half-travel support +2 %" in said
    assert "! Never above the limit on the label" in said
    assert "coil rebound about 15 % slower (more damping): critical damping 9547 to 10998 N s/m" in said


def test_the_other_way_round_is_the_other_ratio() -> None:
    assert "air rebound about 13 % faster (less damping)" in told(on_bench(setup=0))


def test_clicks_stay_where_less_of_critical_is_what_helps() -> None:
    said = told(on_bench(felt=tuple(FELT).index("packs_down")))
    assert "Rebound damping less, so faster, one click at a time" in said
    assert "rebound left as it is: 4 % less of critical than before" in said


@pytest.mark.parametrize("felt", FELT_ALL)
@pytest.mark.parametrize("width", [24, 40, 78])
def test_no_line_is_wider_than_its_place_and_plain_terminals_get_plain_letters(felt: int, width: int) -> None:
    for setup in (0, 1):
        state = on_bench(setup=setup, felt=felt)
        assert all(len(row) <= max(width, 44) for row in lines(state, width, LOOK))
        assert text_of(lines(state, width, PLAIN_LOOK)).isascii()


def test_going_round_complaints_and_changes() -> None:
    state = on_bench()
    assert felt_now(felt_turned(state, -1)) == "ends_fight"
    assert felt_now(felt_turned(felt_turned(state, -1), 1)) == "wallows"
    found = advice_here(state)
    assert found is not None
    assert change_turned(state, -1).feeling.change == len(found.changes) - 1
    assert "> 2 positive spacers" in told(change_turned(state, 1))


@pytest.mark.parametrize("felt", FELT_ALL)
@pytest.mark.parametrize("setup", [0, 1])
def test_every_change_can_be_tried_and_does_what_it_said(felt: int, setup: int) -> None:
    state = on_bench(setup=setup, felt=felt)
    found = advice_here(state)
    assert found is not None
    for place, advice in enumerate(found.changes):
        tried = change_tried(change_turned(state, place))
        assert not tried.faults
        assert tried.good is not None
        assert tried.setup == 2
        new = tried.good.answer.setups[2]
        read = new.sag.wheel_fraction if advice.figure == "sag_fraction" else None
        then = float(getattr(new.figures, advice.figure) if read is None else read)
        was, promised = (getattr(feel, advice.figure) for feel in (advice.before, advice.after))
        # A pressure is typed to the unit of the gauge.
        assert abs(then - promised) < 0.25 * abs(promised - was)
        assert undone(tried).bike == state.bike


def test_a_rate_that_is_tried_forgets_the_lengths_of_the_old_spring() -> None:
    tried = change_tried(on_bench(setup=0))
    assert tried.job.setups[2]["rate"] == "475 lbf/in"
    assert not {"free_length", "solid_length", "mass"} & set(tried.job.setups[2])
    assert tried.job.setups[0]["free_length"] == "152 mm"


def test_other_units() -> None:
    assert "pressure 15.3 to 16.6 bar" in told(replace(on_bench(), units=METRIC))


def test_what_there_is_no_change_for_is_said() -> None:
    rear = end_of(BOTH, "rear")
    fight = tuple(FELT).index("ends_fight")
    assert "This job has one wheel" in told(on_bench(rear, felt=fight))
    assert change_tried(on_bench(rear, felt=fight)).note == "There is no change to try."
    heavy = rear.with_value(("load", "rider_mass"), "450 kg").with_value(("setup", 1, "bore"), "20 mm")
    stuck = on_bench(heavy.with_value(("setup", 1, "body"), "15 mm"))
    assert "does not settle under the rider" in told(stuck)
    assert "How a coil ramps is wound into it" in told(on_bench(setup=0))


async def pane_of(bench: Bench) -> AsidePane:
    await bench.press("A")
    pane = bench.screen.query_one(AsidePane)
    assert pane.has_focus, "the view takes the arrows at once"
    return pane


@pytest.mark.parametrize("size", SIZES)
async def test_arrows_choose_and_enter_tries(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        pane = await pane_of(bench)
        assert "1 of 9" in pane.text
        await bench.press("down")
        assert "2 of 9: harsh at the end" in pane.text
        await bench.press("up", "right")
        assert bench.state.feeling == Feeling(0, 1)
        before = bench.state.bike
        await bench.press("left", "enter")
        assert len(bench.state.job.setups) == 3
        assert "u takes it back" in bench.text("keys")
        assert pane.has_focus
        await bench.press("u")
        assert bench.state.bike == before


@pytest.mark.parametrize("size", SIZES)
async def test_it_follows_the_panels(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        pane = await pane_of(bench)
        await bench.press("t")
        assert bench.screen.grid.has_focus
        before = pane.text
        await bench.press("8", "8", "enter")
        assert pane.text != before
        await bench.press("escape")
        assert bench.state.aside == ""
