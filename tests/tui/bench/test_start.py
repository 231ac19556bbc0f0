"""The start: the first frame waits for nothing that it does not show."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
HEAVY = "{'numpy', 'scipy', 'pint', 'plotext', 'tomlkit'}"
UNTIL_THE_FIRST_FRAME = f"""
import asyncio, sys
import tui.app
from tui.bench.screen import BenchScreen
async def main():
    app = tui.app.BenchApp(tui.app.opened(tui.app.History.starting_at(tui.app.demo_job())), tui.app.Desk())
    seen = []
    answer = BenchScreen._first_answer
    def first_answer(self):
        seen.append("82 kg" in self.grid.text)
        seen.append(sorted({HEAVY} & set(sys.modules)))
        answer(self)
    BenchScreen._first_answer = first_answer
    async with app.run_test() as pilot:
        await pilot.pause()
        await pilot.pause()
    print(*seen, sorted({{'scipy', 'pint', 'tomlkit'}} & set(sys.modules)))
asyncio.run(main())
"""


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
