"""The setup sheet of a job, assembled from the documents of the subjects, and its forms."""

from __future__ import annotations

import datetime
import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np

from physics.air import positive_pressure
from physics.answer import Answer, SetupAnswer
from physics.arrays import values
from physics.case import Air
from physics.expected import Span
from physics.faults import NOT_TYPED
from physics.tolerance import tolerance
from tui.charts.series import Line, Point, chart_data, movement
from tui.charts.views import ChartView
from tui.job.answer import JobAnswer
from tui.job.case import maybe
from tui.job.cautions import caution_texts
from tui.job.choices import STATES
from tui.job.fields import IN_TIME, Field, Pair
from tui.job.figures import NO_ESTIMATE, not_estimated
from tui.job.job import Job, unconfirmed_setups
from tui.job.panels import panels, unconfirmed_at
from tui.job.quantities import doubts, split
from tui.job.tree import brief
from tui.job.typed import SOLVE, field_text
from tui.job.wheels import SHARED_LOAD, Wheel, spoken
from tui.kit.document import Document, Heading, Labelled, Paragraph, plain_lines
from tui.kit.roles import Role
from tui.settings import Settings
from tui.sheet.model import BOXES, CARE, TO_TICK, Blank, Box, Chart, Group, Part, Section, Sheet
from tui.shop_units import ABSENT, Measure, ShopUnits
from tui.subjects import conditions, ordering, pumping, riding, unverified, wire
from tui.subjects.measurements import (
    LABELS,
    LET_AIR_OUT,
    MEASURES,
    NOTED,
    Key,
    MeasuredRow,
    expected_spans,
    expected_text,
    limit_passed,
    measured_rows,
    measured_values,
    verdict_text,
)
from tui.subjects.tolerance import band_text, beyond_text
from tui.subjects.unverified import in_units

if TYPE_CHECKING:
    from tui.ride.logged import Logged

_FEW_PAIRS = 6
"""Maximum number of pairs listed on a sheet; of more only their number is given."""
UNVERIFIED = "~"
"""Mark before an unconfirmed value."""


def _inputs(job: Job, wheel: Wheel, units: ShopUnits, *, shared: bool) -> tuple[Labelled, ...]:
    """Return the inputs shared by both wheels (rider, bike, air), or load and frame of the wheel in `job`."""
    rows = (row for panel in panels(job, wheel) if panel.setup is None for row in panel.rows)
    wanted = (row for row in rows if _is_shared(row) is shared)
    return _lines(job, (row for row in wanted if shared or row.path[0] in ("load", "frame")), units)


def setup_inputs(job: Job, index: int, units: ShopUnits) -> tuple[Labelled, ...]:
    """Return the hardware of a setup; its settings are elsewhere on the sheet."""
    rows = next(panel.rows for panel in panels(job) if panel.setup == index)
    left_out = ("rate", "pressure", "name", *IN_TIME)
    return _lines(job, (row for row in rows if row.path[-1] not in left_out), units)


def _is_shared(row: Field) -> bool:
    table, *keys = row.path
    of_load = table == "load" and keys[:1] and keys[0] in (*SHARED_LOAD, "rider_share", "bike_share")
    return table in ("ambient", "ride", "tolerance") or bool(of_load)


def _lines(job: Job, rows: Iterable[Field], units: ShopUnits) -> tuple[Labelled, ...]:
    valued = [(row, value) for row in rows if (value := _value(job, row, units))]
    lines = [Labelled(row.full_label, value) for row, value in valued if not isinstance(row.kind, Pair)]
    pairs = [Labelled(row.label, value) for row, value in valued if isinstance(row.kind, Pair)]
    if len(pairs) > _FEW_PAIRS:
        pairs = [Labelled("Measured", f"{len(pairs)} pairs, listed in the job file")]
    return (*lines, *pairs)


def _value(job: Job, row: Field, units: ShopUnits) -> str:
    typed = field_text(job, row)
    if not typed:
        return f"{row.usual}, assumed" if split(row.usual) else ""
    doubt = f"{UNVERIFIED} " if unconfirmed_at(job, row) else ""
    shown = in_units(typed, row, units)
    return f"{doubt}{typed} ({shown})" if shown else f"{doubt}{typed}"


