"""How to pump an air spring in a few lines: limit, pressure, spacers, what the gauge reads on the way."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from physics.answer import Answer, Fill, SetupAnswer
from physics.arrays import Scalar
from physics.case import Air, EqualisedNegative, MechanicalNegative, SeparateNegative
from tui.jobs.doubt_words import limit_text, only_where_text
from tui.jobs.fork_words import spoken
from tui.jobs.pumped import CYCLES, Filling
from tui.jobs.tree import Raw
from tui.sheet.model import Line, Part, Said, Warned
from tui.shop_units import Measure, ShopUnits, both, gauge

_OVER_LABEL = ("over_label", "negative_over_label")
_HUNG = "wheel off the ground, full length"
"""How a wheel hangs while it is pumped: common practice, no source."""


def pumping(found: SetupAnswer, typed: Mapping[str, Raw], answer: Answer, units: ShopUnits) -> Iterator[Part]:
    """Return what to pump; above the label's limit the pressure is told and no step is given."""
    spring, air = found.setup.spring, found.air
    assert isinstance(spring, Air)
    assert air is not None
    if not math.isfinite(float(air.set_pressure)):
        return
    task = Filling(spring, air, units, float(answer.shop.pressure))
    yield _limit(task, typed, answer.frame.fork)
    how = "solved for the target" if typed.get("pressure") == "solve" else "as typed"
    pressure = both(gauge(float(air.set_pressure), task.ambient), Measure.PRESSURE)
    yield Line("Set pressure at full length", f"{pressure}, {how}")
    if float(air.rest_stroke) > 0:
        drawn = units.show(float(air.rest_stroke), Measure.TRAVEL)
        yield Line("The gauge reads", f"{task.reading(air.rest_pressure)} as it rests, drawn in by {drawn}")
    yield _spacers(spring, units)
    if any(caution.code in _OVER_LABEL for caution in found.cautions):
        yield Said("No steps are given above the label's limit.")
    else:
        yield from _steps(task, typed)


def _limit(task: Filling, typed: Mapping[str, Raw], fork: bool) -> Warned:
    if task.spring.max_pressure is None:
        return Warned(
            spoken(
                "No limit is typed here: read the label on the shock before pumping, and stay below it.", fork
            )
        )
    limit = task.reading(task.spring.max_pressure)
    if doubt := limit_text(typed, limit):
        return Warned(spoken(doubt, fork))
    return Warned(f"The limit typed here is {limit}; where the label says another, the label is right.")


def _spacers(spring: Air, units: ShopUnits) -> Line:
    negative = spring.negative
    told = f"positive chamber {_counted(spring.positive_spacers, spring.positive_spacer_volume, units)}"
    if isinstance(negative, SeparateNegative | EqualisedNegative):
        told += f"; negative chamber {_counted(negative.spacers, negative.spacer_volume, units)}"
    return Line("Spacers", told)


def _counted(count: Scalar, volume: Scalar, units: ShopUnits) -> str:
    if not float(count):
        return "no spacer"
    each = units.show(float(volume), Measure.VOLUME)
    return f"{float(count):.0f} spacer{'' if float(count) == 1 else 's'} of {each}"


def _steps(task: Filling, typed: Mapping[str, Raw]) -> Iterator[Part]:
    """Return the way with the pump for the negative spring at hand."""
    match task.spring.negative:
        case EqualisedNegative() as negative if task.air.fill is not None:
            port = task.units.show(float(negative.port), Measure.TRAVEL)
            yield Line("Pump and cycle", _round(task, port))
            yield Line("It keeps", _kept(task, task.air.fill))
            yield _one_go(task, task.air.fill, typed)
        case SeparateNegative() as negative:
            yield Line(
                "Pump in this order",
                f"negative chamber down first, positive to {task.settled}, then negative to "
                f"{task.reading(negative.pressure)}; cycle, read both again ({_HUNG})",
            )
        case MechanicalNegative():
            yield Line("Pump", f"to {task.settled}; the negative side is a coil ({_HUNG})")
        case _:
            yield Line("Pump", f"to {task.settled}; there is no negative spring ({_HUNG})")


def _round(task: Filling, port: str) -> str:
    return (
        f"all air out, {_HUNG}; pump to {task.settled}, pump off, {CYCLES} past {port} and all the way back; "
        "again until it holds"
    )


def _kept(task: Filling, fill: Fill) -> str:
    """Return what it keeps after each round, and what the gauge shows once the pump is on again."""
    drawn_in = float(task.air.rest_stroke) > 0
    readings = (fill.rest_readings, fill.rest_gauge) if drawn_in else (fill.readings, fill.pump_gauge)
    told = []
    for number, (held, shown) in enumerate(zip(*readings, strict=True), 1):
        hose = f" (pump on again {task.reading(shown)})" if task.spring.hose_volume else ""
        told.append(f"{task.reading(held)} after round {number}{hose}")
    if drawn_in:
        told[0] = f"as it rests {told[0]}"
    return f"{', '.join(told)}; {'settled' if fill.holds else 'it never settles on this'}"


def _one_go(task: Filling, fill: Fill, typed: Mapping[str, Raw]) -> Line:
    once = task.reading(fill.one_go)
    if not math.isfinite(float(fill.single_fill)):
        return Line("In one go", f"not here, it would take {once}, above the label's limit")
    only = only_where_text(task.spring.max_pressure, typed, once)
    allowed = f"{only}: " if only else ""
    return Line("Or in one go", f"{allowed}pump once to {once}, pump off, {CYCLES}: {task.settled} is left")
