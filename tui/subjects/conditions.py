"""Set here, ride there: what a setup does in the cold and the warm, and up the mountain."""

from __future__ import annotations

from typing import Any

import numpy as np

from physics.answer import SetupAnswer
from physics.arrays import Values, values
from physics.case import Air, Case
from physics.conditions import ALTITUDES, TEMPERATURES, Conditions, conditions
from tui.job import cautions
from tui.job.answer import JobAnswer
from tui.job.figures import STATES
from tui.job.wheels import spoken
from tui.kit.document import Block, Document, Heading, Paragraph, SetupName, Table
from tui.shop_units import Measure, ShopUnits, gauge, keyed
from tui.subjects.pumping import pressure_at_rest

_ZERO_CELSIUS = 273.15
_KEPT = "Filled here and ridden there: the air in the shock stays, its pressure and the air around it change."
_NO_AIR = "A coil does not mind the weather. Only a damper's gas charge makes the little that changes here."
_HOSE = (
    "Putting the pump on lets its hose fill from the chamber, so it shows less than the shock held: that is "
    "the column 'pump on'. Setting the pressure where it is ridden does away with all of this."
)
_AT_REST = "The gauge is read where the shock rests unloaded, drawn in: more than at full extension."
_NO_HOSE = "Enter what the pump's hose holds to see what it reads when it is put on."


def document(answered: JobAnswer, index: int, units: ShopUnits) -> Document:
    """Return a setup colder and warmer, and higher up; of an air spring with plain lines."""
    setup, fork = answered.answer.setups[index], answered.answer.frame.fork
    warm, high = conditions(answered.case, index)
    blocks: list[Block] = [
        SetupName(setup.name, index),
        Paragraph(_NO_AIR if setup.air is None else _KEPT, plain=""),
        Heading("Shop's altitude, colder and warmer"),
        _table(TEMPERATURES, Measure.TEMPERATURE, warm, (0, -1), setup, units, fork),
        Heading("Shop's temperature, up the mountain"),
        _table(ALTITUDES, Measure.ALTITUDE, high, (-1,), setup, units, fork),
    ]
    if setup.air is not None:
        told = {_AT_REST: setup.air.rest_stroke > 0, _HOSE: _hose(setup), _NO_HOSE: not _hose(setup)}
        blocks += (Paragraph(text, plain="", gap=True) for text, holds in told.items() if holds)
    return Document(tuple(blocks), fork)


def _hose(setup: SetupAnswer) -> bool:
    spring = setup.setup.spring
    return isinstance(spring, Air) and bool(np.any(values(spring.hose_volume) > 0))


def _table(
    places: Values,
    measure: Measure,
    found: Conditions,
    told: tuple[int, ...],
    setup: SetupAnswer,
    units: ShopUnits,
    fork: bool,
) -> Table:
    """Return a row for each place; those `told` of an air setup are its plain lines."""
    names = [("", units.unit(measure)), ("sag", "%"), ("start", units.unit(Measure.FORCE)), ("end", "x load")]
    pressures = {} if setup.air is None else {"gauge": found.there.rest_pressure}
    if _hose(setup):
        pressures["pump on"] = found.attached
    names[1:1] = [(name, units.unit(Measure.PRESSURE)) for name in pressures]
    rows, plain, there = [], [], found.there
    for i, place in enumerate(places):
        outside, state = float(values(found.around.pressure)[i]), str(there.state[i])
        sag, start = there.sag_wheel_fraction[i], there.starting_shaft[i]
        read = (units.plain(gauge(each[i], outside), Measure.PRESSURE) for each in pressures.values())
        settles = units.plain(sag, Measure.FRACTION) if state == "ok" else STATES[state]
        end = units.plain(there.bottom_ratio[i], Measure.RATIO)
        rows.append((units.plain(place, measure), *read, settles, units.plain(start, Measure.FORCE), end))
        full, rest = float(there.set_pressure[i]), float(there.rest_pressure[i])
        reading = pressure_at_rest(full, rest, outside, units)
        settles = (
            f"sag {units.show(sag, Measure.FRACTION)} of travel" if state == "ok" else cautions.STATES[state]
        )
        moves = f"{spoken('the shaft starts to move', fork)} at {units.show(start, Measure.FORCE)}"
        plain.append(f"at {units.show(place, measure)}: the gauge reads {reading}, {settles}, {moves}")
    heads, beside = zip(*names, strict=True)
    lines = () if setup.air is None else tuple(plain[i] for i in told)
    return Table((heads, *rows), plain=lines, units=beside)


def json_object(case: Case, index: int) -> dict[str, Any]:
    """Return a setup colder and warmer, and higher up, each as columns over the places."""
    warm, high = conditions(case, index)
    temperatures = keyed(temperatures_c=TEMPERATURES - _ZERO_CELSIUS) | _columns(warm)
    return {"temperature": temperatures, "altitude": keyed(altitudes_m=ALTITUDES) | _columns(high)}


def _columns(found: Conditions) -> dict[str, Any]:
    there, outside = found.there, values(found.around.pressure)
    return keyed(
        state=[str(state) for state in there.state],
        set_pressure_psi=there.set_pressure - outside,
        rest_pressure_psi=there.rest_pressure - outside,
        pump_shows_psi=found.attached - outside,
        sag_wheel_fraction=there.sag_wheel_fraction,
        sag_stroke_fraction=there.sag_stroke_fraction,
        starting_shaft_n=there.starting_shaft,
        bottom_ratio=there.bottom_ratio,
    )
