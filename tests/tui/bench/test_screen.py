"""The bench driven by keys: what is pressed, and what then stands on the screen."""

from __future__ import annotations

import pytest

from tests.tui.bench.conftest import bench_app, started
from tests.tui.screens import painted
from tui.app import commands
from tui.bench.edit import show_panel
from tui.bench.keymap import KEYMAP
from tui.bench.screen import BenchScreen
from tui.bench.table import FigureTable
from tui.job.demo import demo_job
from tui.job.panels import RIDER_MASS
from tui.kit.dialogs import Page
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
        assert "~ unverified: type over it, or Space confirms it" in bench.text("meaning")
        assert "72 values unverified" in bench.text("title") or "~72 unverified" in bench.text("title")
        if size[1] >= 40:
            screen = [strip.text for strip in pilot.app.screen._compositor.render_strips()]
            assert any("● ~ coil" in line and "▲ ~ air" in line for line in screen)
        assert "Shaft force (N)" in bench.text("chart")
        assert "coil 393 lbf/in, sag 29.0 %" in bench.text("results")
        assert "Enter edit" in bench.text("keys")
        assert "The rider ready to ride" in " ".join(bench.text("meaning").split())
        assert "not saved" not in bench.text("title")


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
        assert "not saved" in bench.text("title")
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


async def test_a_large_screen_shows_all_panels_chart_and_table() -> None:
    async with bench_app().run_test(size=(240, 60)) as pilot:
        bench = await started(pilot)
        for title in (" rider ", " frame ", " ● coil ", " ▲ air "):
            assert title in bench.text("grid")
        table = bench.screen.query_one(FigureTable)
        assert table.display
        assert table.size.height > 10
        assert bench.screen.query_one("#chart").size.width > 80


async def test_the_table_takes_the_place_of_the_chart_where_there_is_no_room_for_both() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        table, chart = bench.screen.query_one(FigureTable), bench.screen.query_one("#chart")
        assert (table.display, chart.display) == (False, True)
        await bench.press("t")
        assert (table.display, chart.display) == (True, False)
        assert bench.screen.in_table
        meaning = bench.text("meaning")
        await bench.press("down", "down")
        assert bench.text("meaning") != meaning
        await bench.press("9", "+", "delete")
        assert bench.state.bike == demo_job()
        await bench.press("escape")
        assert (table.display, chart.display) == (False, True)
        assert not bench.screen.in_table


async def test_the_chart_goes_through_its_views_and_is_read_at_a_cursor() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        seen = []
        for _ in range(6):
            seen.append(bench.text("chart").splitlines()[0])
            await bench.press("v")
        assert len(set(seen)) == 6
        before = bench.text("chart")
        await bench.press("l", "l")
        assert bench.text("chart") != before
        await bench.press("h", "h")
        fast = bench.text("chart")
        await bench.press("f")
        assert bench.text("chart") != fast


async def test_units_of_the_shop_change_with_one_key() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.press("m", "right", "left")
        assert "N/mm" in bench.text("results")
        assert "bar" in bench.text("results")
        assert "metric units" in bench.text("title")
        assert "82 kg" in bench.text("grid")


async def test_a_click_selects_and_a_second_one_opens() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await pilot.click("#grid", offset=(5, 6))
        await pilot.pause()
        assert bench.state.row.label == "bike mass"
        await pilot.click("#grid", offset=(5, 6))
        await pilot.pause()
        assert bench.state.edit is not None


@pytest.mark.parametrize("name", ["[red]x[/]", "[@click=app.exit]x[/]", "[/]", "a\x1b]0;owned\x07b"])
async def test_names_are_shown_letter_by_letter(name: str) -> None:
    job = demo_job().with_value(("title",), name).with_value(("setup", 0, "name"), name)
    async with bench_app(job).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        shown = name.replace("\x1b", "").replace("\x07", "")
        assert shown in bench.text("title")
        assert shown in bench.text("results")
        assert shown[:13] in bench.text("chart")


async def test_pasted_text_is_cleaned_and_typed() -> None:
    from textual.events import Paste

    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        bench.screen.post_message(Paste("18\x1b[2J7 lb\nrm -rf"))
        await pilot.pause()
        assert bench.state.edit is not None
        assert bench.state.edit.text == "18[2J7 lb"


@pytest.mark.slow
async def test_help_names_every_key_and_closes() -> None:
    async with bench_app().run_test(size=(120, 60)) as pilot:
        bench = await started(pilot)
        await bench.press("?")
        assert [type(screen) for screen in pilot.app.screen_stack] == [BenchScreen, Page]
        await bench.press("escape")
        assert pilot.app.screen_stack == [bench.screen]


async def test_pumping_and_ordering_have_their_pages() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        shown = [
            ("p", 0, "Pumping air, setup 2 of 2"),
            ("p", 1, "Pumping air, setup 2 of 2"),
            ("p", 2, "Pumping air, setup 2 of 2"),
            ("p", 3, "Pumping air, setup 2 of 2"),
            ("b", 1, "Spacers for air, setup 2 of 2"),
            ("b", 2, "A spring for coil, setup 1 of 2"),
            ("b", 0, "A spring for coil, setup 1 of 2"),
        ]
        for key, panel, title in shown:
            bench.screen.take(show_panel(bench.state, panel))
            await bench.press(key)
            assert isinstance(pilot.app.screen, Page)
            assert title in painted(pilot)
            await bench.press("escape")


@pytest.mark.slow
async def test_pumping_takes_the_selected_of_several_and_says_where_there_is_none() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press("a", "p")
        assert "Pumping air 2, setup 3 of 3" in painted(pilot)
        await bench.press("escape", "x", "x", "p")
        assert "No air setup to pump: press a to add one." in bench.text("keys")
        assert pilot.app.screen is bench.screen


async def test_without_an_answer_there_is_nothing_to_pump_or_to_buy() -> None:
    async with bench_app(demo_job().with_value(RIDER_MASS, "85")).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        for key in ("p", "b"):
            await bench.press(key)
            assert "No results yet" in bench.text("keys")
            assert pilot.app.screen is bench.screen


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
        assert "plaid" in bench.text("keys")
