"""Riding conditions: the pressure to set in the shop for them, and a setup by temperature and altitude."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np

from physics.answer import SetupAnswer
from physics.arrays import Values, values
from physics.case import Air, Case
from physics.conditions import ALTITUDES, TEMPERATURES, Conditions, Ridden, conditions, ridden
from tui.job.answer import JobAnswer
from tui.job.cautions import caution_texts
from tui.job.choices import STATES
from tui.job.figures import NO_ESTIMATE, figure_named, has_estimate
from tui.job.quantities import in_si
from tui.job.wheels import spoken
from tui.kit.document import TAKES, Block, Document, Drawing, Heading, Paragraph, SetupName, Table, Take
from tui.kit.roles import Role
from tui.shop_units import Measure, ShopUnits, gauge, keyed
from tui.subjects.pumping import filling_of, pressure_at_rest

_ZERO_CELSIUS = 273.15
_KEPT = (
    "Set in the shop, ridden elsewhere: the air in the shock stays, its pressure and the outside air change."
)
_COIL = "From {} {}: the damper's gas charge warms up. The coil's rate counts as constant."
_AIR = "Filled here and ridden at {}: {}."
_UNCHANGED = "Temperature changes neither sag nor breakaway."
_HOSE = (
    "A pump put on fills its hose from the chamber and reads low: column 'pump'. Setting the pressure "
    "where you ride avoids all of this."
)
_AT_REST = "The gauge is read in the rest position, unloaded: more than at full extension."
_NO_HOSE = "Type the pump hose volume to see what the pump reads when put on."
_NO_RIDE = (
    "No riding conditions typed. Type riding temp. or riding altitude on Rider (/ and riding finds them): "
    "the pressure to set here follows."
)
_OVER = "{} is above the max pressure of {}: do not pump that high. Set the pressure where you ride."
_NONE = "No pressure set here gives the target sag there."


def document(answered: JobAnswer, index: int, units: ShopUnits) -> Document:
    """Return the pressure to set for the riding conditions, then a setup by temperature and by altitude.

    The plain lines are for an air spring.
    """
    setup, fork = answered.answer.setups[index], answered.answer.frame.fork
    warm, high = conditions(answered.case, index)
    blocks: list[Block] = [
        *_ridden(answered, index, warm, units),
        Heading("Shop altitude, by temperature"),
        _table(TEMPERATURES, Measure.TEMPERATURE, warm, (0, -1), setup, units, fork),
        Heading("Shop temperature, by altitude"),
        _table(ALTITUDES, Measure.ALTITUDE, high, (-1,), setup, units, fork),
    ]
    if setup.air is not None:
        at_rest, hose = setup.air.rest_stroke > 0, _hose(setup)
        told = {_KEPT: True, _AT_REST: at_rest, _HOSE: hose, _NO_HOSE: not hose}
        blocks += (Paragraph(text, Role.QUIET, "", gap=True) for text, holds in told.items() if holds)
    return Document(tuple(blocks), fork)


def _found(answered: JobAnswer, index: int, units: ShopUnits) -> Ridden | None:
    """Return a setup in its riding conditions, the pressure to set here with the digits of these units."""
    writing = units.writings[Measure.PRESSURE]
    return ridden(answered.case, index, writing.factor * 10.0**-writing.digits)


def _warmth_text(setup: SetupAnswer, warm: Conditions, units: ShopUnits, fork: bool) -> str:
    """Return what temperature changes at a setup, between the ends of the table and as it shows them."""
    cold, hot = (units.show(end, Measure.TEMPERATURE) for end in (TEMPERATURES[0], TEMPERATURES[-1]))
    there, changes = warm.there, []
    for label, numbers, measure in (
        ("sag", there.sag_wheel_fraction, Measure.FRACTION),
        (spoken("breakaway at the shaft", fork), there.starting_shaft, Measure.FORCE),
    ):
        before, after = units.plain(numbers[0], measure), units.show(numbers[-1], measure)
        if before != after.split(" ")[0]:
            changes.append(f"{label} {before} → {after}")
    said = _COIL if setup.air is None else _AIR
    return said.format(f"{cold} to {hot}", ", ".join(changes)) if changes else _UNCHANGED


def _ridden(answered: JobAnswer, index: int, warm: Conditions, units: ShopUnits) -> Iterator[Block]:
    """Yield the pressure to set in the shop for the target sag as ridden, and both conditions."""
    setup, answer, found = answered.answer.setups[index], answered.answer, _found(answered, index, units)
    name = SetupName(setup.name, index)
    if setup.air is None or found is None:
        yield Paragraph(_warmth_text(setup, warm, units, answer.frame.fork), Role.STRONG, "", of=name)
    if found is None:
        if setup.air is not None:
            yield Paragraph(_NO_RIDE, plain="")
        return
    outside, of = float(answer.shop.pressure), answer.target.of
    place = place_text(answered, units)
    if setup.air is not None:
        said = _pumped(answered, index, found, units)
        # The pressure that can be set is the line that the take key uses.
        yield from (replace(one, text="") if one.role is Role.STRONG else one for one in said)
        yield Drawing(TAKES)
        if filling := filling_of(answer, index, units, answered.job.setups[index]):
            pumped = (one for one in setup.cautions if one.code == "pressurised")
            for line in (*caution_texts(pumped, answer, units), filling.limit):
                yield Paragraph(line, Role.CAUTION, "")
        yield name
    there, here = found.there, setup.sag
    gauge_there = float(values(found.around.pressure))
    field = "sag_wheel_fraction" if of == "travel" else "sag_stroke_fraction"
    rows: list[tuple[str, ...]] = []
    sag_here = here.wheel_fraction if of == "travel" else here.stroke_fraction
    columns = (
        ("shop", setup.air.rest_pressure if setup.air else math.nan, outside, setup.state, sag_here),
        (f"ride, {place}", there.rest_pressure, gauge_there, str(there.state), getattr(there, field)),
    )
    for label, pressure, around, state, sag in columns:
        read = () if setup.air is None else (units.plain(gauge(float(pressure), around), Measure.PRESSURE),)
        settles = units.plain(sag, Measure.FRACTION) if state == "ok" else STATES[state].short
        rows.append((label, *read, settles))
    names = ("", *(() if setup.air is None else ("gauge",)), "sag")
    beside = ("", *(() if setup.air is None else (units.unit(Measure.PRESSURE),)), "%")
    yield Heading("Riding conditions")
    yield Table((names, *rows), units=beside)


def sheet_parts(answered: JobAnswer, index: int, units: ShopUnits) -> tuple[Paragraph, ...]:
    """Return the pressure of an air spring to set in the shop for riding conditions, empty without any."""
    found = _found(answered, index, units)
    return () if found is None else tuple(_pumped(answered, index, found, units))


@lru_cache(maxsize=4)
def pump_takes(answered: JobAnswer, index: int, units: ShopUnits) -> tuple[Take, ...]:
    """Return the pressure to set in the shop for the target sag under riding conditions, if there is one."""
    found = _found(answered, index, units)
    said = (
        ()
        if found is None or answered.answer.setups[index].air is None
        else (*_pumped(answered, index, found, units),)
    )
    if found is None or found.set_here is None or not said or said[0].role is not Role.STRONG:
        return ()
    outside = float(answered.answer.shop.pressure)
    pressure = units.show(gauge(float(found.set_here.set_pressure), outside), Measure.PRESSURE)
    typed = ((("setup", index, "pressure"), pressure),)
    return (Take(said[0].text, typed, done=f"{pressure} for the ride"),)


def place_text(answered: JobAnswer, units: ShopUnits) -> str:
    """Return the riding conditions as "5 degC, 1800 m"; the shop's conditions by default."""
    air, typed = answered.case.ride or answered.case.shop, answered.job.get
    warmth = units.show(float(values(air.temperature)), Measure.TEMPERATURE)
    height = in_si(
        str(typed(("ride", "altitude")) or typed(("ambient", "altitude")) or "0 m"), Measure.ALTITUDE
    )
    return f"{warmth}, {units.show(height or 0.0, Measure.ALTITUDE)}"


