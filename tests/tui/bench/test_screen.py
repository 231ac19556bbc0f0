"""The bench driven by keys: what is pressed, and what then stands on the screen."""

from __future__ import annotations

import pytest

from tests.tui.bench.conftest import bench_app, started
from tui.app import commands
from tui.bench.keymap import KEYMAP
from tui.bench.state import select_setup, show_step
from tui.bench.steps import Step
from tui.bench.table import FigureTable
from tui.charts.views import ChartView
from tui.job.demo import demo_job
from tui.job.panels import RIDER_MASS
from tui.kit.keymap import key_name
from tui.kit.look import LINE_STYLES

SIZES = [(80, 24), (120, 40)]


def test_every_action_is_done_by_the_state_or_by_the_screen() -> None:
    without_step = {action.id for action in KEYMAP.actions if action.step is None}
    assert without_step == set(commands().by_id)


@pytest.mark.parametrize("size", SIZES)
async def test_the_first_screen_is_alive(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        assert bench.state.row.path == RIDER_MASS
        assert "rider mass        ~ 82 kg" in bench.text("grid")
        assert "~ unverified: Enter twice confirms it" in " ".join(bench.text("meaning").split())
        assert ("~72 unverified" if size[0] >= 110 else "~72") in bench.text("title")
        assert "[Rider] Frame  Springs  Compare  Ride  Hand over" in bench.text("title")
        assert "chart · sweep" in bench.text("view-strip")
        assert "~9 to type" in bench.text("fields-strip")
        assert "Shaft force (N)" in bench.text("chart")
        assert "coil 393 lbf/in, sag 29.0 %" in bench.text("results")
        assert "Enter edit" in bench.text("keys")
        assert "Rider ready to ride" in " ".join(bench.text("meaning").split())
        assert bench.says_saved


@pytest.mark.parametrize("size", SIZES)
async def test_an_edit_moves_rate_pressure_and_curves(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        before = bench.text("chart"), bench.text("results")
        await bench.write("97")
        assert "97" in bench.text("grid")
        assert bench.text("results") == before[1]
        await bench.press("enter")
        assert "97 kg" in bench.text("grid")
        assert bench.text("chart") != before[0]
        assert bench.text("results") != before[1]
        assert not bench.says_saved
        await bench.press("u")
        assert (bench.text("chart"), bench.state.bike_answer and bench.state.bike_answer.job) == (
            before[0],
            demo_job(),
        )


@pytest.mark.slow
async def test_an_unusable_value_keeps_the_last_curves_and_says_so() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.write("9 lumps")
        await bench.press("enter")
        assert '"lumps"' in bench.text("grid")
        assert "1 invalid value" in bench.text("results")
        assert "OLD" in bench.text("chart")
        await bench.write("90")
        await bench.press("enter")
        assert "cannot be used" not in bench.text("results")


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (240, 60), (64, 14)])
async def test_fields_and_view_stand_side_by_side_where_there_is_room(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        for _ in Step:
            fields, view = (bench.screen.query_one(name).region for name in ("#grid", "#right"))
            assert fields.width > 20
            assert view.x >= fields.right
            assert view.right == size[0]
            await bench.press("tab")


@pytest.mark.slow
async def test_the_table_takes_the_whole_width_of_a_narrow_screen_while_it_has_the_focus() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("figures")
        table = bench.screen.query_one(FigureTable)
        assert (table.display, bench.screen.query_one("#chart").display) == (True, False)
        assert table.region.width >= 78
        assert not bench.screen.query_one("#grid").display
        assert table.has_focus
        first = bench.text("table").splitlines()[0]
        assert [name in first for name in ("coil", "air", "vs 1st")] == [True, True, True]
        meaning = bench.text("meaning")
        await bench.press("down", "down")
        assert bench.text("meaning") != meaning
        await bench.press("9", "+", "delete")
        assert bench.state.bike == demo_job()
        assert "Delete is for the fields: Esc goes back to them." in bench.text("note")
        await bench.press("escape")
        assert bench.screen.query_one("#grid").display
        assert table.display
        assert not table.has_focus
        await bench.resize(120, 40)
        await bench.press("]", "[")
        assert bench.screen.query_one("#grid").display


@pytest.mark.slow
@pytest.mark.parametrize("size", [(80, 24), (120, 40), (40, 14)])
async def test_any_pane_is_given_the_whole_screen_and_both_come_back(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)

        def shown() -> list[bool]:
            return [bench.screen.query_one(name).display for name in ("#grid", "#right")]

        both = shown()
        assert both == ([True, True] if size[0] >= 64 else [True, False])
        await bench.press("z")
        assert shown() == [True, False]
        assert bench.screen.query_one("#grid").region.width == size[0]
        await bench.press("]")
        assert shown() == [False, True]
        assert bench.screen.query_one("#right").region.width == size[0]
        await bench.press("escape")
        assert shown() == [True, False]
        await bench.press("z")
        assert shown() == both
        await bench.press("]", "z", "escape", "escape")
        assert shown() == both


@pytest.mark.slow
async def test_where_rows_are_scarce_frames_fall_away_and_the_selected_field_stays_in_sight() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        assert bench.text("fields-strip").startswith("╭")
        heights = []
        for size in ((120, 40), (100, 30), (80, 24), (80, 13), (40, 9), (30, 5)):
            await bench.resize(*size)
            heights.append(bench.screen.query_one("#foot").region.height)
            assert bench.text("fields-strip").startswith("╭") == (size >= (100, 30))
            assert sum(line.startswith("›") for line in bench.text("grid").splitlines()) == 1
            assert bench.text("results").strip()
        assert heights == sorted(heights, reverse=True)


@pytest.mark.slow
async def test_charts_are_gone_through_and_read_at_a_cursor_with_the_focus_in_the_view() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.show("chart")
        seen = []
        for place, _ in enumerate(ChartView, 1):
            seen.append(bench.text("chart").splitlines()[0])
            assert seen[-1].startswith(f"{place}/{len(ChartView)} ")
            await bench.press("down")
        assert len(set(seen)) == len(ChartView)
        await bench.press("up")
        assert bench.text("chart").splitlines()[0] == seen[-1]
        await bench.press("down")
        before = bench.text("chart")
        await bench.press("right", "right")
        assert bench.text("chart") != before
        await bench.press("left", "left")
        assert bench.text("chart") == before
        await bench.press("pagedown")
        assert bench.state.cursor == pytest.approx(0.39)
        await bench.press("home")
        assert bench.state.cursor == pytest.approx(0.29)
        fast = bench.text("chart")
        await bench.do("slow")
        assert bench.text("chart") != fast
        await bench.press("escape", "right", "down")
        assert bench.state.cursor == pytest.approx(0.29), "in the fields arrows are for the fields"


async def test_units_of_the_shop_are_an_act_of_the_menu() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.press("space", "space", "u")
        assert "Figures in metric units" in bench.text("note")
        assert "N/mm" in bench.text("results")
        assert "bar" in bench.text("results")
        assert "82 kg" in bench.text("grid")


async def test_a_click_selects_and_a_second_one_opens() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await pilot.click("#grid", offset=(5, 3))
        await pilot.pause()
        assert bench.state.row.label == "bike mass"
        await pilot.click("#grid", offset=(5, 3))
        await pilot.pause()
        assert bench.state.edit is not None


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("name", ["[red]x[/]", "[@click=app.exit]x[/]", "[/]", "a\x1b]0;owned\x07b"])
async def test_names_are_shown_letter_by_letter(name: str) -> None:
    job = demo_job().with_value(("title",), name).with_value(("setup", 0, "name"), name)
    async with bench_app(job).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        shown = name.replace("\x1b", "").replace("\x07", "")
        assert shown in bench.text("title")
        assert shown in bench.text("results")
        assert shown[:13] in bench.text("chart")


@pytest.mark.slow
async def test_pasted_text_is_cleaned_and_typed() -> None:
    from textual.events import Paste

    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        bench.screen.post_message(Paste("18\x1b[2J7 lb\nrm -rf"))
        await pilot.pause()
        assert bench.state.edit is not None
        assert bench.state.edit.text == "18[2J7 lb"
        await bench.press("escape", "/")
        bench.screen.post_message(Paste("ri\x1b[2Jder\nmass"))
        await pilot.pause()
        assert bench.state.finder is not None
        assert bench.state.finder.text == "ri[2Jder"
        assert "[2J" not in bench.text("grid")
        await bench.press("escape", "]")
        bench.screen.post_message(Paste("91"))
        await bench.press("escape")
        assert "~ 82 kg" in bench.text("grid")


@pytest.mark.slow
async def test_the_help_says_what_field_and_view_are_and_names_every_key() -> None:
    async with bench_app().run_test(size=(120, 60)) as pilot:
        bench = await started(pilot)
        before = bench.text("chart")
        await bench.press("?")
        assert pilot.app.screen is bench.screen
        seen = bench.text("view")
        assert seen.split()[:2] == ["RIDER", "MASS"] or seen.splitlines()[0].strip() == "rider mass"
        for _ in range(4):
            await bench.press("pagedown")
            seen += bench.text("view")
        for action in KEYMAP.actions:
            if action.keys and not action.typing:
                assert key_name(action.keys[0]) in seen
        await bench.press("escape")
        assert bench.text("chart") == before
        await bench.press("f1", "f1")
        assert bench.text("chart") == before


@pytest.mark.slow
async def test_pumping_and_ordering_are_views_of_the_selected_setup() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        for step in (Step.RIDER, Step.FRAME, Step.COMPARE, Step.RIDE):
            bench.screen.take(show_step(select_setup(bench.state, 0), step))
            await bench.show("pump")
            assert "TO 205 PSI" in bench.text("view").upper()
            assert (bench.state.step, bench.state.setup) == (Step.SPRINGS, 1)
        await bench.show("order")
        assert "1 spacer" in bench.text("view")
        await bench.press("escape", "left", "]")
        assert (bench.state.setup, bench.state.view) == (0, "wire")
        await bench.press("[")
        assert bench.state.view == "order"
        assert "lbf/in" in bench.text("view")


@pytest.mark.slow
async def test_pumping_takes_the_selected_of_several_and_says_where_there_is_none() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.do("air")
        await bench.show("pump")
        assert bench.state.setup == 2
        await bench.press("space", "x")
        await bench.show("pump")
        assert bench.state.setup == 1
        await bench.press("space", "x")
        await bench.show("pump")
        assert "The job has no air spring: Space, then a, adds one." in bench.text("note")
        assert bench.state.view == "chart"


async def test_without_an_answer_there_is_nothing_to_pump_or_to_buy() -> None:
    async with bench_app(demo_job().with_value(RIDER_MASS, "85")).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        for view in ("pump", "order", "verdict"):
            await bench.show(view)
            assert bench.text("view").strip().startswith("No results yet")


@pytest.mark.slow
async def test_colours_and_lines_of_the_chart_go_round() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        seen = {bench.text("chart")}
        for _ in LINE_STYLES:
            await bench.press("f8")
            seen.add(bench.text("chart"))
        assert len(seen) >= len(LINE_STYLES)
        first = pilot.app.theme
        themes = set()
        for _ in bench.screen.themes:
            await bench.press("f10")
            themes.add(pilot.app.theme)
        assert pilot.app.theme == first
        assert themes == set(bench.screen.themes)


async def test_a_wrong_theme_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SPRINGWRIGHT_THEME", "plaid")
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        assert "plaid" in bench.text("note")
