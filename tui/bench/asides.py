"""The views that take the place of chart and table while the panels stay: which there are, and their text."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from tui.bench.state import BenchState
from tui.charts.cells import Row
from tui.charts.look import ChartLook

Draw = Callable[[BenchState, int, ChartLook], list[Row]]
"""Makes the lines of a view, as many as there are, for a width in cells."""


@dataclass(frozen=True, slots=True)
class Aside:
    """A view: its title, and where its lines come from, loaded when it is first looked at.

    `as_typed` marks one of the job as it stands, answered or not: it is never stale.
    """

    title: str
    load: Callable[[], Draw]
    as_typed: bool = False


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


ASIDES: Mapping[str, Aside] = {
    "balance": Aside("Both ends", _balance),
    "pairs": Aside("Measured on the stand", _pairs, as_typed=True),
    "conditions": Aside("Set here, ride there", _conditions),
    "tolerance": Aside("How far off it may be", _tolerance),
    "wire": Aside("The coil as wire", _wire),
}
"""Every view by the id that the state knows it by."""


def aside_switched(state: BenchState, id: str) -> BenchState:
    """Show a view in the place of chart and table, or take it away."""
    return replace(state, aside="" if state.aside == id else id)


def chart_again(state: BenchState) -> BenchState:
    """Take the view away, whichever it is."""
    return replace(state, aside="")


def aside_lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the lines of the view that is shown."""
    return ASIDES[state.aside].load()(state, width, look)
