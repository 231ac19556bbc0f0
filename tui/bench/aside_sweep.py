"""A sweep: one figure of every setup against one input, drawn and in numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from physics.arrays import Values, values
from physics.case import Air, Case
from physics.inputs import Input
from physics.sweep import Axis, Swept, swept
from tui.bench.aside_text import Role, columns, heading, setup_name, told
from tui.bench.figures_words import STATES
from tui.bench.state import BenchState
from tui.bench.state_sweep import chosen_input, known_case
from tui.charts import look as chart_look
from tui.charts import series
from tui.charts.cells import Row, cells
from tui.charts.drawing import picture
from tui.charts.look import ChartLook
from tui.charts.scene import Scene
from tui.jobs.fork_words import is_fork
from tui.jobs.sweep_words import INPUTS, as_read, figure_named, figure_text, input_text, why_not
from tui.shop_units import Measure, ShopUnits, gauge

NOTHING = "Nothing to say yet: put right what is marked in the panels."
POINTS = 71
_ROWS = 8
"""Rows of numbers below the chart."""
_SHORT, _TALL, _WIDE_FROM = 10, 16, 60
"""Rows of the chart in a narrow view and in a wide one."""
_EVEN = 0.05
"""A figure that moves by less than this share of itself is drawn from zero: it hardly changes."""
_HOW = (
    "Rate and pressure are solved anew for each where they are to be solved, kept where they are typed. "
    "S on another field of the panels sweeps that one, v turns to the next figure."
)
_EVERY = "Put into every setup that has it."
_STATES = {**STATES, "impossible": "cannot be"}


def lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the view of every setup of the last good answer."""
    known = known_case(state)
    if state.good is None or known is None:
        return told(NOTHING, width, look.glyphs)
    one = chosen_input(known, [state.sweep.over])
    found = swept(state.good.case, [Axis(one, one.along(*one.reach(known), POINTS))], [state.sweep.figure])
    rows = told(_head(state, one, known), width, look.glyphs, Role.STRONG)
    rows += _drawn(found, state, width, look, known)
    rows += _numbers(found, state, look)
    for why in why_not(found):
        rows += told(why, width, look.glyphs, Role.CAUTION)
    shared = [_EVERY] if _of_setups(one, known) else []
    return rows + [[], *told(" ".join([_HOW, *shared]), width, look.glyphs, Role.QUIET)]


def read_off(number: float, one: Input, case: Case, units: ShopUnits) -> str:
    """Write a number of an input with its unit, pressures as a gauge in the shop shows them."""
    measure = INPUTS[one.name][1]
    outside = float(values(case.shop.pressure)) if measure is Measure.PRESSURE else 0.0
    return units.show(number - outside, measure)


def _head(state: BenchState, one: Input, known: Case) -> str:
    here = one.read(known)
    now = "" if here is None else f", now {read_off(float(values(here)), one, known, state.units)}"
    fork = is_fork(state.job)
    return f"{figure_text(state.sweep.figure, fork)} over {input_text(one.name, fork)}{now}"


def _of_setups(one: Input, case: Case) -> bool:
    return len(case.setups) > 1 and one.read(replace(case, setups=())) is None


def _drawn(found: Swept, state: BenchState, width: int, look: ChartLook, known: Case) -> list[Row]:
    """Return the chart, an arrow on its axis where the job stands now."""
    scene = Scene(_chart(found, state, known), state.units, look)
    shown = picture(scene, width, _TALL if width >= _WIDE_FROM else _SHORT)
    rows = [[(text, _ROLES.get(role, role)) for text, role in row] for row in shown.rows]
    one = found.axes[0].input
    here, x = one.read(known), scene.chart.place
    if (
        shown.canvas is not None
        and here is not None
        and x[0] <= float(values(here)) - _off(one, known) <= x[-1]
    ):
        column = shown.left + shown.canvas.column(scene.x(float(values(here)) - _off(one, known)))
        rows[shown.canvas.rows][column] = (look.glyphs.cursor, Role.STRONG)
    return rows


_ROLES = {
    int(chart_look.Role.AXIS): Role.QUIET,
    int(chart_look.Role.LEVEL): Role.CAUTION,
}
"""Roles of a chart as those of a view; a line has the same number in both."""


def _chart(found: Swept, state: BenchState, known: Case) -> series.ChartData:
    axis, name = found.axes[0], state.sweep.figure
    fork, measure = is_fork(state.job), INPUTS[axis.input.name][1]
    figure, drawn = figure_named(name, fork), as_read(name, found)
    x = values(axis.numbers - _off(axis.input, known))
    return series.ChartData(
        title=figure.label,
        x=series.Axis(input_text(axis.input.name, fork), measure),
        y=series.Axis(figure.label, figure.measure, from_zero=_even(drawn)),
        fraction=values([0.0, 1.0]),
        place=x,
        lines=tuple(
            series.Line(setup, look, x, y)
            for look, (setup, y) in enumerate(zip(found.names, drawn, strict=True))
        ),
        level=_limit(name, known, drawn),
        note=f"No setup has {figure.label} anywhere on the way.",
    )


def _off(one: Input, case: Case) -> float:
    """Return what a person leaves off a number of an input: the air outside, of a pressure."""
    return float(values(case.shop.pressure)) if INPUTS[one.name][1] is Measure.PRESSURE else 0.0


def _even(drawn: Values) -> bool:
    finite = drawn[np.isfinite(drawn)]
    return bool(finite.size == 0 or np.ptp(finite) < _EVEN * np.abs(finite).max())


def _limit(name: str, known: Case, drawn: Values) -> series.Level | None:
    """Return the label's limit of the selected setup where set pressures come near it."""
    spring = known.setups[0].spring
    if name != "set_pressure" or not isinstance(spring, Air) or spring.max_pressure is None:
        return None
    limit = float(gauge(spring.max_pressure, float(values(known.shop.pressure))))
    return series.Level("label's limit", limit) if np.nanmax(drawn, initial=0.0) > 0.8 * limit else None


def _numbers(found: Swept, state: BenchState, look: ChartLook) -> list[Row]:
    axis, units = found.axes[0], state.units
    measure = INPUTS[axis.input.name][1]
    names: list[Row | str] = [units.unit(measure) or input_text(axis.input.name, is_fork(state.job))]
    names += [setup_name(name, index, look) for index, name in enumerate(found.names)]
    unit = units.unit(figure_named(state.sweep.figure).measure)
    rows = heading(f"In numbers, {unit}" if unit else "In numbers")
    return rows + columns([names, *_rows(found, state)])


def _rows(found: Swept, state: BenchState) -> Iterator[list[str | Row]]:
    axis, units, name = found.axes[0], state.units, state.sweep.figure
    drawn, measure = as_read(name, found), INPUTS[axis.input.name][1]
    known = known_case(state)
    off = 0.0 if known is None else _off(axis.input, known)
    for place in np.unique(np.linspace(0, axis.numbers.size - 1, _ROWS).round().astype(int)):
        row: list[str | Row] = [units.plain(float(axis.numbers[place]) - off, measure)]
        for setup, state_words in enumerate(found.state):
            row.append(_cell(float(drawn[setup, place]), str(state_words[place]), name, units))
        yield row


def _cell(number: float, state: str, name: str, units: ShopUnits) -> Row:
    if np.isnan(number):
        return cells("-" if state == "ok" else _STATES[state], Role.QUIET)
    return cells(units.plain(number, figure_named(name).measure), Role.BASE)