def measured_section(answered: JobAnswer, units: ShopUnits) -> Section:
    """Return the measurements of one wheel with the expected values, and blanks for the missing ones."""
    found, of = {row.key: row for row in measured_rows(answered)}, answered.answer.target.of
    expected = [expected_spans(answered, index, of) for index, _ in enumerate(answered.answer.setups)]
    parts: list[Part] = []
    for key, label in LABELS.items():
        if key in found:
            parts.append(_against(label, found[key], answered, units))
            if found[key].over_label:
                parts.append(_caution(spoken(LET_AIR_OUT, answered.answer.frame.fork)))
        elif (hint := _hint(answered, expected, key, units)) or key != "gauge":
            parts.append(Blank(label, hint))
    for noted, label, counted, measure in NOTED:
        number, unit = maybe(measured_values(answered.job), noted), counted or units.unit(measure)
        read = "" if number is None else f"{units.plain(number, measure)} {unit}"
        parts.append(Labelled(label, read) if read else Blank(label, unit))
    return Section("Measured on the bike", tuple(parts))


def _caution(text: str) -> Paragraph:
    return Paragraph(text, Role.CAUTION)


def _against(label: str, row: MeasuredRow, answered: JobAnswer, units: ShopUnits) -> Labelled:
    """Return one measurement, its expected range, and on which side of it it is."""
    measured, low, high = units.shows(row.measure, row.measured, row.low, row.high)
    of, name = spoken(row.of, answered.answer.frame.fork), brief(answered.answer.setups[row.setup].name)
    measured += limit_passed(row, units)
    told = [f"measured {measured}{f' of {of}' if of else ''} with {name}"]
    if row.key == "gauge" and answered.answer.setups[row.setup].kind != "air":
        return Labelled(label, f"measured {measured}; the setup on the bike, {name}, has no air")
    if math.isfinite(row.expected):
        once = f", {units.show(row.at_once, row.measure)} at once"
        told.append(f"expected {expected_text(row, units)}{once if row.at_once < row.expected else ''}")
    if row.verdict != "unknown":
        early = ", measured at once" if row.is_early else ""
        told.append(f"{low} to {high}: {verdict_text(row)}{early}")
    return Labelled(label, ", ".join(told))


def _hint(answered: JobAnswer, expected: Sequence[Mapping[Key, Span]], key: Key, units: ShopUnits) -> str:
    """Return the value expected for each setup as a hint for a blank; without names if all are equal."""
    measure, spans = MEASURES[key], list[tuple[str, str]]()
    for setup, found in zip(answered.answer.setups, expected, strict=True):
        low, high = (units.plain(end, measure) for end in (found[key].low, found[key].high))
        if ABSENT not in (low, high):
            spans.append((brief(setup.name), f"{low} to {high} {units.unit(measure)}"))
    alike = len({span for _, span in spans}) == 1
    told = spans[0][1] if alike else ", ".join(f"{name} {span}" for name, span in spans)
    return f"expected {told}" if told else ""


_PLACES = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
"""Fractions of the wheel travel at which a chart is given in numbers."""


def _estimated(line: Line, setup: SetupAnswer, outside: float) -> Line:
    """Return the line of a setup without what the air model does not estimate, in air of `outside` [Pa]."""
    curve, spring = setup.curve, setup.setup.spring
    if not isinstance(spring, Air) or line.x.shape != curve.stroke.shape:
        return line
    positive = np.where(np.isfinite(curve.riding_positive), curve.riding_positive, curve.positive)
    beyond = not_estimated(positive_pressure(spring, values(positive), outside))
    return replace(line, y=values(np.where(beyond, np.nan, line.y)))


