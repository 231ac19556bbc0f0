"""Speed against its bounds and against how it was: `python -m tests.benchmarks.compare`.

Everything is processor time of the one thread that a person waits for. A fast machine is told from a slow
one by a yardstick, a fixed piece of work done in turn with what is measured: multiples of it, taken in one
run, are compared with the baseline. Exits with 1 if something has become `SLOWER`; a bound that is not held
is only said. `--keep` writes the baseline, `--short` leaves out what needs a terminal or another process.
"""

from __future__ import annotations

import json
import math
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from itertools import count
from pathlib import Path
from statistics import median

import numpy as np

from physics.answer import arrays_in
from physics.bench import answer
from physics.case import Case
from physics.shock import air_of
from physics.solve import solved
from tests.benchmarks.bytes_per_key import ANSWERED, DOWN, UP
from tests.benchmarks.pty_bench import BENCH, CAN_TELL, ROOT, PtySession
from tests.benchmarks.test_bench_screen import BARE_SCREEN, FIRST_WORD, START
from tests.benchmarks.test_physics import AIR, LEVER, SIX, TWO, riders
from tests.physics.examples import LOAD
from tests.test_readme import block
from tui.bench.keymap import KEYMAP
from tui.job.demo import demo_job
from tui.job.files import toml_text

BASELINE = Path(__file__).with_name("baseline.json")
SLOWER = 1.25
"""How many times its multiple of the yardstick in the baseline a figure may have."""
_NUDGED = count(1)


@dataclass(frozen=True, slots=True)
class Figure:
    """What is measured, in its `unit`; `in_yards` if it is a time, which depends on the machine."""

    name: str
    unit: str
    measure: Callable[[], float]
    bound: float = math.inf
    in_yards: bool = True


def yard() -> float:
    """Return how long the yardstick takes [ms]: small steps of Python and numpy, as an answer is made of."""
    curve, number = np.linspace(1.0, 2.0, 241), np.float64(1.5)

    def work() -> None:
        for _ in range(400):
            math.sqrt(float((curve * number).sum() + number * number))

    return quickest(work, 20)


def quickest(work: Callable[[], object], rounds: int) -> float:
    """Return the shortest processor time [ms] of one piece of work: what else the machine does only adds."""
    taken = []
    for _ in range(rounds):
        began = time.thread_time()
        work()
        taken.append(time.thread_time() - began)
    return 1e3 * min(taken)


def with_other_rider(case: Case) -> Case:
    """Return the case with a rider that no case had before, so that nothing of it is remembered."""
    return replace(case, load=replace(LOAD, rider_mass=85.0 + 1e-4 * next(_NUDGED)))


def with_other_volume(case: Case) -> Case:
    """Return the case of a coil and an air spring after a nudge of the volume of the second."""
    first, second = case.setups
    larger = replace(air_of(second), positive_volume=105e-6 + 1e-10 * next(_NUDGED))
    return replace(case, setups=(first, replace(second, spring=larger)))


def answered(case: Case, nudge: Callable[[Case], Case], rounds: int) -> float:
    return quickest(lambda: answer(nudge(case)), rounds)


def looked_at(case: Case, nudge: Callable[[Case], Case], rounds: int) -> float:
    """Return the time of an answer [ms] with every part of it looked at, those worked out later too."""
    return quickest(lambda: list(arrays_in(answer(nudge(case)))), rounds)


def key_of_the_state() -> float:
    states = [START]
    return quickest(lambda: states.append(KEYMAP.pressed(states.pop(), "plus", "+")), 40)


def million_pressures() -> float:
    static = riders(1_000_000)
    return quickest(lambda: solved(AIR, LEVER, TWO.shop, TWO.target, static), 4) / 1e3


def solve_command() -> float:
    """Return the processor time [s] of `solve --json` on README's job, imports and all."""
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder, "job.toml")
        job.write_text(block("job"), "utf-8")
        return min(_of_process(folder, "-m", "tui", "solve", str(job), "--json") for _ in range(9))


def _of_process(compiled: str, *words: str) -> float:
    """Return the processor time [s] of a process whose modules are compiled already, into a folder."""

    def used() -> float:
        children = resource.getrusage(resource.RUSAGE_CHILDREN)
        return children.ru_utime + children.ru_stime

    around = {**os.environ, "PYTHONPYCACHEPREFIX": compiled, "PYTHONDONTWRITEBYTECODE": ""}
    began = used()
    subprocess.run([sys.executable, *words], cwd=ROOT, check=True, capture_output=True, env=around)
    return used() - began


