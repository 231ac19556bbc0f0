"""README's pictures of the program: `python -m tests.readme_screen` puts them into README as they are."""

from __future__ import annotations

import asyncio
import os
import re
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from tests.homes import been_here

if TYPE_CHECKING:
    from tui.app import BenchApp

README = Path(__file__).parent.parent / "README.md"
SIZE = (80, 24)
SCREENS: Mapping[str, tuple[str, ...]] = {
    "rider": (),
    "finder": ("/", *"pump"),
    "compare": ("tab", "tab", "tab"),
}
"""By the name of a picture the keys that lead to it from the demo job."""
_LAST_TO_COME = re.compile(r"[\u2801-\u28ff]")
"""A curve of the chart."""
_MOST_PAUSES = 400


async def screen_text(keys: Iterable[str] = ()) -> str:
    """Return the demo job on the bench after some keys, as lines; drafts and themes are the home folder's."""
    from tui.app import BenchApp
    from tui.bench.session import Session
    from tui.bench.state import open_bench
    from tui.job.demo import demo_job
    from tui.job.job import History

    # The terminal that most have; one of fewer colours shades with characters.
    os.environ.update(TERM="xterm-256color", COLORTERM="truecolor")
    app = BenchApp(open_bench(History.starting_at(demo_job())), Session())
    async with app.run_test(size=SIZE) as pilot:
        # The chart comes with the first answer, after the first frame.
        for _ in range(_MOST_PAUSES):
            await pilot.pause()
            if _LAST_TO_COME.search(_lines(app)):
                break
        await pilot.press(*keys)
        await pilot.pause()
        return _lines(app)


def _lines(app: BenchApp) -> str:
    return "\n".join(line.text.rstrip() for line in app.screen._compositor.render_strips())


async def screens() -> dict[str, str]:
    """Return every picture by its name."""
    return {name: await screen_text(keys) for name, keys in SCREENS.items()}


def with_screens(readme: str, found: Mapping[str, str]) -> str:
    """Return README with the screens in their places."""
    for name, screen in found.items():
        before, _, after = readme.partition(f"<!-- screen {name} -->\n")
        after = after[after.index("<!-- end -->") :]
        readme = f"{before}<!-- screen {name} -->\n```text\n{screen}\n```\n{after}"
    return readme


def main() -> None:
    """Rewrite README, the person's own drafts and themes set aside."""
    with tempfile.TemporaryDirectory() as home:
        own = dict.fromkeys(("HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "TMPDIR"), home)
        os.environ.update(own, LC_ALL="C.UTF-8")
        been_here(Path(home))
        README.write_text(with_screens(README.read_text("utf-8"), asyncio.run(screens())), "utf-8")


if __name__ == "__main__":
    main()
