"""The steps with the pump, one way per kind of negative spring."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from physics.answer import Fill
from physics.case import EqualisedNegative, MechanicalNegative, SeparateNegative
from physics.fill import HOLDS_WITHIN
from tui.bench.dialogs_page import Paragraph, Tone
from tui.jobs.doubt_words import only_where_text
from tui.jobs.pumped import CYCLES, Filling
from tui.jobs.tree import Raw
from tui.shop_units import Measure


def steps(filling: Filling, typed: Mapping[str, Raw]) -> tuple[Paragraph, ...]:
    """Return the steps for the negative spring at hand."""
    match filling.spring.negative:
        case EqualisedNegative() as negative if filling.air.fill is not None:
            port = filling.units.show(float(negative.port), Measure.TRAVEL)
            return (*_rounds(filling, filling.air.fill, port), *_one_go(filling, filling.air.fill, typed))
        case SeparateNegative() as negative:
            return _two_valves(filling, filling.reading(negative.pressure))
        case MechanicalNegative():
            return _one_valve(filling, "The negative side is a coil: there is nothing to fill there.")
        case _:
            return _one_valve(filling, "There is no negative spring: expect a hard start.")


def _rounds(filling: Filling, fill: Fill, port: str) -> tuple[Paragraph, ...]:
    cycle = (
        f"Start with all air out, wheel off the ground, full length. A cycle: push it in past {port}, where "
        "the chambers meet, and let it out all the way. Ten a round are common practice, no source."
    )
    lines = [Paragraph(f"In rounds, to {filling.settled}", Tone.HEAD), Paragraph(cycle, Tone.QUIET)]
    for place in range(fill.rounds):
        again = " again" if place else ""
        to = filling.with_rest(filling.air.set_pressure, fill.rest_target[place])
        held = filling.with_rest(fill.readings[place], fill.rest_readings[place])
        lines += [
            Paragraph(f"{place + 1}. Pump to {to}{again}, take the pump off, {CYCLES}.", Tone.STRONG),
            Paragraph(f"It keeps {held}. {_with_hose(filling, fill, place)}", indent=3),
        ]
    if fill.holds:
        within = filling.units.show(HOLDS_WITHIN, Measure.PRESSURE)
        settled = f"Settled: within {within} of {filling.settled}. Cap on, done."
        lines.append(Paragraph(settled, Tone.STRONG))
    return tuple(lines)


def _with_hose(filling: Filling, fill: Fill, place: int) -> str:
    if not filling.spring.hose_volume:
        return "With the pump back on, the gauge reads a little less."
    shown = filling.with_rest(fill.pump_gauge[place], fill.rest_gauge[place])
    return f"With the pump back on, the gauge reads {shown}."


def _one_go(filling: Filling, fill: Fill, typed: Mapping[str, Raw]) -> tuple[Paragraph, ...]:
    head = Paragraph("Or in one go", Tone.HEAD)
    once = filling.reading(fill.one_go)
    if not np.isfinite(fill.single_fill):
        why = f"Not here: it would take {once}, above the label's limit."
        return (head, Paragraph(why, Tone.CAUTION))
    step = Paragraph(f"Pump once to {once}, take the pump off, {CYCLES}: it settles at {filling.settled}.")
    limit = filling.spring.max_pressure
    if only := only_where_text(limit, typed, once):
        why = "this job holds no limit" if limit is None else "the limit of this job is unverified"
        return (head, Paragraph(f"{only[:1].upper()}{only[1:]}: {why}.", Tone.CAUTION), step)
    return (head, step)


def _two_valves(filling: Filling, negative: str) -> tuple[Paragraph, ...]:
    first = "1. Let the negative chamber down first, so that it cannot pull the shaft in."
    return (
        Paragraph("Two valves, in this order", Tone.HEAD),
        Paragraph("Wheel off the ground, full length (common practice, no source).", Tone.QUIET),
        Paragraph(first, Tone.STRONG),
        Paragraph(f"2. Pump the positive chamber to {filling.target}.", Tone.STRONG),
        Paragraph(f"3. Then pump the negative chamber to {negative}.", Tone.STRONG),
        Paragraph(f"4. Cycle it, and read both again: positive {filling.settled}.", Tone.STRONG),
        Paragraph("To let air out later, keep the order: negative first, then positive.", Tone.QUIET),
    )


def _one_valve(filling: Filling, negative: str) -> tuple[Paragraph, ...]:
    return (
        Paragraph("One valve", Tone.HEAD),
        Paragraph(f"1. Wheel off the ground, full length. Pump to {filling.target}.", Tone.STRONG),
        Paragraph(f"2. Take the pump off and cycle it a few times: {filling.settled}.", Tone.STRONG),
        Paragraph(negative, Tone.QUIET),
    )
