"""The one table of roles: every variable is one of the themes, and every role is told from the others."""

from __future__ import annotations

import pytest

from tests.tui.bench.conftest import bench_app, started
from tui.bench.grid import FieldGrid
from tui.bench.state import select_field
from tui.kit.dialogs import Page, Paragraph
from tui.kit.look import UTF8
from tui.kit.roles import STYLES, Role
from tui.themes import find_themes

THEMES = sorted(find_themes().themes)


def test_roles_stay_below_the_looks_of_setups() -> None:
    assert max(role for role in Role if role is not Role.SETUP) < Role.SETUP


@pytest.mark.parametrize("theme", THEMES)
def test_every_variable_of_a_role_is_one_of_the_theme(theme: str) -> None:
    found = find_themes().themes[theme].textual()
    variables = {**found.to_color_system().generate(), **found.variables}
    used = {name for dress in STYLES.values() for name in (dress.colour, dress.ground) if name}
    assert used
    assert used <= set(variables)


async def test_a_caution_stands_out_without_any_colour(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SPRINGWRIGHT_THEME", "plain")
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        grid = bench.screen.query_one(FieldGrid)
        assert grid.style_of(Role.CAUTION).bold
        assert grid.style_of(Role.CAUTION) == grid.style_of(Role.WARNING)
        bench.screen.take(select_field(bench.state, ("setup", 1, "pressure")))
        await pilot.pause()
        assert " ! Never above the max pressure on the label." in bench.text("foot")
        pilot.app.push_screen(Page("Care", [Paragraph("Let all air out.", Role.CAUTION)], UTF8))
        await pilot.pause()
        assert pilot.app.screen.query_one(".caution").visual_style.bold


async def test_the_cursor_at_rest_is_told_from_that_with_the_focus(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLORTERM", "truecolor")
    async with bench_app().run_test(size=(80, 24)) as pilot:
        grid = (await started(pilot)).screen.query_one(FieldGrid)
        here, resting = grid.style_of(Role.CURSOR), grid.style_of(Role.RESTING)
        assert here.reverse
        assert resting.underline
        assert not resting.reverse
        assert grid.style_of(Role.QUIET).color != grid.style_of(Role.BASE).color
        assert grid.style_of(Role.WARNING).bold
