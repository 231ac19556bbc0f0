"""Measurements of a shock, typed or in a file: the setup fitted to them, in words, and put into a job."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from physics.carried import Carried, carried
from physics.case import Coil, Setup
from physics.cycled import Cycled, cycled
from physics.faults import Unfit, Why
from physics.fit import MOST_FRICTION, Estimate, Fit, Tool, fit, parameter_of
from physics.frozen import NamedTuple
from physics.loop import loop_of
from physics.residuals import CHANCE
from physics.shock import air_of
from physics.units import Dimension, UnitFault, parse, quoted
from tui.job.answer import JobAnswer, answer_job
from tui.job.job import Job, setup_on_bike
from tui.job.quantities import (
    CODE,
    LIKELY,
    Doubt,
    doubts,
    fraction_unseen,
    is_fraction,
    sag_length,
    unlikely,
    with_unit,
)
from tui.job.tree import TreePath
from tui.kit.document import Block, Document, Drawing, Heading, Paragraph, SetupName, Table, plain_lines
from tui.kit.roles import Role
from tui.shop_units import ABSENT, KEY_UNITS, USUAL, Measure, ShopUnits, in_unit_of, keyed, number
from tui.subjects.asked import Unanswered, answered_file, job_faults_told, printed, seat_named, seats
from tui.subjects.measurements import gauge_is_off, measured_rows
from tui.tables.columns import numbers_of
from tui.tables.heads import FORCE, LOOP, SHAFT
from tui.tables.questions import Open, Told, Unclear, attempt, lines_of, told_in
from tui.tables.source import CyclingRead, LoopRead, Readings, SagRead, UnusableReadings
from tui.tables.table import RawTable, table_at

if TYPE_CHECKING:
    from physics.fit import AskedFriction

_MOST = 5000.0
"""The most friction taken [N], as in a setup."""


class FrictionMissing(Unclear):
    """Readings in one direction without a friction; a bare number typed for it is in `unit`."""

    title = "Seal friction"
    option = "--friction 15N"

    def __init__(self, unit: str) -> None:
        self._unit = unit
        accepted = f"Type a force in {unit}, or setup (the setup's own), or unknown"
        self.asks = f"One-way measurements cannot separate it. {accepted}"
        super().__init__("the measurements go one way and cannot separate the friction")

    def told(self, before: Told, text: str) -> Told:
        """Return the answers with the friction in `text`."""
        return replace(before, friction=friction_in(text, self._unit))


def friction_in(text: str, unit: str = "") -> AskedFriction:
    """Return a friction: a force [N], a bare number in `unit`, or a word; else raises `UnusableReadings`."""
    match text.strip().lower():
        case "setup" | "unknown" as word:
            return word
    try:
        force = parse(with_unit(text, unit), Dimension.FORCE)[0]
    except UnitFault as fault:
        accepted = "use a force such as 15 N, setup, or unknown"
        raise UnusableReadings(f"friction: {fault.what}; {accepted}") from fault
    if not 0 <= force <= _MOST:
        raise UnusableReadings(f"friction: {quoted(text.strip())} is out of range; use 0 to {_MOST:g} N")
    return force


def with_friction(read: LoopRead, told: Told, unit: str) -> LoopRead:
    """Return readings with the friction given for them; raises `FrictionMissing` if they need one."""
    if told.friction is not None:
        return replace(read, friction=told.friction)
    if read.friction is None and not read.loop.both and not read.alone:
        raise FrictionMissing(unit)
    return read


def read_loop(path: Path, told: Told) -> LoopRead:
    """Return the readings of a file; raises `Unclear`, or `UnusableReadings` with every fault by its line."""
    return loop_in(table_at(path), told)


def loop_in(table: RawTable, told: Told) -> LoopRead:
    """Return the readings in a table; raises as `read_loop` does."""
    found = numbers_of(table, LOOP, told).of
    return LoopRead(loop_of(found[SHAFT], found[FORCE]), table.name)


_CYCLING = re.compile(r"before\s+(.+?)\s+after\s+(.+)", re.IGNORECASE)
_SAG = re.compile(r"sag\s+(.+)", re.IGNORECASE)
_FRICTION = re.compile(r"friction\s+(.+)", re.IGNORECASE)
_ALONE = re.compile(r"spring\s+alone", re.IGNORECASE)
FORMS = "0 120; 10 900; 20 1700 or before 200 psi after 170 psi or sag 45 mm or sag 30 %"
"""What a line of readings may look like, in the usual units."""
_EXAMPLES = {
    "mm": "0 120; 10 900; 20 1700", "in": "0 27; 0.4 200; 0.8 380",
    "psi": "before 200 after 170", "bar": "before 14 after 12",
}  # fmt: skip
_WORD = re.compile(r"([+-]?[\d.,]+)(\D.*)?")


class TypedUnits(NamedTuple):
    """The units that bare numbers take: of stroke and sag, of force, and of pressure."""

    length: str
    force: str
    pressure: str

    @classmethod
    def of(cls, units: ShopUnits) -> TypedUnits:
        """Return those of a shop."""
        return cls(*(units.unit(one) for one in (Measure.TRAVEL, Measure.FORCE, Measure.PRESSURE)))

    def forms(self) -> str:
        """Return what a line of readings may look like, with the unit that each number takes."""
        length, pressure = self.length, self.pressure
        sag = f"{length} or %: sag {sag_length(length).split()[0]}, sag 30 %"
        pressures = f"{pressure}: {_EXAMPLES[pressure]}"
        return f"stroke {length} and force {self.force}: {_EXAMPLES[length]}; or {pressures}; or {sag}"


def typed_readings(text: str, units: TypedUnits) -> Readings | None:
    """Return the readings in a line, None for one that is not of their form; a bare number takes its unit.

    Last among pairs may stand "spring alone" for a coil by itself, or else the friction: a force, a bare
    number in the unit of force, "setup" or "unknown".
    Raises `UnusableReadings` for one that is, but cannot be used.
    """
    text = text.strip()
    if found := _CYCLING.fullmatch(text):
        return cycling(found[1], found[2], units.pressure)
    if found := _SAG.fullmatch(text):
        return sag(found[1], units.length)
    return _pairs(text, units) if ";" in text else None


def cycling(before: str, after: str, unit: str) -> CyclingRead:
    """Return two pressures; a bare number is in `unit`."""
    return CyclingRead(*(_quantity(with_unit(text, unit), Dimension.PRESSURE) for text in (before, after)))


def sag(text: str, unit: str) -> SagRead:
    """Return a sag: a length, a bare number in `unit`, or a share with its per cent sign.

    A bare number below 1 is refused: it may be either.
    """
    if is_fraction(text):
        raise UnusableReadings(f"sag: {fraction_unseen(text, sag_length(unit))}")
    is_share = text.strip().endswith("%")
    dimension = Dimension.FRACTION if is_share else Dimension.LENGTH
    return SagRead(_quantity(with_unit(text, unit), dimension), is_share)


def _quantity(text: str, dimension: Dimension) -> float:
    try:
        return parse(text, dimension)[0]
    except UnitFault as fault:
        raise UnusableReadings(str(fault)) from fault


def _pairs(text: str, units: TypedUnits) -> LoopRead:
    parts = [part.strip() for part in text.split(";") if part.strip()]
    friction = None
    if alone := bool(parts and _ALONE.fullmatch(parts[-1])):
        parts.pop()
    if parts and (found := _FRICTION.fullmatch(parts[-1])):
        friction = friction_in(found[1], units.force)
        parts.pop()
    if not parts:
        raise UnusableReadings(f"no measurement entered; use {FORMS}")
    rows, faults = [], []
    for place, pair in enumerate(parts, 1):
        try:
            rows.append(_pair(pair, units))
        except UnusableReadings as unusable:
            faults.append(f"reading {place}: {unusable}")
    if faults:
        raise UnusableReadings(*faults)
    table = np.array(rows)
    return LoopRead(loop_of(table[:, 0], table[:, 1]), "typed by hand", friction, alone)


def _pair(pair: str, units: TypedUnits) -> tuple[float, float]:
    """Return a stroke [m] and a force [N]; numbers without a unit take those of `units`."""
    texts: list[str] = []
    words = pair.replace("−", "-").split()
    for word in words:
        if _WORD.fullmatch(word):
            texts.append(word)
        elif texts and not word[0].isdecimal():
            texts[-1] += f" {word}"
    if len(texts) != 2 or " ".join(texts) != " ".join(words):
        use = f"use a stroke in {units.length} and a force in {units.force}"
        raise UnusableReadings(f"{quoted(pair)} is not two numbers; {use}")
    stroke = _quantity(with_unit(texts[0], units.length), Dimension.LENGTH)
    return stroke, _quantity(with_unit(texts[1], units.force), Dimension.FORCE)


def readings_asked(text: str, units: TypedUnits, as_path: Callable[[str], Path]) -> Readings | Open[Readings]:
    """Return the readings a line asks for, a bare number typed taking its unit of `units`.

    A file may leave a question open, and readings one way that of friction. Raises `UnusableReadings` in
    words for the one who typed it.
    """
    typed = typed_readings(text, units)
    if isinstance(typed, LoopRead):
        return attempt(partial(with_friction, typed, unit=units.force), Told())
    if typed is not None:
        return typed
    path = as_path(text)
    if not path.is_file():
        raise UnusableReadings(f"Neither a file nor measurements; use a file name or {FORMS}")
    table = table_at(path)
    return attempt(lambda told: with_friction(loop_in(table, told), told, units.force), Told())


Finding = Fit | Cycled | Carried


@lru_cache(maxsize=4)
def finding(answered: JobAnswer, index: int, readings: Readings) -> Finding:
    """Return the fit of readings to setup `index`; raises `Unfit` if there is none.

    The same is asked with every line that scrolls, so the last ones are kept.
    """
    case = answered.case
    match readings:
        case LoopRead():
            # A friction of nothing is one, too.
            friction = "unknown" if readings.friction is None else readings.friction
            return fit(case, index, readings.loop, friction, alone=readings.alone)
        case CyclingRead():
            outside = float(case.shop.pressure)
            return cycled(case, index, readings.before + outside, readings.after + outside)
        case _:
            frame = answered.answer.frame
            whole = float(frame.wheel_travel if case.target.of == "travel" else frame.stroke)
            sag = readings.sag * whole if readings.is_share else readings.sag
            # The gauge reading in the record is that of the setup on the bike.
            rows = measured_rows(answered) if index == setup_on_bike(answered.job) else ()
            reading = next((row.measured for row in rows if row.key == "gauge"), math.nan)
            if gauge_is_off(rows):
                # It was read at another pressure than is set by now.
                setup = case.setups[index]
                unset = replace(setup, spring=replace(air_of(setup), pressure=None))
                case, index = replace(case, setups=(unset,)), 0
            return carried(case, index, sag, reading)


MEASURES: Mapping[str, Measure] = {
    "rate": Measure.SPRING_RATE, "preload": Measure.MISFIT, "friction": Measure.FORCE, "port": Measure.MISFIT,
    "positive_volume": Measure.VOLUME, "negative_volume": Measure.VOLUME,
}  # fmt: skip
"""How each parameter is written; volumes are without spacers."""
NAMES = {name: name.replace("_", " ") for name in MEASURES}
"""Parameters as the panels call them."""
_TYPE_IT = "Type the {what} at which these readings were taken in the setup; where it is solved, s "
_MORE = "One more reading helps most at {stroke}{way}."
UNFIT_WORDS: Mapping[str, str] = {
    "not_numbers": "Reading {reading} is not a stroke and force of a shock.",
    "too_few": "{readings} readings are too few: at least {needed} are needed, those at a turning point not "
    "counted.",
    "beyond_stroke": "Reading {reading} is at {stroke} stroke, this shock has 0 to {full}. Measure stroke "
    "from full extension, going in.",
    "one_place": "All readings are at {stroke} stroke: measure at several strokes.",
    "in_stages": "A progressive coil has too many unknowns: fit one stage as a linear coil.",
    "no_rate": _TYPE_IT.format(what="rate") + "keeps the rate.",
    "no_pressure": _TYPE_IT.format(what="pressure") + "keeps the pressure.",
    "not_apart": "These readings cannot separate {first} and {second} (correlation {correlation}). " + _MORE,
    "not_told": "These readings hardly determine the {first}. " + _MORE,
    "at_limit": "Best {first} is at its limit: check bore, rod, body, pressure, and that the readings are "
    "from this shock.",
    "no_end": "Nothing fits these readings: check that they are from this shock and its pressure.",
    "ways_swapped": "Force is lower going in than out (friction {friction}): keep the order in which they "
    "were taken; stroke must grow as the shock compresses.",
    "friction_told": "These readings go in and out and determine the friction: leave out the friction "
    "entered with them.",
    "no_friction": "The setup has no friction: type it behind the readings, or the word unknown.",
    "bent": "The residuals ({size}) bend: no such spring fits them, so the {first} is not determined. "
    "A fast stroke warms the air: measure slowly. A bumper or damper gas must be in the setup.",
    "falling": "Force falls as the shock compresses: measure stroke from full extension, and force as the "
    "push on the shaft.",
    "not_alone": "An air spring cannot be measured alone: measure the whole shock.",
    "not_equalised": "This needs an air spring equalised at a port; the selected setup has none.",
    "not_lower": "After cycling the gauge must read less than before: air went into the negative chamber.",
    "too_little": "The gauge fell less than the port position allows. Start with the negative chamber empty; "
    "check the port position.",
    "emptied": "The gauge fell too far for a negative chamber: look for a leak.",
    "no_sag": "A sag of {sag} is not between 0 and {whole}.",
    "nothing_carried": "The spring pulls inward there: no rider load gives this sag.",
}
"""By code; the numbers in braces are written in the shop's units."""
_SAY_PRESSURE = "Enter the pressure at which these readings were taken with --pressure 190psi."
_WHY_MEASURES = {"friction": Measure.FORCE, "size": Measure.FORCE, "correlation": Measure.RATIO}
"""What the values that are told measure; those not named are lengths."""
_COUNTS = {"reading": 1, "readings": 0, "needed": 0}
"""Counts, and what is added to them: people count from one."""
_WAYS = {1.0: ", going in", -1.0: ", coming out", 0.0: ""}


