"""What to set on one setup, the cautions first, and the sag to expect of it."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping

from physics.answer import Answer, BuyableCoil, CoilAnswer, SetupAnswer
from physics.buyable import coil_to_order
from physics.case import Coil
from physics.faults import NOT_TYPED, Caution
from physics.tolerance import tolerance
from tui.jobs.answering import JobAnswer
from tui.jobs.clean import brief
from tui.jobs.fork_words import spoken
from tui.jobs.settling_words import at_once_text
from tui.jobs.tolerance_words import band_text, beyond_text
from tui.jobs.tree import Raw
from tui.jobs.words import STATES, caution_text
from tui.report_wire import order_lines, wire_lines
from tui.sheet.model import Box, Line, Part, Said, Section, Warned
from tui.sheet.pumping import pumping
from tui.shop_units import ABSENT, Measure, ShopUnits, both


def setup_section(
    answered: JobAnswer, index: int, units: ShopUnits, above: Collection[Warned] = ()
) -> Section:
    """Return what to do to a setup of one wheel and what to expect; cautions told `above` stand there.

    Those about what was not typed come after all that the hand does.
    """
    answer = answered.answer
    found = answer.setups[index]
    typed = answered.job.setups[index]
    parts: list[Part] = [told for told in setup_cautions(answered, index, units) if told not in above]
    if found.state != "ok":
        parts.append(Said(f"{STATES[found.state].capitalize()}."))
    if found.coil is not None:
        parts += [*_coil(found.coil, typed, answer, units), *_wire(found, answer, units)]
    if found.air is not None:
        parts += pumping(found, typed, answer, units)
    parts += left_out_cautions(answered, index, units)
    parts += [*_expected(answered, index, units), Box("this is the setup on the bike")]
    title = f"Setup {index + 1} of {len(answer.setups)}: {brief(found.name)}, {found.kind} spring"
    return Section(title, tuple(parts))


def shared_cautions(answered: JobAnswer, units: ShopUnits) -> tuple[Warned, ...]:
    """Return the cautions that every setup of a wheel has in the same words, told once above them all."""
    count = len(answered.answer.setups)
    first, *others = (setup_cautions(answered, index, units) for index in range(count))
    return tuple(told for told in first if others and all(told in cautions for cautions in others))


def setup_cautions(answered: JobAnswer, index: int, units: ShopUnits) -> tuple[Warned, ...]:
    """Return every caution of a setup but those about what was not typed."""
    answer = answered.answer
    told = (one for one in answer.setups[index].cautions if one.code not in NOT_TYPED)
    return tuple(_cautions(told, answered.job.setups[index], answer, units))


def left_out_cautions(answered: JobAnswer, index: int, units: ShopUnits) -> tuple[Warned, ...]:
    """Return the cautions about what was not typed."""
    answer = answered.answer
    told = (one for one in answer.setups[index].cautions if one.code in NOT_TYPED)
    return tuple(_cautions(told, answered.job.setups[index], answer, units))


def _cautions(
    cautions: Iterable[Caution], typed: Mapping[str, Raw], answer: Answer, units: ShopUnits
) -> Iterator[Warned]:
    outside, fork = float(answer.shop.pressure), answer.frame.fork
    return (Warned(caution_text(caution, units, outside, fork, typed)) for caution in cautions)


def _coil(coil: CoilAnswer, typed: Mapping[str, Raw], answer: Answer, units: ShopUnits) -> Iterator[Part]:
    rate, solved = float(coil.rate), typed.get("rate") == "solve"
    choice = coil_to_order(rate, coil.buyable) if solved else None
    if choice is not None:
        yield from _cautions(choice.cautions, typed, answer, units)
        yield Line("To order", _choice(choice, units))
    if math.isfinite(rate):
        how = "solved for the target" if solved else "as typed"
        yield Line("Spring rate", f"{both(rate, Measure.SPRING_RATE)}, {how}")
    else:
        yield Line("Spring rate", "in stages, as typed")
    label = "Preload" if choice is None else "Preload at that rate"
    yield Line(label, _preload(float(coil.preload), float(coil.preload_turns), units))


def _wire(found: SetupAnswer, answer: Answer, units: ShopUnits) -> Iterator[Said]:
    """Return what a coil is as wire and the wire to order, where that is known."""
    spring = found.setup.spring
    if not isinstance(spring, Coil):
        return
    if found.coil is not None and found.coil.wire is not None:
        yield from (Said(f"{line}.") for line in wire_lines(spring, found.coil.wire, units))
    yield from (Said(f"{line}.") for line in order_lines(spring, float(answer.frame.stroke), units))


def _preload(length: float, turns: float, units: ShopUnits) -> str:
    in_turns = units.show(turns, Measure.TURNS)
    told = units.show(length, Measure.TRAVEL)
    return told if in_turns == ABSENT else f"{told}, {in_turns} of the collar"


def _choice(choice: BuyableCoil, units: ShopUnits) -> str:
    """Return a rate one can order and the preload that brings it to the target."""
    rate = both(float(choice.rate), Measure.SPRING_RATE)
    wound = float(choice.preload_for_target)
    if not math.isfinite(wound):
        return f"{rate}: too stiff for the target even without preload"
    return f"{rate}, with preload {_preload(wound, float(choice.preload_turns), units)}"


def _expected(answered: JobAnswer, index: int, units: ShopUnits) -> Iterator[Line]:
    """Return where it should settle, and how far from there it may be for all that is known."""
    sag, target = answered.answer.setups[index].sag, answered.answer.target
    if not math.isfinite(float(sag.wheel)):
        return
    wheel, stroke, low, high = (
        units.show(float(length), Measure.TRAVEL)
        for length in (sag.wheel, sag.stroke, sag.band_low, sag.band_high)
    )
    of_travel, of_stroke = (
        units.show(float(share), Measure.FRACTION) for share in (sag.wheel_fraction, sag.stroke_fraction)
    )
    fork = answered.answer.frame.fork
    at_spring = spoken(f"at the shock {stroke}, {of_stroke} of stroke", fork)
    yield Line("Expected sag", f"{wheel}, {of_travel} of travel; {at_spring}")
    if early := at_once_text(answered.answer.setups[index], units, fork):
        yield Line("Read at once", early)
    if low != high:
        yield Line("Seal friction can hold the wheel", f"from {low} to {high}")
    spread = tolerance(answered.case, index)
    band = band_text(spread.sag, Measure.FRACTION, units)
    if band != ABSENT:
        beyond = beyond_text(spread, units)
        told = f"{band} of {spoken(target.of, fork)} in nine cases of ten, with friction"
        yield Line("Tolerance", f"{told}. {beyond}" if beyond else told)
