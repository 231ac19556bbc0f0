"""What the answer was worked out from, as it was typed; beside it in the units of the sheet."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from physics.advise import rebound_change
from physics.answer import Answer, BuyableCoil, CoilAnswer, Fill, SetupAnswer
from physics.arrays import Scalar, Values
from physics.buyable import coil_to_order
from physics.case import Air, Coil, EqualisedNegative, MechanicalNegative, SeparateNegative
from physics.expected import Span, expected
from physics.faults import NOT_TYPED, Caution
from physics.tolerance import tolerance
from tui.charts.series import ChartData, Line, Point, chart_data, movement
from tui.charts.views import ChartView
from tui.job.answer import JobAnswer
from tui.job.cautions import STATES, caution_text, limit_text, only_where_text
from tui.job.clean import brief
from tui.job.fields import Amount, Field, Pair, field_text, in_si, split
from tui.job.job import Job
from tui.job.likely import doubts
from tui.job.panels import panels, unconfirmed_at
from tui.job.tree import Raw
from tui.job.wheels import SHARED_LOAD, WHEELS, Wheel, left_out, spoken
from tui.kit.document import plain_lines
from tui.settings import Settings
from tui.sheet import model
from tui.sheet.model import (
    BOXES,
    TO_TICK,
    Blank,
    Box,
    Group,
    Part,
    Said,
    Section,
    Sheet,
    SheetLine,
    Warned,
    care,
)
from tui.shop_units import ABSENT, Measure, ShopUnits, both, gauge
from tui.subjects import conditions
from tui.subjects.advice import rebound_text
from tui.subjects.measurements import (
    LET_AIR_OUT,
    Key,
    MeasuredRow,
    limit_passed,
    measured_rows,
    measured_values,
)
from tui.subjects.pumping import CYCLES, Filling, at_once_text
from tui.subjects.tolerance import band_text, beyond_text
from tui.subjects.unverified import by_part, counted, label_of, left_out_text, unverified
from tui.subjects.wire import order_lines, wire_lines

_FEW_PAIRS = 6
"""Pairs of two numbers that a sheet lists; of more it says how many there are."""
UNVERIFIED = "~"
"""Stands behind a value that nobody has typed or confirmed."""
_OWN_LOAD = ("unsprung_mass", "scale_mass")


def shared_inputs(job: Job, units: ShopUnits) -> tuple[SheetLine, ...]:
    """Return rider, bike and the air, which both wheels share."""
    return tuple(_lines(job, filter(_is_shared, _rows(job, "rear")), units))


def wheel_inputs(job: Job, wheel: Wheel, units: ShopUnits) -> tuple[SheetLine, ...]:
    """Return what one wheel has of its own: load and frame; `job` is that wheel alone."""
    own = (row for row in _rows(job, wheel) if row.path[0] in ("load", "frame") and not _is_shared(row))
    return tuple(_lines(job, own, units))


def setup_inputs(job: Job, index: int, units: ShopUnits) -> tuple[SheetLine, ...]:
    """Return the hardware of a setup; what it is set to stands elsewhere on the sheet."""
    rows = next(panel.rows for panel in panels(job) if panel.setup == index)
    return tuple(
        _lines(job, (row for row in rows if row.path[-1] not in ("rate", "pressure", "name")), units)
    )


def _rows(job: Job, wheel: Wheel) -> Iterator[Field]:
    return (row for panel in panels(job, wheel) if panel.setup is None for row in panel.rows)


def _is_shared(row: Field) -> bool:
    if row.path[0] in ("ambient", "ride", "tolerance"):
        return True
    shared = (*SHARED_LOAD, "rider_share", "bike_share")
    return row.path[0] == "load" and len(row.path) > 1 and row.path[1] in shared


def _lines(job: Job, rows: Iterable[Field], units: ShopUnits) -> Iterator[SheetLine]:
    pairs: list[SheetLine] = []
    for row in rows:
        value = _value(job, row, units)
        if value and isinstance(row.kind, Pair):
            pairs.append(SheetLine(row.label, value))
        elif value:
            yield SheetLine(label_of(row), value)
    if len(pairs) > _FEW_PAIRS:
        yield SheetLine("Read off", f"{len(pairs)} pairs of numbers, which are in the job")
    else:
        yield from pairs


def _value(job: Job, row: Field, units: ShopUnits) -> str:
    typed = field_text(job, row)
    if not typed:
        return f"{row.usual}, assumed" if split(row.usual) else ""
    doubt = f" {UNVERIFIED}" if unconfirmed_at(job, row) else ""
    if not isinstance(row.kind, Amount):
        return f"{typed}{doubt}"
    parts, si = split(typed), in_si(typed, row.kind.measure)
    if parts is None or si is None or parts[1] == units.unit(row.kind.measure):
        return f"{typed}{doubt}"
    return f"{typed} ({units.show(si, row.kind.measure)}){doubt}"


_LABELS: dict[Key, str] = {"sag": "Sag", "gauge": "Gauge", "scale": "Scale under this wheel"}
_VERDICTS = {"within": "as expected", "below": "below that", "above": "above that", "unknown": ""}


def measured_section(answered: JobAnswer, units: ShopUnits) -> Section:
    """Return what was read off one wheel beside what its setup lets expect, and lines for the rest."""
    found = {row.key: row for row in measured_rows(answered)}
    hints = _hints(answered, units)
    parts: list[SheetLine | Blank | Warned] = []
    for key, label in _LABELS.items():
        if key in found:
            parts.append(_against(label, found[key], answered, units))
            if found[key].over_label:
                parts.append(Warned(spoken(LET_AIR_OUT, answered.answer.frame.fork)))
        elif key != "gauge" or hints[key]:
            parts.append(Blank(label, hints[key]))
    return Section("Measured on the bike", (*parts, *_noted(answered, units)))


def _against(label: str, row: MeasuredRow, answered: JobAnswer, units: ShopUnits) -> SheetLine:
    """Return one thing measured, where it should lie, and on which side of that it is."""
    measured, expected, low, high = (
        units.show(si, row.measure) for si in (row.measured, row.expected, row.low, row.high)
    )
    of = spoken(row.of, answered.answer.frame.fork)
    measured += limit_passed(row, units)
    told = [f"measured {measured}{f' of {of}' if of else ''} with {brief(_name(answered, row.setup))}"]
    if math.isfinite(row.expected):
        once = (
            f" settled, {units.show(row.at_once, row.measure)} at once" if row.at_once < row.expected else ""
        )
        told.append(f"expected {expected}{once}")
    if row.verdict != "unknown":
        early = ", read before it had settled" if row.is_early else ""
        told.append(f"from {low} to {high}: {_VERDICTS[row.verdict]}{early}")
    return SheetLine(label, ", ".join(told))


def _name(answered: JobAnswer, index: int) -> str:
    return answered.answer.setups[index].name


def _noted(answered: JobAnswer, units: ShopUnits) -> Iterator[SheetLine | Blank]:
    """Return what is written down and held against nothing."""
    typed = measured_values(answered.job)
    for key, label in (("rebound_clicks", "Rebound"), ("compression_clicks", "Compression")):
        if key in typed:
            yield SheetLine(label, f"{_number(typed, key):.0f} clicks from fully closed")
        else:
            yield Blank(label, "clicks from fully closed")
    if "tyre" in typed:
        yield SheetLine("Tyre", units.show(_number(typed, "tyre"), Measure.PRESSURE))
    else:
        yield Blank("Tyre", units.unit(Measure.PRESSURE))


def _number(typed: Mapping[str, object], key: str) -> float:
    number = typed[key]
    assert isinstance(number, float)
    return number


def _hints(answered: JobAnswer, units: ShopUnits) -> dict[Key, str]:
    """Return what each setup lets expect, for the lines to fill in."""
    answer, outside = answered.answer, float(answered.answer.shop.pressure)
    sags, gauges, scales = [], [], []
    for index, setup in enumerate(answer.setups):
        found = expected(answered.case, index, answer)
        sag = found.wheel if answer.target.of == "travel" else found.stroke
        sags.append((setup.name, _span(sag, Measure.TRAVEL, units)))
        gauges.append((setup.name, _span(found.gauge, Measure.PRESSURE, units, outside)))
        scales.append((setup.name, _span(found.scale, Measure.MASS, units)))
    return {"sag": _hint(sags), "gauge": _hint(gauges), "scale": _hint(scales)}


def _span(span: Span, measure: Measure, units: ShopUnits, outside: float = 0.0) -> str:
    low, high = (units.plain(gauge(float(end), outside), measure) for end in (span.low, span.high))
    return "" if ABSENT in (low, high) else f"{low} to {high} {units.unit(measure)}"


def _hint(by_name: list[tuple[str, str]]) -> str:
    told = [(name, span) for name, span in by_name if span]
    if len({span for _name, span in told}) == 1:
        return f"expected {told[0][1]}"
    return f"expected {', '.join(f'{brief(name)} {span}' for name, span in told)}" if told else ""


ALIKE = 0.03
"""Share by which two figures may differ and still be told as alike: common practice, no source."""


class _Topic(NamedTuple):
    """One thing a rider feels: what is read off a setup, how it is told, and what more or less of it means.

    `told` holds the number; the difference is told as a share unless `in_units`.
    """

    label: str
    told: str
    measure: Measure
    read: Callable[[SetupAnswer], Values]
    more: str
    less: str
    in_units: bool = False


_TOPICS = (
    _Topic(
        "Start",
        "the wheel starts to move at {}",
        Measure.FORCE,
        lambda s: s.figures.starting_wheel,
        "more of a small bump reaches the rider",
        "less of a small bump reaches the rider",
        in_units=True,
    ),
    _Topic(
        "Middle",
        "halfway in it holds {} the load",
        Measure.RATIO,
        lambda s: s.riding.support_50,
        "more to push against in corners",
        "less to push against in corners",
    ),
    _Topic(
        "Ramp",
        "the last fifth of the travel adds {} the force of the fifth before",
        Measure.RATIO,
        lambda s: s.riding.end_ramp,
        "more of the force comes just before the end",
        "less of the force comes just before the end",
    ),
    _Topic(
        "End",
        "it takes {} at the wheel to use all the travel",
        Measure.FORCE,
        lambda s: s.riding.bottom_wheel_force,
        "bottoms less often",
        "bottoms more often",
    ),
    _Topic(
        "Bounce",
        "natural frequency {}",
        Measure.FREQUENCY,
        lambda s: s.riding.natural_frequency,
        "answers more quickly",
        "answers more slowly",
    ),
    _Topic(
        "Weight",
        "the spring weighs {}",
        Measure.SPRING_MASS,
        lambda s: s.mass,
        "more to carry",
        "less to carry",
        in_units=True,
    ),
)


def riding_section(setups: Sequence[SetupAnswer], units: ShopUnits) -> Section:
    """Return how the setups ride, each against the first."""
    parts: list[Part] = [
        SheetLine(topic.label, told) for topic in _TOPICS if (told := _compared(topic, setups, units))
    ]
    parts += _rebound(setups)
    parts += [Said(f"{brief(setup.name)}: {STATES[setup.state]}.") for setup in setups if setup.state != "ok"]
    if len(setups) == 1:
        return Section("How it rides", tuple(parts))
    alike = f"alike: within {units.show(ALIKE, Measure.FRACTION)}"
    return Section(f"How they ride, against {brief(setups[0].name)} ({alike})", tuple(parts))


def _compared(topic: _Topic, setups: Sequence[SetupAnswer], units: ShopUnits) -> str:
    """Return a topic over all setups that have its figure, empty where none has."""
    told: list[str] = []
    for setup in setups:
        number = _shown(float(topic.read(setup)), topic, units)
        if not number:
            continue
        said = number if told else topic.told.format(number)
        if len(setups) > 1:
            said += f" with {brief(setup.name)}{_verdict(topic, setups[0], setup, units)}"
        told.append(said)
    return f"{'; '.join(told)}." if told else ""


def _shown(si: float, topic: _Topic, units: ShopUnits) -> str:
    shown = units.show(si, topic.measure)
    if shown == ABSENT:
        return ""
    return shown if units.unit(topic.measure) else f"{shown} times"


def _verdict(topic: _Topic, reference: SetupAnswer, setup: SetupAnswer, units: ShopUnits) -> str:
    """Say how far a figure is from the first setup's and what that means; nothing without two figures."""
    first, here = float(topic.read(reference)), float(topic.read(setup))
    if setup is reference or not (math.isfinite(first) and first > 0):
        return ""
    share = here / first - 1
    if abs(share) <= ALIKE:
        return ", alike"
    size = _apart(first, here, topic.measure, units) if topic.in_units else f"{round(abs(share) * 100)} %"
    return f", {size} more: {topic.more}" if share > 0 else f", {size} less: {topic.less}"


