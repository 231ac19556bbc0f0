"""Figures wanted of a setup on the bench: asked for, judged, tried."""

import re

import pytest

from tests.tui.bench.conftest import bench_app, started
from tui.bench.views.match import wished_here
from tui.bench.views.pane import ViewPane


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_figures_are_asked_for_judged_and_tried(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.press("tab", "tab", "right")
        await bench.show("wants")
        pane = bench.screen.query_one(ViewPane)
        assert "Space, then t: type target figures" in " ".join(pane.text.split())
        assert re.search(r"name to type +now", pane.text)
        assert re.search(r"^support_50 +1\.8\d x static", pane.text, re.MULTILINE)
        await bench.press("space", "t")
        await bench.write("nonsense>=2")
        await bench.press("enter")
        assert len(pilot.app.screen_stack) > 1
        await bench.press("ctrl+u")
        await bench.write("bottom_ratio<=9; support_50>=9")
        await bench.press("enter")
        shown = " ".join(pane.text.split())
        assert "bottom-out ratio at most 9 x static: " in shown
        assert "support at 50 % at least 9 x static: " in shown
        assert "not met; best possible " in shown
        assert shown.startswith("1 of 2 targets met, limited by support at 50 %.")
        before, offer = len(bench.state.job.setups), wished_here(bench.state)
        assert not isinstance(offer, str | None)
        await bench.press("enter")
        assert len(bench.state.job.setups) == before + 1
        assert bench.state.answer is not None
        tried = bench.state.answer.answer.setups[-1]
        assert tried.sag == offer.setup.sag
        for promised, judged in zip(("bottom_ratio", "support_50"), offer.found.judged, strict=True):
            assert float(getattr(tried.riding, promised)) == pytest.approx(judged.found, rel=1e-9)
        assert tried.cautions == offer.setup.cautions
        assert "for targets" in str(bench.state.job.setups[-1]["name"])
        await bench.press("u")
        assert len(bench.state.job.setups) == before
