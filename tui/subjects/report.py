"""One setup of the plain report: what it is set to, where it settles, how to fill it, what to buy."""

from __future__ import annotations

import json
from collections.abc import Mapping

from physics import gas
from physics.answer import AirAnswer, Answer, BuyableCoil, CoilAnswer, Fill, LinkageAnswer, SetupAnswer
from physics.case import Air, Coil
from physics.faults import Caution
from tui.job.answer import JobAnswer
from tui.job.case import turned_by
from tui.job.cautions import NOTHING_TYPED, STATES, caution_text, only_where_text, posture_text
from tui.job.clean import brief
from tui.job.figures import Figure, change, figures_for, read_figure
from tui.job.job import Job
from tui.job.likely import doubts
from tui.job.tree import Raw
from tui.job.wheels import Wheel, left_out, spoken
from tui.kit.document import plain_lines
from tui.shop_units import ABSENT, USUAL, Measure, ShopUnits, both, gauge
from tui.subjects import conditions, tolerance
from tui.subjects.answers import answer_object
from tui.subjects.asked import answered_file
from tui.subjects.balance import balance_lines
from tui.subjects.measurements import measured_lines, record_lines
from tui.subjects.pumping import at_once_text, pressure_at_rest
from tui.subjects.unverified import counted, left_out_text, unverified
from tui.subjects.wire import order_lines, wire_lines


def setup_lines(
    place: str, setup: SetupAnswer, typed: Mapping[str, Raw], answer: Answer, units: ShopUnits
) -> list[str]:
    """Return the lines of one setup; `typed` tells a typed value from a solved one.

    Its cautions stand between what it is set to and what the hand does with it.
    """
    coil, air = setup.coil, setup.air
    lines = [f"{place}: {brief(setup.name)}, {setup.kind} spring", f"  {STATES[setup.state].capitalize()}"]
    if coil is not None:
        lines += _coil(coil, typed, units)
    if isinstance(setup.setup.spring, Coil) and coil is not None and coil.wire is not None:
        lines += [f"  {line}" for line in wire_lines(setup.setup.spring, coil.wire, units)]
    if air is not None:
        lines += _air(air, typed, answer, units)
    lines += _sag(setup, answer.frame.fork, units)
    lines += caution_lines(setup.cautions, answer, units, typed=typed)
    if coil is not None and coil.buyable:
        lines += _coils_to_buy(coil, typed, answer, units)
    if isinstance(setup.setup.spring, Coil):
        stroke = float(answer.frame.stroke)
        lines += [f"  {line}" for line in order_lines(setup.setup.spring, stroke, units)]
    if isinstance(setup.setup.spring, Air) and air is not None and air.fill is not None:
        once = _pressure(float(air.fill.one_go), answer, units)
        only = only_where_text(setup.setup.spring.max_pressure, typed, once)
        lines += _fill(air.fill, air, only, answer, units)
    if air is not None and air.spacers:
        lines += _spacers(air, answer, units)
    return lines


def caution_lines(
    cautions: tuple[Caution, ...],
    answer: Answer,
    units: ShopUnits,
    indent: str = "  ",
    typed: Mapping[str, Raw] = NOTHING_TYPED,
) -> list[str]:
    """Return each caution as one line; `typed` is the setup that it is about as it stands in the job."""
    outside = float(answer.shop.pressure)
    return [
        f"{indent}Caution: {caution_text(caution, units, outside, answer.frame.fork, typed)}"
        for caution in cautions
    ]


def _how(typed: Raw | None) -> str:
    return "solved for the target" if typed == "solve" else "as typed"


def _coil(coil: CoilAnswer, typed: Mapping[str, Raw], units: ShopUnits) -> list[str]:
    preload = units.show(float(coil.preload), Measure.TRAVEL)
    turns = units.show(float(coil.preload_turns), Measure.TURNS)
    rate = f"{both(float(coil.rate), Measure.SPRING_RATE)}, {_how(typed.get('rate'))}"
    return [
        f"  Spring rate: {'in stages, as typed' if 'stages' in typed else rate}",
        f"  Preload: {preload}" + ("" if turns == ABSENT else f", {turns} of the collar"),
    ]


def _coils_to_buy(coil: CoilAnswer, typed: Mapping[str, Raw], answer: Answer, units: ShopUnits) -> list[str]:
    lines = ["  Coils to buy on either side"]
    for choice in coil.buyable:
        lines.append(f"    {_choice(choice, answer, units)}")
        lines += caution_lines(choice.cautions, answer, units, "      ", typed)
    return lines


def _choice(choice: BuyableCoil, answer: Answer, units: ShopUnits) -> str:
    rate = units.show(float(choice.rate), Measure.SPRING_RATE)
    sag = units.show(float(choice.sag_fraction), Measure.FRACTION)
    wound = units.show(float(choice.preload_for_target), Measure.TRAVEL)
    if wound == ABSENT:
        return f"{rate}: sag {sag} of {answer.target.of}; too stiff for the target even without preload"
    turns = units.show(float(choice.preload_turns), Measure.TURNS)
    by = wound if turns == ABSENT else f"{wound}, {turns},"
    return f"{rate}: sag {sag} of {answer.target.of} as it is; {by} of preload hits the target"


