"""The setup sheet of a job: its sections put together out of what the subjects have to say."""

from __future__ import annotations

import datetime
import math
from collections.abc import Collection, Iterable, Iterator

import numpy as np

from physics.answer import Answer, SetupAnswer
from physics.case import Coil
from physics.faults import NOT_TYPED
from physics.tolerance import tolerance
from tui.charts.series import ChartData, Line, Point, chart_data, movement
from tui.charts.views import ChartView
from tui.job.answer import JobAnswer
from tui.job.case import maybe
from tui.job.cautions import STATES, caution_texts
from tui.job.fields import Field, Pair
from tui.job.job import Job
from tui.job.panels import panels, unconfirmed_at
from tui.job.quantities import doubts, split
from tui.job.tree import brief
from tui.job.typed import field_text
from tui.job.wheels import SHARED_LOAD, WHEELS, Wheel, left_out, spoken
from tui.kit.document import Document, Heading, Labelled, Paragraph, plain_lines
from tui.kit.roles import Role
from tui.settings import Settings
from tui.sheet.model import (
    BOXES,
    TO_TICK,
    Blank,
    Box,
    Chart,
    Group,
    Part,
    Said,
    Section,
    Sheet,
    SheetLine,
    Warned,
    care,
)
from tui.shop_units import ABSENT, Measure, ShopUnits
from tui.subjects import conditions, ordering, pumping, riding, wire
from tui.subjects.measurements import (
    LABELS,
    LET_AIR_OUT,
    MEASURES,
    Key,
    MeasuredRow,
    expected_spans,
    limit_passed,
    measured_rows,
    measured_values,
)
from tui.subjects.tolerance import band_text, beyond_text
from tui.subjects.unverified import by_part, counted, in_units, left_out_text, unverified

_FEW_PAIRS = 6
"""Pairs of two numbers that a sheet lists; of more it says how many there are."""
UNVERIFIED = "~"
"""Stands behind a value that nobody has typed or confirmed."""


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
    hardware = (row for row in rows if row.path[-1] not in ("rate", "pressure", "name"))
    return tuple(_lines(job, hardware, units))


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
            yield SheetLine(row.full_label, value)
    if len(pairs) > _FEW_PAIRS:
        yield SheetLine("Read off", f"{len(pairs)} pairs of numbers, which are in the job")
    else:
        yield from pairs


def _value(job: Job, row: Field, units: ShopUnits) -> str:
    typed = field_text(job, row)
    if not typed:
        return f"{row.usual}, assumed" if split(row.usual) else ""
    doubt = f" {UNVERIFIED}" if unconfirmed_at(job, row) else ""
    shown = in_units(typed, row, units)
    return f"{typed} ({shown}){doubt}" if shown else f"{typed}{doubt}"


_VERDICTS = {"within": "as expected", "below": "below that", "above": "above that", "unknown": ""}


def measured_section(answered: JobAnswer, units: ShopUnits) -> Section:
    """Return what was read off one wheel beside what its setup lets expect, and lines for the rest."""
    found = {row.key: row for row in measured_rows(answered)}
    hints = _hints(answered, units)
    parts: list[SheetLine | Blank | Warned] = []
    for key, label in LABELS.items():
        if key in found:
            parts.append(_against(label, found[key], answered, units))
            if found[key].over_label:
                parts.append(Warned(spoken(LET_AIR_OUT, answered.answer.frame.fork)))
        elif key != "gauge" or hints[key]:
            parts.append(Blank(label, hints[key]))
    return Section("Measured on the bike", (*parts, *_noted(answered, units)))


def _against(label: str, row: MeasuredRow, answered: JobAnswer, units: ShopUnits) -> SheetLine:
    """Return one thing measured, where it should lie, and on which side of that it is."""
    measured, expected, low, high = units.shows(row.measure, row.measured, row.expected, row.low, row.high)
    of, name = spoken(row.of, answered.answer.frame.fork), brief(answered.answer.setups[row.setup].name)
    measured += limit_passed(row, units)
    told = [f"measured {measured}{f' of {of}' if of else ''} with {name}"]
    if math.isfinite(row.expected):
        once = f" settled, {units.show(row.at_once, row.measure)} at once"
        told.append(f"expected {expected}{once if row.at_once < row.expected else ''}")
    if row.verdict != "unknown":
        early = ", read before it had settled" if row.is_early else ""
        told.append(f"from {low} to {high}: {_VERDICTS[row.verdict]}{early}")
    return SheetLine(label, ", ".join(told))


def _noted(answered: JobAnswer, units: ShopUnits) -> Iterator[SheetLine | Blank]:
    """Yield what is written down and held against nothing."""
    typed = measured_values(answered.job)
    for key, label in (("rebound_clicks", "Rebound"), ("compression_clicks", "Compression")):
        unit, clicks = "clicks from fully closed", maybe(typed, key)
        yield Blank(label, unit) if clicks is None else SheetLine(label, f"{clicks:.0f} {unit}")
    pressure, tyre = Measure.PRESSURE, maybe(typed, "tyre")
    yield (
        Blank("Tyre", units.unit(pressure)) if tyre is None else SheetLine("Tyre", units.show(tyre, pressure))
    )