def _apart(first: float, here: float, measure: Measure, units: ShopUnits) -> str:
    """Return the difference of what is shown, so that the sheet adds up."""
    writing = units.writings[measure]
    apart = abs(float(units.plain(here, measure)) - float(units.plain(first, measure)))
    return f"{apart:.{writing.digits}f} {writing.unit}"


def _rebound(setups: Sequence[SetupAnswer]) -> Iterator[SheetLine]:
    """Say what each setup asks of the rebound damping against the first."""
    here = float(setups[0].riding.critical_damping)
    changes = [(s.name, rebound_change(here, float(s.riding.critical_damping))) for s in setups[1:]]
    told = [f"{text} with {brief(name)}" for name, ratio in changes if (text := rebound_text(ratio))]
    if told:
        yield SheetLine("Damping", f"{'; '.join(told)}. How many clicks that is, the damper's maker knows.")


_PLACES = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
"""Shares of the wheel travel at which a chart is told in numbers."""


def curves_section(answer: Answer, units: ShopUnits) -> model.Section:
    """Return force and rate at the wheel of every setup over the wheel travel, as it rides where it can."""
    views = (("Force at the wheel", ChartView.WHEEL), ("Rate at the wheel", ChartView.WHEEL_RATE))
    charts = (_chart(title, chart_data(answer, view), answer, units) for title, view in views)
    return model.Section(f"Curves, {movement(answer.setups)}", tuple(charts))


