"""Measurements on the bike compared with the values expected from its answer."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from typing import Any, Literal

from physics.arrays import values
from physics.bench import answer
from physics.case import Air, Case
from physics.expected import Span, expected
from physics.faults import Refused
from physics.frozen import NamedTuple
from physics.sag import READABLE
from physics.shock import with_pressure
from tui.job.answer import JobAnswer
from tui.job.case import maybe
from tui.job.choices import SYMPTOMS, symptoms_of
from tui.job.faults import Findings, Spelling
from tui.job.fields import MEASURED
from tui.job.job import Job, listed, setup_on_bike
from tui.job.reading import Section, read_fields
from tui.job.tree import Tree, TreePath
from tui.job.wheels import spoken
from tui.kit.document import Block, Document, Labelled, Paragraph
from tui.kit.roles import Role
from tui.shop_units import USUAL, Measure, ShopUnits, gauge, in_unit_of, keyed

Key = Literal["sag", "gauge", "scale"]
Verdict = Literal["within", "below", "above", "unknown"]

_OFF: tuple[Verdict, ...] = ("below", "above")
PATH: TreePath = ("measured",)
MEASURES: dict[Key, Measure] = {"sag": Measure.TRAVEL, "gauge": Measure.PRESSURE, "scale": Measure.MASS}
"""Measured quantities, in the order of their keys."""


class MeasuredRow(NamedTuple):
    """One measurement and its expected range: SI, pressures gauge [Pa], NaN if missing.

    `setup` is the index of the setup it is compared with, `of` what the sag was read at, empty for the rest.
    `at_once` is a sag read before the air has cooled, NaN for the rest; `limit` is what the label allows a
    gauge to read, NaN if that is not known and for the rest, `limit_doubted` whether nobody confirmed it.
    `at_gauge` is the pressure a sag is expected at where the gauge read another than is to be set, else NaN.
    `waits` is whether a sag measured with a gauge says that the pressure to set is not right for the load.
    """

    key: Key
    setup: int
    of: str
    measure: Measure
    measured: float
    expected: float
    low: float
    high: float
    at_once: float = math.nan
    limit: float = math.nan
    limit_doubted: bool = False
    at_gauge: float = math.nan
    waits: bool = False

    @property
    def over_label(self) -> bool:
        """Whether a gauge was read above max pressure."""
        return self.measured > self.limit

    @property
    def verdict(self) -> Verdict:
        """Position of the measured value relative to its band; unknown without a band."""
        if math.isnan(self.low) or math.isnan(self.high):
            return "unknown"
        if self.measured < self.low:
            return "below"
        return "above" if self.measured > self.high else "within"

    @property
    def is_early(self) -> bool:
        """Whether a sag within its band is closer to the immediate than to the settled one."""
        gap = self.expected - self.at_once
        early = self.measured < self.at_once + gap / 2
        return self.verdict == "within" and gap > READABLE and early


def measured_values(job: Job) -> Section:
    """Return `[measured]` of one valid wheel in SI, pressures gauge [Pa]; empty without measurements."""
    table = job.tree.get("measured", Tree({}))
    return read_fields(table, MEASURED, PATH, Findings(Spelling(job.tree, {})))


@lru_cache(maxsize=8)
def measured_rows(answered: JobAnswer) -> tuple[MeasuredRow, ...]:
    """Return the measurements of one wheel in the order of keys, each with its expected value."""
    typed = measured_values(answered.job)
    there = {key: number for key in MEASURES if isinstance(number := typed.get(key), float)}
    if not there:
        return ()
    index = setup_on_bike(answered.job)
    of = str(typed.get("of", answered.case.target.of))
    spans, spring = expected_spans(answered, index, of), answered.case.setups[index].spring
    rows = dict[Key, MeasuredRow]()
    for key, number in there.items():
        at, low, high = (float(part) for part in (spans[key].at, spans[key].low, spans[key].high))
        rows[key] = MeasuredRow(key, index, "", MEASURES[key], number, at, low, high)
    if (gauge_row := rows.get("gauge")) and isinstance(spring, Air) and spring.max_pressure is not None:
        limit = gauge(float(spring.max_pressure), float(answered.answer.shop.pressure))
        doubted = "max_pressure" in listed(answered.job.setups[index])
        rows["gauge"] = gauge_row._replace(limit=limit, limit_doubted=doubted)
    if (sag := rows.get("sag")) is not None:
        rows["sag"] = _of_sag(answered, sag._replace(of=of), rows.get("gauge"))
        if gauge_row := rows.get("gauge"):
            rows["gauge"] = gauge_row._replace(waits=rows["sag"].verdict in _OFF)
    return tuple(rows.values())


def _of_sag(answered: JobAnswer, row: MeasuredRow, read: MeasuredRow | None) -> MeasuredRow:
    """Return a sag against that at the pressure it was measured at, which a gauge `read` with it tells."""
    there, index = answered, row.setup
    if read is not None and gauge_is_off((read,)):
        case = at_pressure(answered, index, read.measured)
        try:
            there, index = replace(answered, case=case, answer=answer(case)), 0
        except Refused:
            return row._replace(expected=math.nan, low=math.nan, high=math.nan, at_gauge=read.measured)
        span = expected_spans(there, index, row.of)["sag"]
        at, low, high = (float(part) for part in (span.at, span.low, span.high))
        row = row._replace(expected=at, low=low, high=high, at_gauge=read.measured)
    once = there.answer.setups[index].at_once
    return row._replace(at_once=float(once.wheel if row.of == "travel" else once.stroke))


def at_pressure(answered: JobAnswer, index: int, reading: float) -> Case:
    """Return the case of one air setup alone, set to a gauge reading [Pa]."""
    setup = with_pressure(answered.case.setups[index], values(reading) + values(answered.case.shop.pressure))
    return replace(answered.case, setups=(setup,), ride=None)


def expected_spans(answered: JobAnswer, index: int, of: str) -> dict[Key, Span]:
    """Return the values expected for a setup: sag `of` travel or stroke, gauge pressure."""
    found = expected(answered.case, index, answered.answer)
    outside = float(answered.answer.shop.pressure)
    reading = Span(*(gauge(part, outside) for part in (found.gauge.at, found.gauge.low, found.gauge.high)))
    return {"sag": found.wheel if of == "travel" else found.stroke, "gauge": reading, "scale": found.scale}


NOTHING_EXPECTED = "nothing to compare it with"

_SAG = "Check load and posture first ({weight} weight here?), then friction, then leverage."
_SCALE = (
    "{weight} weight here than calculated: weigh rider and kit again, check posture, or use the scale "
    "reading."
)
_GAUGE = "If it was set when read:"
_SET_NOW = "Set it now."
_WAITS = "See advice first: the measured sag does not fit the load."
_LOOK_FIRST: dict[tuple[Key, Verdict], str] = {
    ("sag", "below"): _SAG.format(weight="less"),
    ("sag", "above"): _SAG.format(weight="more"),
    ("gauge", "below"): f"{_GAUGE} leak, colder air, or not pumped enough.",
    ("gauge", "above"): f"{_GAUGE} warmer air, or pumped too high.",
    ("scale", "below"): _SCALE.format(weight="Less"),
    ("scale", "above"): _SCALE.format(weight="More"),
}
LET_AIR_OUT = (
    "Let air out first: eye protection on, valve away from the face; if in doubt, a qualified technician."
)
_VERDICTS: dict[tuple[Key, Verdict], str] = {
    ("sag", "below"): "too little sag", ("sag", "above"): "too much sag",
    ("gauge", "below"): "below the set pressure", ("gauge", "above"): "above the set pressure",
    ("scale", "below"): "less weight than expected", ("scale", "above"): "more weight than expected",
}  # fmt: skip


def verdict_text(row: MeasuredRow) -> str:
    """Return words for the position of a measured value relative to its band."""
    return _VERDICTS.get((row.key, row.verdict), "OK" if row.verdict == "within" else "")


def expected_text(row: MeasuredRow, units: ShopUnits) -> str:
    """Return "42.9 mm", of a sag at another pressure than is set "42.9 mm at 215 psi"."""
    expected = units.show(row.expected, row.measure)
    if math.isnan(row.at_gauge):
        return expected
    return f"{expected} at {units.show(row.at_gauge, Measure.PRESSURE)}"


def compared_text(row: MeasuredRow, units: ShopUnits) -> str:
    """Return "43.0 mm, expected 42.9 mm, 36.5 mm at once (34.3 to 45.1 mm): OK"."""
    measured = units.show(row.measured, row.measure) + limit_passed(row, units)
    if row.verdict == "unknown":
        return f"{measured}, {NOTHING_EXPECTED}"
    low, high = (units.plain(end, row.measure) for end in (row.low, row.high))
    band = f"{low} to {high} {units.unit(row.measure)}"
    expected = expected_text(row, units)
    if row.at_once < row.expected and row.verdict == "within":
        expected += f", {units.show(row.at_once, row.measure)} at once"
    early = ", measured at once: sit still, measure again" if row.is_early else ""
    return f"{measured}, expected {expected} ({band}): {verdict_text(row)}{early}"


def limit_passed(row: MeasuredRow, units: ShopUnits) -> str:
    """Return ", above the max pressure of 320 psi" for a gauge that is, and whether that is unverified."""
    if not row.over_label:
        return ""
    doubt = " (unverified)" if row.limit_doubted else ""
    return f", above the max pressure of {units.show(row.limit, row.measure)}{doubt}"


def look_first(row: MeasuredRow) -> str:
    """Return what to check first for a value out of its band, empty for one within.

    A gauge reading above the label has priority over its band.
    """
    if row.over_label:
        return LET_AIR_OUT
    said = _LOOK_FIRST.get((row.key, row.verdict), "")
    if said and row.key == "gauge":
        # Nothing more where advice goes first: the caution beside it must have room.
        return _WAITS if row.waits else f"{_SET_NOW} {said}"
    return said


def gauge_is_off(rows: Iterable[MeasuredRow]) -> bool:
    """Return whether the gauge read another pressure than is set now."""
    return any(row.key == "gauge" and row.verdict in _OFF for row in rows)


def pressures_apart(rows: Iterable[MeasuredRow], units: ShopUnits) -> tuple[str, str] | None:
    """Return the pressure to set and the one that the gauge read, None if they agree or none was read."""
    off = next((row for row in rows if gauge_is_off((row,))), None)
    if off is None:
        return None
    return units.show(off.expected, off.measure), units.show(off.measured, off.measure)


LABELS: dict[Key, str] = {"sag": "Sag", "gauge": "Gauge", "scale": "Scale under this wheel"}
"""Labels of measured quantities by key."""
_AT = {"travel": " at the wheel", "stroke": " at the shock", "": ""}
_CLICKS = "clicks from fully closed"
NOTED = (
    ("rebound_clicks", "Rebound", _CLICKS, Measure.COUNT),
    ("compression_clicks", "Compression", _CLICKS, Measure.COUNT),
    ("tyre", "Tyre", "", Measure.PRESSURE),
)
"""Data that are recorded but not compared, with the words for their units."""


def record_lines(job: Job) -> list[str]:
    """Return whose bike it is and the feedback on the ride, one per line, as far as recorded."""
    symptoms = symptoms_of(job.get(("ridden", "symptom")))
    told = {
        **{key.capitalize(): job.get(("record", key)) for key in ("customer", "ticket", "bike")},
        "Complaint": ", ".join(SYMPTOMS[symptom].label for symptom in symptoms),
        "Ride feedback": job.get(("ridden", "words")),
    }
    return [f"{label}: {said}" for label, said in told.items() if said]


def document(answered: JobAnswer, index: int, units: ShopUnits) -> Document:
    """Return the measurements with a setup on the bike and their expected values; empty for other setups."""
    typed, fork, blocks = measured_values(answered.job), answered.answer.frame.fork, list[Block]()
    on_bike = index == setup_on_bike(answered.job)
    rows = measured_rows(answered) if on_bike else ()
    for row in rows:
        label = f"{LABELS[row.key]}{spoken(_AT[row.of], fork)}"
        blocks.append(Paragraph(f"{label}: {compared_text(row, units)}"))
        if said := look_first(row):
            role, lead = (Role.CAUTION, "Caution: ") if row.over_label else (Role.BASE, "")
            blocks.append(Paragraph(said, role, f"  {lead}{said}"))
    for key, name, unit, measure in NOTED if on_bike else ():
        if (number := maybe(typed, key)) is not None:
            blocks.append(Labelled(f"{name}, {unit}" if unit else name, units.show(number, measure)))
    return Document(tuple(blocks))


_COMPARED: dict[Key, str] = {"sag": "sag_mm", "gauge": "gauge_psi", "scale": "scale_kg"}
_COUNTED = ("rebound_clicks", "compression_clicks")


def json_object(answered: JobAnswer, index: int) -> dict[str, Any] | None:
    """Return the measurements with a setup on the bike and their expected values, None for other setups."""
    typed = measured_values(answered.job)
    if not typed or index != setup_on_bike(answered.job):
        return None
    rows = {row.key: row for row in measured_rows(answered)}
    return {
        "sag_of": rows["sag"].of if "sag" in rows else None,
        **{name: _row_object(rows.get(key), name) for key, name in _COMPARED.items()},
        **{key: None if (clicks := maybe(typed, key)) is None else int(clicks) for key in _COUNTED},
        **keyed(tyre_psi=maybe(typed, "tyre")),
    }


def _row_object(row: MeasuredRow | None, name: str) -> dict[str, Any] | None:
    if row is None:
        return None
    further = {"sag": ("at_once",), "gauge": ("limit", "over_label")}.get(row.key, ())
    fields = ("measured", "expected", "low", "high", *further)
    at = keyed(at_gauge_psi=row.at_gauge) if row.key == "sag" else {}
    return {**{one: in_unit_of(name, getattr(row, one)) for one in fields}, **at, "verdict": row.verdict}


def json_cautions(answered: JobAnswer, index: int) -> list[dict[str, str]]:
    """Return a caution if the gauge of the setup on the bike was read above its label's limit."""
    if index != setup_on_bike(answered.job):
        return []
    over = (row for row in measured_rows(answered) if row.over_label)
    said = (f"The gauge read {compared_text(row, USUAL)}. {LET_AIR_OUT}" for row in over)
    return [{"code": "measured_over_label", "text": text} for text in said]