def _pressure(absolute: float, answer: Answer, units: ShopUnits) -> str:
    return units.show(gauge(absolute, float(answer.shop.pressure)), Measure.PRESSURE)


def _air(air: AirAnswer, typed: Mapping[str, Raw], answer: Answer, units: ShopUnits) -> list[str]:
    held = gauge(float(air.set_pressure), float(answer.shop.pressure))
    lines = [f"  Set pressure at full length: {both(held, Measure.PRESSURE)}, {_how(typed.get('pressure'))}"]
    if float(air.rest_stroke) > 0:
        rest = units.show(float(air.rest_stroke), Measure.TRAVEL)
        reads = _pressure(float(air.rest_pressure), answer, units)
        lines.append(f"  Unloaded it rests drawn in by {rest}, where the gauge reads {reads}")
    return lines


def _sag(setup: SetupAnswer, fork: bool, units: ShopUnits) -> list[str]:
    if setup.state != "ok":
        return []
    sag = setup.sag
    wheel, stroke, low, high = (
        units.show(float(length), Measure.TRAVEL)
        for length in (sag.wheel, sag.stroke, sag.band_low, sag.band_high)
    )
    of_travel, of_stroke = (
        units.show(float(share), Measure.FRACTION) for share in (sag.wheel_fraction, sag.stroke_fraction)
    )
    lines = [
        f"  Sag at the wheel: {wheel}, {of_travel} of travel",
        spoken(f"  Sag at the shock: {stroke}, {of_stroke} of stroke", fork),
    ]
    if early := at_once_text(setup, units, fork):
        lines.append(f"  Read at once: {early}")
    if low != high:
        lines.append(f"  Seal friction can hold the wheel between {low} and {high}")
    return lines


def _fill(fill: Fill, air: AirAnswer, only: str, answer: Answer, units: ShopUnits) -> list[str]:
    outside = float(answer.shop.pressure)
    target = pressure_at_rest(float(air.set_pressure), float(air.rest_pressure), outside, units)
    lines = [f"  Filling: pump to {target}, take the pump off, cycle slowly through the travel, read, repeat"]
    for place in range(fill.rounds):
        left, pumped = (
            pressure_at_rest(float(extended[place]), float(resting[place]), outside, units)
            for extended, resting in (
                (fill.readings, fill.rest_readings),
                (fill.pump_gauge, fill.rest_gauge),
            )
        )
        # Without a hose volume the pump takes nothing, and both would be one number.
        on_pump = "" if pumped == left else f"; the pump put back on shows {pumped}"
        lines.append(f"    After round {place + 1} it holds {left}{on_pump}")
    lines.append(f"    It holds after {fill.rounds} rounds" if fill.holds else "    It never settles on this")
    single = _pressure(float(fill.single_fill), answer, units)
    if single != ABSENT:
        lines.append(f"    Or once to {single}{f', {only}' if only else ''}, and cycle")
    return lines


def _spacers(air: AirAnswer, answer: Answer, units: ShopUnits) -> list[str]:
    lines = ["  Volume spacers, each count with the pressure for the target sag"]
    checked = [row for row in air.spacers if not row.peak_pressure > gas.HIGHEST]
    for row in checked:
        needed, peak = (
            _pressure(float(pressure), answer, units)
            for pressure in (row.set_pressure, row.fast_peak_pressure)
        )
        end = units.show(float(row.bottom_wheel_force), Measure.FORCE)
        doubt = ", beyond what the law for air was checked on" if row.fast_peak_pressure > gas.HIGHEST else ""
        lines.append(f"    {row.spacers}: set {needed}, peak {peak}, {end} at the wheel at the end{doubt}")
    if len(checked) < len(air.spacers):
        law = _pressure(gas.HIGHEST, answer, units)
        lines.append(f"    More squeeze the chamber beyond {law}, where the gas law is not checked")
    return lines


def answer_text(source: str, *, as_json: bool) -> str:
    """Return the answer to the job file `source`, or to standard input for `-`; raises `Unanswered`."""
    answered = answered_file(source, spacers=True)
    if as_json:
        return json.dumps(answer_object(answered), allow_nan=False) + "\n"
    return report(answered)


def report(answered: JobAnswer, units: ShopUnits = USUAL) -> str:
    """Return the plain report of an answer."""
    blocks = [[brief(answered.job.title) or "Job without a title", *record_lines(answered.job)]]
    out = left_out(answered.job)
    values = unverified(answered.job, units)
    blocks += _said_first(answered.job, len(values))
    if answered.front is None:
        blocks += _wheel(answered, units)
    elif out is not None:
        end: Wheel = "rear" if out == "front" else "front"
        there = answered.at(end)
        assert there is not None
        blocks += [[f"{end.capitalize()} wheel"], *_wheel(there, units)]
    else:
        blocks += [["Rear wheel"], *_wheel(answered, units), ["Front wheel"], *_wheel(answered.front, units)]
        blocks.append(balance_lines(answered, units))
    if values:
        blocks.append(["Unverified", *(f"  {one.part}: {one.label} {one.value}" for one in values)])
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _said_first(job: Job, count: int) -> list[list[str]]:
    """Say how much nobody has typed or confirmed, and which end is left out; nothing without either."""
    listed = "It is" if count == 1 else "They are"
    lines = [f"{counted(count)} {listed} listed at the end."] if count else []
    lines += [out] if (out := left_out_text(job)) else []
    return [lines] if lines else []