def six_setups() -> tuple[str, ...]:
    """Return the words that open the demo bike with six setups at the rear."""
    job = demo_job()
    for place in range(6 - len(job.setups)):
        job = job.with_setup(None, {**job.setups[place % 2], "name": f"copy {place + 1}"})
    path = Path(tempfile.mkdtemp(), "six.toml")
    path.write_text(toml_text(job, None), "utf-8")
    return (*BENCH, "open", str(path))


def on_the_line(keys: tuple[bytes, bytes], program: tuple[str, ...] = BENCH) -> float:
    """Return how long the screen's thread computes for one of two keys [ms], the middle of many.

    Keys that lead back find answers that are still remembered: a nudge is measured with one that does not.
    """
    taken = []
    with PtySession(120, 40, program) as bench:
        bench.wait_for("sag")
        bench.wait_until_idle()
        for place in range(24):
            began = bench.computed()
            bench.press(keys[place % 2])
            taken.append(bench.computed() - began)
    return 1e3 * median(taken[4:])


def first_paint() -> float:
    """Return the first paint of the bench as a multiple of that of a bare screen, in turn."""
    shares = []
    for _ in range(9):
        bench, bare = (_painted(program) for program in (BENCH, ("-c", BARE_SCREEN)))
        shares.append(bench / bare)
    return median(shares)


def _painted(program: tuple[str, ...]) -> float:
    with PtySession(120, 40, program) as session:
        session.wait_for(FIRST_WORD)
        return session.computed()


def memory() -> float:
    """Return the memory of the bench [MB] after its first answer and forty nudges."""
    with PtySession(120, 40) as bench:
        bench.wait_for(ANSWERED)
        for _ in range(40):
            bench.press(b"+")
        return bench.memory()


IN_PROCESS = (
    Figure("two setups, another rider", "ms", partial(answered, TWO, with_other_rider, 300), 1.0),
    Figure("the same, every part looked at", "ms", partial(looked_at, TWO, with_other_rider, 300)),
    Figure("two setups, one nudged", "ms", partial(answered, TWO, with_other_volume, 300), 1.0),
    Figure("six setups, another rider", "ms", partial(answered, SIX, with_other_rider, 60)),
    Figure("a nudge of the state, demo", "ms", key_of_the_state),
    Figure("a million pressures", "s", million_pressures, 0.2),
)
ON_THE_LINE = (
    Figure("nudge to quiet, demo", "ms", partial(on_the_line, (b"+", b"+")), 20.0),
    Figure("nudge to quiet, six setups", "ms", lambda: on_the_line((b"+", b"+"), six_setups()), 35.0),
    Figure("move", "ms", partial(on_the_line, (DOWN, UP)), 5.0),
    Figure("first paint over a bare screen", "times", first_paint, 1.25, in_yards=False),
    Figure("memory", "MB", memory, 100.0, in_yards=False),
    Figure("solve --json", "s", solve_command, 0.2),
)


def main(words: list[str]) -> int:
    """Print a table; return 1 if a figure is slower than it was."""
    figures = IN_PROCESS if "--short" in words or not CAN_TELL else IN_PROCESS + ON_THE_LINE
    before: dict[str, float] = json.loads(BASELINE.read_text("ascii")) if BASELINE.exists() else {}
    now, slower = dict(before), []
    for figure in figures:
        yards = [yard()]
        found = figure.measure()
        yards.append(yard())
        now[figure.name] = round(found / min(yards) if figure.in_yards else found, 4)
        was = before.get(figure.name, math.nan)
        if now[figure.name] > SLOWER * was:
            slower.append(figure.name)
        said(
            f"{figure.name:31} {found:8.3f} {figure.unit:5}  bound {figure.bound:6.2f} "
            f"{'    ' if found <= figure.bound else 'OVER'}  {now[figure.name] / was:5.2f} times the baseline"
        )
    if "--keep" in words:
        BASELINE.write_text(json.dumps(now, indent=1) + "\n", "ascii")
    for name in slower:
        said(f"slower than it was: {name}")
    return 1 if slower else 0


def said(line: str) -> None:
    print(line, flush=True)  # noqa: T201


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