def why_text(why: Why, units: ShopUnits) -> str:
    """Return why readings cannot be fitted, with its numbers in the shop's units."""
    said = dict(zip(("first", "second"), (NAMES[name] for name in why.names), strict=False))
    for key, value in why.values.items():
        if key in _COUNTS:
            said[key] = f"{int(value) + _COUNTS[key]}"
        elif key == "way":
            said[key] = _WAYS[value]
        else:
            said[key] = units.show(value, _WHY_MEASURES.get(key, Measure.TRAVEL))
    return UNFIT_WORDS[why.code].format(**said)


NO_PLACE = "Not a plausible rider: check sag, pressure and load."


def taken_of(found: Fit) -> tuple[Estimate, ...]:
    """Return the parameters that hold for the setup: of a spring alone, its rate."""
    return found.estimates[:1] if found.alone else found.estimates


def taken_words(found: Finding) -> str:
    """Return what was put into the job, in a few words."""
    match found:
        case Fit():
            return f"{', '.join(NAMES[one.name] for one in taken_of(found)).capitalize()} set in the setup"
        case Cycled():
            return "Negative volume set in the setup"
        case _:
            return "Load set for every setup"


def carried_words(found: Carried, units: ShopUnits) -> Iterator[str]:
    """Yield a sentence for each thing that a sag shows of the rider's load."""
    forces = (found.load, found.low, found.high, found.entered, found.at_once, MOST_FRICTION)
    load, low, high, entered, once, most = units.shows(Measure.FORCE, *forces)
    wheel, stroke = units.shows(Measure.TRAVEL, found.wheel, found.stroke)
    unknown = f"the setup has no seal friction: 0 to {most} of it (rule of thumb)"
    friction = "seal friction" if found.friction_known else unknown
    if not math.isnan(found.gauge):
        reading = f"{units.show(found.gauge, Measure.PRESSURE)}, the gauge reading of the record"
        yield f"{reading}, is used as the pressure at full extension."
    where = f"At {wheel} wheel travel, {stroke} stroke"
    yield f"{where}, the sprung load at the axle is {load}; {friction} may make that {low} to {high}."
    if once != load:
        yield f"Measured at once, while the air is still warm, it would be {once}: sit still, then measure."
    more = f"{abs(found.load / found.entered - 1) * 100:.1f}"
    which = "more" if found.load > found.entered else "less"
    compared = f"the rider puts {more} % {which} on this wheel" if float(more) else "as measured"
    yield f"The load fields give {entered}: {compared}."
    yield f"A scale under the wheel would show {units.show(found.scale_mass, Measure.MASS)}."
    if not math.isnan(found.share):
        doubt = "" if 0 < found.share < 1 else " Not plausible: check sag and pressure."
        yield f"That is {units.show(found.share, Measure.FRACTION)} of the rider on this wheel.{doubt}"