def curves_section(answer: Answer, units: ShopUnits) -> Section:
    """Return wheel force and wheel rate of every setup over the wheel travel, riding curves if available."""
    charts = []
    for title, view in (("Force at the wheel", ChartView.WHEEL), ("Rate at the wheel", ChartView.WHEEL_RATE)):
        data, points, told = chart_data(answer, view), list[Point](), list[Labelled]()
        outside = float(answer.shop.pressure)
        pairs = zip(data.lines, answer.setups, strict=True)
        data = replace(data, lines=tuple(_estimated(line, setup, outside) for line, setup in pairs))
        at = _PLACES * float(data.place[-1])
        for setup, line in zip(answer.setups, data.lines, strict=True):
            sag, read = float(setup.sag.wheel), zip(np.interp(at, line.x, line.y), at, strict=True)
            if math.isfinite(sag):
                points.append(Point(line.name, sag, float(np.interp(sag, line.x, line.y))))
            none = NO_ESTIMATE if np.isfinite(setup.curve.wheel_force).any() else ABSENT
            shown = ((none if math.isnan(y) else units.show(y, data.y.measure), x) for y, x in read)
            said = (f"{text} at {units.show(x, data.x.measure)}" for text, x in shown)
            told.append(Labelled(brief(line.name), ", ".join(said)))
        title = f"{title} ({units.unit(data.y.measure)})"
        charts.append(Chart(title, data, tuple(points), tuple(told)))
    return Section(f"Curves, {movement(answer.setups)}", tuple(charts))


def _parts(document: Document) -> Iterator[Part]:
    for block in document.blocks:
        if isinstance(block, Labelled):
            yield Labelled(block.label, block.text)
        elif isinstance(block, Paragraph) and block.text:
            yield Paragraph(document.spoken(block, block.text), block.role)


def setup_section(
    answered: JobAnswer, index: int, units: ShopUnits, above: Collection[Paragraph] = ()
) -> Section:
    """Return the settings of a setup and the sag to expect; cautions in `above` are printed there only.

    Cautions about missing data come after everything to do by hand.
    """
    answer, typed = answered.answer, answered.job.setups[index]
    found = answer.setups[index]
    parts: list[Part] = [told for told in _cautions(answered, index, units) if told not in above]
    if found.state != "ok":
        parts.append(Paragraph(f"{STATES[found.state].sentence.capitalize()}."))
    settings = ordering.setting_document(answer, index, units, typed, order=True)
    parts += _marked(answered.job, index, _parts(settings))
    parts += _marked(answered.job, index, _parts(pumping.sheet_document(answer, index, units, typed)))
    parts += _for_the_ride(answered, index, units, "For the ride")
    parts += _not_entered(answered, index, units)
    why = ordering.not_to_fit(answer, index, units, typed)
    fitted = _caution(f"Not to be fitted to the bike: {why}.") if why else Box("fitted to the bike")
    parts += [*_expected(answered, index, units), fitted]
    return Section(_setup_title(answered, index), tuple(parts))


def _setup_title(answered: JobAnswer, index: int) -> str:
    setups = answered.answer.setups
    found = setups[index]
    return f"Setup {index + 1} of {len(setups)}: {brief(found.name)}, {found.kind} spring"


def _workings_section(answered: JobAnswer, index: int, units: ShopUnits) -> Section:
    """Return the figures of a setup and their uncertainty."""
    answer, typed = answered.answer, answered.job.setups[index]
    found = answer.setups[index]
    settings = ordering.setting_document(answer, index, units, typed, order=False)
    parts: list[Part] = [*_marked(answered.job, index, _parts(settings))]
    wires = (*wire.wire_lines(found, units), *wire.order_lines(answered, index, units))
    parts += (Paragraph(f"{line}.") for line in wires)
    return Section(_setup_title(answered, index), (*parts, *_doubts(answered, index, units)), dense=True)


_SETTINGS = {
    ordering.SPRING_RATE: ("rate", "stages"),
    ordering.PRELOAD: ("preload", "preload_turns", "thread_pitch"),
    pumping.SET_PRESSURE: ("pressure",),
    pumping.SPACERS: ("positive_spacers", "negative_spacers"),
}
"""The keys of the job for the label of a setting, where it is typed."""