def _chart(title: str, data: ChartData, answer: Answer, units: ShopUnits) -> model.Chart:
    sags = (float(setup.sag.wheel) for setup in answer.setups)
    points = (
        Point(line.name, sag, float(np.interp(sag, line.x, line.y)))
        for line, sag in zip(data.lines, sags, strict=True)
        if math.isfinite(sag)
    )
    title = f"{title} ({units.unit(data.y.measure)})"
    return model.Chart(title, data, tuple(points), tuple(_told(line, data, units) for line in data.lines))


def _told(line: Line, data: ChartData, units: ShopUnits) -> model.SheetLine:
    at = _PLACES * float(data.place[-1])
    read = zip(np.interp(at, line.x, line.y), at, strict=True)
    told = (f"{units.show(y, data.y.measure)} at {units.show(x, data.x.measure)}" for y, x in read)
    return model.SheetLine(brief(line.name), ", ".join(told))


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
    yield SheetLine("Set pressure at full length", f"{pressure}, {how}")
    if float(air.rest_stroke) > 0:
        drawn = units.show(float(air.rest_stroke), Measure.TRAVEL)
        yield SheetLine(
            "The gauge reads", f"{task.reading(air.rest_pressure)} as it rests, drawn in by {drawn}"
        )
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


def _spacers(spring: Air, units: ShopUnits) -> SheetLine:
    negative = spring.negative
    told = f"positive chamber {_counted(spring.positive_spacers, spring.positive_spacer_volume, units)}"
    if isinstance(negative, SeparateNegative | EqualisedNegative):
        told += f"; negative chamber {_counted(negative.spacers, negative.spacer_volume, units)}"
    return SheetLine("Spacers", told)


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
            yield SheetLine("Pump and cycle", _round(task, port))
            yield SheetLine("It keeps", _kept(task, task.air.fill))
            yield _one_go(task, task.air.fill, typed)
        case SeparateNegative() as negative:
            yield SheetLine(
                "Pump in this order",
                f"negative chamber down first, positive to {task.settled}, then negative to "
                f"{task.reading(negative.pressure)}; cycle, read both again ({_HUNG})",
            )
        case MechanicalNegative():
            yield SheetLine("Pump", f"to {task.settled}; the negative side is a coil ({_HUNG})")
        case _:
            yield SheetLine("Pump", f"to {task.settled}; there is no negative spring ({_HUNG})")


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


