"""Random use, as long as one likes, and what it costs: four commands.

    python -m tests.benchmarks.random_use program 20 [SEED]   the real program on a pseudo terminal
    python -m tests.benchmarks.random_use state 100000 [SEED] keys on the pure state of the bench
    python -m tests.benchmarks.random_use soak 100000         edits and views: memory, latency, undo
    python -m tests.benchmarks.random_use views 1000          the real program shows each view so often

A failure prints the seed and the shortest list of what was pressed that still fails.
"""

from __future__ import annotations

import os
import random
import shlex
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from tests.homes import been_here
from tests.terminal.conftest import PROGRAM, ROOT
from tests.terminal.program import COLUMNS, ROWS, Program
from tests.tui.bench.test_keys import START, check_answer
from tests.tui.looks import LOOK
from tui.bench.edit import nudge, undo
from tui.bench.keymap import KEYMAP
from tui.bench.overlays import OVERLAYS
from tui.bench.session import Session
from tui.bench.state import BenchState, select_field, show_step, show_view, with_answer
from tui.bench.steps import Step
from tui.bench.views.pane import view_keys, views
from tui.job.panels import RIDER_MASS
from tui.kit.edit import restore
from tui.kit.keymap import PROGRAM as PROGRAM_SHELF
from tui.kit.keymap import Action, quiet

Press = bytes | tuple[int, int]
"""What is sent in one go, or the size that the window gets."""
_Item = TypeVar("_Item")

LEAVING = {"quit", "suspend", "copy_or_quit"}
KEYS = {
    "up": b"\x1b[A", "down": b"\x1b[B", "right": b"\x1b[C", "left": b"\x1b[D",
    "home": b"\x1b[H", "end": b"\x1b[F",
    "pageup": b"\x1b[5~", "pagedown": b"\x1b[6~", "delete": b"\x1b[3~", "shift+tab": b"\x1b[Z", "tab": b"\t",
    "enter": b"\r", "escape": b"\x1b", "space": b" ", "backspace": b"\x7f", "f6": b"\x1b[17~",
}  # fmt: skip
"""What a terminal sends for keys that are no letters."""
SIZES = [(1, 1), (9, 5), (40, 13), (63, 24), (80, 24), (120, 40), (200, 60), (500, 200), (COLUMNS, ROWS)]
NOISE = [
    b"\xfc", b"\xe1", b"\x80\x9b\xff", b"\x1b[1114112u", b"\x1b[97:65;1:3u", b"\x1b[48;99999;99999;0;0t",
    b"\x1b[M\xff\xff\xff", b"\x1b[?2048;9$y", b"\x1b]11;rgb:0/0/0\x07", b"\x1b[1;", b"\x1b[200~7", b"\x00",
    b"\x1b[I", b"\x1b[O", b"\x1b[24;80R", b"\x1bP1$r\x1b\\",
]  # fmt: skip
TYPED = "0123456789.,% kgbarpsilfmn'/[]-+<>z?u"
PASTED = ["61 mm", "9 psi\nq\nq", "ü\x00\x07", "1" * 3000, "", "kg", "\x1b[A", "job.toml", "-5 %", "1e999"]
PATIENCE = 45.0
"""Seconds in which a program comes to rest."""


def bytes_of(key: str) -> bytes:
    """Return what a terminal sends for a key."""
    if key.startswith("ctrl+"):
        return bytes([ord(key[-1]) & 0x1F])
    return KEYS.get(key) or key.encode()


ACTS = [
    b" " * (2 if PROGRAM_SHELF in action.shelves else 1) + action.letter.encode()
    for action in KEYMAP.actions
    if action.letter and action.id not in LEAVING
]
"""Every act by its letters in the menu, wherever that is opened."""
COMMANDS = [bytes_of(key) for one in KEYMAP.actions if one.id not in LEAVING for key in one.keys]
FOUND = [
    b"/" + action.name[:7].encode() + b"\r"
    for action in KEYMAP.actions
    if action.name and action.id not in LEAVING
]


def press(chance: random.Random) -> Press:
    """Return what a person, a slow line, a bad line or a window manager does next."""
    kind = chance.random()
    if kind < 0.05:
        return chance.choice(SIZES)
    if kind < 0.12:
        return chance.choice(NOISE)
    if kind < 0.19:
        return b"\x1b[200~" + chance.choice(PASTED).encode() + b"\x1b[201~"
    if kind < 0.28:
        x, y, button = chance.randrange(1, 210), chance.randrange(1, 62), chance.choice([0, 0, 2, 35, 64, 65])
        return b"".join(b"\x1b[<%d;%d;%d%c" % (button, x, y, end) for end in b"Mm")
    if kind < 0.34:
        return chance.choice(COMMANDS) * chance.randrange(2, 60)  # held
    if kind < 0.44:
        return b"".join(
            one for _ in range(chance.randrange(2, 9)) if (one := chance.choice(COMMANDS)) != b"\x1b"
        )
    if kind < 0.54:
        return chance.choice(FOUND)
    if kind < 0.68:
        return chance.choice(ACTS)
    if kind < 0.84:
        return chance.choice(COMMANDS)
    return "".join(chance.choices(TYPED, k=chance.randrange(1, 5))).encode()


