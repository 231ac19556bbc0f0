"""The start: the first frame waits for nothing that it does not show."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from textual import events
from textual._compositor import CompositorUpdate

from tests.tui.bench.conftest import bench_app, started
from tui.app import BenchApp
from tui.bench.screen import BenchScreen

ROOT = Path(__file__).parents[3]
HEAVY = "{'numpy', 'scipy', 'pint', 'plotext', 'tomlkit', 'sqlalchemy'}"
LATER = "{'argparse', 'zipfile', 'tui.job.schema', 'tui.job.cautions', 'tui.bench.views.pane'}"
"""What the fields do not need either, each some milliseconds."""
LAWS = "{name for name in sys.modules if name.startswith('physics.')} - {'physics.limits', 'physics.frozen'}"
"""All of the physics but its constants and what makes its dataclasses."""
UNTIL_THE_FIRST_FRAME = f"""
import asyncio, sys
import tui.cli
import tui.app
from tui.bench.screen import BenchScreen
async def main():
    state = tui.app.open_bench(tui.app.History.starting_at(tui.app.demo_job()))
    app = tui.app.BenchApp(state, tui.app.Session())
    seen = []
    answer = BenchScreen._first_answer
    def first_answer(self):
        seen.append("82 kg" in self.grid.text)
        seen.append(sorted((({HEAVY} | {LATER}) & set(sys.modules)) | {LAWS}))
        answer(self)
    BenchScreen._first_answer = first_answer
    async with app.run_test() as pilot:
        await pilot.pause()
        await pilot.pause()
    print(*seen, sorted({{'scipy', 'pint', 'tomlkit'}} & set(sys.modules)))
asyncio.run(main())
"""


async def test_nothing_is_painted_before_the_fields_are_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    painted: list[str] = []
    display = BenchApp._display

    def displayed(app: BenchApp, screen: BenchScreen, update: object) -> None:
        painted.append(screen.grid.text)
        display(app, screen, update)  # type: ignore[arg-type]

    monkeypatch.setattr(BenchApp, "_display", displayed)
    async with bench_app().run_test(size=(80, 24)) as pilot:
        await started(pilot)
    assert painted
    assert all("82 kg" in text for text in painted)


async def test_a_terminal_that_is_back_at_its_old_size_is_painted_anew(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    app = bench_app()
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        sent: list[str] = []

        def display(_screen: object, update: CompositorUpdate | None) -> None:
            if update is not None:
                sent.append(update.render_segments(app.console))

        monkeypatch.setattr(app, "_display", display)
        bench.screen.refresh()
        await bench.pilot.pause()
        bench.screen.refresh()
        await bench.pilot.pause()
        app.post_message(events.Resize(app.size, app.size))
        await bench.pilot.pause()
        await bench.pilot.pause()
    assert [bool(text) for text in sent] == [True, False, True]
    assert sent[2] == sent[0], "after that nothing is counted on"


@pytest.mark.slow
async def test_the_smallest_terminal_gets_its_first_answer_too() -> None:
    async with bench_app().run_test(size=(1, 1)) as pilot:
        bench = await started(pilot)
        assert bench.state.answer is not None
        await bench.resize(80, 24)
        assert "82 kg" in bench.text("grid")


def test_the_first_frame_loads_no_numbers_no_plots_and_no_units(own_home: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", UNTIL_THE_FIRST_FRAME],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
        env={"HOME": str(own_home), "TMPDIR": str(own_home), "PATH": "/usr/bin:/bin", "LANG": "C.UTF-8"},
    )
    # The fields stand there, nothing heavy is loaded, and the first answer loads no more than it needs.
    assert done.stdout.strip() == "True [] []"
