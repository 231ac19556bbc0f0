"""Pumping an air spring and reading its sag: the page with the steps, and lines of report and sheet."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from physics.answer import AirAnswer, Answer, Fill, SetupAnswer
from physics.arrays import Scalar
from physics.case import Air, EqualisedNegative, MechanicalNegative, SeparateNegative
from physics.faults import NOT_TYPED
from physics.fill import HOLDS_WITHIN
from physics.frozen import NamedTuple
from tui.job.cautions import NOTHING_TYPED, caution_texts, limit_text, only_where_text, solved_text
from tui.job.choices import STATES
from tui.job.tree import Raw
from tui.job.typed import SOLVE
from tui.job.wheels import spoken
from tui.kit.document import Block, Document, Heading, Labelled, Paragraph, plain_lines
from tui.kit.roles import Role
from tui.shop_units import ABSENT, Measure, ShopUnits, both, gauge

CYCLES = "ten slow cycles"
"""Cycles needed to equalise the chambers: common practice, no source."""
_HUNG = "wheel off the ground, fully extended"
"""Position of the wheel while pumping: common practice, no source."""
_STEP = 5
"""Rounding of waiting times [s]: the estimate is no finer."""
_OVER = ("over_label", "negative_over_label")
_BEFORE = ("pressurised", "beyond_pumps", "never_holds", *_OVER)
_AFTER = ("drawn_in", "sag_gas_range", *NOT_TYPED)
SET_PRESSURE, REST_GAUGE, SPACERS = "Set pressure at full extension", "Gauge in the rest position", "Spacers"
"""Labels of the settings of an air spring."""
_NO_STEPS = "No steps are given above max pressure."
NO_LIMIT = "No max pressure entered: read the shock's label before pumping and stay below it."
_LIMIT = "Max pressure entered: {}. If the label differs, the label is right."


def pressure_at_rest(extended: float, resting: float, ambient: float, units: ShopUnits) -> str:
    """Return the gauge reading at full extension, and that at the rest position if it differs."""
    full, rest = (units.show(gauge(value, ambient), Measure.PRESSURE) for value in (extended, resting))
    return full if rest in (full, ABSENT) else f"{full} ({rest} in the rest position)"


def wait_text(setup: SetupAnswer) -> str:
    """Return "20 s", how long to sit still before reading sag; empty if no waiting is needed."""
    wait = float(setup.at_once.settling_time)
    return f"{math.ceil(wait / _STEP) * _STEP} s" if math.isfinite(wait) and wait > 0 else ""


def expect_text(setup: SetupAnswer, of: str, units: ShopUnits) -> str:
    """Return the sag to expect at the wheel or, `of` the stroke, at the shock; empty without one."""
    at = "stroke" if of == "stroke" else "wheel"
    expected, early = units.shows(Measure.TRAVEL, getattr(setup.sag, at), getattr(setup.at_once, at))
    if expected == ABSENT:
        return ""
    wait = wait_text(setup)
    if not wait or early == expected:
        return f"Expect {expected}."
    return f"Expect {expected}, {early} at once: sit still for about {wait}, then measure."


class SagTexts(NamedTuple):
    """Sag in words: at the wheel and at the spring, with percentages.

    `early` is the immediate reading, `held` the range in which friction can hold; empty if the difference is
    not readable.
    """

    wheel: str
    spring: str
    early: str
    held: tuple[str, ...]


def sag_texts(setup: SetupAnswer, units: ShopUnits, fork: bool) -> SagTexts | None:
    """Return the sag in words, None if the wheel does not settle."""
    if setup.state != "ok":
        return None
    sag, once = setup.sag, setup.at_once
    wheel, stroke, wheel_once, stroke_once, *held = units.shows(
        Measure.TRAVEL, sag.wheel, sag.stroke, once.wheel, once.stroke, sag.band_low, sag.band_high
    )
    of_travel, of_stroke = units.shows(Measure.FRACTION, sag.wheel_fraction, sag.stroke_fraction)
    early, at_spring = "", spoken(f"{stroke_once} at the shock", fork)
    if wait := wait_text(setup):
        how = f"while the air is still warm; sit still for about {wait} (estimate), then measure"
        early = f"{wheel_once}, {at_spring}, {how}"
    at_wheel, at_shock = f"{wheel}, {of_travel} of travel", spoken(f"{stroke}, {of_stroke} of stroke", fork)
    return SagTexts(at_wheel, at_shock, early, () if held[0] == held[1] else tuple(held))


class Filling(NamedTuple):
    """An air spring to be filled; `ambient` [Pa] is for gauge readings.

    `typed` is its setup in the job.
    """

    spring: Air
    air: AirAnswer
    units: ShopUnits
    ambient: float
    typed: Mapping[str, Raw]

    def reading(self, absolute: Scalar) -> str:
        """Return a gauge reading with its unit."""
        return self.units.show(gauge(float(absolute), self.ambient), Measure.PRESSURE)

    def with_rest(self, extended: Scalar, resting: Scalar) -> str:
        """Return the reading at full extension, and that at rest if the gauge can show the difference."""
        return pressure_at_rest(float(extended), float(resting), self.ambient, self.units)

    @property
    def is_known(self) -> bool:
        """Whether there is a pressure to pump to."""
        return math.isfinite(float(self.air.set_pressure))

    @property
    def settled(self) -> str:
        """The set pressure, and the gauge reading at the rest position."""
        return self.with_rest(self.air.set_pressure, self.air.rest_pressure)

    @property
    def set_pressure(self) -> Labelled:
        """The set pressure in both systems of units, and its origin."""
        held = both(gauge(float(self.air.set_pressure), self.ambient), Measure.PRESSURE)
        said = f"{held}, {solved_text(self.typed.get('pressure'))}"
        return Labelled(SET_PRESSURE, said)

    @property
    def drawn_in(self) -> str:
        """The rest position inside the stroke without load, empty if fully extended."""
        rest = float(self.air.rest_stroke)
        return self.units.show(rest, Measure.TRAVEL) if rest > 0 else ""

    def only_where(self, once: str) -> str:
        """Return the condition for pumping to `once`, empty if the limit was typed."""
        return only_where_text(self.spring.max_pressure, self.typed, once)

    @property
    def limit(self) -> str:
        """The caution about max pressure, typed or not."""
        if self.spring.max_pressure is None:
            return NO_LIMIT
        reading = self.reading(self.spring.max_pressure)
        return limit_text(self.typed, reading) or _LIMIT.format(reading)


def filling_of(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> Filling | None:
    """Return the filling of a setup, None for a coil."""
    found = answer.setups[index]
    spring, air = found.setup.spring, found.air
    if not isinstance(spring, Air) or air is None:
        return None
    return Filling(spring, air, units, float(answer.shop.pressure), typed)


def document(
    answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> Document:
    """Return the pressure to set, cautions, then the steps; no steps above max pressure."""
    return Document(tuple(_page(answer, index, units, typed)), answer.frame.fork)


def _page(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> Iterator[Block]:
    found, task = answer.setups[index], filling_of(answer, index, units, typed)
    if task is None:
        yield Paragraph("A coil has nothing to pump: its preload is in the order view.")
        return
    if not task.is_known:
        yield Paragraph(f"Nothing to pump yet: {STATES[found.state].sentence}.")
        return

    def told(codes: Sequence[str]) -> list[str]:
        return caution_texts((one for one in found.cautions if one.code in codes), answer, units, typed)

    over = any(caution.code in _OVER for caution in found.cautions)
    if over:
        for line in told(_OVER):
            yield Paragraph(line, Role.CAUTION)
        yield Paragraph(_NO_STEPS, Role.STRONG)
    else:
        yield Paragraph(_summary(task), Role.STRONG)
    # A solved pressure that is too high is told before it is pumped; a typed one is as it was meant.
    gas = ("gas_not_typed",) if typed.get("pressure") == SOLVE else ()
    before = [*gas, *(code for code in _BEFORE if not over or code not in _OVER)]
    for line in (*told(before), task.limit, "The maker's manual comes first."):
        yield Paragraph(line, Role.CAUTION)
    if over:
        return
    yield from _steps(task)
    if expected := expect_text(found, answer.target.of, units):
        yield Heading(f"Sag at the {'wheel' if answer.target.of == 'travel' else 'shock'}")
        yield Paragraph(expected, Role.STRONG)
    yield Heading("Afterwards")
    yield Paragraph(
        "A pump put back on fills its hose from the chamber and reads low. Taking it off loses only the air "
        "in the hose: do not top up for that."
    )
    yield from map(Paragraph, told([code for code in _AFTER if code not in gas]))
    if task.drawn_in:
        full = task.reading(task.air.set_pressure)
        yield Paragraph(f"It reads {full} only when pulled out to full extension.")


def _summary(task: Filling) -> str:
    """Return the pressure to set and how to reach it, in one line."""
    settled = task.settled
    match task.spring.negative:
        case EqualisedNegative() if (fill := task.air.fill) is not None:
            rounds = f"in {fill.rounds} round{'' if fill.rounds == 1 else 's'}"
            ways = [rounds if fill.holds else f"{rounds}, which do not reach it"]
            if math.isfinite(float(fill.single_fill)):
                once = task.reading(fill.one_go)
                where = " where the label allows it" if task.only_where(once) else ""
                ways.append(f"in one go to {once}{where}")
            return f"{settled}. Pump {', or '.join(ways)}."
        case SeparateNegative() as negative:
            return f"Positive chamber {settled}, negative chamber {task.reading(negative.pressure)}."
        case _:
            return f"{settled}."


def _steps(task: Filling) -> Iterator[Block]:
    target = task.reading(task.air.set_pressure)
    match task.spring.negative:
        case EqualisedNegative() if task.air.fill is not None:
            yield from _filled(task, task.air.fill)
        case SeparateNegative() as negative:
            yield Heading("Two valves, in this order")
            yield Paragraph(f"{_HUNG[:1].upper()}{_HUNG[1:]} (rule of thumb).", Role.QUIET)
            for step in (
                "1. Let all air out of the negative chamber, so that it cannot pull the shaft in.",
                f"2. Pump the positive chamber to {target}.",
                f"3. Pump the negative chamber to {task.reading(negative.pressure)}.",
                f"4. Cycle slowly and read both again: positive {task.settled}.",
            ):
                yield Paragraph(step, Role.STRONG)
            later = "To let air out later, keep this order: negative chamber first, then positive."
            yield Paragraph(later, Role.QUIET)
        case other:
            yield Heading("One valve")
            yield Paragraph(f"1. {_HUNG[:1].upper()}{_HUNG[1:]}. Pump to {target}.", Role.STRONG)
            yield Paragraph(f"2. Take the pump off, cycle a few times: {task.settled}.", Role.STRONG)
            side = "No negative spring: expect a high breakaway force."
            if isinstance(other, MechanicalNegative):
                side = "The negative spring is a coil: nothing to fill there."
            yield Paragraph(side, Role.QUIET)


def _filled(task: Filling, fill: Fill) -> Iterator[Block]:
    """Yield how to fill chambers that equalise, in rounds or at once; the report uses the plain lines."""
    settled, once, holds = task.settled, task.reading(fill.one_go), fill.holds
    negative = task.spring.negative
    port = task.units.show(negative.port, Measure.TRAVEL) if isinstance(negative, EqualisedNegative) else ""
    how = f"Filling: pump to {settled}, take the pump off, cycle slowly through the travel, read, repeat"
    yield Heading(f"In rounds, to {settled}", how)
    start = (
        f"Start with all air out, {_HUNG}. A cycle: compress past {port}, where the chambers equalise, and "
        "let it extend fully. Ten cycles a round (rule of thumb)."
    )
    yield Paragraph(start, Role.QUIET, "")
    for place in range(fill.rounds):
        again = " again" if place else ""
        to = task.with_rest(task.air.set_pressure, fill.rest_target[place])
        held = task.with_rest(fill.readings[place], fill.rest_readings[place])
        shown = task.with_rest(fill.pump_gauge[place], fill.rest_gauge[place])
        reads = f"reads {shown}" if task.spring.hose_volume else "reads slightly less"
        # Without a hose volume, no air is lost in the pump and both numbers would be equal.
        on_pump = "" if shown == held else f"; the pump put back on shows {shown}"
        yield Paragraph(f"{place + 1}. Pump to {to}{again}, take the pump off, {CYCLES}.", Role.STRONG, "")
        keeps = f"It holds {held}. With the pump back on, the gauge {reads}."
        yield Paragraph(keeps, plain=f"  After round {place + 1} it holds {held}{on_pump}", lead="   ")
    done = f"Done: within {task.units.show(HOLDS_WITHIN, Measure.PRESSURE)} of {settled}. Valve cap on."
    rounds = f"  It holds after {fill.rounds} rounds" if holds else "  It never reaches this pressure"
    yield Paragraph(done if holds else "", Role.STRONG, rounds)
    yield Heading("Or in one go")
    if not math.isfinite(float(fill.single_fill)):
        yield Paragraph(f"Not possible: {once} is above max pressure.", Role.CAUTION, "")
        return
    if only := task.only_where(once):
        no_limit = task.spring.max_pressure is None
        why = "no max pressure entered" if no_limit else "the max pressure of this job is unverified"
        yield Paragraph(f"{only[:1].upper()}{only[1:]}: {why}.", Role.CAUTION, "")
    single = f"  Or once to {task.reading(fill.single_fill)}{f', {only}' if only else ''}, and cycle"
    told = f"Pump once to {once}, take the pump off, {CYCLES}: {settled} remains at full extension."
    yield Paragraph(told, plain=single)


def set_lines(task: Filling) -> list[str]:
    """Return the pressure of a setup, for the report."""
    reads = task.reading(task.air.rest_pressure)
    rests = f"Unloaded it sits {task.drawn_in} into the stroke, gauge {reads}"
    return [task.set_pressure.line, *([rests] if task.drawn_in else [])]


def fill_lines(task: Filling) -> list[str]:
    """Return how to fill chambers that equalise, for the report; nothing for others."""
    return plain_lines(Document(tuple(_filled(task, task.air.fill)) if task.air.fill else ()), "")


def sheet_document(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> Document:
    """Return what to pump, for the sheet; no steps above the label's limit."""
    task = filling_of(answer, index, units, typed)
    if task is None or not task.is_known:
        return Document(())
    label = task.limit
    blocks: list[Block] = [Paragraph(spoken(label, answer.frame.fork), Role.CAUTION), task.set_pressure]
    if task.drawn_in:
        rests = f"{task.reading(task.air.rest_pressure)}, unloaded {task.drawn_in} into the stroke"
        blocks.append(Labelled(REST_GAUGE, rests))
    spacers = (f"{name} chamber {_counted(*told, units)}" for name, told in _chambers(task.spring).items())
    blocks.append(Labelled(SPACERS, "; ".join(spacers)))
    if not_to_pump(answer, index, units, typed):
        return Document((*blocks, Paragraph(_NO_STEPS)))
    return Document((*blocks, *(Labelled(*step) for step in _sheet_steps(task))))