def _one_go(task: Filling, fill: Fill, typed: Mapping[str, Raw]) -> SheetLine:
    once = task.reading(fill.one_go)
    if not math.isfinite(float(fill.single_fill)):
        return SheetLine("In one go", f"not here, it would take {once}, above the label's limit")
    only = only_where_text(task.spring.max_pressure, typed, once)
    allowed = f"{only}: " if only else ""
    return SheetLine(
        "Or in one go", f"{allowed}pump once to {once}, pump off, {CYCLES}: {task.settled} is left"
    )


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
        yield SheetLine("To order", _choice(choice, units))
    if math.isfinite(rate):
        how = "solved for the target" if solved else "as typed"
        yield SheetLine("Spring rate", f"{both(rate, Measure.SPRING_RATE)}, {how}")
    else:
        yield SheetLine("Spring rate", "in stages, as typed")
    label = "Preload" if choice is None else "Preload at that rate"
    yield SheetLine(label, _preload(float(coil.preload), float(coil.preload_turns), units))


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


def _expected(answered: JobAnswer, index: int, units: ShopUnits) -> Iterator[SheetLine]:
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
    yield SheetLine("Expected sag", f"{wheel}, {of_travel} of travel; {at_spring}")
    if early := at_once_text(answered.answer.setups[index], units, fork):
        yield SheetLine("Read at once", early)
    if low != high:
        yield SheetLine("Seal friction can hold the wheel", f"from {low} to {high}")
    spread = tolerance(answered.case, index)
    band = band_text(spread.sag, Measure.FRACTION, units)
    if band != ABSENT:
        beyond = beyond_text(spread, units)
        told = f"{band} of {spoken(target.of, fork)} in nine cases of ten, with friction"
        yield SheetLine("Tolerance", f"{told}. {beyond}" if beyond else told)


