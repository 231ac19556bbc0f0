"""The views that take the place of chart and table while the panels stay: which there are, and their text."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, replace

from tui.bench.aside_work import Task, Worked
from tui.bench.state import BenchState
from tui.charts.cells import Row
from tui.charts.look import ChartLook

Step = Callable[[BenchState], BenchState]
Draw = Callable[[BenchState, int, ChartLook], list[Row]]
"""Makes the lines of a view, as many as there are, for a width in cells."""


@dataclass(frozen=True, slots=True)
class Aside:
    """A view: its title, and where its lines come from, loaded when it is first looked at.

    `as_typed` marks one of the job as it stands, answered or not: it is never stale. `task` is what it has
    worked out beside the screen, `keys` what keys do while the cursor is in it: one that has some gets the
    cursor when it is asked for.
    """

    title: str
    load: Callable[[], Draw]
    as_typed: bool = False
    task: Callable[[BenchState], Task | None] | None = None
    keys: Callable[[], Mapping[str, Step]] | None = None


def _conditions() -> Draw:
    from tui.bench.aside_conditions import lines

    return lines


def _tolerance() -> Draw:
    from tui.bench.aside_tolerance import lines

    return lines


def _wire() -> Draw:
    from tui.bench.aside_wire import lines

    return lines


def _balance() -> Draw:
    from tui.bench.aside_balance import lines

    return lines


def _pairs() -> Draw:
    from tui.bench.aside_pairs import lines

    return lines


def _sweep() -> Draw:
    from tui.bench.aside_sweep import lines

    return lines


def _map() -> Draw:
    from tui.bench.aside_map import lines

    return lines


def _map_task(state: BenchState) -> Task | None:
    from tui.bench.aside_map import task

    return task(state)


def _spacers() -> Draw:
    from tui.bench.aside_spacers import lines

    return lines


def _advice() -> Draw:
    from tui.bench.aside_advice import lines

    return lines


def _advice_keys() -> Mapping[str, Step]:
    from tui.bench.state_advice import KEYS

    return KEYS


def _match() -> Draw:
    from tui.bench.aside_match import lines

    return lines


def _match_keys() -> Mapping[str, Step]:
    from tui.bench.state_match import KEYS

    return KEYS


def _match_task(state: BenchState) -> Task | None:
    from tui.bench.aside_match import task

    return task(state)


def _wants() -> Draw:
    from tui.bench.aside_wants import lines

    return lines


def _wants_keys() -> Mapping[str, Step]:
    from tui.bench.state_wants import KEYS

    return KEYS


def _readings() -> Draw:
    from tui.bench.aside_readings import lines

    return lines


def _readings_keys() -> Mapping[str, Step]:
    from tui.bench.state_readings import KEYS

    return KEYS


def _readings_task(state: BenchState) -> Task | None:
    from tui.bench.state_readings import task

    return task(state)


ASIDES: Mapping[str, Aside] = {
    "advice": Aside("After the ride", _advice, keys=_advice_keys),
    "balance": Aside("Both ends", _balance),
    "pairs": Aside("Measured on the stand", _pairs, as_typed=True),
    "conditions": Aside("Set here, ride there", _conditions),
    "tolerance": Aside("How far off it may be", _tolerance),
    "wire": Aside("The coil as wire", _wire),
    "match": Aside("One spring like another", _match, keys=_match_keys),
    "match_volumes": Aside("Like another, volumes free", _match, task=_match_task, keys=_match_keys),
    "readings": Aside("Backwards from readings", _readings, task=_readings_task, keys=_readings_keys),
    "wants": Aside("Figures wanted", _wants, keys=_wants_keys),
    "sweep": Aside("Sweep", _sweep),
    "map": Aside("Map", _map, task=_map_task),
    "spacers": Aside("Spacers on both sides", _spacers),
}
"""Every view by the id that the state knows it by."""


def aside_keys(state: BenchState) -> Mapping[str, Step]:
    """Return what keys do in the view that is shown, the cursor in it."""
    aside = ASIDES.get(state.aside)
    return {} if aside is None or aside.keys is None else aside.keys()


def aside_lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the lines of the view that is shown."""
    return ASIDES[state.aside].load()(state, width, look)


def aside_task(state: BenchState) -> Task | None:
    """Return what the view that is shown has worked out beside the screen, None where it has nothing."""
    aside = ASIDES.get(state.aside)
    return None if aside is None or aside.task is None else aside.task(state)


def worked_on(state: BenchState, key: Hashable, share: float, found: object) -> BenchState:
    """Return the state with the progress of a view's work, or what was found; of other work, the same."""
    task = aside_task(state)
    if task is None or task.key != key:
        return state
    done = state.worked.towards(key, share) if found is None else Worked(key, found)
    return replace(state, worked=done)