def _chambers(spring: Air) -> dict[str, tuple[Scalar, Scalar]]:
    """Return number and volume of the spacers of every chamber that can have some."""
    chambers, negative = (
        {"positive": (spring.positive_spacers, spring.positive_spacer_volume)},
        spring.negative,
    )
    if isinstance(negative, SeparateNegative | EqualisedNegative):
        chambers["negative"] = negative.spacers, negative.spacer_volume
    return chambers


def air_settings(task: Filling) -> tuple[str, str]:
    """Return pressure and spacers of an air spring in few words."""
    negative, pressure = task.spring.negative, task.settled
    if isinstance(negative, SeparateNegative):
        pressure = f"positive chamber {pressure}, negative chamber {task.reading(negative.pressure)}"
    counts = {name: float(count) for name, (count, _) in _chambers(task.spring).items()}
    spacers = (
        f"{f'{count:.0f}' if count else 'no'} {name} spacer{'' if count in (0, 1) else 's'}"
        for name, count in counts.items()
    )
    return pressure, ", ".join(spacers)


def not_to_pump(answer: Answer, index: int, units: ShopUnits, typed: Mapping[str, Raw]) -> str:
    """Return the cautions for which an air spring must not be pumped, empty if there are none."""
    over = (one for one in answer.setups[index].cautions if one.code in _OVER)
    return " ".join(caution_texts(over, answer, units, typed))


