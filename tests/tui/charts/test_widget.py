"""The chart panel on a screen: what it says, what it sends, in every size and theme."""

from __future__ import annotations

import os
import re
from dataclasses import replace

import pytest
from rich.color import Color, ColorType
from textual.app import App, ComposeResult
from textual.geometry import Region
from textual.widgets import Button, DataTable, Footer, Input, Label, ListView, Select, Switch

from physics.answer import Answer
from physics.bench import answer
from tests.physics.test_bench import CASE
from tui import themes
from tui.charts.drawing import Picture, picture
from tui.charts.series import Scene
from tui.charts.views import ChartView
from tui.charts.widget import ChartPanel
from tui.kit.look import UTF8, ChartLook
from tui.kit.widget import LookWidget
from tui.shop_units import METRIC, USUAL


class Recording(ChartPanel):
    """A panel that remembers what it asked to be sent."""

    def __init__(self, look: ChartLook) -> None:
        super().__init__(look)
        self.sent: list[Region] = []
        self.whole = 0

    def refresh(self, *regions: Region, **how: bool) -> Recording:
        self.sent += regions
        self.whole += not regions
        super().refresh(*regions, **how)
        return self

    def take(self) -> list[Region]:
        sent, self.sent = self.sent, []
        return sent


class Stand(App[None]):
    """A screen with a chart and nothing else."""

    def __init__(self, look: ChartLook) -> None:
        super().__init__()
        self.panel = Recording(look)

    def compose(self) -> ComposeResult:
        yield self.panel

    def on_screen(self) -> list[str]:
        """Return what the screen shows, not what the panel believes."""
        return [strip.text for strip in self.screen._compositor.render_strips()]


async def test_the_panel_shows_title_plot_and_readings(two: Answer, look: ChartLook) -> None:
    stand = Stand(look)
    async with stand.run_test(size=(80, 24)) as pilot:
        stand.panel.show(two, ChartView.WHEEL, USUAL, cursor=0.3)
        await pilot.pause()
        shown = stand.on_screen()
        title = "2/7 Wheel force (N) over wheel travel  · as it rides  · ═S═ sag  · last tenth"
        assert shown[0].rstrip() == title
        assert shown[-1].startswith("at 45.0 mm   ● coil  552 N  ▲ air   552 N")
        assert look.glyphs.cursor not in shown[-3], "it is on the sag, whose mark stays"
        assert [line.rstrip() for line in shown] == [line.rstrip() for line in stand.panel.text.split("\n")]


async def test_a_stale_answer_says_so_in_words_and_changes_one_line(two: Answer, look: ChartLook) -> None:
    stand = Stand(look)
    async with stand.run_test(size=(120, 24)) as pilot:
        stand.panel.show(two, ChartView.SHAFT, USUAL)
        await pilot.pause()
        stand.panel.take()
        stand.panel.show(two, ChartView.SHAFT, USUAL, stale=True)
        assert {region.y for region in stand.panel.take()} == {0}
        await pilot.pause()
        assert stand.on_screen()[0].startswith("≠ OLD: last valid result  1/7 Shaft force")


