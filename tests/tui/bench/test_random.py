"""Hundreds of keys in any order on a screen of any size: nothing breaks, and undo still leads home."""

from __future__ import annotations

import random
from itertools import cycle

import pytest
from textual import events

from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.bench.test_keys import check_answer
from tui.app import BenchApp
from tui.bench.edit import undo
from tui.bench.keymap import KEYMAP
from tui.job.demo import demo_job
from tui.kit.dialogs import Question
from tui.kit.keymap import PROGRAM
from tui.linkage.screen import LinkageScreen

LEAVING = {"quit", "suspend", "mouse", "copy_or_quit"}
COMMANDS = sorted({key for action in KEYMAP.actions if action.id not in LEAVING for key in action.keys})
TYPED = list("0123456789.,% kgbarpsilfmn'/[]-+") + ["enter", "escape", "tab", "down"]
IN_STEPS = ["space", "/", "[", "]", "z", "?", "tab", "shift+tab", "enter", "escape"]
MENU = [
    ["space"] * (2 if PROGRAM in action.shelves else 1) + [action.letter]
    for action in KEYMAP.actions
    if action.letter and action.id not in LEAVING
]
"""Every act by its letters in the menu, wherever that is opened."""
FOUND = [
    ["/", *action.name[:6], "enter"] for action in KEYMAP.actions if action.name and action.id not in LEAVING
]
"""Every act by the first letters of its name in the finder."""
SIZES = [(1, 1), (2, 60), (200, 1), (9, 5), (40, 13), (63, 24), (80, 24), (120, 40), (200, 60)]
KEYS = 8
CHARACTERS = {"space": " ", "enter": "\r", "tab": "\t"}


def some_keys(chance: random.Random) -> list[str]:
    """Return keys of any kind, some of them in the order in which they lead somewhere."""
    keys: list[str] = []
    while len(keys) < KEYS:
        kind = chance.random()
        if kind < 0.15:
            keys += chance.choice(MENU)
        elif kind < 0.25:
            keys += chance.choice(FOUND)
        else:
            keys.append(chance.choice(COMMANDS if kind < 0.55 else IN_STEPS if kind < 0.75 else TYPED))
    return keys


async def burst(bench: Bench, keys: list[str]) -> None:
    """Send keys faster than the screen follows, as over a slow line."""
    for key in keys:
        bench.pilot.app.post_message(events.Key(key, key if len(key) == 1 else CHARACTERS.get(key)))
    await bench.pilot.pause()


async def close_dialogs(bench: Bench) -> None:
    for _ in range(20):
        *_, below, top = (None, *bench.pilot.app.screen_stack)
        if top is bench.screen:
            return
        # Escape stays in a linkage that is not adopted: there the changes are discarded.
        asked = isinstance(top, Question) and isinstance(below, LinkageScreen)
        await bench.press(*("d", "escape") if asked else ("escape",))
    raise AssertionError(f"{bench.pilot.app.screen_stack} cannot be left")


@pytest.mark.slow
@pytest.mark.parametrize(("seed", "bursts"), [(1, 15), (7, 40), (8, 40), (9, 40)])
async def test_any_keys_at_any_size_leave_a_sound_bench(
    seed: int, bursts: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The finder may find what leaves the program, which is tested elsewhere.
    monkeypatch.setattr(BenchApp, "exit", lambda *_: None)
    chance = random.Random(seed)
    seen: set[str] = set()
    openers = cycle(("linkage", "readings", "wants"))
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        for _ in range(bursts):
            await burst(bench, some_keys(chance))
            await bench.resize(*chance.choice(SIZES))
            seen.add(type(pilot.app.screen).__name__)
            assert "nan" not in bench.text("grid").lower()
            if chance.random() < 0.5:
                await close_dialogs(bench)
                # Few keys lead to another screen by chance, and which ones do changes with every act.
                await bench.press(*["escape"] * 5)
                await bench.do(next(openers))
                seen.add(type(pilot.app.screen).__name__)
        await close_dialogs(bench)
        await bench.resize(120, 40)
        # An open value or list, help, view, zoom: Esc leads out of each, one by one.
        await bench.press(*["escape"] * 5)
        last = bench.state
        assert (last.edit, last.finder, last.menu, last.helps, last.in_view, last.zoom) == (
            None, None, "", False, False, False,
        )  # fmt: skip
        assert len(seen) >= 3
        assert bench.text("grid").strip()
        state = bench.state
        check_answer(state)
        while state.history.past:
            state = undo(state)
        assert state.bike == demo_job()
