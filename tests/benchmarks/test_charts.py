"""How long a chart takes from the answer to the cells."""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from physics.bench import answer
from tests.physics.test_bench import CASE
from tui.charts.drawing import layout, picture, rows
from tui.charts.series import Scene, chart_data
from tui.charts.views import ChartView
from tui.kit.cells import changes
from tui.kit.look import UTF8
from tui.shop_units import USUAL
from tui.themes import find_themes

ANSWER = answer(CASE)
LOOK = find_themes().themes["dark"].chart(UTF8)


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)])
def test_a_chart_is_drawn(benchmark: BenchmarkFixture, size: tuple[int, int]) -> None:
    def draw() -> int:
        scene = Scene(chart_data(ANSWER, ChartView.WHEEL, slow=True), USUAL, LOOK)
        return len(picture(scene, *size).rows)

    assert benchmark(draw) == size[1]


def test_a_cursor_step_is_worked_out(benchmark: BenchmarkFixture) -> None:
    scene = Scene(chart_data(ANSWER, ChartView.WHEEL), USUAL, LOOK)
    shares = layout(scene, 120, 40)
    drawn = picture(scene, 120, shares.plot)
    before = rows(scene, drawn, shares, 0.3, stale=False)

    def step() -> int:
        return len(changes(before, rows(scene, drawn, shares, 0.31, stale=False)) or [])

    assert benchmark(step) > 0