def _mark(job: Job, index: int, label: str, *, ordered: bool = False) -> str:
    """Return the mark of an unverified setting of a setup, empty for a verified one.

    One that is typed has its own mark; one that is solved, to be `ordered` or a result has that of its setup.
    """
    keys, typed = _SETTINGS.get(label, ()), job.setups[index]
    if ordered or not keys or any(typed.get(key) == SOLVE for key in keys):
        doubted = index in unconfirmed_setups(job)
    else:
        doubted = any(job.is_unconfirmed(("setup", index, key)) for key in keys)
    return f"{UNVERIFIED} " if doubted else ""


_UNMARKED = ("Pump and cycle", "It holds", "Or in one go", "In one go", "Pump in this order", "Pump")
"""Labels of steps, which repeat settings that are marked above them."""


def _marked(job: Job, index: int, parts: Iterable[Part]) -> Iterator[Part]:
    """Yield the parts of a setup, settings and results marked where they are unverified."""
    ordered = False
    for part in parts:
        if not isinstance(part, Labelled) or part.label in _UNMARKED or part.text.startswith(ABSENT):
            yield part
            continue
        ordered = ordered or part.label == ordering.RATE_TO_BUY
        yield Labelled(part.label, f"{_mark(job, index, part.label, ordered=ordered)}{part.text}")


def _cautions(answered: JobAnswer, index: int, units: ShopUnits) -> tuple[Paragraph, ...]:
    """Return the cautions of a setup, without those about missing data."""
    answer, typed = answered.answer, answered.job.setups[index]
    told = (one for one in answer.setups[index].cautions if one.code not in NOT_TYPED)
    return tuple(map(_caution, caution_texts(told, answer, units, typed)))


def _not_entered(there: JobAnswer, index: int, units: ShopUnits) -> Iterator[Paragraph]:
    """Yield the cautions of a setup about missing data, unless they are at a setup before it."""
    setups = there.answer.setups
    for code in NOT_TYPED:
        found = {
            place: one for place, setup in enumerate(setups) for one in setup.cautions if one.code == code
        }
        if index != next(iter(found), None):
            continue
        (text,) = caution_texts([found.pop(index)], there.answer, units, there.job.setups[index])
        also = ", ".join(
            f"{brief(setups[place].name)} ({units.show(one.values['share'], Measure.FRACTION)})"
            for place, one in found.items()
        )
        yield _caution(f"{text} The same for {also}." if also else text)


def _to_set(found: Sequence[tuple[Wheel, JobAnswer]], units: ShopUnits) -> Iterator[Section]:
    """Yield where the cautions are, then what to set of each setup, first what must not be fitted."""
    sections, marked = list[Section](), False
    for end, there in found:
        parts = [
            part for index, _ in enumerate(there.answer.setups) for part in _setting(there, index, units)
        ]
        parts.sort(key=lambda part: isinstance(part, Labelled))
        marked = marked or any(UNVERIFIED in part.text for part in parts if isinstance(part, Labelled))
        sections.append(Section(_TITLES[end] if len(found) > 1 else "", tuple(parts)))
    legend = f" {UNVERIFIED} depends on unverified values." if marked else ""
    yield Section("", (Paragraph(f"{_READ_FIRST}{legend}"),))
    yield from sections


_READ_FIRST = "Read the cautions first: those below, and those above the settings of each setup."


