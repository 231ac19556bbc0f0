"""At the front end fields, chart and table speak of the fork; back at the rear, of the shock."""

from __future__ import annotations

import pytest

from tests.tui.bench.conftest import bench_app, started
from tui.bench.state import show_step
from tui.bench.steps import Step


@pytest.mark.slow
async def test_the_front_end_says_fork_where_the_rear_says_shock() -> None:
    async with bench_app().run_test(size=(180, 90)) as pilot:
        bench = await started(pilot)

        async def shown() -> str:
            """Return fields, curves and figures, all fields unfolded."""
            texts = []
            for step in (Step.FRAME, Step.SPRINGS):
                bench.screen.take(show_step(bench.state, step))
                await bench.press("end", "enter")
                texts.append(bench.text("grid"))
                await bench.press("enter", "home")
            for view in ("leverage", "chart", "figures"):
                await bench.show(view)
                texts.append(bench.text("table" if view == "figures" else "chart"))
            return "\n".join(texts)

        rear = await shown()
        for wanted in ("shock stroke", "sag at shock", "Shaft force (N) over shock stroke"):
            assert wanted in rear
        await bench.do("end")
        assert bench.state.wheel == "front"
        front = await shown()
        for wanted in ("fork travel", "sag at fork", "Fork force (N) over fork travel"):
            assert wanted in front
        assert "shock" not in front
        assert "stroke" not in front.replace("mid-stroke", "")
        await bench.do("end")
        again = await shown()
        assert "Shaft force (N) over shock stroke" in again
        assert "sag at shock" in again