@pytest.mark.slow
async def test_what_does_not_fit_beside_the_title_goes_as_a_whole(two: Answer, look: ChartLook) -> None:
    stand = Stand(look)
    async with stand.run_test(size=(80, 16)) as pilot:
        rides, sag, friction, last = "as it rides", "═S═ sag", "═S═ sag ± friction", "last tenth"
        force, travel, unit = "2/7 Wheel force (N)", "over wheel travel", "(mm)"
        for width, slow, stale, *titles in (
            (104, False, False, f"{force} {travel} {unit}  · {rides}  · {friction}  · {last} of travel"),
            (80, False, False, f"{force} {travel}  · {rides}  · {sag}  · {last}"),
            (60, False, False, f"{force} {travel} {unit}", f"{rides}  · {friction}  · {last} of travel"),
            (40, False, False, f"{force} {travel}", f"{rides}  · {sag}  · {last}"),
            (60, True, False, f"{force} {travel} {unit}", f"{rides}  · hollow: slow  · {sag}  · {last}"),
            (40, True, False, f"{force} {travel}", f"hollow: slow  · {sag}  · {last}"),
            (40, False, True, f"≠ OLD  {force} over travel", f"{rides}  · {sag}  · {last}"),
            (36, False, True, f"≠ OLD  {force}", f"over travel  · {sag}  · {last}"),
            (106, False, True, f"≠ OLD: last valid result  {force} {travel}  · {rides}  · {sag}  · {last}"),
            (24, False, True, "≠ OLD  2/7 Wheel force"),
            (10, False, False, "2/7 Wheel…"),
        ):
            for height in (16, 9):
                await pilot.resize_terminal(width, height)
                stand.panel.show(two, ChartView.WHEEL, USUAL, slow=slow, stale=stale)
                await pilot.pause()
                shown = [row.rstrip() for row in stand.on_screen()]
                if height == 16:
                    assert shown[: len(titles)] == titles
                elif width >= 40 and not stale:  # the axis is named before any legend
                    assert re.match(rf"{re.escape(force)} over (wheel )?travel", shown[0])
                    assert "┤" in shown[1]