def _setting(there: JobAnswer, index: int, units: ShopUnits) -> Iterator[Labelled | Paragraph]:
    """Yield what to set of one setup; a caution alone if it must not be fitted or pumped that high."""
    answer, job = there.answer, there.job
    setup, typed = answer.setups[index], job.setups[index]
    name, task = brief(setup.name), pumping.filling_of(answer, index, units, typed)
    if setup.state == "unsolved":
        yield _caution(f"{name}: {STATES[setup.state].sentence}.")
        return
    if task is None:
        rate, preload, ordered = ordering.coil_settings(answer, index, units, typed)
        if why := ordering.not_to_fit(answer, index, units, typed):
            yield _caution(f"{name}: do not fit: {why} ({rate}, preload {preload or 'none'}).")
            return
        doubt, wound = (
            _mark(job, index, key, ordered=ordered) for key in (ordering.SPRING_RATE, ordering.PRELOAD)
        )
        told = f"{'order ' if ordered else ''}{doubt}{rate}, "
        if not preload:
            yield Labelled(name, f"{told}too stiff for the target even without preload")
            return
        told += f"preload {wound}{preload}"
    else:
        if why := pumping.not_to_pump(answer, index, units, typed):
            yield _caution(f"{name}: {why}")
            return
        doubts = (_mark(job, index, key) for key in (pumping.SET_PRESSURE, pumping.SPACERS))
        told = ", ".join(
            f"{doubt}{text}" for doubt, text in zip(doubts, pumping.air_settings(task), strict=True)
        )
    sag = pumping.sag_texts(setup, units, answer.frame.fork)
    stands = STATES[setup.state].sentence if sag is None else f"sag {_mark(job, index, '')}{sag.wheel}"
    yield Labelled(name, f"{told}; {stands}{_without_gas(there, index, units)}")
    yield from _for_the_ride(there, index, units, f"{name}, for the ride")


def _without_gas(there: JobAnswer, index: int, units: ShopUnits) -> str:
    """Return how far off a solved rate or pressure is as the damper gas is missing, empty if it is not."""
    typed, cautions = there.job.setups[index], there.answer.setups[index].cautions
    shares = [one.values["share"] for one in cautions if one.code == "gas_not_typed"]
    off = {"rate": "rate about {} too stiff", "pressure": "pressure about {} too high"}
    told = [text for key, text in off.items() if typed.get(key) == SOLVE]
    if not shares or not told:
        return ""
    return f"; no damper gas entered: {told[0].format(units.show(shares[0], Measure.FRACTION))}"


def _for_the_ride(
    there: JobAnswer, index: int, units: ShopUnits, label: str
) -> Iterator[Labelled | Paragraph]:
    """Yield the pressure to pump in the shop for the riding conditions, or why there is none."""
    if there.answer.setups[index].kind == "air":
        for part in conditions.sheet_parts(there, index, units):
            is_caution = part.role is Role.CAUTION
            yield part if is_caution else Labelled(label, f"{_mark(there.job, index, '')}{part.text}")


def _expected(answered: JobAnswer, index: int, units: ShopUnits) -> Iterator[Labelled]:
    """Yield the sag to expect."""
    fork = answered.answer.frame.fork
    sag = pumping.sag_texts(answered.answer.setups[index], units, fork)
    if sag is None:
        return
    doubt = _mark(answered.job, index, "")
    yield Labelled("Expected sag", f"{doubt}{sag.wheel}; {spoken('at the shock', fork)} {sag.spring}")
    if sag.early:
        yield Labelled("Measured at once", f"{doubt}{sag.early}")


def _doubts(answered: JobAnswer, index: int, units: ShopUnits) -> Iterator[Labelled]:
    """Yield the uncertainty of the expected sag."""
    fork = answered.answer.frame.fork
    sag = pumping.sag_texts(answered.answer.setups[index], units, fork)
    if sag is not None and sag.held:
        yield Labelled("Wheel rests within seal friction", "{} to {}".format(*sag.held))
    spread = tolerance(answered.case, index)
    band = band_text(spread.sag, Measure.FRACTION, units, spoken(answered.answer.target.of, fork))
    if band != ABSENT:
        told = f"{band} (90 %), with friction"
        yield Labelled("Within tool errors", ". ".join(filter(None, (told, beyond_text(spread, units)))))


_TITLES: dict[Wheel, str] = {"rear": "Rear wheel", "front": "Front wheel"}