TOOL_NAMES: Mapping[Tool, str] = {
    "gauge": "gauge", "diameters": "diameters", "temperature": "air temperature", "force": "force",
    "stroke": "stroke zero", "friction": "unknown friction",
}  # fmt: skip
_LEAST_SHARE = 0.1
"""Parts of a standard error below this share of it are not told one by one: they add less than 1 % to it."""
_STEP = 10.0
"""Friction in the shop's unit of force that a shift is told for."""
_TIED = 0.95
"""Correlation from which on two parameters are said to move together."""
_BENDS = {
    True: (
        "The residuals do not fit a linear coil: a progressive coil{}?",
        "Residuals going in and coming out bend opposite ways: friction that grows with the force?",
    ),
    False: (
        "The residuals do not fit a slow stroke: a fast stroke that warmed the air, or a bumper or other "
        "hardware than in the setup?",
        "Residuals going in and coming out bend opposite ways: air that warms going in, or friction that "
        "grows with the pressure?",
    ),
}
"""By whether the spring is a coil: of sides that bend alike, and opposite ways."""
_MISSING = ", or a {} missing in the setup"
_ALONE_INSTEAD = ", or the spring alone was measured"
_WHOLE = "Measured: the whole shock"
_BY_ITSELF = "Measured: the spring alone; nothing subtracted, and only the rate is applied."
_SEEMS_ALONE = (
    "The force at full extension is {extension}, but the damper gas alone would make it {gas}: this looks "
    "like the spring alone, and then the gas must not be subtracted."
)
_SEEMS_WHOLE = (
    "The force at full extension is {extension}, and the damper gas alone would make it {gas}: was it the "
    "whole shock?"
)
_OTHERWISE = "Left or Right changes it."
_SAY_ALONE = "If it was the spring alone, add --spring-alone."
_NO_FIT = "The ± is not valid for residuals that bend."


