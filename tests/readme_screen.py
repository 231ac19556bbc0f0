"""README's picture of the program: `python -m tests.readme_screen` puts the screen as it is into README."""

from __future__ import annotations

import asyncio
import os
import re
import tempfile
from pathlib import Path

from tests.homes import been_here

README = Path(__file__).parent.parent / "README.md"
SIZE = (120, 40)
_LAST_TO_COME = "Shaft force"
"""Words of the chart."""
_MOST_PAUSES = 400
_BLOCK = re.compile(r"(?<=<!-- screen -->\n).*?(?=<!-- end -->)", re.DOTALL)


async def screen_text() -> str:
    """Return the demo job on the bench as lines of text; drafts and themes come from the home folder."""
    from tui.app import BenchApp
    from tui.bench.session import Session
    from tui.bench.state import open_bench
    from tui.job.demo import demo_job
    from tui.job.job import History

    app = BenchApp(open_bench(History.starting_at(demo_job())), Session())
    async with app.run_test(size=SIZE) as pilot:
        shown = ""
        # The chart comes with the first answer, after the first frame.
        for _ in range(_MOST_PAUSES):
            await pilot.pause()
            lines = app.screen._compositor.render_strips()
            shown = "\n".join(line.text.rstrip() for line in lines)
            if _LAST_TO_COME in shown:
                break
        return shown


def with_screen(readme: str, screen: str) -> str:
    """Return README with a screen in its place."""
    return _BLOCK.sub(lambda _: f"```text\n{screen}\n```\n", readme, count=1)


def main() -> None:
    """Rewrite README, the person's own drafts and themes set aside."""
    with tempfile.TemporaryDirectory() as home:
        own = dict.fromkeys(("HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "TMPDIR"), home)
        os.environ.update(own, LC_ALL="C.UTF-8")
        been_here(Path(home))
        README.write_text(with_screen(README.read_text("utf-8"), asyncio.run(screen_text())), "utf-8")


if __name__ == "__main__":
    main()