def _pumped(answered: JobAnswer, index: int, found: Ridden, units: ShopUnits) -> Iterator[Paragraph]:
    """Yield the pressure to set in the shop, unless it exceeds max pressure."""
    answer, here = answered.answer, found.set_here
    place, of = place_text(answered, units), answer.target.of
    if here is None:
        yield Paragraph(_NONE, Role.CAUTION, _NONE.rstrip("."))
        return
    outside = float(answer.shop.pressure)
    reading = pressure_at_rest(float(here.set_pressure), float(here.rest_pressure), outside, units)
    spring = answer.setups[index].setup.spring
    limit = spring.max_pressure if isinstance(spring, Air) else None
    if limit is not None and float(here.set_pressure) > limit:
        most = units.show(gauge(limit, outside), Measure.PRESSURE)
        text = _OVER.format(reading, most)
        yield Paragraph(text, Role.CAUTION, text.rstrip("."))
        return
    aim = units.show(answer.target.sag, Measure.FRACTION)
    sag = units.show(
        here.sag_wheel_fraction if of == "travel" else here.sag_stroke_fraction, Measure.FRACTION
    )
    air, shown = answer.setups[index].air, Measure.PRESSURE
    now, then = (
        units.plain(gauge(float(pressure), outside), shown)
        for pressure in (math.nan if air is None else air.set_pressure, here.set_pressure)
    )
    if now == then:
        told = f"{reading} is set here, for {aim} sag there ({place})"
        yield Paragraph(f"{told}; the sag here is {sag}.", Role.STRONG, f"{told}; sag here {sag}")
        return
    told = f"Pump {reading} here for {aim} sag there ({place})"
    if air is not None and math.isfinite(air.set_pressure):
        told += f", instead of {units.show(gauge(float(air.set_pressure), outside), shown)}"
    yield Paragraph(f"{told}; the sag here is then {sag}.", Role.STRONG, f"{told}; sag here {sag}")


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
    """Return a row for each condition; those `told` of an air setup are its plain lines."""
    names = [
        ("", units.unit(measure)),
        ("sag", "%"),
        ("breakaway", spoken(f"{units.unit(Measure.FORCE)} shaft", fork)),
    ]
    names.append(("bottom", "x static"))
    pressures = {} if setup.air is None else {"gauge": found.there.rest_pressure}
    if _hose(setup):
        pressures["pump"] = found.attached
    names[1:1] = [(name, units.unit(Measure.PRESSURE)) for name in pressures]
    rows, plain, there = [], [], found.there
    for i, place in enumerate(places):
        outside, state = float(values(found.around.pressure)[i]), str(there.state[i])
        sag, start = there.sag_wheel_fraction[i], there.starting_shaft[i]
        read = (units.plain(gauge(each[i], outside), Measure.PRESSURE) for each in pressures.values())
        settles = units.plain(sag, Measure.FRACTION) if state == "ok" else STATES[state].short
        estimated = has_estimate(figure_named("bottom_ratio"), setup)
        end = units.plain(there.bottom_ratio[i], Measure.RATIO) if estimated else NO_ESTIMATE
        rows.append((units.plain(place, measure), *read, settles, units.plain(start, Measure.FORCE), end))
        full, rest = float(there.set_pressure[i]), float(there.rest_pressure[i])
        reading = pressure_at_rest(full, rest, outside, units)
        settles = (
            f"sag {units.show(sag, Measure.FRACTION)} of travel" if state == "ok" else STATES[state].sentence
        )
        moves = f"{spoken('breakaway at the shaft', fork)} {units.show(start, Measure.FORCE)}"
        plain.append(f"at {units.show(place, measure)}: the gauge reads {reading}, {settles}, {moves}")
    heads, beside = zip(*names, strict=True)
    lines = () if setup.air is None else tuple(plain[i] for i in told)
    return Table((heads, *rows), plain=lines, units=beside)


def json_object(case: Case, index: int) -> dict[str, Any]:
    """Return a setup by temperature and by altitude, each as columns."""
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
