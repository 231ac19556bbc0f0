"""A linkage nudged on its screen: moved, and drawn with its tables."""

from pytest_benchmark.fixture import BenchmarkFixture

from tui.charts.cells import Row
from tui.glyphs import UTF8
from tui.jobs.demo import demo_job
from tui.jobs.ends import end_of
from tui.linkage.drawing import drawn
from tui.linkage.examples import EXAMPLES
from tui.linkage.keys import pressed
from tui.linkage.screen import view_of
from tui.linkage.sketch import with_sketch
from tui.linkage.state import opened
from tui.linkage.tables import tables


def test_a_nudge_of_a_point_is_moved_and_drawn(benchmark: BenchmarkFixture) -> None:
    states = [opened(with_sketch(end_of(demo_job(), "rear"), EXAMPLES[1].sketch()))]

    def nudge() -> list[Row]:
        # Another place each time: what was moved before is remembered.
        states.append(pressed(states[-1], "plus", "+"))
        state = states[-1]
        return drawn(view_of(state), 75, 24, "braille", UTF8) + tables(state, 46, UTF8).lines

    rows = benchmark.pedantic(nudge, rounds=10)
    assert any("◎" in text for row in rows for text, _role in row)
    assert not states[-1].stale
    if benchmark.stats is not None:
        assert benchmark.stats.stats.median < 0.1
