"""A bench on a screen that only exists in memory."""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from pathlib import Path

import pytest
import pytest_asyncio
from textual.pilot import Pilot

from tests.conftest import USUAL_SIZE
from tests.homes import been_here
from tui.app import BenchApp
from tui.bench.grid import FieldGrid
from tui.bench.keymap import KEYMAP
from tui.bench.screen import BenchScreen
from tui.bench.session import Session
from tui.bench.state import BenchState, open_bench, show_view
from tui.bench.table import FigureTable
from tui.bench.views.pane import ViewPane
from tui.charts.widget import ChartPanel
from tui.job.demo import demo_job
from tui.job.job import History, Job
from tui.kit.cells import text_of
from tui.kit.widget import LookLines


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep drafts, records and themes of the test apart from those of the person who runs it."""
    return at_home(tmp_path / "home", monkeypatch)


def at_home(home: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Make a home and go there."""
    home.mkdir()
    for name in ("HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "TMPDIR"):
        monkeypatch.setenv(name, str(home))
    monkeypatch.delenv("SPRINGWRIGHT_STORE", raising=False)
    been_here(home)
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    monkeypatch.chdir(home)
    return home


def bench_app(job: Job | None = None, session: Session | None = None) -> BenchApp:
    """Return a bench with a job on it, the demo unless another is given."""
    return BenchApp(open_bench(History.starting_at(job or demo_job())), session or Session())


_FOOT = {"meaning": slice(0, -2), "note": slice(0, -2), "results": slice(-2, -1), "keys": slice(-1, None)}
"""Parts of the lines below the panes."""


class Bench:
    """What a test reads off a running bench."""

    def __init__(self, pilot: Pilot[int]) -> None:
        self.pilot = pilot

    @property
    def screen(self) -> BenchScreen:
        screen = self.pilot.app.screen_stack[0]
        assert isinstance(screen, BenchScreen)
        return screen

    @property
    def state(self) -> BenchState:
        return self.screen.state

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.pilot.pause()

    async def write(self, text: str) -> None:
        await self.press(*("space" if letter == " " else letter for letter in text))

    async def resize(self, width: int, height: int) -> None:
        await self.pilot.resize_terminal(width, height)
        await self.pilot.pause()

    def text(self, name: str) -> str:
        """Return what a part of the screen shows."""
        if name in _FOOT:
            rows = [text_of([row]) for row in self.screen.query_one("#foot", LookLines).rows]
            return "\n".join(rows[_FOOT[name]])
        part = self.screen.query_one(f"#{name}")
        assert isinstance(part, FieldGrid | LookLines | ChartPanel | ViewPane | FigureTable)
        return part.text

    @property
    def says_saved(self) -> bool:
        """Whether the title says nothing of changes that are not saved; a narrow one has a mark for them."""
        title = self.text("title").rstrip()
        return not title.endswith(("*", "not saved"))

    async def do(self, id: str) -> None:
        """Do an act by its id, as the menu and the finder do."""
        self.screen.do(KEYMAP.named[id])
        await self.pilot.pause()

    async def show(self, view: str) -> None:
        """Show a view, which then has the focus."""
        self.screen.take(show_view(self.state, view))
        await self.pilot.pause()


Start = Callable[[Pilot[int]], Awaitable[Bench]]


async def started(pilot: Pilot[int]) -> Bench:
    """Return the bench once its first answer is on the screen."""
    bench = Bench(pilot)
    await pilot.pause()
    await pilot.pause()
    return bench


@pytest_asyncio.fixture(scope="module", loop_scope="module")
async def kept_bench(
    tmp_path_factory: pytest.TempPathFactory,
) -> AsyncIterator[tuple[Bench, BenchState]]:
    """A bench that runs as long as the tests of a module, and what is on it at first."""
    with pytest.MonkeyPatch.context() as patched:
        at_home(tmp_path_factory.mktemp("kept") / "home", patched)
        async with bench_app().run_test(size=USUAL_SIZE) as pilot:
            bench = await started(pilot)
            yield bench, bench.state


@pytest_asyncio.fixture(loop_scope="module")
async def bench(kept_bench: tuple[Bench, BenchState], request: pytest.FixtureRequest) -> Bench:
    """The bench of the module as it was at first, in the `size` that the test is run at.

    For tests that leave no more behind than its state; they bear `pytest.mark.asyncio(loop_scope="module")`.
    """
    bench, first = kept_bench
    while len(bench.pilot.app.screen_stack) > 1:
        await bench.press("escape")
    case = getattr(request.node, "callspec", None)
    size = USUAL_SIZE if case is None else case.params.get("size", USUAL_SIZE)
    if bench.pilot.app.size != size:
        await bench.resize(*size)
    if bench.state is not first:
        bench.screen.take(first)
        await bench.pilot.pause()
    return bench