def sheet_of(
    answered: JobAnswer,
    settings: Settings,
    date: datetime.date,
    units: ShopUnits,
    *,
    workings: bool = False,
    ride: Logged | None = None,
) -> Sheet:
    """Return the setup sheet of a job, for both wheels if it has two.

    One page for the customer: what to set in short, important notes, settings, what to expect. With
    `workings` also the appendix: origin of the figures, curves, other air, and the inputs as entered. A
    logged `ride` has its own section.
    """
    job = answered.job
    found = unverified.ends_told(answered)
    fork = all(there.answer.frame.fork for _, there in found)
    titles = _TITLES if answered.front is not None else {"rear": "The wheel"}
    # That there are unverified values stands on top; which ones comes after everything to do by hand.
    doubted = tuple(_parts(unverified.document(job, units)))
    listed = tuple(part for part in doubted if isinstance(part, Labelled))
    warned = tuple(part for part in doubted if part not in listed)
    known = {key.capitalize(): job.get(("record", key)) for key in ("customer", "ticket", "bike")}
    return Sheet(
        shop=brief(settings.shop),
        title=job.heading,
        about=(
            Labelled("Date", date.isoformat()),
            # Unknown data are blanks to fill in.
            *(
                Labelled(label, brief(text)) if isinstance(text, str) and text.strip() else Blank(label)
                for label, text in (known | {"Mechanic": settings.mechanic}).items()
            ),
        ),
        groups=(
            # After what to set, that there are unverified values or a wheel that is left out, if any.
            Group(
                "To set",
                (*_to_set(found, units), *([Section("Unverified", warned, dense=True)] if warned else [])),
            ),
            Group("Safety first", (Section("", tuple(_parts(replace(CARE, fork=fork)))),)),
            *(Group(titles[end], tuple(_wheel(there, units))) for end, there in found),
            *_ride_groups(ride, [(end, titles[end]) for end, _ in found], units),
            Group("Hand over", (Section(TO_TICK, BOXES),)),
            *([Group("Unverified values", (Section("", listed, dense=True),))] if listed else []),
        ),
        units=units,
        workings=(
            *(
                Group(f"Workings: {titles[end].lower()}", tuple(_workings(there, units)))
                for end, there in found
            ),
            _inputs_group(answered, units),
        )
        if workings
        else (),
    )


def _ride_groups(
    ride: Logged | None, wheels: Sequence[tuple[Wheel, str]], units: ShopUnits
) -> Iterator[Group]:
    """Yield the results of a logged ride for the wheels on the sheet, one line each; none without a ride."""
    if ride is None:
        return
    from tui.ride.events import CAUTION
    from tui.ride.logged import used_text  # a sheet without a log needs nothing of it

    titles = dict(wheels)
    lines = [
        Labelled(titles[one.seat.wheel], f"{used_text(one, units)}, setup ridden: {brief(one.seat.name)}")
        for one in ride.channels
        if one.seat.wheel in titles
    ]
    if lines:
        meaning = "In brackets: 5 to 95 % interval. Static sag as calculated for this setup, not as ridden."
        file = [Labelled("File", brief(ride.name))]
        file += [Labelled("Ridden on", ride.date)] if ride.date else []
        yield Group(
            "Logged ride", (Section("", (_caution(CAUTION), *file, *lines, Paragraph(meaning)), dense=True),)
        )


def _inputs_group(answered: JobAnswer, units: ShopUnits) -> Group:
    """Return the inputs as entered, with unconfirmed ones marked."""
    job, found = answered.job, unverified.ends_told(answered)
    typed = [Section("Rider, bike and air", _inputs(job, "rear", units, shared=True), dense=True)]
    for end, there in found:
        frame, leverage = there.answer.frame, Measure.RATIO
        ratios = " to ".join(
            f"{units.plain(r, leverage)} : 1" for r in (frame.leverage_start, frame.leverage_end)
        )
        used = f"{ratios}, progression {units.show(frame.progression, Measure.FRACTION)}"
        lines = (*_inputs(there.job, end, units, shared=False), Labelled("leverage used", used))
        typed.append(Section(_TITLES[end], lines, dense=True))
        for index, setup in enumerate(there.answer.setups):
            inputs = setup_inputs(there.job, index, units)
            typed.append(Section(f"Hardware of {brief(setup.name)}", inputs, dense=True))
    doubts_marked = f"; {UNVERIFIED} unverified" if unverified.unverified(job) else ""
    return Group(f"Inputs, as entered{doubts_marked}", tuple(typed))


