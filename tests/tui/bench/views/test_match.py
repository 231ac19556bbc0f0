"""One spring in the place of another on the bench: found, told, tried and taken back."""

import re
from dataclasses import replace

import pytest

from tests.tui.bench.conftest import bench_app, started
from tests.tui.looks import LOOK, PLAIN_LOOK
from tui.bench.edit import add_air, add_coil, copy_setup, undo
from tui.bench.state import BenchState, open_bench, select_setup, show_view, turn_view, with_answer
from tui.bench.steps import Step
from tui.bench.views.match import VIEW, VOLUMES, lines, match_here, match_tried, task
from tui.bench.views.pane import ViewPane, view_keys
from tui.bench.words import keys_line
from tui.job.demo import demo_job
from tui.job.job import History, Job
from tui.job.wheels import wheel_job
from tui.kit.cells import text_of
from tui.kit.work import Worked
from tui.shop_units import ALL, ShopUnits

DEMO = wheel_job(demo_job(), "rear")


def on_bench(job: Job = DEMO, setup: int = 0, view: str = VIEW) -> BenchState:
    return select_setup(show_view(with_answer(open_bench(History.starting_at(job))), view), setup)


def told(state: BenchState, width: int = 78) -> str:
    return " ".join(text_of(lines(state, width, LOOK)).split())


def worked(state: BenchState) -> BenchState:
    work = task(state)
    assert work is not None
    return replace(state, worked=Worked(work.key, work.work(lambda _share: None)))


def test_goal_settings_closeness_and_gap_are_told() -> None:
    said = told(on_bench())
    assert "Target ● coil Set ◆ air" in said
    assert re.match(
        r"\d+ psi, positive spacers \d, negative spacers \d: like the target over \d+ % of travel; most off "
        r"from [\d.]+ to [\d.]+ mm of wheel travel, \d+ N firmer at 148\.0 mm\. Target",
        said,
    )
    assert re.search(r"Wheel force off by \d+ N RMS \([\d.]+ % of static load\)\.", said)
    assert "positive spacers 1" in said
    assert re.search(r"support at 50 % x static +\d\.\d\d", said)
    assert re.search(r"bottom-out ratio x static +\d\.\d\d", said)
    assert "Let all air out of every chamber before opening" in said


def test_the_other_way_round_the_coil_is_set() -> None:
    said = told(on_bench(setup=1))
    assert "Target ◆ air Set ● coil" in said
    assert "spring rate" in said
    assert said.startswith("439 lbf/in, preload 0.0 turns: like the target over ")
    assert said.index("Nearest rates to buy:") < said.index("spring rate")
    # The nearest comes first, and one too stiff for the sag says which sag it has.
    assert (
        "Nearest rates to buy: 450 lbf/in, preload 0.0 turns: sag 28.4 %, too stiff for 29.0 %; like the "
        "target over 50 % of travel 425 lbf/in, preload 0.4 turns: like the target over 45 % of travel"
    ) in said
    assert "preload" in said
    assert "positive spacers" not in said


def test_free_volumes_come_closer() -> None:
    plain, free = on_bench(), worked(on_bench(view=VOLUMES))
    near, nearer = match_here(plain), match_here(free)
    assert not isinstance(near, str | None)
    assert not isinstance(nearer, str | None)
    assert float(nearer.found.closeness) < float(near.found.closeness)
    assert "positive volume" in told(free)
    assert "port position" in told(free)


def test_until_volumes_are_tried_it_says_so() -> None:
    assert "Trying volumes and port" in told(on_bench(view=VOLUMES))


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("setup", [0, 1])
@pytest.mark.parametrize("units", ALL)
def test_what_is_tried_is_what_was_found(setup: int, units: ShopUnits) -> None:
    state = replace(on_bench(setup=setup), units=units)
    found = match_here(state)
    assert not isinstance(found, str | None)
    tried = match_tried(state)
    assert not tried.faults
    assert tried.answer is not None
    goal, _, new = (tried.answer.answer.setups[place] for place in (setup, 1 - setup, 2))
    assert new.name == f"{('coil', 'air')[1 - setup]} as {goal.name}"
    promised = found.setup
    assert float(new.sag.wheel) == pytest.approx(float(promised.sag.wheel), rel=1e-9)
    assert float(new.riding.bottom_wheel_force) == pytest.approx(float(found.found.found_force[-1]), rel=1e-9)
    assert [caution.code for caution in new.cautions] == [caution.code for caution in promised.cautions]
    # A step of what is written moves the sag by less than this.
    assert float(new.sag.wheel_fraction) == pytest.approx(float(goal.sag.wheel_fraction), abs=2e-3)
    assert (tried.setup, tried.step, tried.view) == (2, Step.COMPARE, "chart")
    assert undo(tried).job == state.job


