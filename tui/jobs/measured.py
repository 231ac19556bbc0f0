"""What was measured on the bike against what its answer lets one expect, as data."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from physics.case import Air
from physics.expected import Span, expected
from physics.sag import READABLE
from tui.jobs.answering import JobAnswer
from tui.jobs.fields import Section, read_fields
from tui.jobs.findings import Findings
from tui.jobs.job import Job
from tui.jobs.on_bike import setup_on_bike
from tui.jobs.schema import MEASURED
from tui.jobs.slips import Spelling
from tui.jobs.tree import Path, Table
from tui.jobs.unconfirmed import listed
from tui.shop_units import Measure, gauge

Key = Literal["sag", "gauge", "scale"]
Verdict = Literal["within", "below", "above", "unknown"]

PATH: Path = ("measured",)
_MEASURES: dict[Key, Measure] = {
    "sag": Measure.TRAVEL,
    "gauge": Measure.PRESSURE,
    "scale": Measure.MASS,
}


@dataclass(frozen=True, slots=True)
class MeasuredRow:
    """One thing measured and where it should lie: SI, pressures gauge [Pa], NaN where there is nothing.

    `setup` is the index of the setup it is held against, `of` what the sag was read at, empty for the rest.
    `at_once` is a sag read before the air has cooled, NaN for the rest; `limit` is what the label allows a
    gauge to read, NaN where that is not known and for the rest, `limit_doubted` whether nobody confirmed it.
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

    @property
    def over_label(self) -> bool:
        """Whether a gauge was read above the limit on the label."""
        return self.measured > self.limit

    @property
    def verdict(self) -> Verdict:
        """Where the measured value lies to the band; unknown where there is no band."""
        if math.isnan(self.low) or math.isnan(self.high):
            return "unknown"
        if self.measured < self.low:
            return "below"
        return "above" if self.measured > self.high else "within"

    @property
    def is_early(self) -> bool:
        """Whether a sag within its band lies nearer to the one read at once than to the settled one."""
        gap = self.expected - self.at_once
        early = self.measured < self.at_once + gap / 2
        return self.verdict == "within" and gap > READABLE and early


def measured_values(job: Job) -> Section:
    """Return `[measured]` of one sound wheel in SI, pressures gauge [Pa]; empty where nothing was."""
    table = job.tree.get("measured", Table({}))
    return read_fields(table, MEASURED, PATH, Findings(Spelling(job.tree, {})))


@lru_cache(maxsize=8)
def measured_rows(answered: JobAnswer) -> tuple[MeasuredRow, ...]:
    """Return what was measured on one wheel in the order of its keys, each against its expectation."""
    typed = measured_values(answered.job)
    keys = [key for key in _MEASURES if key in typed]
    if not keys:
        return ()
    index = setup_on_bike(answered.job)
    spans, of = _spans(answered, index, typed)
    once = answered.answer.setups[index].at_once
    early = float(once.wheel if of == "travel" else once.stroke)
    rows = tuple(_row(key, index, of, typed, spans[key], early) for key in keys)
    return tuple(_limited(row, answered) if row.key == "gauge" else row for row in rows)


def _limited(row: MeasuredRow, answered: JobAnswer) -> MeasuredRow:
    """Return a gauge read with what the label of its shock allows."""
    spring = answered.case.setups[row.setup].spring
    if not isinstance(spring, Air) or spring.max_pressure is None:
        return row
    limit = gauge(float(spring.max_pressure), float(answered.answer.shop.pressure))
    doubted = "max_pressure" in listed(answered.job.setups[row.setup])
    return replace(row, limit=limit, limit_doubted=doubted)


def _spans(answered: JobAnswer, index: int, typed: Section) -> tuple[dict[Key, Span], str]:
    found = expected(answered.case, index, answered.answer)
    of = str(typed.get("of", answered.case.target.of))
    outside = float(answered.answer.shop.pressure)
    reading = Span(*(gauge(part, outside) for part in (found.gauge.at, found.gauge.low, found.gauge.high)))
    sag = found.wheel if of == "travel" else found.stroke
    return {"sag": sag, "gauge": reading, "scale": found.scale}, of


def _row(key: Key, index: int, of: str, typed: Section, span: Span, early: float) -> MeasuredRow:
    number = typed[key]
    assert isinstance(number, float)
    at, low, high = (float(part) for part in (span.at, span.low, span.high))
    is_sag = key == "sag"
    return MeasuredRow(
        key, index, of if is_sag else "", _MEASURES[key], number, at, low, high, early if is_sag else math.nan
    )