RESIDUALS = "residuals"
"""What a view draws in the document of a fit."""
_TAKEN = (
    "Slow stroke at shop temperature; bore, rod, body, pressure, gas and bumper from the setup. ± is one "
    "standard error, of scatter and tools together: 95 % of the time the true value is within two of them, "
    "if errors are random."
)
_TELL_FRICTION = "Type the measurements again with the friction, or measure coming out as well."
_SAY_FRICTION = "Enter it with --friction 15N, or measure coming out as well."
LEGEND = "i going in, o coming out, x both."


def document(
    found: Finding, setup: Setup, units: ShopUnits, source: str = "", of: SetupName | None = None
) -> Document:
    """Return the fit in words; `setup` is the one measured, `source` is where readings of force are from.

    The setup is named before the first line if `of` is its name.
    """
    match found:
        case Fit():
            first = Paragraph(_found_text(found, units), Role.STRONG, plain="", of=of)
            return Document((first, *_fit_blocks(found, setup, units, source)))
        case Cycled():
            error = f" ± {found.error:.3f}, one standard error of the gauge" if found.error > 0 else ""
            volume = f"{units.show(found.volume, Measure.VOLUME)} without spacers"
            words: Iterable[str] = (
                f"With the positive volume of the setup the negative volume is {volume}.",
                f"Negative over positive volume: {found.ratio:.3f}{error}.",
                "The negative chamber was empty at first, the shock at full extension for both readings.",
            )
        case _:
            words = carried_words(found, units)
    answer, *others = words
    return Document((Paragraph(answer, Role.STRONG, of=of), *map(Paragraph, others)))


