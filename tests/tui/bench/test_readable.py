"""Every word that the bench shows is read on what stands behind it, in every view of a theme with colours."""

from __future__ import annotations

import re
from contextlib import suppress

import pytest
from textual.app import App
from textual.worker import WorkerCancelled

from tests.colour_science import contrast
from tests.tui.bench.conftest import bench_app, started
from tui.bench.steps import Step
from tui.charts.views import ChartView
from tui.kit.look import NEGATIVE, POSITIVE, TOTAL
from tui.themes import find_themes

_DRAWN = re.compile(r"[\s\u2500-\u25ff\u2605\u2606\u2726\u2727\u2800-\u28ff]+")
"""Frames, lines and markers: no words."""


def words_on(app: App[int]) -> dict[tuple[str, str, bool], str]:
    """Return what is written on the screen by its colour, the colour behind it, and whether it is words."""
    found: dict[tuple[str, str, bool], str] = {}
    for strip in app.screen._compositor.render_strips():
        for text, style, _ in strip:
            if style is None or style.color is None or style.bgcolor is None or not text.strip():
                continue
            front, behind = (colour.get_truecolor().hex for colour in (style.color, style.bgcolor))
            if style.reverse:
                front, behind = behind, front
            assert not style.dim
            found[front, behind, _DRAWN.fullmatch(text) is None] = text
    return found


@pytest.mark.slow
@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(
    ("theme", "least"), [("dark", 4.5), ("light", 4.5), ("high-contrast", 7.0)], ids=lambda part: str(part)
)
async def test_words_have_contrast_and_lines_too(
    theme: str, least: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.setenv("SPRINGWRIGHT_THEME", theme)
    monkeypatch.delenv("NO_COLOR", raising=False)
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        seen = words_on(pilot.app)

        async def look(*keys: str) -> None:
            await bench.press(*keys)
            with suppress(WorkerCancelled):  # by the view that came since
                await pilot.app.workers.wait_for_complete()
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
            seen.update(words_on(pilot.app))

        for _ in Step:
            for _ in bench.state.view_ids:
                await look("right_square_bracket")
            await look("escape")
            await look("tab")
        await look("tab", "tab", "right")
        for _ in bench.state.view_ids:
            await look("right_square_bracket")
        assert (bench.state.view, bench.state.setup) == ("chart", 1)
        shown = set()
        for _ in ChartView:
            await look("down")
            shown.add(bench.state.chart)
        assert shown == set(ChartView)
        for key in ("question_mark", "escape", "space", "escape", "slash", "escape", "escape", "enter"):
            await look(key)
        faint = {
            (text, front, behind): contrast(front, behind)
            for (front, behind, words), text in seen.items()
            if contrast(front, behind) < (least if words else 3.0)
        }
        data = find_themes().themes[theme]
        assert data.ui["background"] in {behind for _, behind, _ in seen}
        lines = {data.look.line(look).colour for look in (0, 1, TOTAL, POSITIVE, NEGATIVE)}
        assert lines <= {front for front, _, _ in seen}
        assert faint == {}
