"""The bench as its user waits for it: start, nudge, cursor move, and the bytes on the line."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.benchmarks.bytes_per_key import (
    ANSWERED,
    DOWN,
    IDLE,
    MOST,
    MOVE,
    NUDGE,
    OPENING,
    SIZES,
    STEP,
    VIEW,
    bytes_per_key,
)
from tests.benchmarks.pty_bench import BENCH, CAN_TELL, ESCAPE, PtySession, busy_time
from tui.bench.grid import page
from tui.bench.keymap import KEYMAP
from tui.bench.state import BenchState, open_bench, with_answer
from tui.bench.steps import NAMES, Step
from tui.charts.views import ChartView
from tui.job.demo import demo_job
from tui.job.job import History
from tui.kit.cells import changes
from tui.kit.look import UTF8
from tui.themes import find_themes

START = with_answer(open_bench(History.starting_at(demo_job())))
LOOK = find_themes().themes["dark"].chart(UTF8)
NEXT_STEP, NEXT_VIEW, TO_THE_CHART = b"\t", b"]", (b"]", b"]")
LATER = 1.35
"""How many times the start of a bare screen the first paint of the bench may take."""
FIRST_WORD = "rider mass"
BARE_SCREEN = """
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        yield Static("rider mass")
Bare().run()
"""
on_the_line = pytest.mark.benchmark(timer=busy_time)


@pytest.fixture
def bench() -> Iterator[PtySession]:
    if not CAN_TELL:
        pytest.skip("this machine does not tell whether a program waits for a key")
    with PtySession(120, 40) as session:
        session.wait_for(ANSWERED)
        session.wait_until_idle()
        yield session


def test_a_nudge_is_answered(benchmark: BenchmarkFixture) -> None:
    def nudge() -> BenchState:
        return KEYMAP.pressed(START, "plus", "+")

    assert not benchmark(nudge).is_outdated


@pytest.mark.parametrize("size", [(40, 18), (82, 54)])
def test_the_panels_are_drawn(benchmark: BenchmarkFixture, size: tuple[int, int]) -> None:
    before = page(START, *size, 0, LOOK).lines
    after = KEYMAP.pressed(START, "plus", "+")

    def draw() -> int:
        return len(changes(before, page(after, *size, 0, LOOK).lines) or [])

    assert benchmark(draw) > 0


@pytest.mark.slow
@pytest.mark.skipif(not CAN_TELL, reason="this machine does not tell whether a program waits for a key")
@on_the_line
@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("size", SIZES)
def test_a_nudge_on_the_line(benchmark: BenchmarkFixture, size: tuple[int, int]) -> None:
    with PtySession(*size) as bench:
        bench.wait_for(ANSWERED)
        bench.wait_until_idle()
        sent = []
        for _ in ChartView:
            sent += [bench.press(key) for key in (b"+", b"-", b">", b"<")]
            for key in TO_THE_CHART:
                bench.press(key)
            assert 200 < bench.press(DOWN) <= MOST[VIEW][SIZES.index(size)]  # another chart is drawn
            bench.press(ESCAPE)
        sent.append(benchmark.pedantic(bench.press, (b"+",), rounds=40))
    assert all(0 < count <= MOST[NUDGE][SIZES.index(size)] for count in sent), sent


@pytest.mark.slow
@on_the_line
def test_a_move_on_the_line(benchmark: BenchmarkFixture, bench: PtySession) -> None:
    assert benchmark.pedantic(bench.press, (DOWN,), rounds=7) > 0


@pytest.mark.slow
@on_the_line
@pytest.mark.parametrize("key", [NEXT_STEP, NEXT_VIEW], ids=["next step", "next view"])
def test_another_page_on_the_line(benchmark: BenchmarkFixture, bench: PtySession, key: bytes) -> None:
    assert benchmark.pedantic(bench.press, (key,), rounds=12) > 0


@pytest.mark.slow
@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("step", Step, ids=lambda step: NAMES[step])
@pytest.mark.parametrize("size", SIZES)
def test_no_key_sends_more_than_a_slow_line_takes(size: tuple[int, int], step: Step) -> None:
    if not CAN_TELL:
        pytest.skip("this machine does not tell whether a program waits for a key")
    sent = bytes_per_key(*size, step)
    over = [one for one in sent if one.number > MOST[one.kind][SIZES.index(size)]]
    assert over == []
    assert {one.kind for one in sent} >= {OPENING, STEP, VIEW, MOVE, IDLE}


@pytest.mark.fast_cases(1)
@on_the_line
@pytest.mark.parametrize(
    ("program", "text"),
    [(("-c", BARE_SCREEN), FIRST_WORD), (BENCH, FIRST_WORD), (BENCH, ANSWERED)],
    ids=["bare screen, first paint", "bench, first paint", "bench, curves and answer"],
)
def test_start(benchmark: BenchmarkFixture, program: tuple[str, ...], text: str) -> None:
    def start() -> None:
        with PtySession(120, 40, program) as session:
            session.wait_for(text)

    benchmark.pedantic(start, rounds=10, warmup_rounds=1)


@pytest.mark.slow
@on_the_line
def test_the_first_paint_comes_little_later_than_that_of_a_bare_screen(benchmark: BenchmarkFixture) -> None:
    """In turn, so that what else the machine does meanwhile falls on both."""
    shares: list[float] = []

    def start(program: tuple[str, ...]) -> float:
        began = busy_time()
        with PtySession(120, 40, program) as session:
            session.wait_for(FIRST_WORD)
        return busy_time() - began

    def both() -> None:
        shares.append(start(BENCH) / start(("-c", BARE_SCREEN)))

    benchmark.pedantic(both, rounds=15, warmup_rounds=1)
    assert all(share > 0 for share in shares)
    assert benchmark.disabled or median(shares) <= LATER, shares