def _found_text(found: Fit, units: ShopUnits) -> str:
    """Return every parameter found with its standard error, in one line."""
    return ", ".join(
        f"{NAMES[one.name]} {_fine(one.value, one.name, units)} ± {_least(one.error, one.name, units)} "
        f"{units.unit(MEASURES[one.name])}"
        for one in taken_of(found)
    )


def _fit_blocks(found: Fit, setup: Setup, units: ShopUnits, source: str) -> Iterator[Block]:
    shape, names = _shape_words(found), [NAMES[one.name] for one in taken_of(found)]
    tied = [
        f"{names[a].capitalize()} and {names[b]} are linked: their errors move together."
        for a, b in np.argwhere(np.triu(np.abs(found.correlation) > _TIED, 1))
        if max(a, b) < len(names)
    ]
    unknown, scatter = found.friction.said == "unknown", units.show(found.scatter, Measure.FORCE)
    if not float(units.plain(found.scatter, Measure.FORCE)):
        scatter = f"below 1 {units.unit(Measure.FORCE)}"
    ways = "in and out" if found.loop.both else "going in" if found.loop.way[0] > 0 else "coming out"
    used, left_out = len(found.loop.stroke), found.left_out.count
    counted = f"{used + left_out} readings {ways}"
    kept = f": {used} used, {left_out} left out" if left_out else ""
    yield from _measured_words(found, units)
    yield _estimates(found, setup, units)
    yield from (Paragraph(text, Role.CAUTION, plain=text) for text in _bend_words(found))
    yield from (Paragraph(text, Role.CAUTION, plain="") for text in tied)
    for text in _friction_words(found, units):
        yield Paragraph(text, Role.CAUTION if unknown else Role.BASE)
    if unknown:
        yield Paragraph(_TELL_FRICTION, plain=_SAY_FRICTION)
    yield from (Paragraph("", plain=text) for text in tied)
    yield from map(Paragraph, _left_out_words(found, units))
    together = (
        f"{counted}{kept}, {scatter} of scatter; ± is one standard error, of scatter and tools together"
    )
    yield Paragraph(f"{counted}, {source}{kept}. Scatter {scatter}.", plain=together)
    yield Heading(f"Residual force, {units.unit(Measure.FORCE)}")
    yield Drawing(RESIDUALS)
    yield Paragraph(f"{LEGEND} {shape}", Role.QUIET, plain="")
    yield Heading("Where the ± comes from")
    yield from (Paragraph(_error_words(one, units)) for one in taken_of(found))
    yield Paragraph(_tools_words(found, units))
    yield Paragraph("", plain=shape)
    volumes = "" if isinstance(setup.spring, Coil) else " Volumes are without spacers."
    yield Paragraph(f"{_TAKEN}{volumes}", Role.QUIET, plain="", gap=True)


