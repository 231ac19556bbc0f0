"""A linkage nudged on its screen: moved, and drawn with its tables."""

from pytest_benchmark.fixture import BenchmarkFixture

from tui.job.demo import demo_job
from tui.job.wheels import wheel_job
from tui.kit.cells import CellRow
from tui.kit.look import UTF8
from tui.linkage.drawing import draw
from tui.linkage.keymap import KEYMAP
from tui.linkage.panes import tables
from tui.linkage.screen import view_of
from tui.linkage.sketch import EXAMPLES, with_sketch
from tui.linkage.state import open_linkage


def test_a_nudge_of_a_point_is_moved_and_drawn(benchmark: BenchmarkFixture) -> None:
    states = [open_linkage(with_sketch(wheel_job(demo_job(), "rear"), EXAMPLES[1].sketch()))]

    def nudge() -> list[CellRow]:
        # Another place each time: what was moved before is remembered.
        states.append(KEYMAP.pressed(states[-1], "plus", "+"))
        state = states[-1]
        return draw(view_of(state), 75, 24, "braille", UTF8) + tables(state, 46, UTF8).lines

    rows = benchmark.pedantic(nudge, rounds=10)
    assert any("◎" in text for row in rows for text, _role in row)
    assert not states[-1].is_outdated
    if benchmark.stats is not None:
        assert benchmark.stats.stats.median < 0.1