def _wheel(there: JobAnswer, units: ShopUnits) -> Iterator[Section]:
    """Yield settings and expected values of one wheel."""
    answer, places = there.answer, range(len(there.answer.setups))
    unlikely = (doubt.text(units) for doubt in doubts(there.job))
    cautions = map(_caution, (*unlikely, *caution_texts(answer.cautions, answer, units)))
    of = spoken(answer.target.of, answer.frame.fork)
    doubt = f"{UNVERIFIED} " if there.job.is_unconfirmed(("target", "sag")) else ""
    target = Labelled("Target sag", f"{doubt}{units.show(answer.target.sag, Measure.FRACTION)} of {of}")
    yield Section("", (*cautions, *_set_up_for(there.job, units), target), dense=True)
    # Cautions common to all setups are printed once above them.
    first, *others = (_cautions(there, index, units) for index in places)
    above = tuple(told for told in first if others and all(told in cautions for cautions in others))
    if above:
        yield Section("For every setup below", above)
    for index in places:
        yield setup_section(there, index, units, above)
    told = riding.verdict(there, units)
    if noticed := tuple(
        _caution(one.text) if one.role is Role.CAUTION else Paragraph(one.text) for one in told
    ):
        yield Section("How they ride", noticed)
    yield measured_section(there, units)


_SET_UP_FOR = (("load", "rider_mass"), ("load", "bike_mass"), ("frame", "wheel_travel"), ("frame", "stroke"))
"""Fields by which the rider and the next workshop see for whom and what a wheel is set up."""


def _set_up_for(job: Job, units: ShopUnits) -> Iterator[Labelled]:
    rows = {row.path: row for panel in panels(job) for row in panel.rows}
    known = [(row.label, _value(job, row, units)) for path in _SET_UP_FOR if (row := rows.get(path))]
    if told := ", ".join(f"{label} {value}" for label, value in known if value):
        yield Labelled("Set up for", told)


def _workings(there: JobAnswer, units: ShopUnits) -> Iterator[Section]:
    """Yield the origin of the figures of one wheel."""
    answer, load = there.answer, there.answer.load
    lines = (
        Labelled("Load on this wheel (ground)", units.show(load.ground_reaction, Measure.FORCE)),
        Labelled("Sprung load at the axle", units.show(load.static_wheel_force, Measure.FORCE)),
    )
    yield Section("Load", lines, dense=True)
    for index in range(len(answer.setups)):
        yield _workings_section(there, index, units)
    rides = riding.figures_document(answer.setups, units)
    title = next(block.text for block in rides.blocks if isinstance(block, Heading))
    yield Section(title, tuple(_parts(rides)))
    yield curves_section(answer, units)
    # Gauge readings of each air setup in cold, heat and at altitude.
    for index, setup in enumerate(answer.setups):
        if setup.kind == "air" and setup.state != "unsolved":
            read = plain_lines(conditions.document(there, index, units), "")
            said = tuple(Paragraph(f"{line[:1].upper()}{line[1:]}.") for line in read)
            yield Section(f"{brief(setup.name)}: riding conditions", said, dense=True)


Form = Literal["text", "markdown", "html"]
ENDINGS: dict[str, Form] = {
    ".txt": "text", ".text": "text", ".md": "markdown", ".markdown": "markdown",
    ".html": "html", ".htm": "html",
}  # fmt: skip
"""Endings of files, in lower case."""


def form_of(path: Path) -> Form | None:
    """Return the form for the ending of a path, None for an unknown one."""
    return ENDINGS.get(path.suffix.lower())


def written(sheet: Sheet, form: Form, *, ascii_only: bool = False) -> str:
    """Return a sheet in a form; only HTML loads the drawing library."""
    from tui.sheet.text import markdown, plain

    if form == "html":
        from tui.sheet.page import page

        return page(sheet)
    return markdown(sheet) if form == "markdown" else plain(sheet, ascii_only=ascii_only)
