"""Logged rides on the bench: asked for, read beside the screen, told with a chart, exported, put away."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from textual.widgets import Input
from textual.worker import WorkerCancelled

from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.bench.views.test_events import rode
from tests.tui.bench.views.test_sweep import one_line, settled
from tests.tui.bench.views.test_tolerance import on_bench
from tests.tui.looks import LOOK, PLAIN_LOOK
from tests.tui.ride.test_again import log_of
from tests.tui.ride.test_logged import BOTH, SHOCK, shaken, text_of
from tui.bench.edit import nudge
from tui.bench.export import numbers_shown, scene_shown
from tui.bench.state import BenchState, show_view, symptom_now, symptoms_ticked, with_log, without_log
from tui.bench.views import advice, logged
from tui.bench.views.pane import (
    ViewPane,
    has_take,
    is_stopped,
    is_worked_on,
    view_keys,
    view_task,
    worked_on,
)
from tui.bench.words import foot_lines
from tui.job.demo import demo_job
from tui.kit.cells import text_of as text_in
from tui.kit.prompts import Prompt
from tui.ride.again import effect_texts, heard_in
from tui.ride.events import CAUTION
from tui.shop_units import METRIC, Measure
from tui.tables.questions import Told
from tui.tables.recorded import LogFile


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    there = tmp_path_factory.mktemp("logs")
    # Long enough for statistics, too short for the ground, which takes its time and has tests of its own.
    for name, text in (("morning.csv", SHOCK), ("both.csv", BOTH)):
        (there / name).write_text("\n".join(text.splitlines()[:1501]))
    evening = text_of(shock_stroke=shaken(5, 28.0, 12.0, 60.0))
    (there / "evening.csv").write_text("\n".join(evening.splitlines()[:1501]))
    (there / "bare.csv").write_text("a;b\n" + "".join(f"{n},0;{n % 9}\n" for n in range(200)))
    return there


@pytest.fixture(scope="module")
def state(folder: Path) -> BenchState:
    return rode(with_log(on_bench(demo_job()), LogFile.at(folder / "morning.csv")))


async def worked_out(bench: Bench) -> None:
    """Wait until what the view asks for is worked out, one thing after the other."""
    while (asked := view_task(bench.state)) is not None and bench.state.worked.key != asked.key:
        with suppress(WorkerCancelled):
            await settled(bench)


def told(state: BenchState, width: int = 80) -> str:
    return one_line(text_in(logged.lines(state, width, LOOK)))


@pytest.mark.parametrize("look", [LOOK, PLAIN_LOOK])
@pytest.mark.parametrize("width", [50, 80, 118, 200])
def test_verdict_caution_chart_and_statistics_follow_in_this_order(
    state: BenchState, width: int, look: object
) -> None:
    rows = logged.lines(state, width, LOOK if look is LOOK else PLAIN_LOOK)
    assert max(map(len, rows)) <= width
    text = one_line(text_in(rows))
    parts = (
        "morning.csv: used 71.5 % of its travel, 95 % of the time below",
        "The rider is modelled as a mass",
        "Time in each tenth of the travel (%) 1/13",
        "mean travel (%)",
        "HARDEST HITS",
        "Intervals from 5 to 95 %",
    )
    places = [text.index(part) for part in parts]
    assert places == sorted(places)
    assert look is LOOK or text.isascii()


def test_with_the_room_the_statistics_stand_beside_the_chart(state: BenchState) -> None:
    rows = text_in(logged.lines(state, 139, LOOK)).splitlines()
    assert any("┤" in row and "median travel (%)" in row for row in rows)
    narrow = text_in(logged.lines(state, 100, LOOK)).splitlines()
    assert not any("┤" in row and "median travel (%)" in row for row in narrow)
    assert len(rows) < 50 < len(narrow)
    for told in ("HARDEST HITS", "Dynamic sag", "Intervals from 5 to 95 %", "moving (%)"):
        assert (told in one_line("\n".join(rows))) == (told in one_line("\n".join(narrow)))


def test_without_a_log_the_view_says_how_to_read_one() -> None:
    text = told(show_view(on_bench(demo_job()), "logged"))
    assert text.startswith("No log read yet: Space, then l, reads one. ! Mount sensor and logger clear")
    assert "clear of wheel, chain and linkage" in text


def test_right_and_left_go_round_the_charts(state: BenchState) -> None:
    names = []
    for _ in range(13):
        scene = scene_shown(state, LOOK)
        assert scene is not None
        names.append(scene.chart.title)
        state = logged.KEYS["right"](state)
    assert names[:3] == [
        "Time in each tenth of the travel", "Time at each shaft speed, share per m/s",
        "Power spectrum of the wheel speed over its peak",
    ]  # fmt: skip
    assert names[3:] == [f"Hit {number} of 10: wheel travel" for number in range(1, 11)]
    again = scene_shown(state, LOOK)
    assert again is not None
    assert again.chart.title == names[0]
    before = scene_shown(logged.KEYS["left"](state), LOOK)
    assert before is not None
    assert before.chart.title == names[-1]


def test_the_point_in_the_spectrum_is_said_to_be_the_natural_frequency(state: BenchState) -> None:
    spectrum = replace(state, log=state.log._replace(chart=2))
    scene = scene_shown(spectrum, LOOK)
    assert scene is not None
    [point] = scene.chart.points
    hertz = spectrum.units.show(point.x, Measure.FREQUENCY)
    assert f"{LOOK.glyphs.sag} natural frequency {hertz}" in told(spectrum)
    assert f"{LOOK.glyphs.sag} natural frequency" not in told(state)


def test_areas_of_the_histograms_are_the_whole_time(state: BenchState) -> None:
    for place, whole in ((0, 1.0), (1, 1.0)):
        scene = scene_shown(replace(state, log=state.log._replace(chart=place)), LOOK)
        assert scene is not None
        line = scene.chart.lines[0]
        area = np.trapezoid(line.y, line.x) * (10 if place == 0 else 1)
        assert area == pytest.approx(whole, abs=0.02)


def test_a_nudge_keeps_the_statistics_and_renews_what_is_expected(state: BenchState) -> None:
    found = logged.found_here(state)
    assert found is not None
    nudged = nudge(replace(state, in_view=False, panel=0), 1)
    later = logged.found_here(rode(replace(nudged, in_view=True)))
    assert later is not None
    assert later.recorded == found.recorded
    assert later.rides[0].channels[0].found is found.rides[0].channels[0].found


@pytest.mark.slow
def test_the_same_ground_follows_once_the_statistics_are_there(folder: Path) -> None:
    (folder / "road.csv").write_text(log_of())
    state = with_log(on_bench(demo_job()), LogFile.at(folder / "road.csv"))
    first = view_task(state)
    assert first is not None
    state = worked_on(state, first.key, 1.0, first.work(lambda share: None))
    assert "The same ground on every setup: 0%" in told(state)
    assert "THE SAME GROUND" not in told(state)
    state = rode(state)
    text = told(state)
    assert text.index("s of the log: 95 % of the time below") < text.index("The rider is modelled as a mass")
    assert (
        text.index("Change 1, ") < text.index("Time in each tenth") < text.index("THE SAME GROUND ON EVERY")
    )
    assert has_take(state)
    second = view_keys(state)[">"](state)
    assert second.taken == 1
    tried = view_keys(second)["enter"](second)
    found = logged.found_here(state)
    assert found is not None
    assert tried.job.setups[-1]["name"] == "coil 2"
    changed = {key: tried.job.setups[-1].get(key) for key in ("rate", "preload", "preload_turns")}
    assert changed == {key: found.again[0].typed[1].get(key) for key in changed}
    # What was found for the job before stays, and says so, until the next one is there.
    task = view_task(tried)
    assert task is not None
    read = worked_on(tried, task.key, 1.0, task.work(lambda share: None))
    assert "The same ground on every setup: 0%, the results above are OLD" in told(read)
    assert "s of the log: 95 % of the time below" in told(read)
    assert not has_take(read)


def test_what_to_change_reads_the_log_in_place_of_a_complaint(state: BenchState, folder: Path) -> None:
    """The log stands for a complaint, and says why where no ground was found from it."""
    page = rode(replace(show_view(state, "advice"), in_view=True))
    [heard] = heard_in(logged.found_here(page).rides[0].channels[0], page.units)  # type: ignore[union-attr]
    text = one_line(text_in(advice.lines(page, 80, LOOK)))
    assert text.index("morning.csv") < text.index("The log shows: ") < text.index(heard.said)
    assert "No complaint is ticked" not in text
    here = advice.advice_asked(page)
    assert here is not None
    assert here.symptoms == (heard.symptom,)
    ticked = advice.symptom_ticked(page, 1)
    assert advice.advice_asked(rode(ticked)).symptoms == (heard.symptom, *symptoms_ticked(ticked))  # type: ignore[union-attr]
    other = rode(replace(page, setup=1))
    assert "morning.csv was ridden on coil." in one_line(text_in(advice.lines(other, 80, LOOK)))
    assert advice.advice_asked(other).symptoms == (symptom_now(other),)  # type: ignore[union-attr]


@pytest.mark.slow
def test_each_change_says_what_it_would_have_used_and_other_units_ride_nothing_again(folder: Path) -> None:
    (folder / "road.csv").write_text(log_of())
    state = with_log(on_bench(demo_job()), LogFile.at(folder / "road.csv"))
    page = rode(rode(show_view(state, "advice")))
    found = logged.found_here(page)
    assert found is not None
    [ground] = found.again
    effects = effect_texts(ground, page.units)
    text = one_line(text_in(advice.lines(page, 80, LOOK)))
    assert f"on the logged ground: {effects[0]}" in text
    second = advice.change_turned(page, 1)
    assert f"on the logged ground: {effects[1]}" in one_line(text_in(advice.lines(second, 80, LOOK)))
    metric = replace(second, units=METRIC)
    asked = view_task(metric)
    assert asked is not None
    assert asked.key == metric.worked.key
    assert "on the logged ground" in one_line(text_in(advice.lines(metric, 80, LOOK)))
    tried = advice.change_tried(metric)
    changed = {key: tried.job.setups[-1].get(key) for key in ("rate", "preload", "preload_turns")}
    assert changed == {key: ground.typed[1].get(key) for key in changed}


def test_work_is_stopped_by_escape_and_goes_on_by_enter(folder: Path) -> None:
    fresh = with_log(on_bench(demo_job()), LogFile.at(folder / "morning.csv"))
    task = view_task(fresh)
    assert task is not None
    half = worked_on(fresh, task.key, 0.5, None)
    assert is_worked_on(half)
    stopped = view_keys(half)["escape"](half)
    assert is_stopped(stopped)
    assert "escape" not in view_keys(stopped)
    assert "Reading morning.csv: stopped at 50%, Enter continues" in told(stopped)
    assert "Enter continue" in text_in(foot_lines(stopped, 80, 4, LOOK))
    on = view_keys(stopped)["enter"](stopped)
    assert is_worked_on(on)
    assert "Escape stop" in text_in(foot_lines(on, 80, 4, LOOK))


def test_a_second_ride_stands_beside_the_first(state: BenchState, folder: Path) -> None:
    both = rode(with_log(state, LogFile.at(folder / "evening.csv"), beside=True))
    assert len(both.log.files) == 2
    text = told(both)
    assert "AGAINST EVENING.CSV" in text.upper()
    assert "differs" in text
    scene = scene_shown(both, LOOK)
    assert scene is not None
    assert [line.name for line in scene.chart.lines] == ["morning.csv", "evening.csv"]
    # The first looks like the setup that was ridden; the second, ridden on it too, like no setup.
    first, second = (line.look for line in scene.chart.lines)
    setups = len(demo_job().setups)
    assert first == 0
    assert second >= setups
    assert LOOK.marker(second) not in [LOOK.marker(place) for place in range(setups)]
    third = with_log(both, LogFile.at(folder / "both.csv"), beside=True)
    assert [file.name for file in third.log.files] == ["morning.csv", "both.csv"]


def test_a_second_ride_that_cannot_be_used_leaves_the_first_one_shown(
    state: BenchState, folder: Path
) -> None:
    units = {"time": "s", "shock": "mm"}
    bare = LogFile.at(folder / "bare.csv", Told({"time": 0, "shock": 1}, units))
    text = told(rode(with_log(state, bare, beside=True)))
    assert "samples a second are too few" in text
    assert "morning.csv: used 71.5 % of its travel, 95 % of the time below" in text


def test_the_statistics_are_exported_and_nothing_before_they_are_there(
    state: BenchState, folder: Path
) -> None:
    rows = numbers_shown(state, LOOK)
    assert rows[0][:3] == ["wheel", "figure", "value"]
    assert len(rows) > 10
    fresh = with_log(on_bench(demo_job()), LogFile.at(folder / "both.csv"))
    assert numbers_shown(fresh, LOOK) == []
    assert scene_shown(fresh, LOOK) is None


def test_a_file_that_went_away_is_told_and_put_away(folder: Path) -> None:
    gone = rode(with_log(on_bench(demo_job()), LogFile.at(folder / "gone.csv")))
    assert "no such file" in told(gone).lower()
    assert without_log(gone).log.files == ()


@pytest.mark.slow
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_log_is_asked_for_read_and_looked_at_by_keys(size: tuple[int, int], folder: Path) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.do("log")
        prompt = pilot.app.screen
        assert isinstance(prompt, Prompt)
        prompt.query_one(Input).value = str(folder / "bare.csv")
        await bench.press("enter")
        question = pilot.app.screen
        assert isinstance(question, Prompt)
        question.query_one(Input).value = "time 1, shock 2"
        await bench.press("enter")
        units = pilot.app.screen
        assert isinstance(units, Prompt)
        units.query_one(Input).value = "time s, shock mm"
        await bench.press("enter")
        await worked_out(bench)
        pane = bench.screen.query_one(ViewPane)
        assert "1 samples a second are too few; log at 100 Hz or more" in one_line(pane.text)
        await bench.do("log")
        prompt = pilot.app.screen
        prompt.query_one(Input).value = str(folder / "both.csv")
        await bench.press("enter")
        await worked_out(bench)
        assert "both.csv, rear: used " in one_line(pane.text)
        assert CAUTION.split(":")[0] in one_line(pane.text)
        await bench.press("right")
        assert "Time at each shaft speed" in one_line(pane.text)
        assert logged.heading_shown(bench.state, pane._look) in one_line(pane.text)
        # All of it is in sight, down to the unit of its axis.
        assert any(line.rstrip().endswith(" m/s") for line in pane.text.splitlines())
        await bench.do("log_off")
        assert bench.state.log.files == ()
        assert "No log read yet: Space, then l, reads one." in one_line(pane.text)