async def test_a_cursor_step_sends_few_cells_and_draws_nothing_anew(
    two: Answer, look: ChartLook, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[int] = []

    def counted(scene: Scene, width: int, height: int) -> Picture:
        drawn.append(1)
        return picture(scene, width, height)

    monkeypatch.setattr("tui.charts.widget.picture", counted)
    stand = Stand(look)
    async with stand.run_test(size=(120, 40)) as pilot:
        stand.panel.show(two, ChartView.SHAFT, USUAL, cursor=0.5)
        await pilot.pause()
        stand.panel.take()
        stand.panel.whole = 0
        before = len(drawn)
        for step in range(1, 40):
            stand.panel.show(two, ChartView.SHAFT, USUAL, cursor=0.5 + step / 100)
            sent = stand.panel.take()
            assert sent
            assert len({region.y for region in sent}) <= 6
            assert sum(region.area for region in sent) <= 60
        await pilot.pause()
        assert (len(drawn), stand.panel.whole) == (before, 0)
        moved = stand.on_screen()
        stand.panel.refresh()
        await pilot.pause()
        assert stand.on_screen() == moved


async def test_the_same_answer_again_sends_nothing(two: Answer, look: ChartLook) -> None:
    stand = Stand(look)
    async with stand.run_test(size=(80, 24)) as pilot:
        stand.panel.show(two, ChartView.SHAFT, USUAL, cursor=0.2)
        await pilot.pause()
        stand.panel.take()
        stand.panel.whole = 0
        stand.panel.show(two, ChartView.SHAFT, USUAL, cursor=0.2, selected_setup=1)
        assert (stand.panel.take(), stand.panel.whole) == ([], 0)


@pytest.mark.slow
async def test_another_answer_changes_the_curve_and_not_the_axes(two: Answer, look: ChartLook) -> None:
    stand = Stand(look)
    heavier = answer(replace(CASE, load=replace(CASE.load, rider_mass=85.5)))  # type: ignore[arg-type]
    async with stand.run_test(size=(80, 24)) as pilot:
        stand.panel.show(two, ChartView.SHAFT, METRIC)
        await pilot.pause()
        stand.panel.take()
        stand.panel.show(heavier, ChartView.SHAFT, METRIC)
        sent = stand.panel.take()
        assert sent
        assert sum(region.area for region in sent) < 80 * 24 / 3
        assert min(region.x for region in sent) > 3


@pytest.mark.slow
@pytest.mark.parametrize("size", [(20, 6), (80, 24), (120, 40), (200, 60), (10, 4), (3, 2), (1, 1)])
async def test_any_size_shows_what_fits(
    six: Answer, look: ChartLook, ascii_look: ChartLook, size: tuple[int, int]
) -> None:
    for given in (look, ascii_look):
        stand = Stand(given)
        async with stand.run_test(size=(80, 24)) as pilot:
            for view in ChartView:
                stand.panel.show(six, view, USUAL, slow=True, selected_setup=1)
                await pilot.pause()
                await pilot.resize_terminal(*size)
                await pilot.pause()
                assert [len(row) for row in stand.panel.rows] == [size[0]] * size[1]
                shown = "".join(stand.on_screen())
                assert given is look or shown.isascii()
        if size == (20, 6):
            assert "Too small" not in shown


async def test_a_small_panel_reads_values_before_places(two: Answer, look: ChartLook) -> None:
    stand = Stand(look)
    async with stand.run_test(size=(20, 6)) as pilot:
        stand.panel.show(two, ChartView.SHAFT, USUAL, cursor=0.3)
        await pilot.pause()
        assert stand.on_screen()[-1].startswith("● coil  1445 N")


async def test_without_an_answer_there_are_words(look: ChartLook) -> None:
    stand = Stand(look)
    async with stand.run_test(size=(40, 10)) as pilot:
        stand.panel.say("No answer yet: a field cannot be used.")
        await pilot.pause()
        assert "No answer yet: a field cannot be used." in " ".join(
            line.strip() for line in stand.on_screen()
        )


async def test_names_are_shown_to_the_letter(two: Answer, look: ChartLook) -> None:
    name = "[red]\x1b[31m界[/]"
    named = replace(two, setups=(replace(two.setups[0], name=name), two.setups[1]))
    stand = Stand(look)
    async with stand.run_test(size=(80, 24)) as pilot:
        stand.panel.show(named, ChartView.SHAFT, USUAL)
        await pilot.pause()
        assert "[red][31m界[/]" in stand.on_screen()[-1]


class Shop(App[None]):
    """Every widget whose own style sheet may ask a theme for a colour."""

    def compose(self) -> ComposeResult:
        yield from (Label("a"), Input(), Button("b"), DataTable[str](), ListView(), Switch(), Footer())
        yield Select[int]([("one", 1)])


async def colours_of(theme: themes.ThemeData, shown: Answer, ansi_color: bool | None) -> set[Color]:
    shop = Shop(ansi_color=ansi_color)
    shop.register_theme(theme.textual())
    shop.theme = theme.name
    async with shop.run_test(size=(80, 40)) as pilot:
        panel = ChartPanel(theme.chart(UTF8))
        await shop.mount(panel)
        panel.styles.height = 20
        panel.show(shown, ChartView.SHAFT, USUAL)
        await pilot.pause()
        styles = [part.style for strip in shop.screen._compositor.render_strips() for part in strip]
    colours = [colour for style in styles if style for colour in (style.color, style.bgcolor)]
    assert "Shaft force" in panel.text
    return {colour for colour in colours if colour is not None}


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("name", ["dark", "light", "high-contrast", "sixteen", "plain"])
async def test_each_theme_dresses_a_whole_screen(name: str, two: Answer) -> None:
    theme = themes.find_themes().themes[name]
    kinds = {colour.type for colour in await colours_of(theme, two, None)}
    deep = {ColorType.TRUECOLOR, ColorType.EIGHT_BIT}
    assert bool(kinds & deep) == (name in ("dark", "light", "high-contrast"))


async def test_without_colour_none_is_sent(two: Answer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    theme = themes.find_themes().themes[themes.default_theme(os.environ)]
    colours = await colours_of(theme, two, themes.no_colour(os.environ) or None)
    assert {colour.type for colour in colours} == {ColorType.DEFAULT}


async def test_the_panel_follows_another_look(two: Answer, look: ChartLook, ascii_look: ChartLook) -> None:
    stand = Stand(look)
    async with stand.run_test(size=(80, 24)) as pilot:
        stand.panel.show(two, ChartView.SHAFT, USUAL)
        await pilot.pause()
        stand.panel.look = ascii_look
        await pilot.pause()
        assert "".join(stand.on_screen()).isascii()
        assert stand.panel.look is ascii_look


async def test_a_size_told_before_the_panel_listens_is_drawn_all_the_same(
    two: Answer, look: ChartLook, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(LookWidget, "on_resize", lambda _self: None)
    stand = Stand(look)
    stand.panel.show(two, ChartView.WHEEL, USUAL)
    async with stand.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert stand.on_screen()[0].startswith("2/7 Wheel force (N)")
