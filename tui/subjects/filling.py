"""The steps with the pump, one way per kind of negative spring."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from physics.answer import Fill
from physics.case import Air, EqualisedNegative, MechanicalNegative, SeparateNegative
from physics.faults import NOT_TYPED
from physics.fill import HOLDS_WITHIN
from tui.job.cautions import NOTHING_TYPED, STATES, caution_text, limit_text, only_where_text
from tui.job.tree import Raw
from tui.job.wheels import spoken
from tui.kit.dialogs import STALE, Page, Paragraph, Tone, setup_title
from tui.kit.glyphs import Glyphs
from tui.shop_units import Measure, ShopUnits
from tui.subjects.pumping import CYCLES, Filling, expect_text

if TYPE_CHECKING:
    from physics.answer import Answer, SetupAnswer
    from physics.faults import Caution


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


_OVER = ("over_label", "negative_over_label")
_BEFORE = ("pressurised", "beyond_pumps", "never_holds", *_OVER)
_AFTER = ("drawn_in", "sag_gas_range", *NOT_TYPED)


def filling_page(
    answer: Answer,
    setup: int,
    units: ShopUnits,
    glyphs: Glyphs,
    *,
    stale: bool = False,
    typed: Mapping[str, Raw] = NOTHING_TYPED,
) -> Page:
    """Return the page that tells how to fill a setup, `typed` as it stands in the job."""
    old = (Paragraph(STALE, Tone.CAUTION),) if stale else ()
    title = setup_title("Pumping", answer, setup)
    return Page(title, (*old, *filling(answer, setup, units, typed)), glyphs)


def filling(
    answer: Answer, setup: int, units: ShopUnits, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> tuple[Paragraph, ...]:
    """Return what to do with the pump, the cautions first; above the label's limit no step is given."""
    told, fork = _filling(answer, setup, units, typed), answer.frame.fork
    return tuple(replace(part, text=spoken(part.text, fork)) for part in told)


def _filling(answer: Answer, setup: int, units: ShopUnits, typed: Mapping[str, Raw]) -> tuple[Paragraph, ...]:
    found = answer.setups[setup]
    spring, air = found.setup.spring, found.air
    if not isinstance(spring, Air) or air is None:
        return (Paragraph("A coil has nothing to pump: see the page for ordering its spring."),)
    if not np.isfinite(air.set_pressure):
        return (Paragraph(f"Nothing to pump yet: {STATES[found.state]}."),)
    task = Filling(spring, air, units, float(answer.shop.pressure))
    before = (Paragraph("Before the pump goes on", Tone.HEAD), *_cautions(task, found.cautions, typed))
    if any(caution.code in _OVER for caution in found.cautions):
        return (*before, Paragraph("No steps are given above the label's limit.", Tone.STRONG))
    then = _sag(found, answer.target.of, units)
    return (*before, *steps(task, typed), *then, *_afterwards(task, found.cautions, typed))


def _sag(found: SetupAnswer, of: str, units: ShopUnits) -> tuple[Paragraph, ...]:
    """Return the step that reads the sag, none where the wheel does not settle."""
    told = expect_text(found, of, units)
    if not told:
        return ()
    where = "wheel" if of == "travel" else "shock"
    return (Paragraph(f"Then sag at the {where}", Tone.HEAD), Paragraph(told, Tone.STRONG))


def _cautions(task: Filling, cautions: Sequence[Caution], typed: Mapping[str, Raw]) -> list[Paragraph]:
    limit = task.spring.max_pressure
    if limit is None:
        label = "This job holds no limit: read the shock's label before pumping, and stay below it."
    else:
        reading = task.reading(limit)
        label = limit_text(typed, reading) or (
            f"This job's limit is {reading}; where the label says another, the label is right."
        )
    manual = "The maker's manual goes before this page."
    told = [*_told(task, cautions, _BEFORE, typed), label, manual]
    return [Paragraph(line, Tone.CAUTION) for line in told]


def _afterwards(task: Filling, cautions: Sequence[Caution], typed: Mapping[str, Raw]) -> list[Paragraph]:
    hose = (
        "Putting the pump back on fills its hose from the chamber: the gauge then reads less than the "
        "chamber held. Taking it off loses only what is in the hose: do not chase that reading."
    )
    lines = [hose, *_told(task, cautions, _AFTER, typed)]
    if task.air.rest_stroke > 0:
        lines.append(f"Only pulled to full length does it read {task.target}.")
    return [Paragraph("Afterwards", Tone.HEAD), *map(Paragraph, lines)]


def _told(
    task: Filling, cautions: Sequence[Caution], codes: Sequence[str], typed: Mapping[str, Raw]
) -> list[str]:
    told = (caution for caution in cautions if caution.code in codes)
    return [caution_text(caution, task.units, task.ambient, typed=typed) for caution in told]
