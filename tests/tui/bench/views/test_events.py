"""Events on the bench: turned and typed, worked out beside the screen, read and replayed, for few bytes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from textual.widgets import Input

from physics.response import response
from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.bench.views.test_sweep import one_line
from tests.tui.bench.views.test_tolerance import on_bench
from tests.tui.looks import LOOK, PLAIN_LOOK
from tests.tui.screens import painted
from tui.bench.edit import undo
from tui.bench.export import numbers_shown, scene_shown
from tui.bench.memory import event_words, taken_up
from tui.bench.state import BenchState, open_at_sag, show_view
from tui.bench.views import events, help
from tui.bench.views.pane import ViewPane, view_keys, view_task, worked_on
from tui.bench.words import foot_lines
from tui.job.demo import demo_job
from tui.job.wheels import wheel_job
from tui.kit.cells import CellRow, changes, fitted, text_of
from tui.kit.prompts import Prompt
from tui.kit.roles import Role
from tui.ride.events import CAUTION, EVENTS
from tui.ride.riding import RIDE_FIGURES, Ridden
from tui.store.remembered import Remembered

DEMO = wheel_job(demo_job(), "rear")
FRAME = 0.1
"""Seconds of the clock from one picture of a replay to the next."""


def rode(state: BenchState) -> BenchState:
    """Return the state with the ride that it asks for worked out."""
    while (task := view_task(state)) is not None and state.worked.key != task.key:
        state = worked_on(state, task.key, 1.0, task.work(lambda share: None))
    return state


@pytest.fixture(scope="module")
def state() -> BenchState:
    return rode(show_view(on_bench(DEMO), "events"))


async def settled(bench: Bench) -> None:
    """Wait until the ride is worked out and shown; what is searched for besides may still be under way."""
    while "calculating: " in bench.screen.query_one(ViewPane).text:
        await bench.pilot.pause(0.01)
    await bench.pilot.pause()


def lines(state: BenchState, width: int = 80) -> list[CellRow]:
    return events.lines(state, width, LOOK)


def knob_at(state: BenchState, label: str) -> BenchState:
    """Return the state with the cursor on a knob."""
    labels = [knob.label for knob in events.knobs(state)]
    return replace(state, event=state.event._replace(knob=labels.index(label)))


def knob(state: BenchState, label: str) -> str:
    return next(knob.text for knob in events.knobs(state) if knob.label == label)


@pytest.mark.fast_cases(3)
@pytest.mark.parametrize("look", [LOOK, PLAIN_LOOK])
@pytest.mark.parametrize("width", [40, 50, 80, 118])
def test_verdict_caution_knobs_chart_bars_and_table_follow_in_this_order(
    state: BenchState, width: int, look: object
) -> None:
    rows = events.lines(state, width, LOOK if look is LOOK else PLAIN_LOOK)
    assert max(map(len, rows)) <= width
    text = one_line(text_of(rows))
    places = [
        text.index(part)
        for part in ("Flat drop of 0.50 m: coil", "The rider is modelled as a mass", "event flat drop",
                     "shows travel (mm)", "FIGURES, AGAINST COIL", "ASSUMED")
    ]  # fmt: skip
    assert places == sorted(places)
    assert CAUTION.split(":")[0] in text
    if look is not LOOK:
        assert text.isascii()


def test_with_the_room_all_setups_are_in_one_table() -> None:
    six = DEMO
    for place, name in enumerate(("coil, soft", "air, two spacers and a long name", "coil, firm", "air 3")):
        six = six.with_setup(None, {**DEMO.setups[place % 2], "name": name})
    six_rode = rode(show_view(on_bench(six), "events"))
    for width, tables in ((78, 3), (139, 1)):
        rows = text_of(lines(six_rode, width)).splitlines()
        heads = [row for row in rows if row.lstrip().startswith("● coil  ") and "diff." in row]
        assert len(heads) == tables
        assert sum(row.count("diff.") for row in heads) == 5
    assert heads[0].count("…") == 1


def test_the_event_and_its_sizes_are_turned(state: BenchState) -> None:
    assert [knob.label for knob in events.knobs(state)] == [
        "event", "height", "rebound", "compression", "shows", "at", "replay"
    ]  # fmt: skip
    higher = events.turned(knob_at(state, "height"), 1)
    assert knob(higher, "height") == "0.55 m"
    assert knob(events.turned(higher, -10), "height") == "0.05 m"
    assert events.turned(higher, 10_000).note.startswith("height: ")
    assert knob(events.turned(higher, 10_000), "height") == "0.55 m"
    edge = events.turned(events.turned(knob_at(higher, "event"), 1), 1)
    assert knob(edge, "event") == "square edge"
    assert (edge.note, events.knob_text(edge)) == ("", f"event: {EVENTS['edge'].meaning}"), "said once"
    assert knob(events.turned(knob_at(edge, "event"), -2), "event") == "landing on a slope"
    back = edge
    for _ in range(len(EVENTS) - 2):
        back = events.turned(back, 1)
    assert (knob(back, "event"), knob(back, "height")) == ("flat drop", "0.55 m")


@pytest.mark.parametrize("event", EVENTS)
def test_every_knob_and_every_figure_is_explained_in_foot_and_help(state: BenchState, event: str) -> None:
    there = replace(state, event=state.event._replace(name=event, knob=0))
    told = text_of(help.lines(replace(there, helps=True), 80, LOOK))
    for figure in RIDE_FIGURES:
        assert f"{figure.label}: " in told
    for place, knob in enumerate(events.knobs(there)):
        here = replace(there, event=there.event._replace(knob=place))
        assert knob.meaning.endswith(".")
        assert events.knob_text(here) == f"{knob.label}: {knob.meaning}"
        foot = [text_of([row]) for row in foot_lines(here, 80, 5, LOOK)]
        assert one_line(" ".join(foot)).startswith(one_line(events.knob_text(here))[:60])


def test_the_class_of_a_road_and_counts_are_turned(state: BenchState) -> None:
    road = replace(state, event=state.event._replace(name="road"))
    assert knob(road, "class") == "D"
    assert knob(events.turned(knob_at(road, "class"), 1), "class") == "E"
    assert knob(events.turned(knob_at(road, "seed"), 3), "seed") == "3"
    bumps = replace(state, event=state.event._replace(name="bumps"))
    assert knob(events.turned(knob_at(bumps, "bumps"), -1), "bumps") == "7"


def test_the_damper_is_that_of_the_job_and_undone_with_it(state: BenchState) -> None:
    after = events.turned(knob_at(state, "rebound"), 5)
    assert after.job.get(("damper", "rebound_share")) == "55 %"
    assert after.history.past[-1] == state.bike
    slopes = {"rebound_low": "1500 N s/m", "compression_low": "700 N s/m"}
    typed = on_bench(DEMO.with_value(("damper",), slopes))
    low = events.turned(knob_at(typed, "rebound, low"), -1)
    assert low.job.get(("damper", "rebound_low")) == "1450 N s/m"
    table = {"speed_m_per_s": (-1.0, 1.0), "force_n": (-900.0, 400.0)}
    tested = on_bench(DEMO.with_value(("damper",), table))
    assert not {"rebound", "rebound, low"} & {knob.label for knob in events.knobs(tested)}
    low_end = events.turned(knob_at(state, "rebound"), -60)
    assert low_end.job == state.job


@pytest.mark.slow
def test_a_newer_nudge_wins_and_the_ride_before_it_stays_until_then(state: BenchState) -> None:
    nudged = events.turned(knob_at(state, "height"), 1)
    old, wanted = view_task(state), view_task(nudged)
    assert old is not None
    assert wanted is not None
    assert old.key != wanted.key
    stale = worked_on(nudged, old.key, 1.0, "something else")
    assert stale.worked is nudged.worked
    half = worked_on(nudged, wanted.key, 0.4, None)
    text = one_line(text_of(lines(half)))
    assert "Flat drop of 0.50 m" in text
    assert "calculating: 40%" in text
    done = rode(nudged)
    assert "Drop that first bottoms out, with damper: coil" in one_line(text_of(lines(done)))
    text = one_line(text_of(lines(done)))
    assert "Flat drop of 0.55 m" in text
    assert "calculating" not in text


@pytest.mark.slow
def test_the_search_comes_after_the_ride_and_stands_below_the_verdict() -> None:
    fresh = show_view(on_bench(DEMO), "events")
    first = view_task(fresh)
    assert first is not None
    assert "calculating: 0%" in text_of(lines(fresh))
    ridden = worked_on(fresh, first.key, 1.0, first.work(lambda share: None))
    text = one_line(text_of(lines(ridden)))
    assert "Drop that first bottoms out, with damper: calculating, 0%." in text
    assert "calculating:" not in text
    second = view_task(ridden)
    assert second is not None
    assert second.key != first.key
    half = worked_on(ridden, second.key, 0.5, None)
    assert "Drop that first bottoms out, with damper: calculating, 50%." in one_line(text_of(lines(half)))
    done = worked_on(half, second.key, 1.0, second.work(lambda share: None))
    assert "Drop that first bottoms out, with damper: coil from 0." in one_line(text_of(lines(done)))
    assert done.worked.key == second.key
    assert events.found_here(done) is events.found_here(ridden)


@pytest.mark.slow
def test_the_rebound_that_returns_is_put_on_the_bench_and_undone() -> None:
    bumps = show_view(on_bench(DEMO), "events")
    few = bumps.event.sizes.with_value(("bumps", "count"), 3).with_value(("bumps", "length"), "0.6 m")
    bumps = rode(replace(bumps, event=bumps.event._replace(name="bumps", sizes=few), setup=1))
    factor = events.returning_factor(bumps)
    assert factor is not None
    assert events.knobs(bumps)[-1].text == f"{factor:.2f} x rebound"
    taken = events.chosen(knob_at(bumps, "returns with"))
    assert isinstance(taken, BenchState)
    assert taken.job.get(("damper", "rebound_share")) == f"{50 * factor:.1f} %"
    assert "u undoes it" in taken.note
    again = events.returning_factor(rode(taken))
    assert again == pytest.approx(1.0, abs=0.02)
    nothing = show_view(on_bench(DEMO), "events")
    assert events.rebound_taken(nothing).job == nothing.job
    assert "choose the bump train" in events.rebound_taken(nothing).note


def test_moving_the_cursor_asks_for_no_new_ride(state: BenchState) -> None:
    key = state.worked.key
    for step in (events.KEYS["right"], events.KEYS["left"], events.show_other, events.replay_started):
        task = view_task(step(state))
        assert task is not None
        assert task.key == key


def test_work_hears_its_progress_and_can_be_stopped(state: BenchState) -> None:
    task = view_task(events.turned(knob_at(state, "height"), 2))
    assert task is not None
    shares: list[float] = []
    task.work(shares.append)
    assert shares == sorted(shares)
    assert shares

    class Enough(Exception):
        pass

    def stop(share: float) -> None:
        raise Enough

    with pytest.raises(Enough):
        task.work(stop)


def test_travel_forces_and_small_waves_are_shown_in_turn(state: BenchState) -> None:
    forces = events.show_other(state)
    assert "shows wheel force (N)" in one_line(text_of(lines(forces)))
    assert "shows tyre force (N)" in one_line(text_of(lines(events.show_other(forces))))
    waves = events.show_other(events.show_other(forces))
    assert "shows body over waves" in one_line(text_of(lines(waves)))
    assert "20 Hz" in text_of(lines(waves))
    assert "shows travel over waves" in one_line(text_of(lines(events.show_other(waves))))
    ranged = events.show_other(events.show_other(waves))
    assert "shows over a range" in one_line(text_of(lines(ranged)))
    assert events.show_other(ranged).event == state.event


@pytest.fixture(scope="module")
def ranged(state: BenchState) -> BenchState:
    """Return the state with the drop over a range of heights worked out."""
    return rode(replace(state, event=state.event._replace(shows=5)))


@pytest.mark.slow
def test_a_range_shows_a_figure_of_all_setups_and_where_each_meets_its_stop(ranged: BenchState) -> None:
    labels = [knob.label for knob in events.knobs(ranged)]
    assert labels == ["event", "height", "rebound", "compression", "shows", "figure", "over", "by", "read"]
    text = one_line(text_of(lines(ranged)))
    assert "Flat drop, over height 0.10 to 1.00 m: coil bottoms out from 0.40 m; air bottoms" in text
    assert text.index("The rider is modelled as a mass") < text.index("TRAVEL USED (%)")
    forces = events.turned(knob_at(ranged, "figure"), 6)
    wanted = view_task(forces)
    assert wanted is not None
    assert wanted.key == forces.worked.key
    assert "PEAK WHEEL FORCE (N)" in text_of(lines(forces))
    scene = scene_shown(forces, LOOK)
    assert scene is not None
    assert [len(line.x) for line in scene.chart.lines] == [19, 19]
    assert len(numbers_shown(forces, LOOK)) == 20
    assert "A range has no replay" in events.replay_started(ranged).note


def test_another_range_is_worked_out_anew_and_the_one_before_it_stays_until_then(ranged: BenchState) -> None:
    damped = events.turned(knob_at(ranged, "over"), 1)
    assert knob(damped, "over") == "rebound damping"
    wanted = view_task(damped)
    assert wanted is not None
    half = one_line(text_of(lines(worked_on(damped, wanted.key, 0.4, None))))
    assert "over height 0.10 to 1.00 m" in half
    assert "calculating: 40%" in half
    assert scene_shown(damped, LOOK) is None
    assert numbers_shown(damped, LOOK) == []
    assert knob(events.turned(damped, -1), "over") == "height"


def test_a_place_of_a_range_is_read_marked_and_used_by_enter(ranged: BenchState) -> None:
    here = knob_at(replace(ranged, in_view=True), "read")
    # At first where the event stands.
    assert knob(here, "read").startswith("height 0.50 m: ")
    assert "Enter use it" in text_of(foot_lines(here, 80, 4, LOOK))
    assert "Enter edit" in text_of(foot_lines(knob_at(here, "height"), 80, 4, LOOK))
    moved = view_keys(here)["+"](view_keys(here)["+"](here))
    read = knob(moved, "read")
    assert read.startswith("height 0.60 m: ")
    marked = [row for row in lines(moved) if any(role is Role.CURSOR for _, role in row)]
    assert len(marked) == 1
    assert text_of(marked).split()[0] == "0.60"
    assert read.partition(": ")[2].split()[0] in text_of(marked)
    used = events.chosen(moved)
    assert isinstance(used, BenchState)
    assert knob(used, "height") == "0.60 m"
    assert used.job == moved.job
    assert used.note == "height 0.60 m: in the event."
    end = events.turned(here, 99)
    assert knob(end, "read").startswith("height 1.00 m: ")


@pytest.mark.slow
def test_a_cell_of_a_map_goes_into_event_and_job_and_u_takes_the_job_back() -> None:
    few = show_view(on_bench(DEMO), "events")
    done = rode(replace(few, in_view=True, event=few.event._replace(name="edge", shows=5, by="pressure")))
    here = knob_at(done, "read")
    moved = events.turned(events.turned(here, 1), 10)
    text = knob(moved, "read")
    place = text.partition(": ")[0]
    pressure = place.partition("set pressure ")[2]
    used = events.chosen(moved)
    assert isinstance(used, BenchState)
    assert used.note == f"{place}: on the bench; u undoes it."
    assert used.job.get(("setup", 1, "pressure")) == pressure
    assert f"height {knob(used, 'height')}" in place
    assert undo(used).job == done.job
    # What was read is what the ride of the job then says, but for the rounding of the pressure.
    again = rode(replace(used, event=used.event._replace(shows=0)))
    ride = events.found_here(again)
    assert ride is not None
    deepest = float(ride.ride.deepest[1] / ride.answered.answer.frame.wheel_travel)
    assert 100 * deepest == pytest.approx(float(text.partition(": ")[2].split()[0]), abs=0.3)


@pytest.mark.slow
def test_a_map_is_that_of_a_setup_that_has_the_numbers() -> None:
    few = show_view(on_bench(DEMO), "events")
    sizes = few.event.sizes.with_value(("edge", "height"), "40 mm")
    few = replace(few, event=few.event._replace(name="edge", sizes=sizes, shows=5, by="pressure"))
    assert knob(few, "by") == "set pressure"
    done = rode(few)
    text = one_line(text_of(lines(done)))
    assert "AIR: TRAVEL USED (%), SET PRESSURE ACROSS" in text
    assert scene_shown(done, LOOK) is None
    assert len(numbers_shown(done, LOOK)) == 51
    gone = replace(done, event=done.event._replace(over="no such", by="nor such"))
    assert (knob(gone, "over"), knob(gone, "by")) == ("height", "nothing else")


def test_the_response_to_small_waves_is_drawn_and_exported_as_the_physics_has_it(state: BenchState) -> None:
    waves = replace(state, event=state.event._replace(shows=3))
    scene = scene_shown(waves, LOOK)
    assert scene is not None
    answered = found(state).answered
    frequency = scene.chart.lines[0].x
    again = response(answered.case, answered.answer, frequency)
    for line, gain in zip(scene.chart.lines, np.abs(again.height), strict=True):
        assert line.y == pytest.approx(gain)
    assert (frequency[0], frequency[-1]) == pytest.approx((0.3, 20.0), rel=0.03)
    assert numbers_shown(waves, LOOK) == []


def found(state: BenchState) -> Ridden:
    ridden = events.found_here(state)
    assert ridden is not None
    return ridden


def test_the_moment_that_is_read_is_at_first_that_of_deepest_travel(state: BenchState) -> None:
    ride = found(state).ride
    at = events.moment(state.event, ride)
    assert ride.travel[:, np.searchsorted(ride.time, at)].max() == ride.deepest.max()
    later = events.turned(knob_at(state, "at"), 10)
    assert later.event.at == pytest.approx(at + 0.1)
    place = int(np.searchsorted(ride.time, at + 0.1))
    assert f"{ride.travel[1, place] * 1e3:.1f} mm" in text_of(lines(later))
    assert events.turned(knob_at(state, "at"), -1000).event.at == 0.0


@pytest.mark.parametrize("width", [40, 80])
def test_the_bars_say_of_which_moment_they_are(state: BenchState, width: int) -> None:
    def bars(shown: BenchState) -> list[str]:
        told = [text_of([row]).rstrip() for row in lines(shown, width)]
        first = next(
            place for place, row in enumerate(told) if row.startswith("at ") and "wheel force" in row
        )
        return told[first : first + 3]

    ride = found(state).ride
    head, coil, air = bars(state)
    assert head.split("  ")[0] == ("at 0.07 s, coil at its deepest" if width == 80 else "at 0.07 s")
    assert coil.endswith("148.0 mm      at stop"), "a force there is more than the peak without the stop"
    place = int(np.searchsorted(ride.time, events.moment(state.event, ride)))
    assert air.endswith(f"{ride.wheel_force[1, place]:.0f} N")
    later = bars(events.turned(knob_at(state, "at"), 10))
    assert later[0].split("  ")[0] == "at 0.17 s"
    assert later[1].endswith(" N"), "away from the stop"


def replay(state: BenchState) -> Iterator[BenchState]:
    state = events.replay_started(state)
    while state.event.plays:
        yield state
        state = events.replayed(state, FRAME)
    yield state


def test_a_replay_goes_from_begin_to_end_at_its_slowness_and_then_stands_still(state: BenchState) -> None:
    end = events.ride_end(found(state).ride)
    pictures = list(replay(state))
    assert pictures[0].event.at == 0.0
    assert pictures[-1].event.at == pytest.approx(end)
    assert not pictures[-1].event.plays
    assert len(pictures) == pytest.approx(end * 10 / FRAME, abs=2)
    slower = events.turned(knob_at(state, "replay"), 1)
    assert slower.event.slower == 20
    assert len(list(replay(slower))) == pytest.approx(end * 20 / FRAME, abs=2)
    stopped = events.replay_started(pictures[5])
    assert (stopped.event.plays, stopped.event.at) == (False, pictures[5].event.at)
    on = events.replay_started(stopped)
    assert (on.event.plays, on.event.at) == (True, stopped.event.at)


@pytest.mark.slow
@pytest.mark.parametrize("width", [80, 118])
def test_a_picture_of_the_replay_changes_few_cells(state: BenchState, width: int) -> None:
    pictures = [[fitted(row, width, "") for row in lines(one, width)] for one in list(replay(state))[:60]]
    changed = [
        sum(region.width for region in changes(before, after) or []) for before, after in pairwise(pictures)
    ]
    assert all(changes(before, after) is not None for before, after in pairwise(pictures))
    assert max(changed) < 150
    assert sum(changed) / len(changed) < 60


@pytest.mark.slow
def test_a_long_road_is_shown_page_by_page(state: BenchState) -> None:
    road = rode(replace(state, event=state.event._replace(name="road")))
    ride = found(road).ride
    assert ride.time[-1] > 3
    early, late = (replace(road, event=road.event._replace(at=at)) for at in (0.5, float(ride.time[-1])))
    assert text_of(lines(early)) != text_of(lines(late))
    scene = events.scene(road, LOOK)
    assert scene is not None


def test_the_whole_ride_is_exported_once_it_is_worked_out(state: BenchState) -> None:
    scene, rows = scene_shown(state, LOOK), numbers_shown(state, LOOK)
    assert scene is not None
    assert [line.name for line in scene.chart.lines] == ["coil", "air"]
    assert scene.chart.title == "Flat drop of 0.50 m, rider as a mass: travel"
    assert len(rows) == found(state).ride.time.size + 1
    nudged = events.turned(knob_at(state, "height"), 1)
    assert scene_shown(nudged, LOOK) is None
    assert numbers_shown(nudged, LOOK) == []


@pytest.mark.slow
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_view_is_turned_typed_and_replayed_by_keys(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.show("events")
        await settled(bench)
        pane = bench.screen.query_one(ViewPane)
        assert "Flat drop of 0.50 m: coil" in one_line(pane.text)
        assert "The rider is modelled as a mass" in one_line(pane.text)
        await bench.press("right", "plus", "plus")
        await settled(bench)
        assert "Flat drop of 0.60 m: coil" in one_line(pane.text)
        await bench.press("enter")
        prompt = pilot.app.screen
        assert isinstance(prompt, Prompt)
        assert "never a height or a speed to ride" in one_line(str(prompt.query_one(".hint").render()))
        assert str(prompt.query_one(".unit").render()) == ""  # "0.5 m" stands there with its own
        prompt.query_one(Input).value = "2"
        await pilot.pause()
        assert str(prompt.query_one(".unit").render()) == "m"
        prompt.query_one(Input).value = "90 m"
        await bench.press("enter")
        assert pilot.app.screen is prompt
        prompt.query_one(Input).value = "1,2 m"
        await bench.press("enter")
        await settled(bench)
        assert "Flat drop of 1.20 m: coil" in one_line(pane.text)
        await bench.do("event_shows")
        assert "shows wheel force (N)" in one_line(pane.text)
        await bench.press("right", "plus")
        await settled(bench)
        assert bench.state.job.get(("damper", "rebound_share")) == "51 %"
        await bench.press("u")
        assert bench.state.job.get(("damper",)) is None


@pytest.mark.slow
async def test_enter_on_the_event_lists_all_events() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("events")
        await bench.press("enter")
        for event in EVENTS.values():
            assert event.name in painted(pilot)
        assert "› D or Enter  flat drop" in painted(pilot)
        await bench.press("escape")
        assert bench.state.event.name == "drop"
        await bench.press("enter", "b")
        assert bench.state.event.name == "bumps"
        await bench.press("enter", "up", "enter")
        assert bench.state.event.name == "edge"
        assert "Enter edit" in bench.text("keys")


async def test_a_digit_starts_typing_the_value_under_the_cursor() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("events")
        await bench.press("8")
        assert bench.state.note == "event takes no number: + and - change it."
        await bench.press("right", "0")
        prompt = pilot.app.screen
        assert isinstance(prompt, Prompt)
        await bench.press(".", "8", "enter")
        assert bench.state.event.sizes.get(("drop", "height")) == "0.8 m"
        await bench.press("right", "4", "5")
        assert (bench.state.in_view, bench.state.row.path) == (False, ("damper", "rebound_share"))
        assert bench.state.edit is not None
        assert bench.state.edit.text == "45"
        await bench.press("enter")
        assert bench.state.job.get(("damper", "rebound_share")) == "45 %"


@pytest.mark.slow
async def test_enter_on_the_damper_leads_to_its_field() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("events")
        await settled(bench)
        await bench.press("right", "right", "enter")
        assert not bench.state.in_view
        assert bench.state.row.path == ("damper", "rebound_share")
        assert bench.state.edit is not None


@pytest.mark.slow
async def test_a_replay_runs_only_while_it_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter(np.arange(0.0, 1e6, 5.0))
    monkeypatch.setattr("tui.bench.commands.monotonic", lambda: float(next(clock)))
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("events")
        await settled(bench)
        timers = len(bench.screen._timers)
        await bench.do("replay")
        assert bench.state.event.plays
        while bench.state.event.plays:
            await pilot.pause(0.02)
        ridden = events.found_here(bench.state)
        assert ridden is not None
        assert bench.state.event.at == pytest.approx(events.ride_end(ridden.ride))
        await bench.do("replay")
        await bench.do("replay")
        assert not bench.state.event.plays
        await bench.do("replay")
        await bench.press("left_square_bracket")
        while bench.state.event.plays:
            await pilot.pause(0.02)
        assert len(bench.screen._timers) <= timers + 3


@pytest.mark.slow
async def test_a_dampers_file_is_taken_from_the_menu(own_home: Path) -> None:
    (own_home / "dyno.csv").write_text("speed [m/s], force [N]\n-0.4, -700\n0, 0\n0.4, 300\n")
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("events")
        await bench.do("damper_table")
        pilot.app.screen.query_one(Input).value = str(own_home / "dyno.csv")
        await bench.press("enter")
        assert bench.state.job.get(("damper", "force_n")) == (-700.0, 0.0, 300.0)
        assert "3 rows, rebound to 0.4 m/s" in bench.state.note
        await settled(bench)
        await bench.press("u")
        assert bench.state.job.get(("damper",)) is None


@pytest.mark.slow
async def test_the_front_rides_by_itself() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("events")
        await settled(bench)
        await bench.do("end")
        await settled(bench)
        text = one_line(bench.screen.query_one(ViewPane).text)
        assert "Flat drop of 0.50 m: fork" in text
        assert "shock" not in text


def test_nothing_is_asked_before_there_is_an_answer() -> None:
    nothing = replace(show_view(on_bench(DEMO), "events"), bike_answer=None)
    assert view_task(nothing) is None
    assert "No results yet" in text_of(lines(nothing))
    assert "No results yet" in events.replay_started(nothing).note


def test_the_event_and_its_knobs_are_remembered_and_stay_with_another_job(state: BenchState) -> None:
    edge = events.turned(events.turned(knob_at(state, "event"), 1), 1)
    edge = events.turned(knob_at(edge, "height"), 2)
    edge = events.turned(knob_at(edge, "replay"), -1)
    left = events.show_other(edge)
    words = event_words(left.event)
    assert dict(words) == {"name": "edge", "edge.height": "70 mm", "shows": "1", "slower": "5"}
    there = taken_up(on_bench(DEMO), Remembered(event=words))
    assert (knob(there, "event"), knob(there, "height"), knob(there, "replay")) == (
        "square edge",
        "70 mm",
        "5 x slower",
    )
    assert event_words(state.event) == ()
    other = open_at_sag(replace(left, event=left.event._replace(plays=True, at=0.2)), left.history)
    assert (knob(other, "event"), other.event.plays, other.event.at) == ("square edge", False, None)


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(
    "words",
    [
        (("name", "no such"), ("shows", "77"), ("slower", "3")),
        (("drop.height", "much"), ("drop.unconfirmed", "x"), ("drop", "y"), ("slower", "0")),
        (("name", "road"), ("road.class", "Z"), ("road.seed", "99999999999"), ("shows", "-1")),
        (("name", "drop"), ("over", "x"), ("by", "y"), ("figure", "z"), ("shows", "5")),
    ],
)
def test_what_cannot_have_been_chosen_breaks_nothing(words: tuple[tuple[str, str], ...]) -> None:
    there = show_view(taken_up(on_bench(DEMO), Remembered(event=words)), "events")
    text = one_line(text_of(lines(rode(there))))
    assert "flat drop" in text or "random road" in text
    for knob in events.knobs(there):
        knob.turned(there, 1)


def test_a_nudge_of_the_event_ends_its_replay(state: BenchState) -> None:
    playing = events.replay_started(state)
    assert playing.event.plays
    assert not events.turned(knob_at(playing, "height"), 1).event.plays
    assert events.replayed(state, 1.0) is state
