"""At the front end panels, chart and table speak of the fork; back at the rear, of the shock."""

from __future__ import annotations

from tests.tui.bench.conftest import bench_app, started
from tui.bench.table import FigureTable


async def test_the_front_end_says_fork_where_the_rear_says_shock() -> None:
    async with bench_app().run_test(size=(180, 90)) as pilot:
        bench = await started(pilot)
        table = bench.screen.query_one(FigureTable)

        def shown() -> str:
            return "\n".join((bench.text("grid"), bench.text("chart"), table.text))

        assert "shock stroke" in shown()
        assert "sag at shock" in table.text
        await bench.press("e")
        assert bench.state.wheel == "front"
        assert "Fork force (N) over fork travel" in bench.text("chart")
        assert "fork travel" in bench.text("grid")
        assert "sag at fork" in table.text
        assert "shock" not in shown()
        assert "stroke" not in shown()
        await bench.press("e")
        assert "Shaft force (N) over shock stroke" in bench.text("chart")
        assert "sag at shock" in table.text