def _measured_words(found: Fit, units: ShopUnits) -> Iterator[Paragraph]:
    """Say what was measured and what was subtracted, and whether the force contradicts that."""
    setup, is_coil = found.setup, isinstance(found.setup.spring, Coil)
    extension, gas = units.shows(Measure.FORCE, found.extension, found.gas)
    parts = [f"damper gas ({gas} at full extension)"] if setup.gas is not None else []
    parts += ["bumper"] if setup.bumper is not None else []
    parts += ["lower legs' air"] if setup.lower_legs is not None else []
    said = _BY_ITSELF
    if not found.alone:
        taken = (
            f"{' and '.join(parts)} from the setup subtracted"
            if parts
            else "the setup has no damper gas to subtract"
        )
        said = f"{_WHOLE}; {taken}."
    keys, option = (_OTHERWISE, "" if found.alone else _SAY_ALONE) if is_coil else ("", "")
    yield Paragraph(f"{said} {keys}".strip(), plain=f"{said} {option}".strip())
    if found.seems_otherwise:
        text = (_SEEMS_WHOLE if found.alone else _SEEMS_ALONE).format(extension=extension, gas=gas)
        yield Paragraph(text, Role.CAUTION, plain=text)


def _estimates(found: Fit, setup: Setup, units: ShopUnits) -> Table:
    """Return a row for each parameter: found, its standard error, and what the setup has now."""
    rows, plain = [], []
    for one in taken_of(found):
        name, unit, had = NAMES[one.name], units.unit(MEASURES[one.name]), parameter_of(setup, one.name)
        value, now = (
            _fine(si, one.name, units) for si in (one.value, math.nan if had is None else float(had))
        )
        error = _least(one.error, one.name, units)
        rows.append((f"{name} {unit}", value, error, now))
        plain.append(f"{name}: {value} ± {error} {unit}")
    return Table((("", "found", "±", "now"), *rows), tuple(plain), gap=1)


def _fine(si: float, name: str, units: ShopUnits, sign: str = "") -> str:
    """Write a number of a parameter without its unit, one decimal more than a figure has."""
    writing = units.writings[MEASURES[name]]
    number = round(si / writing.factor, writing.digits + 1) + 0.0 if sign else si / writing.factor
    return f"{number:{sign}.{writing.digits + 1}f}" if math.isfinite(si) else ABSENT


def _least(si: float, name: str, units: ShopUnits) -> str:
    """Write an error as `_fine` does, one that would read as nothing as less than the last digit."""
    text = _fine(si, name, units)
    return f"<{text[:-1]}1" if math.isfinite(si) and not float(text) else text


def _left_out_words(found: Fit, units: ShopUnits) -> Iterator[str]:
    past, turning = found.left_out.past, found.left_out.turning
    if len(past):
        many = (
            "1 reading past full stroke, at"
            if len(past) == 1
            else f"{len(past)} readings past full stroke, to"
        )
        yield f"Left out: {many} {units.show(float(np.max(past)), Measure.MISFIT)}."
    if turning:
        many = "1 reading" if turning == 1 else f"{turning} readings"
        yield f"Left out: {many} at a turning point, which is neither in nor out."


def _friction_words(found: Fit, units: ShopUnits) -> Iterator[str]:
    """Yield the source and effect of the friction of readings in one direction; nothing if it is fitted."""
    friction, moves = found.friction, []
    if friction.said in ("fitted", "none"):
        return
    held, most = units.shows(Measure.FORCE, friction.value, MOST_FRICTION)
    source = {
        "typed": f"{held} as typed",
        "setup": f"{held} from the setup",
        "unknown": f"assumed {held}, the middle of 0 to {most} (rule of thumb), with that range in the ±",
    }[friction.said]
    yield f"One-way readings cannot separate friction: {source}."
    for one in found.estimates:
        moved = _fine(one.per_newton * (_STEP * units.writings[Measure.FORCE].factor), one.name, units, "+")
        moves.append(f"{NAMES[one.name]} {moved} {units.unit(MEASURES[one.name])}")
    yield f"With {_STEP:g} {units.unit(Measure.FORCE)} more friction: {', '.join(moves)}."


def _bend_words(found: Fit) -> tuple[str, ...]:
    if found.shape.verdict != "bent":
        return ()
    is_coil = isinstance(found.setup.spring, Coil)
    return _BENDS[is_coil][found.shape.opposite].format(_bend_reason(found)), _NO_FIT


def _bend_reason(found: Fit) -> str:
    """Return what the setup lacks that could curve the residuals, other than a progressive coil."""
    if found.alone:
        return ""
    parts = {"damper gas": found.setup.gas, "bumper": found.setup.bumper}
    missing = " or ".join(name for name, part in parts.items() if part is None)
    return _MISSING.format(missing) if missing else _ALONE_INSTEAD


def _shape_words(found: Fit) -> str:
    runs, shape = [], found.shape
    if shape.verdict == "chance" and any(side.chance < CHANCE for side in shape.sides):
        return "The residuals are less than 0.1 % of the range of the forces: too small for any tool to tell."
    for side in shape.sides:
        share = side.chance
        percent = "below 0.1 %" if share < 1e-3 else f"{share * 100:.{0 if share > 0.1 else 1}f} %"
        chance = "" if np.isnan(share) else f", so few by chance {percent}"
        counted = f"{side.runs} where chance makes about {side.expected:.0f}"
        if side.runs == 1:
            counted = f"1, all {side.residuals} of one sign"
        runs.append(f"{'going in' if side.way > 0 else 'coming out'} {counted}{chance}")
    verdict = {
        "chance": "The residuals are random",
        "bent": "The residuals bend",
        "too_few": "Too few readings to tell a bend from random scatter",
    }[shape.verdict]
    return f"{verdict}. Runs of one sign: {'; '.join(runs)}."


