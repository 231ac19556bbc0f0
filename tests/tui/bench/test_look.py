"""How the bench looks at every size: its characters, the ends of its lines, that no screen is a desert."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import replace
from functools import cache

import pytest
from textual.pilot import Pilot
from textual.screen import Screen
from textual.worker import WorkerCancelled

from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.looks import LOOK
from tests.tui.screens import painted
from tui.bench.state import BenchState, open_bench, select_setup, show_step, show_view, with_answer
from tui.bench.steps import NO_SETUP, VIEWS, Step
from tui.bench.views.pane import ViewPane, views, worked_on
from tui.job.demo import demo_job
from tui.job.job import History
from tui.job.wheels import wheel_job
from tui.kit.cells import text_of
from tui.kit.widget import LookWidget

ON_A_CONSOLE = set("─│┌┐└┘░↑↓←→")
"""What nearly every font of a console has besides ASCII: the lines, the light shade and the arrows."""
ANSWERED = with_answer(open_bench(History.starting_at(demo_job())))
ALL_VIEWS = [(step, view) for step, views in VIEWS.items() for view in views]


async def show(bench: Bench, step: Step, view: str, *, focus: bool = True) -> None:
    """Show a view of a step for the setup that it is of."""
    state = show_step(select_setup(bench.state, int(view in ("pump", "spacers"))), step)
    bench.screen.take(show_view(state, view, focus=focus))
    await bench.pilot.pause()
    for _ in range(2):  # what the view before was still working out is cancelled
        with suppress(WorkerCancelled):
            await bench.pilot.app.workers.wait_for_complete()
    await bench.pilot.pause()


def strange(pilot: Pilot[int]) -> set[str]:
    """Return the characters on the screen that are not ASCII."""
    return {letter for letter in painted(pilot) if not letter.isascii() and letter != "\n"}


@pytest.mark.slow
@pytest.mark.parametrize(("variable", "beyond"), [("SPRINGWRIGHT_ASCII", set()), ("TERM", ON_A_CONSOLE)])
async def test_a_poor_terminal_gets_no_character_that_it_lacks(
    variable: str, beyond: set[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(variable, "linux" if beyond else "1")
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        for step, view in ALL_VIEWS:
            await show(bench, step, view)
            assert strange(pilot) <= beyond, view


async def test_the_frames_of_a_console_are_lines_and_its_last_tenth_is_shaded(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("TERM", "linux")
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        assert strange(pilot) == set("─│┌┐└┘░")
        assert "░ last tenth" in bench.text("chart")
        await bench.press("+", "q")
        assert "not saved" in painted(pilot)
        assert strange(pilot) <= ON_A_CONSOLE
    monkeypatch.setenv("SPRINGWRIGHT_ASCII", "1")
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        assert strange(pilot) == set()
        assert " | last tenth" in bench.text("chart")


@cache
def worked_out(id: str) -> BenchState:
    """Return the bench with a view on it, what the view waits for worked out."""
    step = next((step for step, ids in VIEWS.items() if id in ids), Step.RIDER)
    state = show_step(select_setup(ANSWERED, int(id in ("pump", "spacers"))), step)
    shown = replace(state, helps=True) if id == "help" else show_view(state, id)
    task = views()[id].task
    work = task(shown) if task else None
    return worked_on(shown, work.key, 1.0, work.work(lambda _share: None)) if work is not None else shown


WIDTHS, FAST = (38, 80, 139, 40, 53, 59, 73, 100), 3
"""Widths of a view, the first of which are looked at in README's command."""


@pytest.mark.fast_cases(FAST * len(views()))
@pytest.mark.parametrize("id", sorted(views()))
@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_of_a_view_is_wider_than_its_pane(id: str, width: int) -> None:
    lines = views()[id].draw(worked_out(id), width, LOOK)
    assert {text_of([line]) for line in lines if len(line) > width} == set()


@pytest.mark.slow
@pytest.mark.parametrize("size", [(200, 60)])
@pytest.mark.parametrize(("step", "view"), ALL_VIEWS)
@pytest.mark.asyncio(loop_scope="module")
async def test_a_large_screen_is_no_desert(
    bench: Bench, step: Step, view: str, size: tuple[int, int]
) -> None:
    await show(bench, step, view)
    inside = bench.screen.right.content_region
    rows = painted(bench.pilot).splitlines()[inside.y : inside.bottom]
    ink = [
        (x, y) for y, row in enumerate(rows) for x in range(inside.x, inside.right) if row[x : x + 1].strip()
    ]
    across = max(x for x, _ in ink) - min(x for x, _ in ink) + 1
    down = max(y for _, y in ink) + 1
    assert across >= FILLED * inside.width
    assert down >= FILLED * inside.height


@pytest.mark.parametrize("view", ["verdict", "pump"])
async def test_the_chart_stands_below_words_that_leave_it_the_room(view: str) -> None:
    """At 120x40 the verdict leaves a third of its pane; the rounds of pumping are as long as the pane."""
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await show(bench, Step.COMPARE if view == "verdict" else Step.SPRINGS, view)
        words, chart = (bench.screen.query_one(f"#{name}") for name in ("view", "chart"))
        assert chart.display == (view == "verdict")
        if chart.display:
            # Whether words or fields have the focus: a Tab then changes little.
            await bench.press("escape")
            assert not bench.state.in_view
            assert chart.display
            assert chart.region.y == words.region.bottom
            await show(bench, Step.COMPARE, view)
            assert len(bench.text("view").splitlines()) <= words.size.height
            assert chart.region.y == words.region.bottom
            assert chart.region.bottom == bench.screen.right.content_region.bottom
            assert "Shaft force" in bench.text("chart").splitlines()[0]
        await bench.resize(80, 24)
        assert not chart.display
        assert words.size.height == bench.screen.right.content_size.height