def _hints(answered: JobAnswer, units: ShopUnits) -> dict[Key, str]:
    """Return what each setup lets expect, for the lines to fill in."""
    spans: dict[Key, list[tuple[str, str]]] = {key: [] for key in MEASURES}
    for index, setup in enumerate(answered.answer.setups):
        found = expected_spans(answered, index, answered.answer.target.of)
        for key, measure in MEASURES.items():
            low, high = (units.plain(end, measure) for end in (found[key].low, found[key].high))
            if ABSENT not in (low, high):
                spans[key].append((brief(setup.name), f"{low} to {high} {units.unit(measure)}"))
    return {key: _hint(told) for key, told in spans.items()}


def _hint(spans: list[tuple[str, str]]) -> str:
    """Return spans by the name of their setup, without the names where all are alike."""
    alike = len({span for _, span in spans}) == 1
    told = spans[0][1] if alike else ", ".join(f"{name} {span}" for name, span in spans)
    return f"expected {told}" if told else ""


_PLACES = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
"""Shares of the wheel travel at which a chart is told in numbers."""


def curves_section(answer: Answer, units: ShopUnits) -> Section:
    """Return force and rate at the wheel of every setup over the wheel travel, as it rides where it can."""
    views = (("Force at the wheel", ChartView.WHEEL), ("Rate at the wheel", ChartView.WHEEL_RATE))
    charts = (_chart(title, chart_data(answer, view), answer, units) for title, view in views)
    return Section(f"Curves, {movement(answer.setups)}", tuple(charts))


def _chart(title: str, data: ChartData, answer: Answer, units: ShopUnits) -> Chart:
    sags = (float(setup.sag.wheel) for setup in answer.setups)
    points = (
        Point(line.name, sag, float(np.interp(sag, line.x, line.y)))
        for line, sag in zip(data.lines, sags, strict=True)
        if math.isfinite(sag)
    )
    title = f"{title} ({units.unit(data.y.measure)})"
    return Chart(title, data, tuple(points), tuple(_told(line, data, units) for line in data.lines))


def _told(line: Line, data: ChartData, units: ShopUnits) -> SheetLine:
    at = _PLACES * float(data.place[-1])
    read = zip(np.interp(at, line.x, line.y), at, strict=True)
    told = (f"{units.show(y, data.y.measure)} at {units.show(x, data.x.measure)}" for y, x in read)
    return SheetLine(brief(line.name), ", ".join(told))


def _section(document: Document) -> Section:
    """Return a document as a section under the first of its headings."""
    title = next(block.text for block in document.blocks if isinstance(block, Heading))
    return Section(title, tuple(_parts(document)))


def _parts(document: Document) -> Iterator[Part]:
    """Yield what a subject has to say as parts of the sheet."""
    for block in document.blocks:
        match block:
            case Labelled(label, text):
                yield SheetLine(label, text)
            case Paragraph(text, role):
                said = document.spoken(block, text)
                yield Warned(said) if role is Role.CAUTION else Said(said)


def setup_section(
    answered: JobAnswer, index: int, units: ShopUnits, above: Collection[Warned] = ()
) -> Section:
    """Return what to do to a setup of one wheel and what to expect; cautions told `above` stand there.

    Those about what was not typed come after all that the hand does.
    """
    answer, typed = answered.answer, answered.job.setups[index]
    found = answer.setups[index]
    parts: list[Part] = [told for told in _cautions(answered, index, units) if told not in above]
    if found.state != "ok":
        parts.append(Said(f"{STATES[found.state].capitalize()}."))
    parts += _parts(ordering.sheet_document(answer, index, units, typed))
    parts += (Said(f"{line}.") for line in _wire_lines(found, float(answer.frame.stroke), units))
    parts += _parts(pumping.sheet_document(answer, index, units, typed))
    parts += _cautions(answered, index, units, not_typed=True)
    parts += [*_expected(answered, index, units), Box("this is the setup on the bike")]
    title = f"Setup {index + 1} of {len(answer.setups)}: {brief(found.name)}, {found.kind} spring"
    return Section(title, tuple(parts))


def shared_cautions(answered: JobAnswer, units: ShopUnits) -> tuple[Warned, ...]:
    """Return the cautions that every setup of a wheel has in the same words, told once above them all."""
    count = len(answered.answer.setups)
    first, *others = (_cautions(answered, index, units) for index in range(count))
    return tuple(told for told in first if others and all(told in cautions for cautions in others))


def _cautions(
    answered: JobAnswer, index: int, units: ShopUnits, *, not_typed: bool = False
) -> tuple[Warned, ...]:
    """Return every caution of a setup but those about what was `not_typed`, or these."""
    answer, typed = answered.answer, answered.job.setups[index]
    told = (one for one in answer.setups[index].cautions if (one.code in NOT_TYPED) is not_typed)
    return tuple(map(Warned, caution_texts(told, answer, units, typed)))


