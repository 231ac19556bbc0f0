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
from functools import cache
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
    """What a picture shows: a view of a step, then keys; on the demo job or another one.

    A key with a colon before it is an act of the screen in front by its id, one with a quote is text to type.
    The view has the focus unless `in_fields`; `setup` is the selected one, `logs` are the logged rides that
    were read, `is_first` a first start.
    """

    name: str
    step: int = 0
    view: str = ""
    keys: Sequence[str] = ()
    job: str = "demo"
    setup: int = 0
    in_fields: bool = False
    logs: Sequence[str] = ()
    is_first: bool = False


def scenes() -> Iterator[Scene]:
    """Yield every scene."""
    from tui.bench.steps import NAMES, OF_KIND, VIEWS

    for step, ids in VIEWS.items():
        for place, id in enumerate(ids):
            setup = int(OF_KIND.get(id) == "air")
            name = f"{step + 1} {NAMES[step]} {place + 1:02} {id}"
            yield Scene(name, step, id, setup=setup)
            yield Scene(f"{name}, fields", step, id, setup=setup, in_fields=True)
    yield from _of_views()
    yield from _of_rides()
    yield from _over_the_bench()
    yield from _of_other_screens()


def _of_views() -> Iterator[Scene]:
    """Yield what a view shows besides, and jobs of other kinds."""
    for number in range(2, 8):
        yield Scene(f"chart {number}", 3, "chart", ["down"] * (number - 1), setup=1)
    yield Scene("chart, slow", 3, "chart", [":slow"])
    for step, name in ((0, "rider"), (1, "frame"), (2, "springs"), (4, "ride")):
        yield Scene(f"{name} unfolded", step, keys=["end", "enter"])
    yield Scene("air springs unfolded", 2, keys=["end", "enter"], setup=1)
    yield Scene("ticked complaints", 4, "advice", ["+", "down", "+"])
    yield Scene("targets", 3, "wants", [":wants", "'support_50>=1.75; bottom_ratio<=6", "enter"], setup=1)
    yield Scene("measured sag", 4, "readings", [":readings", "'sag 45 mm", "enter"])
    yield Scene(
        "measured pairs", 4, "readings", [":readings", "'0 120; 10 900; 20 1700; friction 15", "enter"]
    )
    yield Scene(
        "on the stand", 1, "pairs", [":pair", "'20", "enter", "'7.5", "enter", "'60", "enter", "'23", "enter"]
    )
    yield Scene("spacers lower", 2, "spacers", ["pagedown"], setup=1)
    yield Scene("sheet lower", 5, "sheet", ["pagedown", "pagedown"])
    yield Scene("figures lower", 3, "figures", ["pagedown", "pagedown"])
    for job, there, view in (
        ("six", 3, "figures"), ("six", 3, "difference"), ("six", 2, "chart"), ("six", 3, "verdict"),
        ("six", 3, "tolerance"), ("six", 4, "events"), ("fork", 2, "chart"), ("fork", 1, "leverage"),
        ("rear", 3, "balance"), ("rear", 5, "sheet"), ("faulty", 1, "leverage"), ("faulty", 3, "figures"),
        ("faulty", 3, "verdict"), ("faulty", 4, "events"), ("no setup", 2, "chart"),
        ("no setup", 3, "verdict"), ("unsolved", 3, "figures"), ("unsolved", 2, "pump"),
    ):  # fmt: skip
        yield Scene(f"{job}: {view}", there, view, job=job, setup=int(view == "pump"))


def _of_rides() -> Iterator[Scene]:
    """Yield events in time and logged rides."""
    from tui.ride.events import EVENTS

    for place, name in enumerate(EVENTS):
        yield Scene(f"event {place + 1} {name}", 4, "events", ["+"] * place)
    for number in range(1, 5):
        yield Scene(f"event shows {number + 1}", 4, "events", [":event_shows"] * number)
    yield Scene("event, replay", 4, "events", [":replay"])
    yield Scene("event lower", 4, "events", ["pagedown"])
    yield Scene("event typed", 4, "events", ["right", "enter"])
    for number in range(4):
        yield Scene(f"logged {number + 1}", 4, "logged", ["right"] * number, logs=["morning"])
    for number in range(3):
        yield Scene(f"logged lower {number + 1}", 4, "logged", ["pagedown"] * (number + 1), logs=["morning"])
    yield Scene("logged twice", 4, "logged", logs=["morning", "evening"])
    yield Scene("logged twice, lower", 4, "logged", ["pagedown"], logs=["morning", "evening"])
    yield Scene("logged, unusable", 4, "logged", logs=["bare"])


def _over_the_bench() -> Iterator[Scene]:
    """Yield what opens over the bench: lists, help, prompts, questions."""
    for name, keys in (
        ("editing", ["9", "1"]), ("editing, refused", ["'9x", "enter"]), ("zoom", ["z"]),
        ("editing, asked", ["'300", "enter"]), ("choosing", ["down", "enter"]), ("idle key", ["k"]),
        ("finder", ["/"]), ("finder typed", ["/", "'pump"]), ("finder, nothing", ["/", "'qqq"]),
        ("help", ["?"]), ("help lower", ["?", "pagedown"]), ("leaving", ["+", "q"]),
        ("menu of the program", ["space", "space"]),
    ):  # fmt: skip
        yield Scene(name, keys=keys)
    for step in range(6):
        yield Scene(f"menu {step + 1}", step, keys=["space"])
        yield Scene(f"help {step + 1}", step, keys=["f6", "?"])
    for act in (
        "save_as", "save_note", "open", "export", "import", "readings", "wants", "sheet_save", "log",
        "damper_table",
    ):  # fmt: skip
        yield Scene(f"prompt {act}", keys=[f":{act}"])
    yield Scene("prompt refused", keys=[":open", "'nowhere.toml", "enter"])
    whose = [":new", "'Mara", "enter"]
    for count, keys in enumerate(([":new"], whose, [*whose, "b"], [*whose, "b", "b"])):
        yield Scene(f"new job {count + 1}", keys=keys)
    yield Scene("first start", is_first=True)


