"""The views that take the place of chart and table while the panels stay: which there are, and their text."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, replace
from functools import cache

from tui.bench.aside_work import Task, Worked
from tui.bench.state import BenchState
from tui.charts.cells import Row
from tui.charts.look import ChartLook

Step = Callable[[BenchState], BenchState]
Draw = Callable[[BenchState, int, ChartLook], list[Row]]
"""Makes the lines of a view, as many as there are, for a width in cells."""


@dataclass(frozen=True, slots=True)
class Aside:
    """A view: its title, and where its lines come from.

    `as_typed` marks one of the job as it stands, answered or not: it is never stale. `task` is what it has
    worked out beside the screen, `keys` what keys do while the cursor is in it: one that has some gets the
    cursor when it is asked for.
    """

    title: str
    draw: Draw
    as_typed: bool = False
    task: Callable[[BenchState], Task | None] | None = None
    keys: Mapping[str, Step] | None = None


@cache
def asides() -> Mapping[str, Aside]:
    """Return every view by the id that the state knows it by; they load when the first is looked at."""
    from tui.bench import (
        aside_advice,
        aside_balance,
        aside_conditions,
        aside_map,
        aside_match,
        aside_pairs,
        aside_readings,
        aside_spacers,
        aside_sweep,
        aside_tolerance,
        aside_wants,
        aside_wire,
        state_advice,
        state_match,
        state_readings,
        state_wants,
    )

    match = Aside("One spring like another", aside_match.lines, keys=state_match.KEYS)
    return {
        "advice": Aside("After the ride", aside_advice.lines, keys=state_advice.KEYS),
        "balance": Aside("Both ends", aside_balance.lines),
        "pairs": Aside("Measured on the stand", aside_pairs.lines, as_typed=True),
        "conditions": Aside("Set here, ride there", aside_conditions.lines),
        "tolerance": Aside("How far off it may be", aside_tolerance.lines),
        "wire": Aside("The coil as wire", aside_wire.lines),
        "match": match,
        "match_volumes": replace(match, title="Like another, volumes free", task=aside_match.task),
        "readings": Aside(
            "Backwards from readings",
            aside_readings.lines,
            task=state_readings.task,
            keys=state_readings.KEYS,
        ),
        "wants": Aside("Figures wanted", aside_wants.lines, keys=state_wants.KEYS),
        "sweep": Aside("Sweep", aside_sweep.lines),
        "map": Aside("Map", aside_map.lines, task=aside_map.task),
        "spacers": Aside("Spacers on both sides", aside_spacers.lines),
    }


def aside_keys(state: BenchState) -> Mapping[str, Step]:
    """Return what keys do in the view that is shown, the cursor in it."""
    aside = asides().get(state.aside)
    return {} if aside is None or aside.keys is None else aside.keys


def aside_lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the lines of the view that is shown."""
    return asides()[state.aside].draw(state, width, look)


def aside_task(state: BenchState) -> Task | None:
    """Return what the view that is shown has worked out beside the screen, None where it has nothing."""
    aside = asides().get(state.aside)
    return None if aside is None or aside.task is None else aside.task(state)


def worked_on(state: BenchState, key: Hashable, share: float, found: object) -> BenchState:
    """Return the state with the progress of a view's work, or what was found; of other work, the same."""
    task = aside_task(state)
    if task is None or task.key != key:
        return state
    done = state.worked.towards(key, share) if found is None else Worked(key, found)
    return replace(state, worked=done)