_TITLES: dict[Wheel, str] = {"rear": "Rear wheel", "front": "Front wheel"}
_UNTITLED = "Job without a title"
_CHECK_IT = "Check it, type it or confirm it before this sheet goes out."


def sheet_of(answered: JobAnswer, settings: Settings, date: datetime.date, units: ShopUnits) -> Sheet:
    """Return the setup sheet of a job, of both its wheels where it has two.

    First what goes before the sheet, then what to do, last what it was worked out from.
    """
    job = answered.job
    ends = [end for end in (WHEELS if answered.front is not None else WHEELS[:1]) if end != left_out(job)]
    found = [(end, there) for end in ends if (there := answered.at(end)) is not None]
    fork = all(there.answer.frame.fork for _, there in found)
    titles = _TITLES if answered.front is not None else {"rear": "The wheel"}
    typed = [Section("Rider, bike and air", shared_inputs(job, units), dense=True)]
    for end, there in found:
        typed += _typed(there, end, units)
    return Sheet(
        shop=brief(settings.shop),
        title=brief(job.title) or _UNTITLED,
        about=tuple(_about(job, settings, date)),
        groups=(
            *_unverified(job, units),
            Group("Before anything else", (Section("", care(fork)),)),
            *(Group(titles[end], tuple(_wheel(there, units))) for end, there in found),
            Group("Handing over", (Section(TO_TICK, BOXES),)),
            Group(_worked_out_from(job), tuple(typed)),
        ),
        units=units,
    )