def test_a_stale_answer_is_not_tried() -> None:
    state = on_bench(DEMO)
    broken = replace(state, history=state.history.then(DEMO.with_value(("frame", "stroke"), "6 mm")))
    assert match_tried(broken).job == broken.job


def test_one_setup_alone_has_nothing_to_be_like() -> None:
    alone = on_bench(DEMO.without_setup(1))
    assert "Only one setup" in told(alone)
    assert match_tried(alone).job == alone.job


@pytest.mark.parametrize("view", [VIEW, VOLUMES])
def test_a_setup_that_is_added_does_not_turn_the_match_round(view: str) -> None:
    alone = on_bench(DEMO.without_setup(0), view=view)
    added = add_coil(alone)
    assert [setup["name"] for setup in added.job.setups] == ["air", "coil"]
    assert "Target ● air Set ◆ coil" in told(added)
    assert (added.setup, added.view, added.in_view) == (0, view, True)
    assert added.note == "coil is added, the target still air; u undoes it."
    both = on_bench(setup=1, view=view)
    for more in (add_air(both), copy_setup(both)):
        assert "Target ◆ air Set ● coil" in told(more)
        assert len(more.job.setups) == 3
    # Elsewhere, and in the fields, the new one is selected.
    assert copy_setup(replace(both, in_view=False)).setup == 2


def test_only_keys_that_do_something_are_named_and_act() -> None:
    alone, air, coil = on_bench(DEMO.without_setup(1)), on_bench(), on_bench(setup=1)
    named = [text_of(keys_line(state, 120, LOOK.glyphs)) for state in (alone, air, coil)]
    assert ["target setup" in line for line in named] == [False, True, True]
    assert [" coil" in line for line in named] == [False, False, True]
    assert ["try it" in line for line in named] == [False, True, True]
    assert not {"left", "right", "up", "down"} & view_keys(alone).keys()
    assert {"left", "right"} <= view_keys(air).keys()
    assert {"left", "right", "up", "down"} <= view_keys(coil).keys()


def test_a_goal_that_does_not_settle_is_told() -> None:
    assert "has no sag under this rider" in told(on_bench(DEMO.with_value(("setup", 0, "rate"), "900 N/mm")))


def test_the_two_views_stand_beside_each_other_where_setups_are_compared() -> None:
    state = on_bench()
    assert state.step is Step.COMPARE
    assert turn_view(state, 1).view == VOLUMES
    assert turn_view(turn_view(state, 1), -1).view == VIEW


@pytest.mark.parametrize("width", [24, 40, 78])
def test_plain_terminals_get_plain_letters(width: int) -> None:
    for setup in (0, 1):
        assert text_of(lines(on_bench(setup=setup), width, PLAIN_LOOK)).isascii()


@pytest.mark.slow
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_it_is_live_and_one_key_tries_it(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.show(VIEW)
        pane = bench.screen.query_one(ViewPane)
        assert "convert" in bench.text("view-strip")
        before = pane.text
        await bench.press("right")
        assert (bench.state.setup, bench.state.step) == (1, Step.COMPARE)
        assert pane.text != before
        await bench.press("left", "enter")
        assert [setup["name"] for setup in bench.state.job.setups] == ["coil", "air", "air as coil"]
        assert not pane.display
        await bench.press("u")
        assert len(bench.state.job.setups) == 2


@pytest.mark.slow
async def test_free_volumes_are_worked_out_beside_the_screen() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.show(VOLUMES)
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        pane = bench.screen.query_one(ViewPane)
        assert "positive volume" in pane.text
        await bench.press("escape")
        assert (bench.state.view, bench.state.in_view) == (VOLUMES, False)