@pytest.mark.parametrize(
    ("view", "is_below"), [("verdict", True), pytest.param("spacers", False, marks=pytest.mark.slow)]
)
async def test_on_a_large_screen_the_chart_stands_where_there_is_more_room(view: str, is_below: bool) -> None:
    """Below words across all the pane where they are short, beside the tables of spacers."""
    async with bench_app().run_test(size=(200, 60)) as pilot:
        bench = await started(pilot)
        await show(bench, Step.COMPARE if view == "verdict" else Step.SPRINGS, view)
        words, chart = (bench.screen.query_one(f"#{name}").region for name in ("view", "chart"))
        inside = bench.screen.right.content_region
        if is_below:
            assert words.width == chart.width == inside.width
            assert words.bottom == chart.y
            assert chart.height > inside.height / 2
        else:
            assert words.y == chart.y
            assert words.right < chart.x
        assert (chart.right, chart.bottom) == (inside.right, inside.bottom)


@pytest.mark.parametrize("view", ["balance", "spacers", "events"])
async def test_on_a_large_screen_the_words_have_the_columns_that_they_need(view: str) -> None:
    """Nothing has to be scrolled for, and the chart has the rest."""
    step = next(step for step, ids in VIEWS.items() if view in ids)
    async with bench_app().run_test(size=(200, 60)) as pilot:
        bench = await started(pilot)
        await show(bench, step, view)
        words, chart = bench.screen.query_one(ViewPane), bench.screen.query_one("#chart")
        inside = bench.screen.right.content_region
        assert words.count <= words.size.height == inside.height
        assert not re.search(r"\d+/\d+ +↓", bench.text("view"))
        assert chart.display == (view != "events")
        if chart.display:
            assert inside.width / 2 - 2 < words.size.width < inside.width - 40
            assert (chart.region.x - words.region.right, chart.region.right) == (3, inside.right)
            title = bench.text("chart").splitlines()[:2]
            assert "Shaft force (N) over shock stroke" in title[0]
            assert "last tenth" in title[1]
        else:
            assert words.size.width == inside.width
            rows = bench.text("view").splitlines()
            [axis] = [place for place, row in enumerate(rows) if re.match(r" +0 +0\.2 ", row)]
            assert axis > 0.7 * inside.height
            assert any(row.endswith("-9.8") and "┤" not in row[40:] for row in rows[:axis])


async def test_on_a_large_screen_no_field_that_has_the_room_is_folded() -> None:
    async with bench_app().run_test(size=(200, 60)) as pilot:
        bench = await started(pilot)
        for step in (Step.RIDER, Step.FRAME, Step.SPRINGS, Step.RIDE):
            bench.screen.take(show_step(bench.state, step))
            await bench.pilot.pause()
            assert " more " not in bench.text("grid")
            assert bench.state.panels[bench.state.panel].hidden == ()
        await bench.press("end")
        last = bench.state.row
        for size in ((80, 24), (200, 60)):
            await bench.resize(*size)
            assert ("more …" in bench.text("grid")) == (size == (80, 24))
            assert bench.state.rows[bench.state.panel] < len(bench.state.panels[bench.state.panel].rows)
        assert last in bench.state.panels[bench.state.panel].rows


async def test_nothing_is_painted_for_another_size(monkeypatch: pytest.MonkeyPatch) -> None:
    """A chart drawn for the place that it had would be sent over the line, and then all of it once more."""
    seen: list[list[str | None]] = []
    paint = Screen._compositor_refresh

    def watched(screen: Screen[object]) -> None:
        parts = [part for part in screen.query(LookWidget).results() if part.display and part.size]
        seen.append([part.id for part in parts if part.size.height != len(part.rows)])
        paint(screen)

    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        monkeypatch.setattr(Screen, "_compositor_refresh", watched)
        for key in ("tab", "tab", "tab", "shift+tab", "f6", "z", "z"):
            await bench.press(key)
    assert len(seen) > 7
    assert not any("chart" in parts or "view" in parts for parts in seen), seen


@pytest.mark.slow
@pytest.mark.parametrize(("step", "view"), ALL_VIEWS)
async def test_no_line_is_cut_by_how_far_down_one_is(step: Step, view: str) -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        for focus in (True, False):
            await show(bench, step, view, focus=focus)
            last = painted(pilot).splitlines()[bench.screen.right.content_region.bottom - 1]
            assert not re.search(r"… +\d+/\d+ ", last)


async def test_a_job_without_a_spring_is_told_where_to_add_one() -> None:
    job = wheel_job(demo_job(), "rear").without(("setup",))
    async with bench_app(job).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        for step, view, part in (
            (Step.COMPARE, "verdict", "view"), (Step.COMPARE, "figures", "table"),
            (Step.RIDER, "chart", "chart"),
        ):  # fmt: skip
            await show(bench, step, view)
            assert NO_SETUP in " ".join(bench.text(part).split())


FILLED = 0.75
"""Share of the pane of the views, each way, that a large screen uses at least."""


async def test_no_fields_are_folded_where_all_of_them_fit() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        for size, folded in (((120, 50), False), ((120, 40), True), ((80, 24), True)):
            await bench.resize(*size)
            bench.screen.take(show_step(bench.state, Step.RIDER))
            await pilot.pause()
            assert ("more …" in bench.text("grid")) == folded
            assert ("riding altitude" in bench.text("grid")) != folded
