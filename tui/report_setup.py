"""One setup of the plain report: what it is set to, where it settles, how to fill it, what to buy."""

from __future__ import annotations

from collections.abc import Mapping

from physics import gas
from physics.answer import AirAnswer, Answer, BuyableCoil, CoilAnswer, Fill, SetupAnswer
from physics.case import Air, Coil
from physics.faults import Caution
from tui.jobs.clean import brief
from tui.jobs.doubt_words import only_where_text
from tui.jobs.fork_words import spoken
from tui.jobs.pumped import pressure_at_rest
from tui.jobs.settling_words import at_once_text
from tui.jobs.tree import Raw
from tui.jobs.words import NOTHING_TYPED, STATES, caution_text
from tui.report_wire import order_lines, wire_lines
from tui.shop_units import ABSENT, Measure, ShopUnits, both, gauge


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