def _counted(count: Scalar, volume: Scalar, units: ShopUnits) -> str:
    many = "" if float(count) == 1 else "s"
    each = units.show(volume, Measure.VOLUME)
    return f"{float(count):.0f} spacer{many} of {each}" if float(count) else "no spacer"


def _sheet_steps(task: Filling) -> Iterator[tuple[str, str]]:
    match task.spring.negative:
        case EqualisedNegative() as negative if (fill := task.air.fill) is not None:
            port, once = task.units.show(negative.port, Measure.TRAVEL), task.reading(fill.one_go)
            start = f"all air out, {_HUNG}; pump to {task.settled}, pump off, {CYCLES}"
            yield "Pump and cycle", f"{start} past {port} and all the way back; again until it holds"
            yield "It holds", _kept(task, fill)
            if math.isfinite(float(fill.single_fill)):
                allowed = f"{only}: " if (only := task.only_where(once)) else ""
                to = f"{allowed}pump once to {once}, pump off, {CYCLES}: {task.settled} remains"
                yield "Or in one go", to
            else:
                yield "In one go", f"not possible: {once} is above max pressure"
        case SeparateNegative() as negative:
            order = f"negative chamber empty first, positive to {task.settled}, then negative to"
            second = f"{task.reading(negative.pressure)}; cycle, read both again ({_HUNG})"
            yield "Pump in this order", f"{order} {second}"
        case other:
            mechanical = isinstance(other, MechanicalNegative)
            side = "the negative spring is a coil" if mechanical else "no negative spring"
            yield "Pump", f"to {task.settled}; {side} ({_HUNG})"


def _kept(task: Filling, fill: Fill) -> str:
    readings = (fill.rest_readings, fill.rest_gauge) if task.drawn_in else (fill.readings, fill.pump_gauge)
    told = []
    for number, (held, shown) in enumerate(zip(*readings, strict=True), 1):
        hose = f" (pump on again {task.reading(shown)})" if task.spring.hose_volume else ""
        told.append(f"{task.reading(held)} after round {number}{hose}")
    if task.drawn_in:
        told[0] = f"in the rest position {told[0]}"
    return f"{', '.join(told)}; {'done' if fill.holds else 'never reaches this pressure'}"