def shortest(items: Sequence[_Item], fails: Callable[[Sequence[_Item]], bool]) -> list[_Item]:
    """Return a list as short as can be found by leaving parts out, of which `fails` still says so."""
    kept, size = list(items), max(len(items) // 2, 1)
    while size:
        place = 0
        while place < len(kept):
            fewer = kept[:place] + kept[place + size :]
            if fails(fewer):
                kept = fewer
            else:
                place += size
        size //= 2
    return kept


def home_in(folder: Path) -> dict[str, str]:
    """Return the environment of a person whose home is a folder."""
    been_here(folder / ".local/share")
    usual = {"PATH": "/usr/bin:/bin", "LANG": "C.UTF-8", "TERM": "xterm-256color", "PYTHONPATH": str(ROOT)}
    return {"HOME": str(folder), "TMPDIR": str(folder), **usual}


def settles(program: Program, least: float = 0.0) -> bool:
    """Let the program come to rest; return whether it lives."""
    return program.settle(least, most=PATIENCE)


def use(presses: Sequence[Press]) -> str:
    """Use the real program; return what is wrong with it then, empty for nothing."""
    with tempfile.TemporaryDirectory() as folder:
        # What is saved by chance lands in the home.
        words = ("/bin/sh", "-c", f"cd && exec {shlex.join(PROGRAM)}")
        program = Program(home_in(Path(folder, "home")), words)
        try:
            program.wait_for(", sag 29.0 %")
            program.settle()
            return _used(program, presses)
        except AssertionError as wrong:
            return str(wrong) or repr(wrong)
        finally:
            program.close()


def _used(program: Program, presses: Sequence[Press]) -> str:
    small = program.memory
    for one in presses:
        if isinstance(one, tuple):
            program.resize(*one)
        else:
            program.write(one)
        if not settles(program):
            broke = b"Traceback" in program.written or program.ended != 0
            return f"it ended with {program.ended}: {program.written[-2000:]!r}" if broke else ""
    if not settles(program, 1.2):  # what is broken off or never ends is over by then
        return f"it ended with {program.ended}"
    program.resize(COLUMNS, ROWS)
    settles(program)
    shown = program.text
    anew = program.redrawn()
    if shown != anew:
        rows = zip(shown.splitlines(), anew.splitlines(), strict=True)
        return "\n".join(f"shown {a!r}\nanew  {b!r}" for a, b in rows if a != b)
    grown = program.memory
    if grown > small + MOST_GROWN:
        return f"memory grew from {small / 1e6:.0f} to {grown / 1e6:.0f} MB"
    print(f"    {small / 1e6:.0f} to {grown / 1e6:.0f} MB", flush=True)  # noqa: T201
    return ""


MOST_GROWN = 90e6
"""Bytes that random use may add to what a program has at first: the libraries of all views."""


def presses_of(seed: int, count: int) -> list[Press]:
    """Return what is done under a seed."""
    chance = random.Random(seed)
    return [press(chance) for _ in range(count)]


# The pure state


def state_keys(chance: random.Random) -> Iterator[str]:
    """Yield keys without end, some of them in the order in which they lead somewhere."""
    commands = sorted({key for action in KEYMAP.actions if action.step for key in action.keys})
    letters = [action.letter for action in KEYMAP.actions if action.letter]
    while True:
        kind = chance.random()
        if kind < 0.2:
            yield "space"
            yield chance.choice([*letters, "space"])
        elif kind < 0.3:
            yield from ("/", *chance.choice(KEYMAP.actions).name[:6], "enter")
        elif kind < 0.75:
            yield chance.choice(commands)
        else:
            yield chance.choice([*TYPED.replace(" ", ""), "enter", "escape", "tab"])


def pressed(state: BenchState, key: str) -> BenchState:
    """Return the state after a key, as the screen goes on with it, but for what no state alone can do."""
    character = key if len(key) == 1 else " " if key == "space" else None
    if state.finder is not None or state.menu:
        after, chosen = OVERLAYS.pressed(state, key, character)
        if isinstance(chosen, Action) and chosen.step is not None:
            return chosen.step(quiet(after))
        return after
    own = view_keys(state) if state.view_has_focus else {}
    step = own.get(character or key) or own.get(key)
    return step(quiet(state)) if step else KEYMAP.pressed(state, key, character)


def wrong_state(keys: Sequence[str]) -> str:
    """Return what is wrong after keys on the pure state, empty for nothing."""
    state = START
    try:
        for key in keys:
            state = pressed(state, key)
        state = restore(replace(quiet(state), menu="", finder=None))
        check_answer(state)
        while state.history.past:
            state = undo(state)
    except Exception as wrong:  # whatever it is, it is what is looked for
        return f"{type(wrong).__name__}: {wrong}"
    return "" if state.bike == START.bike else "undo does not lead home"


def walk_state(steps: int, seed: int, length: int = 400) -> str:
    """Press so many keys, in walks that start afresh; return the first thing that is wrong."""
    for walk in range(max(steps // length, 1)):
        chance = random.Random(seed + walk)
        stream = state_keys(chance)
        keys = [next(stream) for _ in range(min(length, steps))]
        if wrong := wrong_state(keys):
            least = shortest(keys, lambda fewer: bool(wrong_state(fewer)))
            return f"seed {seed + walk}: {wrong_state(least) or wrong}\n{least}"
    return ""


# Soak


def soak(edits: int) -> None:
    """Edit so often, each job kept in the draft, with all views drawn in between; print a line a tenth."""
    state, session = select_field(START, RIDER_MASS), Session()
    all_views = [(step, view) for step in Step for view in show_step(state, step).view_ids]
    for tenth in range(1, 11):
        began, before = time.process_time(), _written()
        for number in range(edits // 10):
            state = nudge(state, 1 if number % 2 else -1)
            session.keep(state.history)
            if number % 10 == 0:
                step, view = all_views[number // 10 % len(all_views)]
                state = with_answer(select_field(show_view(show_step(state, step), view), RIDER_MASS))
                if lines := views().get(view):
                    lines.draw(state, COLUMNS, LOOK)
        each = (time.process_time() - began) / (edits // 10)
        costs = f"{each * 1e3:.2f} ms, {(_written() - before) / (edits // 10):.0f} bytes written an edit"
        held = f"{_memory():.0f} MB, {len(state.history.past)} undos"
        print(f"{tenth * edits // 10:7d} edits: {costs}, {held}", flush=True)  # noqa: T201
    session.leave()


def turn_views(times: int) -> str:
    """Show each view of the real program so often, with a nudge in each step, and print a line a tenth.

    Returns what went wrong, empty for nothing.
    """
    with tempfile.TemporaryDirectory() as folder:
        program = Program(home_in(Path(folder, "home")), PROGRAM)
        try:
            program.wait_for(", sag 29.0 %")
            program.settle()
            for tenth in range(1, 11):
                computed = program.computed
                turns = 0
                for _ in range(times // 10):
                    for step in Step:
                        program.press_and_read(b"+" if turns % 2 else b"-")
                        for _ in show_step(START, step).view_ids:
                            program.press_and_read(b"]")
                            turns += 1
                        program.press_and_read(b"\t")
                program.settle()
                each = (program.computed - computed) / max(turns, 1)
                done = times * tenth // 10
                print(  # noqa: T201
                    f"{done:5d} times: {each * 1e3:.1f} ms a view, {program.memory / 1e6:.0f} MB", flush=True
                )
            shown = program.text
            return "" if shown == program.redrawn() else f"the screen differs from a full redraw:\n{shown}"
        except AssertionError as wrong:
            return str(wrong) or repr(wrong)
        finally:
            program.close()


def _written() -> int:
    """Return the bytes that this process has written so far."""
    return int(Path("/proc/self/io").read_text("ascii").split("wchar: ")[1].split()[0])


def _memory() -> float:
    """Return the memory of this process in MB."""
    return int(Path("/proc/self/statm").read_text("ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def main() -> None:
    """Run one of the four."""
    kind, count, *rest = sys.argv[1:]
    seed = int(rest[0]) if rest else 1
    if kind == "soak":
        with tempfile.TemporaryDirectory() as folder:
            os.environ["XDG_STATE_HOME"] = folder
            soak(int(count))
    elif kind == "views":
        wrong = turn_views(int(count))
        print(wrong or f"each view {count} times, nothing wrong")  # noqa: T201
        raise SystemExit(bool(wrong))
    elif kind == "state":
        wrong = walk_state(int(count), seed)
        print(wrong or f"{count} keys, nothing wrong")  # noqa: T201
        raise SystemExit(bool(wrong))
    else:
        bad = 0
        for one in range(seed, seed + int(count)):
            presses = presses_of(one, 120)
            began = time.monotonic()
            wrong = use(presses)
            print(f"seed {one}: {wrong or 'sound'}, {time.monotonic() - began:.0f} s", flush=True)  # noqa: T201
            if wrong:
                bad += 1
                print(shortest(presses, lambda fewer: bool(use(fewer))), flush=True)  # noqa: T201
        raise SystemExit(bool(bad))


if __name__ == "__main__":
    main()