def _unverified(job: Job, units: ShopUnits) -> Iterator[Group]:
    """Return what nobody has typed or confirmed, and which end is left out; nothing without either."""
    values, out = unverified(job, units), left_out_text(job)
    parts: list[Part] = []
    if values:
        check = "Check them, type them or confirm them before this sheet goes out."
        parts.append(Warned(f"{counted(len(values))} {check if len(values) > 1 else _CHECK_IT}"))
        parts += [SheetLine(part, told) for part, told in by_part(values)]
    if out:
        parts.append(Said(out))
    if parts:
        yield Group("Unverified", (Section("", tuple(parts), dense=True),))


def _worked_out_from(job: Job) -> str:
    title = "Worked out from, as typed"
    return f"{title}; {UNVERIFIED} unverified" if unverified(job) else title


def _about(job: Job, settings: Settings, date: datetime.date) -> Iterator[SheetLine | Blank]:
    """Return whose bike it is; what is not known is a line to fill in."""
    told = [
        ("Customer", job.get(("record", "customer"))),
        ("Ticket", job.get(("record", "ticket"))),
        ("Bike", job.get(("record", "bike"))),
        ("Mechanic", settings.mechanic),
    ]
    yield SheetLine("Date", date.isoformat())
    for label, text in told:
        yield SheetLine(label, brief(text)) if isinstance(text, str) and text.strip() else Blank(label)


def _wheel(there: JobAnswer, units: ShopUnits) -> Iterator[Section]:
    setups = there.answer.setups
    above = shared_cautions(there, units)
    unlikely = (Warned(doubt.text(units)) for doubt in doubts(there.job))
    yield Section("Load and target", (*unlikely, *_load(there.answer, units)), dense=True)
    if above:
        yield Section("For every setup below", above)
    for index in range(len(setups)):
        yield setup_section(there, index, units, above)
    yield measured_section(there, units)
    yield riding_section(setups, units)
    yield curves_section(there.answer, units)
    yield from _conditions(there, units)


def _load(answer: Answer, units: ShopUnits) -> Iterator[Part]:
    load, target = answer.load, answer.target
    outside = float(answer.shop.pressure)
    yield from (
        Warned(caution_text(caution, units, outside, answer.frame.fork)) for caution in answer.cautions
    )
    of = spoken(target.of, answer.frame.fork)
    yield SheetLine("Target sag", f"{units.show(float(target.sag), Measure.FRACTION)} of {of}")
    yield SheetLine("Rests on this wheel", units.show(float(load.ground_reaction), Measure.FORCE))
    yield SheetLine(
        "The spring carries at the axle", units.show(float(load.static_wheel_force), Measure.FORCE)
    )


def _typed(there: JobAnswer, wheel: Wheel, units: ShopUnits) -> Iterator[Section]:
    lines = (
        *wheel_inputs(there.job, wheel, units),
        SheetLine("leverage as used", _leverage(there.answer, units)),
    )
    yield Section(f"{_TITLES[wheel]}", lines, dense=True)
    for index, setup in enumerate(there.answer.setups):
        yield Section(f"Hardware of {brief(setup.name)}", setup_inputs(there.job, index, units), dense=True)


def _leverage(answer: Answer, units: ShopUnits) -> str:
    frame = answer.frame
    start, end = (units.plain(float(r), Measure.RATIO) for r in (frame.leverage_start, frame.leverage_end))
    progression = units.show(float(frame.progression), Measure.FRACTION)
    return f"{start} : 1 to {end} : 1, progression {progression}"


def _conditions(there: JobAnswer, units: ShopUnits) -> Iterator[Section]:
    """Return what the gauge of each air setup reads in the cold, in the heat and on the mountain."""
    for index, setup in enumerate(there.answer.setups):
        if setup.kind == "air" and setup.state != "unsolved":
            document = conditions.document(there, index, units)
            lines = (Said(f"{line[:1].upper()}{line[1:]}.") for line in plain_lines(document, ""))
            yield Section(f"{brief(setup.name)} set here, ridden there", tuple(lines), dense=True)
