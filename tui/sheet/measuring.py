"""What was measured on the bike against what was expected; lines to fill in where nothing was."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from physics.expected import Span, expected
from tui.jobs.answering import JobAnswer
from tui.jobs.clean import brief
from tui.jobs.fork_words import spoken
from tui.jobs.measured import Key, MeasuredRow, measured_rows, measured_values
from tui.jobs.measured_words import LET_AIR_OUT, limit_passed
from tui.sheet.model import Blank, Line, Section, Warned
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge

_LABELS: dict[Key, str] = {"sag": "Sag", "gauge": "Gauge", "scale": "Scale under this wheel"}
_VERDICTS = {"within": "as expected", "below": "below that", "above": "above that", "unknown": ""}


def measured_section(answered: JobAnswer, units: ShopUnits) -> Section:
    """Return what was read off one wheel beside what its setup lets expect, and lines for the rest."""
    found = {row.key: row for row in measured_rows(answered)}
    hints = _hints(answered, units)
    parts: list[Line | Blank | Warned] = []
    for key, label in _LABELS.items():
        if key in found:
            parts.append(_against(label, found[key], answered, units))
            if found[key].over_label:
                parts.append(Warned(spoken(LET_AIR_OUT, answered.answer.frame.fork)))
        elif key != "gauge" or hints[key]:
            parts.append(Blank(label, hints[key]))
    return Section("Measured on the bike", (*parts, *_noted(answered, units)))


def _against(label: str, row: MeasuredRow, answered: JobAnswer, units: ShopUnits) -> Line:
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
    return Line(label, ", ".join(told))


def _name(answered: JobAnswer, index: int) -> str:
    return answered.answer.setups[index].name


def _noted(answered: JobAnswer, units: ShopUnits) -> Iterator[Line | Blank]:
    """Return what is written down and held against nothing."""
    typed = measured_values(answered.job)
    for key, label in (("rebound_clicks", "Rebound"), ("compression_clicks", "Compression")):
        if key in typed:
            yield Line(label, f"{_number(typed, key):.0f} clicks from fully closed")
        else:
            yield Blank(label, "clicks from fully closed")
    if "tyre" in typed:
        yield Line("Tyre", units.show(_number(typed, "tyre"), Measure.PRESSURE))
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