def _of_other_screens() -> Iterator[Scene]:
    """Yield the linkage and the records."""
    for name, keys in (
        ("", []), (" drawing", ["]"]), (" read", ["]", *["pagedown"] * 5]), (" menu", ["space"]),
        (" finder", ["/"]), (" help", ["?"]), (" zoom", ["]", "z"]), (" editing", ["right", "5"]),
    ):  # fmt: skip
        yield Scene(f"linkage{name}", keys=[":linkage", *keys])
    shop = [":records", ":demo"]
    yield Scene("records, empty", keys=[":records"])
    for name, keys in (
        ("", []), (" found", ["'trail"]), (" frames", ["]"]), (" shocks", ["]", "]"]), (" help", ["?"]),
        (" history", [":history"]), (" compared", [":compare", "down", ":compare"]), (" menu", ["space"]),
        (" details", [":details"]), (" deleted", ["]"] * 3), (" finder", ["/"]),
    ):  # fmt: skip
        yield Scene(f"records{name}", keys=[*shop, *keys])


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
    unsolved = demo.with_value(("target", "value"), "95 %")
    return {
        "demo": demo, "six": six, "rear": rear, "fork": fork, "faulty": demo, "no setup": none,
        "unsolved": unsolved,
    }  # fmt: skip


@cache
def _logs() -> dict[str, str]:
    """Return invented tables of a logger by their names."""
    from tests.tui.ride.test_again import log_of

    return {"morning": log_of(), "evening": log_of(1, road="D"), "bare": "time [s],shock stroke [mm]\n0,1"}


async def drawn(scene: Scene, width: int, height: int) -> str:
    """Return the picture of a scene as SVG."""
    from tui.app import BenchApp
    from tui.bench.session import Session
    from tui.bench.state import open_bench
    from tui.job.job import History

    app = BenchApp(open_bench(History.starting_at(jobs()[scene.job])), Session())
    async with app.run_test(size=(width, height)) as pilot:
        await _settled(pilot)
        await _show(scene, pilot)
        for key in scene.keys:
            await _press(key, pilot)
        return app.export_screenshot(title=f"{scene.name} {width}x{height}")


async def _settled(pilot: Pilot[int]) -> None:
    """Wait until all that is worked out, and what follows from it, is shown."""
    from textual.worker import WorkerCancelled

    for _ in range(3):
        await pilot.pause()
        with suppress(WorkerCancelled):
            await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def _show(scene: Scene, pilot: Pilot[int]) -> None:
    """Bring the bench to the step and the view of a scene."""
    from tui.bench.screen import BenchScreen
    from tui.bench.state import select_setup, show_step, show_view, with_job, with_log
    from tui.tables.recorded import LogFile

    screen = pilot.app.screen_stack[0]
    assert isinstance(screen, BenchScreen)
    if scene.is_first:
        return
    state = screen.state
    if scene.job == "faulty":
        state = with_job(state, state.job.with_value(("frame", "leverage", "end"), 1.2))
    for place, name in enumerate(scene.logs):
        file = Path(f"{name}.csv")
        file.write_text(_logs()[name])
        state = with_log(state, LogFile.at(file), beside=place > 0)
    state = show_step(select_setup(state, scene.setup), scene.step)
    screen.take(show_view(state, scene.view, focus=not scene.in_fields) if scene.view else state)
    await _settled(pilot)


async def _press(key: str, pilot: Pilot[int]) -> None:
    """Press a key, do an act of the screen in front, or type a text."""
    from tui.kit.screen import StateScreen

    if key.startswith(":"):
        screen = pilot.app.screen
        assert isinstance(screen, StateScreen)
        screen.do(screen.KEYMAP.named[key[1:]])
    elif key.startswith("'"):
        await pilot.press(*("space" if letter == " " else _KEYS.get(letter, letter) for letter in key[1:]))
    else:
        await pilot.press(key)
    await _settled(pilot)


_KEYS = {
    ".": "full_stop",
    ";": "semicolon",
    "=": "equals_sign",
    "<": "less_than_sign",
    ">": "greater_than_sign",
    "_": "underscore",
}


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
                if not scene.is_first:
                    been_here(Path(home))
                os.chdir(home)
                picture = asyncio.run(drawn(scene, width, height))
            name = f"{theme} {size} {scene.name}.svg".replace(":", "").replace(" ", "-")
            (folder / name).write_text(picture, "utf-8")
            page.append(f'<img loading=lazy src="{escape(name)}" title="{escape(scene.name)}">')
    (folder / "index.html").write_text("\n".join(page), "utf-8")


if __name__ == "__main__":
    main()
