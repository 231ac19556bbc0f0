"""What an answer costs, drawn against setups, points and cases: `python -m tests.benchmarks.cost [FILE]`.

Processor time of one thread, the shortest of some rounds, none of which has anything to remember.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np
from matplotlib import rc_context
from matplotlib.figure import Figure

from physics.arrays import values
from physics.bench import answer
from physics.case import Case
from physics.shock import shock_of
from physics.solve import solved, solved_case
from physics.sweep import sweep
from tests.benchmarks.compare import quickest, with_other_rider
from tests.benchmarks.test_physics import AIR, LEVER, SIX, TWO, riders
from tests.physics.examples import LOAD

PICTURE = Path(__file__).with_name("cost.svg")


class Row(NamedTuple):
    """One line of the picture: what is counted along the axis, and the times [ms]."""

    name: str
    counts: Sequence[int]
    times: Sequence[float]


def of_setups() -> list[Row]:
    """Return the time of an answer to one to six setups, every kind of spring among them."""
    counts = range(1, len(SIX.setups) + 1)
    cases = [replace(SIX, setups=SIX.setups[:count]) for count in counts]
    return [Row("every figure; curves wait", counts, [_fresh(case) for case in cases])]


def _fresh(case: Case) -> float:
    return quickest(lambda: answer(with_other_rider(case)), 40)


def of_points() -> list[Row]:
    """Return the time of the shaft force of an air spring with two chambers, slow and fast, over points."""
    counts = [1, 10, 100, 241, 1000, 10_000, 100_000]
    shock = shock_of(solved_case(TWO).setups[1], LEVER, TWO.shop)
    fast = shock.fast_out_of(values(0.018))
    strokes = [values(np.linspace(0.018, 0.060, count)) for count in counts]

    def over(law: Callable[..., object]) -> list[float]:
        return [quickest(lambda stroke=stroke: law(stroke), 20) for stroke in strokes]  # type: ignore[misc]

    return [Row("slow", counts, over(shock.at)), Row("fast, along isentropes", counts, over(fast))]


def of_cases() -> list[Row]:
    """Return the time of riders from 50 to 120 kg: the set pressure alone, and every figure of two setups."""
    many, some = [1, 10, 100, 1000, 10_000, 100_000, 1_000_000], [1, 10, 100, 1000]
    loads = [riders(count) for count in many]
    pressures = [
        quickest(lambda load=load: solved(AIR, LEVER, TWO.shop, TWO.target, load), 5)  # type: ignore[misc]
        for load in loads
    ]
    swept = [replace(TWO, load=replace(LOAD, rider_mass=np.linspace(50.0, 120.0, count))) for count in some]
    figures = [quickest(lambda case=case: sweep(case), 3) for case in swept]  # type: ignore[misc]
    return [Row("set pressure", many, pressures), Row("every figure, two setups", some, figures)]


def picture(panels: Sequence[tuple[str, list[Row]]]) -> Figure:
    """Draw one panel beside the other, times upwards."""
    figure = Figure(figsize=(12, 4), layout="constrained")
    for axes, (what, rows) in zip(figure.subplots(1, len(panels)), panels, strict=True):
        for row, mark in zip(rows, "os", strict=False):
            axes.plot(row.counts, row.times, marker=mark, label=row.name)
        if rows[0].counts[-1] > 10:
            axes.set_xscale("log")
            axes.set_yscale("log")
        else:
            axes.set_ylim(bottom=0.0)
        axes.set_xlabel(what)
        axes.set_ylabel("processor time, ms")
        axes.grid(alpha=0.3)
        axes.legend()
    return figure


def main(words: list[str]) -> None:
    """Measure and draw."""
    drawn = picture((("setups", of_setups()), ("points", of_points()), ("cases", of_cases())))
    path = Path(words[0]) if words else PICTURE
    with rc_context({"svg.hashsalt": "cost", "svg.fonttype": "none"}):
        drawn.savefig(path, format="svg", metadata={"Date": None})
    print(path)  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1:])