def _wire_lines(found: SetupAnswer, stroke: float, units: ShopUnits) -> Iterator[str]:
    """Yield what a coil is as wire and the wire to order, where that is known."""
    spring = found.setup.spring
    if isinstance(spring, Coil):
        if found.coil is not None and found.coil.wire is not None:
            yield from wire.wire_lines(spring, found.coil.wire, units)
        yield from wire.order_lines(spring, stroke, units)


def _expected(answered: JobAnswer, index: int, units: ShopUnits) -> Iterator[SheetLine]:
    """Return where it should settle, and how far from there it may be for all that is known."""
    fork = answered.answer.frame.fork
    sag = pumping.sag_texts(answered.answer.setups[index], units, fork)
    if sag is None:
        return
    yield SheetLine("Expected sag", f"{sag.wheel}; {sag.spring}")
    if sag.early:
        yield SheetLine("Read at once", sag.early)
    if sag.held:
        yield SheetLine("Seal friction can hold the wheel", "from {} to {}".format(*sag.held))
    spread = tolerance(answered.case, index)
    band = band_text(spread.sag, Measure.FRACTION, units)
    if band != ABSENT:
        beyond = beyond_text(spread, units)
        of = spoken(answered.answer.target.of, fork)
        told = f"{band} of {of} in nine cases of ten, with friction"
        yield SheetLine("Tolerance", f"{told}. {beyond}" if beyond else told)


_TITLES: dict[Wheel, str] = {"rear": "Rear wheel", "front": "Front wheel"}
_UNTITLED = "Job without a title"


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
    doubts_marked = f"; {UNVERIFIED} unverified" if unverified(job) else ""
    return Sheet(
        shop=brief(settings.shop),
        title=brief(job.title) or _UNTITLED,
        about=tuple(_about(job, settings, date)),
        groups=(
            *_unverified(job, units),
            Group("Before anything else", (Section("", care(fork)),)),
            *(Group(titles[end], tuple(_wheel(there, units))) for end, there in found),
            Group("Handing over", (Section(TO_TICK, BOXES),)),
            Group(f"Worked out from, as typed{doubts_marked}", tuple(typed)),
        ),
        units=units,
    )


def _unverified(job: Job, units: ShopUnits) -> Iterator[Group]:
    """Return what nobody has typed or confirmed, and which end is left out; nothing without either."""
    values, out = unverified(job, units), left_out_text(job)
    parts: list[Part] = []
    if values:
        them = "them" if len(values) > 1 else "it"
        check = f"Check {them}, type {them} or confirm {them} before this sheet goes out."
        parts.append(Warned(f"{counted(len(values))} {check}"))
        parts += [SheetLine(part, told) for part, told in by_part(values)]
    if out:
        parts.append(Said(out))
    if parts:
        yield Group("Unverified", (Section("", tuple(parts), dense=True),))


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
    above = shared_cautions(there, units)
    unlikely = (Warned(doubt.text(units)) for doubt in doubts(there.job))
    yield Section("Load and target", (*unlikely, *_load(there.answer, units)), dense=True)
    if above:
        yield Section("For every setup below", above)
    for index in range(len(there.answer.setups)):
        yield setup_section(there, index, units, above)
    yield measured_section(there, units)
    yield _section(riding.document(there.answer.setups, units))
    yield curves_section(there.answer, units)
    yield from _conditions(there, units)


def _load(answer: Answer, units: ShopUnits) -> Iterator[Part]:
    load, target = answer.load, answer.target
    yield from map(Warned, caution_texts(answer.cautions, answer, units))
    of = spoken(target.of, answer.frame.fork)
    yield SheetLine("Target sag", f"{units.show(target.sag, Measure.FRACTION)} of {of}")
    yield SheetLine("Rests on this wheel", units.show(load.ground_reaction, Measure.FORCE))
    yield SheetLine("The spring carries at the axle", units.show(load.static_wheel_force, Measure.FORCE))


def _typed(there: JobAnswer, wheel: Wheel, units: ShopUnits) -> Iterator[Section]:
    frame = there.answer.frame
    start, end = (units.plain(r, Measure.RATIO) for r in (frame.leverage_start, frame.leverage_end))
    used = f"{start} : 1 to {end} : 1, progression {units.show(frame.progression, Measure.FRACTION)}"
    lines = (*wheel_inputs(there.job, wheel, units), SheetLine("leverage as used", used))
    yield Section(_TITLES[wheel], lines, dense=True)
    for index, setup in enumerate(there.answer.setups):
        yield Section(f"Hardware of {brief(setup.name)}", setup_inputs(there.job, index, units), dense=True)


def _conditions(there: JobAnswer, units: ShopUnits) -> Iterator[Section]:
    """Return what the gauge of each air setup reads in the cold, in the heat and on the mountain."""
    for index, setup in enumerate(there.answer.setups):
        if setup.kind == "air" and setup.state != "unsolved":
            document = conditions.document(there, index, units)
            lines = (Said(f"{line[:1].upper()}{line[1:]}.") for line in plain_lines(document, ""))
            yield Section(f"{brief(setup.name)} set here, ridden there", tuple(lines), dense=True)