def _error_words(one: Estimate, units: ShopUnits) -> str:
    """Return where the standard error of a parameter comes from, the largest part first."""
    parts = {"scatter": one.scatter} | {TOOL_NAMES[tool]: error for tool, error in one.tool.items()}
    told = [name for name, error in parts.items() if error > _LEAST_SHARE * one.error]
    told.sort(key=lambda name: -parts[name])
    ranked = ", ".join(f"{name} {_least(parts[name], one.name, units)}" for name in told)
    return f"{NAMES[one.name]} ± in {units.unit(MEASURES[one.name])}: {ranked}"


def _tools_words(found: Fit, units: ShopUnits) -> str:
    """Return the tool errors that were assumed, empty without any."""
    tools = found.tools
    limits: dict[Tool, str] = {
        "gauge": written(found.gauge, Measure.PRESSURE, units),
        "diameters": f"{units.show(tools.diameter, Measure.MISFIT)} for bore, rod and body each",
        "temperature": f"{tools.temperature:g} K between setting and reading",
        "force": f"{tools.force * 100:g} % of it",
        "stroke": units.show(tools.stroke, Measure.MISFIT),
    }
    counted = found.estimates[0].tool
    said = [f"{TOOL_NAMES[tool]} {limit}" for tool, limit in limits.items() if tool in counted]
    rule = "the gauge from the job, the others a rule of thumb" if "gauge" in counted else "a rule of thumb"
    return f"Tool errors (±): {'; '.join(said)} ({rule})." if said else ""


_IN_PLACE_OF: Mapping[str, tuple[str, ...]] = {"rate": ("stages",), "preload": ("preload_turns",)}
"""What says the same in another way and goes."""


def taken_into(job: Job, index: int, found: Finding, units: ShopUnits) -> Job | None:
    """Return the job with what was found in its setup or load, None if there is no place for it."""
    table: TreePath = ("setup", index)
    match found:
        case Fit():
            for one in taken_of(found):
                for key in _IN_PLACE_OF.get(one.name, ()):
                    job = job.without((*table, key))
                # None of them can be below zero; friction within its error of nothing may come out so.
                text = written(max(one.value, 0.0), MEASURES[one.name], units)
                job = job.with_value((*table, one.name), text)
            return job
        case Cycled():
            return job.with_value((*table, "negative_volume"), written(found.volume, Measure.VOLUME, units))
        case _ if job.get(("load", "scale_mass")) is not None:
            return job.with_value(("load", "scale_mass"), written(found.scale_mass, Measure.MASS, units))
        case _ if 0 < found.share < 1:
            return job.without(("load", "posture")).with_value(("load", "rider_share"), round(found.share, 4))
    return None


def written(si: float, measure: Measure, units: ShopUnits) -> str:
    """Write a quantity with its unit, one decimal more than a figure has: it is worked with."""
    writing = units.writings[measure]
    return f"{units.scale(si, measure):.{writing.digits + 1}f} {writing.unit}"


def unlikely_in(read: Readings, units: ShopUnits) -> tuple[Doubt, ...]:
    """Return unlikely values among a sag or gauge pressures, in the shop's units."""
    told: tuple[tuple[str, float], ...] = ()
    if isinstance(read, CyclingRead):
        told = (("measured.gauge", read.before), ("measured.gauge", read.after))
    elif isinstance(read, SagRead):
        told = (("target.sag" if read.is_share else "measured.sag", read.sag),)
    found = (unlikely(key, si, units.show(si, LIKELY[key].measure)) for key, si in told)
    return tuple(doubt for doubt in found if doubt is not None)


def json_object(name: str, found: Finding) -> dict[str, Any]:
    """Return the fit as plain data, numbers in the unit of their key; null if there is none."""
    head = {"format": 1, "setup": name}
    match found:
        case Fit():
            return head | _fit_object(found)
        case Cycled():
            ratio = {"negative_over_positive": found.ratio, "standard_error": found.error}
            return head | keyed(**ratio, negative_volume_cm3=found.volume)
        case _:
            return head | keyed(
                wheel_mm=found.wheel,
                stroke_mm=found.stroke,
                static_wheel_force_n=found.load,
                band_n=[number(found.low), number(found.high)],
                at_once_n=found.at_once,
                friction_known=found.friction_known,
                entered_n=found.entered,
                scale_mass_kg=found.scale_mass,
                gauge_of_record_psi=found.gauge,
                rider_share=found.share,
            )


