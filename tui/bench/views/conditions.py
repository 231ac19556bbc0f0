"""Set here, ride there: what the selected setup does in the cold and the warm, and up the mountain."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from physics.answer import SetupAnswer
from physics.arrays import Values, values
from physics.case import Air
from physics.conditions import ALTITUDES, TEMPERATURES, Conditions, conditions
from tui.bench.state import BenchState
from tui.job.figures import STATES
from tui.job.wheels import spoken
from tui.kit.cells import CellRow
from tui.kit.dressing import heading, named_columns, setup_name, told
from tui.kit.look import ChartLook
from tui.shop_units import Measure, ShopUnits, gauge

_KEPT = "Filled here and ridden there: the air in the shock stays, its pressure and the air around it change."
_NO_AIR = "A coil does not mind the weather. Only a damper's gas charge makes the little that changes here."
_HOSE = (
    "Putting the pump on lets its hose fill from the chamber, so it shows less than the shock held: that is "
    "the column 'pump on'. Setting the pressure where it is ridden does away with all of this."
)
_AT_REST = "The gauge is read where the shock rests unloaded, drawn in: more than at full extension."
_NO_HOSE = "Enter what the pump's hose holds to see what it reads when it is put on."


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view for the selected setup of the last good answer."""
    if state.answer is None:
        return told("Nothing to say yet: put right what is marked in the panels.", width, look.glyphs)
    index = min(state.setup, len(state.answer.answer.setups) - 1)
    setup = state.answer.answer.setups[index]
    rows, fork = [setup_name(setup.name, index, look)], state.answer.answer.frame.fork
    rows += told(spoken(_KEPT if setup.air is not None else _NO_AIR, fork), width, look.glyphs)
    warm, high = conditions(state.answer.case, index)
    units = state.units
    rows += heading("Shop's altitude, colder and warmer")
    rows += _table(TEMPERATURES, Measure.TEMPERATURE, warm, setup, units, width)
    rows += heading("Shop's temperature, up the mountain")
    rows += _table(ALTITUDES, Measure.ALTITUDE, high, setup, units, width)
    if setup.air is not None and setup.air.rest_stroke > 0:
        rows += [[], *told(spoken(_AT_REST, fork), width, look.glyphs)]
    if setup.air is not None:
        rows += [[], *told(spoken(_HOSE if _hose(setup) else _NO_HOSE, fork), width, look.glyphs)]
    return rows


def _hose(setup: SetupAnswer) -> bool:
    spring = setup.setup.spring
    return isinstance(spring, Air) and bool(np.any(values(spring.hose_volume) > 0))


def _table(
    places: Values, measure: Measure, found: Conditions, setup: SetupAnswer, units: ShopUnits, width: int
) -> list[CellRow]:
    names = [("", units.unit(measure)), ("sag", "%"), ("start", units.unit(Measure.FORCE)), ("end", "x load")]
    if setup.air is not None:
        names.insert(1, ("gauge", units.unit(Measure.PRESSURE)))
        if _hose(setup):
            names.insert(2, ("pump on", units.unit(Measure.PRESSURE)))
    body = [_row(place, i, measure, found, setup, units) for i, place in enumerate(places)]
    return named_columns(names, body, width)


def _row(
    place: float, i: int, measure: Measure, found: Conditions, setup: SetupAnswer, units: ShopUnits
) -> Sequence[str]:
    there, outside = found.there, float(values(found.around.pressure)[i])
    settled = there.state[i] == "ok"
    row = [
        units.plain(place, measure),
        units.plain(there.sag_wheel_fraction[i], Measure.FRACTION) if settled else STATES[there.state[i]],
        units.plain(there.starting_shaft[i], Measure.FORCE),
        units.plain(there.bottom_ratio[i], Measure.RATIO),
    ]
    if setup.air is not None:
        row.insert(1, units.plain(gauge(there.rest_pressure[i], outside), Measure.PRESSURE))
        if _hose(setup):
            row.insert(2, units.plain(gauge(found.attached[i], outside), Measure.PRESSURE))
    return row
