"""The spacer table: every count on both sides of an air spring, set for the sag wanted."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from physics.arrays import Marks, Values, values
from physics.case import Air, EqualisedNegative, SeparateNegative
from physics.limits import HIGHEST_PRESSURE
from physics.spacer_table import SpacerTable, spacer_table
from tui.bench.state import BenchState
from tui.bench.views.sweep import NOTHING
from tui.job.figures import figure_named
from tui.job.wheels import spoken
from tui.kit.cells import CellRow, cells
from tui.kit.document import Role
from tui.kit.dressing import columns, heading, setup_name, told
from tui.kit.look import ChartLook
from tui.shop_units import Measure, ShopUnits, gauge

_SAYS = (
    "Down: spacers in the positive chamber. Across: in the negative one. Each pressure gives the sag wanted. "
    "[ ] what the setup has now, ! above the label's limit: never pump that."
)
_OPENING = "Let all the air out before a shock is opened: the maker's manual says how."
_COIL = "A coil takes no volume spacers: add an air setup (a)."
_COIL_SELECTED = "The selected setup is a coil, which takes no volume spacers: go to an air setup."
_NO_VOLUME = "Enter what each spacer takes, positive or negative, to see more than the counts it has now."
_BEYOND = "? a rough guess: the peak is above {limit}, beyond what the law for air was checked on."
_AT_THE_END = ("fast_peak_pressure", "bottom_ratio")
_FIGURES = ("set_pressure", "fast_peak_pressure", "support_50", "bottom_ratio")


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view of the selected air setup of the last good answer."""
    if state.answer is None:
        return told(NOTHING, width, look.glyphs)
    setups = state.answer.case.setups
    airs = {place: setup.spring for place, setup in enumerate(setups) if isinstance(setup.spring, Air)}
    if not airs:
        return told(_COIL, width, look.glyphs)
    index = state.setup
    if index not in airs:
        return told(_COIL_SELECTED, width, look.glyphs)
    rows, fork = [setup_name(setups[index].name, index, look)], state.answer.answer.frame.fork
    table = spacer_table(state.answer.case, index)
    rows += told(_SAYS, width, look.glyphs)
    if table.set_pressure.size == 1:
        rows += told(_NO_VOLUME, width, look.glyphs)
    outside = float(values(state.answer.case.shop.pressure))
    for name in _FIGURES:
        rows += _part(name, table, _now(airs[index], table), outside, state.units)
    if table.beyond_law.any():
        limit = state.units.show(HIGHEST_PRESSURE - outside, Measure.PRESSURE)
        rows += [[], *told(_BEYOND.format(limit=limit), width, look.glyphs)]
    return rows + [[], *told(spoken(_OPENING, fork), width, look.glyphs, Role.CAUTION)]


def _now(spring: Air, table: SpacerTable) -> Marks:
    """Mark the counts that the spring has."""
    second = spring.negative
    negative = second.spacers if isinstance(second, SeparateNegative | EqualisedNegative) else 0.0
    return np.asarray((table.positive[:, None] == spring.positive_spacers) & (table.negative == negative))


def _part(name: str, table: SpacerTable, now: Marks, outside: float, units: ShopUnits) -> list[CellRow]:
    figure = figure_named(name)
    found: Values = getattr(table, name)
    if name.endswith("pressure"):
        found = gauge(found, outside)
    unit = units.unit(figure.measure) or figure.per
    text = _writer(name, found, table, now, units)
    head = ["", *(f"{count:.0f} " for count in table.negative)]
    body = [
        [cells(f"{count:.0f}", Role.STRONG), *(text(row, column) for column in range(table.negative.size))]
        for row, count in enumerate(table.positive)
    ]
    return heading(f"{figure.label}, {unit}") + columns([head, *body])


def _writer(
    name: str, found: Values, table: SpacerTable, now: Marks, units: ShopUnits
) -> Callable[[int, int], CellRow]:
    measure = figure_named(name).measure

    def text(row: int, column: int) -> CellRow:
        over = bool(table.over_label[row, column]) and name == "set_pressure"
        beyond = bool(table.beyond_law[row, column]) and name in _AT_THE_END
        mark = "!" if over else "?" if beyond else ""
        number = f"{mark}{units.plain(float(found[row, column]), measure)}"
        number = f"[{number}]" if now[row, column] else f"{number} "
        return cells(number, Role.CAUTION if mark else Role.STRONG if now[row, column] else Role.BASE)

    return text
