"""Pictures of every screen, to look at: `python -m tests.pictures FOLDER`, then open FOLDER/index.html.

Every view of every step and what opens over them is drawn as SVG in every theme at three sizes, the demo job
on the bench. `--theme dark`, `--size 80x24` and `--only WORD` draw fewer and can be given several times;
`--ascii` draws with plain characters. The person's own drafts, records and settings are set aside.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from html import escape
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING

from tests.homes import been_here

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from tui.job.job import Job

THEMES = ("dark", "light", "high-contrast", "sixteen", "plain")
SIZES = ("80x24", "120x40", "200x60")
OWN = ("HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "TMPDIR")


@dataclass(frozen=True, slots=True)
class Scene:
    """What a picture shows: a view of a step or an act, then keys; on the demo job or another one.

    The view has the focus unless `in_fields`; `setup` is the selected one.
    """

    name: str
    step: int = 0
    view: str = ""
    act: str = ""
    keys: Sequence[str] = ()
    job: str = "demo"
    setup: int = 0
    in_fields: bool = False


def scenes() -> Iterator[Scene]:
    """Yield every scene."""
    from tui.bench.steps import NAMES, OF_KIND, VIEWS

    for step, ids in VIEWS.items():
        name = f"{step + 1} {NAMES[step]}"
        yield Scene(f"{name}, fields", step, ids[0], in_fields=True)
        for place, id in enumerate(ids):
            setup = int(OF_KIND.get(id) == "air")
            yield Scene(f"{name} {place + 1:02} {id}", step, id, setup=setup)
    yield from (
        Scene(f"chart {number}", 3, "chart", keys=["down"] * (number - 1), setup=1) for number in range(2, 8)
    )
    yield Scene("springs unfolded", 2, "chart", keys=("escape", "end", "enter"))
    yield Scene("ticked complaints", 4, "advice", keys=("space", "down", "space"))
    for job, there, view in (
        ("six", 3, "figures"), ("six", 3, "difference"), ("six", 2, "chart"), ("fork", 2, "chart"),
        ("rear", 3, "balance"), ("faulty", 1, "leverage"), ("faulty", 3, "figures"), ("no setup", 2, "chart"),
    ):  # fmt: skip
        yield Scene(f"{job}: {view}", there, view, job=job)
    for name, keys in (
        ("editing", "91"), ("idle key", "k"), ("menu", " "), ("menu of the program", "  "), ("finder", "/"),
        ("finder typed", "/pump"), ("help", "?"), ("zoom", "z"), ("leaving", "+q"),
    ):  # fmt: skip
        yield Scene(name, keys=[{" ": "space"}.get(key, key) for key in keys])
    for act in ("save_as", "save_note", "open", "export", "import", "readings", "wants", "sheet_save"):
        yield Scene(f"prompt {act}", act=act)
    whose = [*"Mara", "enter"]
    size = [*whose, "b", "b"]
    yield from (Scene(f"new job {len(keys)}", act="new", keys=keys) for keys in ([], whose, size[:-1], size))
    yield Scene("linkage", act="linkage")
    yield Scene("records", act="records")


def jobs() -> dict[str, Job]:
    """Return the jobs by their names."""
    from tui.job.demo import demo_job
    from tui.job.wheels import wheel_job

    demo = demo_job()
    six = demo
    for count, name in enumerate(("coil, soft", "air, two spacers and a long name", "coil, firm", "air 3")):
        six = six.with_setup(None, {**demo.setups[count % 2], "name": name})
    rear, fork = wheel_job(demo, "rear"), wheel_job(demo, "front")
    none = rear.without(("setup",))
    return {"demo": demo, "six": six, "rear": rear, "fork": fork, "faulty": demo, "no setup": none}


async def drawn(scene: Scene, width: int, height: int) -> str:
    """Return the picture of a scene as SVG."""
    from textual.worker import WorkerCancelled

    from tui.app import BenchApp
    from tui.bench.session import Session
    from tui.bench.state import open_bench
    from tui.job.job import History

    app = BenchApp(open_bench(History.starting_at(jobs()[scene.job])), Session())
    async with app.run_test(size=(width, height)) as pilot:
        await pilot.pause()
        await pilot.pause()
        await _do(scene, pilot)
        for _ in range(2):
            with suppress(WorkerCancelled):
                await app.workers.wait_for_complete()
            await pilot.pause()
        return app.export_screenshot(title=f"{scene.name} {width}x{height}")


async def _do(scene: Scene, pilot: Pilot[int]) -> None:
    from tui.bench.keymap import KEYMAP
    from tui.bench.screen import BenchScreen
    from tui.bench.state import select_setup, show_step, show_view, with_job

    screen = pilot.app.screen_stack[0]
    assert isinstance(screen, BenchScreen)
    state = screen.state
    if scene.job == "faulty":
        state = with_job(state, state.job.with_value(("frame", "leverage", "end"), 1.2))
    state = show_step(select_setup(state, scene.setup), scene.step)
    screen.take(show_view(state, scene.view, focus=not scene.in_fields) if scene.view else state)
    await pilot.pause()
    if scene.act:
        screen.do(KEYMAP.named[scene.act])
        await pilot.pause()
    await pilot.press(*scene.keys)
    await pilot.pause()


def main() -> None:
    """Draw what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    for option, values in (("--theme", THEMES), ("--size", SIZES), ("--only", ("",))):
        parser.add_argument(option, action="append", help=" ".join(values) or "part of a scene's name")
    parser.add_argument("--ascii", action="store_true")
    asked = parser.parse_args()
    folder: Path = asked.folder.resolve()
    folder.mkdir(parents=True, exist_ok=True)
    os.environ.update(LC_ALL="C.UTF-8", TERM="xterm-256color", COLORTERM="truecolor")
    os.environ["SPRINGWRIGHT_ASCII"] = "1" if asked.ascii else ""
    page = ["<!DOCTYPE html><meta charset=utf-8><style>img { width: 48% }</style>"]
    for theme, size in product(asked.theme or THEMES, asked.size or SIZES):
        os.environ["SPRINGWRIGHT_THEME"] = theme
        page.append(f"<h2>{escape(theme)} {escape(size)}</h2>")
        for scene in scenes():
            if not any(word in scene.name for word in asked.only or ("",)):
                continue
            width, height = map(int, size.split("x"))
            with tempfile.TemporaryDirectory() as home:
                os.environ.update(dict.fromkeys(OWN, home))
                been_here(Path(home))
                os.chdir(home)
                picture = asyncio.run(drawn(scene, width, height))
            name = f"{theme} {size} {scene.name}.svg".replace(":", "").replace(" ", "-")
            (folder / name).write_text(picture, "utf-8")
            page.append(f'<img loading=lazy src="{escape(name)}" title="{escape(scene.name)}">')
    (folder / "index.html").write_text("\n".join(page), "utf-8")


if __name__ == "__main__":
    main()