def _wheel(answered: JobAnswer, units: ShopUnits) -> list[list[str]]:
    answer, job = answered.answer, answered.job
    unlikely = [f"Caution: {doubt.text(units)}" for doubt in doubts(job)]
    blocks = [*([unlikely] if unlikely else []), _load(job, answer, units)]
    blocks.append(_frame(answer, turned_by(job), units))
    count = len(answer.setups)
    for index, setup in enumerate(answer.setups):
        place = f"Setup {index + 1} of {count}"
        lines = setup_lines(place, setup, job.setups[index], answer, units)
        measured = measured_lines(answered, index, units)
        blocks.append(lines + _ranges(answered, index, units) + measured)
    blocks.append(_figures(answer, units))
    return blocks


def _ranges(answered: JobAnswer, index: int, units: ShopUnits) -> list[str]:
    """Return how far off a setup may be and, for an air spring, what other air around makes of it."""
    lines = tolerance.setup_lines(answered.case, index, units)
    if answered.answer.setups[index].air is None:
        return lines
    there = conditions.document(answered, index, units)
    return [*lines, "  Set here, ridden there", *plain_lines(there, "    ")]


def _load(job: Job, answer: Answer, units: ShopUnits) -> list[str]:
    load = answer.load
    lines = [
        "Load",
        f"  Rests on this wheel: {units.show(float(load.ground_reaction), Measure.FORCE)}",
        f"  Carried by the spring at the axle: {units.show(float(load.static_wheel_force), Measure.FORCE)}",
    ]
    posture = job.get(("load", "posture"))
    return [*lines, f"  {posture_text(posture)}"] if isinstance(posture, str) else lines


def _frame(answer: Answer, turned: float | None, units: ShopUnits) -> list[str]:
    frame, target = answer.frame, answer.target
    travel, stroke = (
        units.show(float(length), Measure.TRAVEL) for length in (frame.wheel_travel, frame.stroke)
    )
    start, end = (
        units.show(float(ratio), Measure.RATIO) for ratio in (frame.leverage_start, frame.leverage_end)
    )
    progression = units.show(float(frame.progression), Measure.FRACTION)
    lines = [
        "Frame",
        spoken(f"  Wheel travel {travel}, shock stroke {stroke}", frame.fork),
        f"  Leverage {start} at the start, {end} at the end, progression {progression}",
    ]
    if frame.linkage is not None:
        lines.append(_linkage(frame.linkage, turned, units))
    deviation = units.show(float(frame.deviation), Measure.MISFIT)
    if deviation != ABSENT:
        lines.append(f"  The measured pairs scatter about their curve by {deviation} (standard deviation)")
    of = spoken(target.of, frame.fork)
    lines.append(f"  Target sag: {units.show(float(target.sag), Measure.FRACTION)} of {of}")
    return lines + caution_lines(answer.cautions, answer, units)


def _linkage(linkage: LinkageAnswer, turned: float | None, units: ShopUnits) -> str:
    travel, eyes = (
        units.show(float(length), Measure.TRAVEL) for length in (linkage.wheel_travel, linkage.eye_to_eye)
    )
    told = f"  The drawn linkage: {eyes} eye to eye, {travel} of wheel travel over the whole stroke"
    return told if turned is None else f"{told}; turned by {units.show(turned, Measure.ANGLE)} to lie level"


def _figures(answer: Answer, units: ShopUnits) -> list[str]:
    several = len(answer.setups) > 1
    lines = ["Figures, each setup against the first" if several else "Figures"]
    part = None
    for figure in figures_for(answer.setups, answer.frame.fork):
        if figure.part is not part:
            part = figure.part
            lines.append(f"  {part.value.capitalize()}")
        lines.append(f"    {figure.label}: {_compared(figure, answer, units)}")
    return lines


def _compared(figure: Figure, answer: Answer, units: ShopUnits) -> str:
    numbers = [read_figure(figure, setup, answer) for setup in answer.setups]
    spoken: list[str] = []
    for setup, number in zip(answer.setups, numbers, strict=True):
        text = units.show(number, figure.measure)
        if text != ABSENT and figure.per:
            text = f"{text} {figure.per}"
        difference = change(figure, units, numbers[0], number) if spoken else ABSENT
        spoken.append(_said(brief(setup.name) if len(numbers) > 1 else "", text, difference))
    return "; ".join(spoken)


def _said(name: str, text: str, difference: str) -> str:
    named = f"{name} {text}" if name else text
    return named if difference == ABSENT else f"{named} ({difference})"