def _fit_object(found: Fit) -> dict[str, Any]:
    parameters = {}
    for one in found.estimates:
        key = f"{one.name}{next(iter(KEY_UNITS.get(MEASURES[one.name], ('_mm',))))}"
        parameters[key] = {
            "value": in_unit_of(key, one.value),
            "standard_error": in_unit_of(key, one.error),
            "scatter_error": in_unit_of(key, one.scatter),
            "tool_error": in_unit_of(key, one.tools),
            "error_of_tool": {tool: in_unit_of(key, error) for tool, error in one.tool.items()},
            "per_n_of_friction": in_unit_of(key, one.per_newton),
        }
    friction, tools, shape, out = found.friction, found.tools, found.shape, found.left_out
    sides = []
    for side in shape.sides:
        runs = keyed(
            residuals=side.residuals, runs=side.runs, expected_runs=side.expected, chance=side.chance
        )
        sides.append({"way": "in" if side.way > 0 else "out", **runs})
    return {
        "measured": "spring" if found.alone else "shock",
        "force_at_extension_n": number(found.extension),
        "gas_at_extension_n": number(found.gas),
        "seems_otherwise": found.seems_otherwise,
        "readings": len(found.loop.stroke),
        "left_out": {"past_stroke_mm": (out.past * 1e3).tolist(), "turning_points": out.turning},
        "scatter_n": number(found.scatter),
        "parameters": parameters,
        "friction": {"from": friction.said, "n": number(friction.value), "off_n": number(friction.off)},
        "tools": keyed(
            gauge_psi=found.gauge,
            diameter_mm=tools.diameter,
            temperature_k=tools.temperature,
            force_fraction=tools.force,
            stroke_mm=tools.stroke,
        ),
        "shape": {
            "verdict": shape.verdict,
            "opposite": shape.opposite,
            "said": list(_bend_words(found)),
            "sides": sides,
        },
        "correlation": found.correlation.tolist(),
        "stroke_mm": (found.loop.stroke * 1e3).tolist(),
        "residual_n": found.residual.tolist(),
    }


class FitAsked(NamedTuple):
    """The options of the command beside the job; empty where not given."""

    setup: str = ""
    readings: str = ""
    units: str = ""
    before: str = ""
    after: str = ""
    pressure: str = ""
    sag: str = ""
    columns: str = ""
    friction: str = ""
    spring_alone: bool | str = ""


def command(source: str, asked: FitAsked, *, as_json: bool) -> str:
    """Return the fit to a setup of the job file `source`; raises `Unanswered`."""
    # The job first: what is wrong with it may be why the setup is not found.
    seat = seat_named("setup", asked.setup, seats(answered_file(source)), first=False)
    try:
        if asked.pressure:
            pressure = with_unit(asked.pressure, TypedUnits.of(USUAL).pressure)
            job = seat.there.job.with_value(("setup", seat.place, "pressure"), pressure)
            with job_faults_told():
                seat = seat._replace(there=answer_job(job))
        read = _fit_readings(asked)
        found = finding(seat.there, seat.place, read)
    except UnusableReadings as unusable:
        where = f"readings: {asked.readings}: " if asked.readings else "readings: "
        raise Unanswered(tuple(where + line for line in lines_of(unusable))) from unusable
    except Unfit as unfit:
        why = _SAY_PRESSURE if unfit.why.code == "no_pressure" else why_text(unfit.why, USUAL)
        raise Unanswered((f"readings: {why}",)) from unfit
    cautions = [doubt.text(USUAL) for doubt in (*doubts(seat.there.job), *unlikely_in(read, USUAL))]
    if as_json:
        said = {"cautions": [{"code": CODE, "text": text} for text in cautions]}
        return printed(json_object(seat.name, found) | said)
    lines = plain_lines(document(found, seat.answer.setup, USUAL))
    return printed([seat.name, *lines, *(f"  Caution: {text}" for text in cautions)])


def _fit_readings(asked: FitAsked) -> Readings:
    given, units = (asked.readings, asked.before or asked.after, asked.sag), TypedUnits.of(USUAL)
    if sum(map(bool, given)) != 1 or bool(asked.before) != bool(asked.after):
        raise UnusableReadings("give one of: --readings FILE; --before and --after; --sag")
    if asked.readings:
        read = read_loop(Path(asked.readings), told_in(asked.columns, asked.units, LOOP))
        read = replace(read, alone=bool(asked.spring_alone))
        return replace(read, friction=friction_in(asked.friction, units.force)) if asked.friction else read
    if asked.spring_alone:
        raise UnusableReadings("--spring-alone is for --readings")
    if asked.friction:
        raise UnusableReadings("friction belongs to readings of force; use --friction with --readings FILE")
    if asked.sag:
        return sag(asked.sag, units.length)
    return cycling(asked.before, asked.after, units.pressure)
