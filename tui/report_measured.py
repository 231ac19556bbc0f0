"""Whose bike it is, what was measured on it and how it rode, in the plain report."""

from __future__ import annotations

from tui.jobs.answering import JobAnswer
from tui.jobs.fork_words import spoken
from tui.jobs.job import Job
from tui.jobs.measured import Key, measured_rows, measured_values
from tui.jobs.measured_words import compared_text, look_first
from tui.jobs.on_bike import setup_on_bike
from tui.jobs.symptom_words import SYMPTOMS, symptoms_of
from tui.shop_units import Measure, ShopUnits

_LABELS: dict[Key, str] = {"sag": "Sag", "gauge": "Gauge", "scale": "Scale under this wheel"}
_AT = {"travel": " at the wheel", "stroke": " at the shock", "": ""}
_NOTED = (
    ("rebound_clicks", "Rebound, clicks from fully closed", Measure.COUNT),
    ("compression_clicks", "Compression, clicks from fully closed", Measure.COUNT),
    ("tyre", "Tyre", Measure.PRESSURE),
)


def record_lines(job: Job) -> list[str]:
    """Return whose bike it is and how it rode, a line each; none where nobody wrote it down."""
    lines = []
    for key in ("customer", "ticket", "bike"):
        if said := job.get(("record", key)):
            lines.append(f"{key.capitalize()}: {said}")
    if symptoms := symptoms_of(job.get(("ridden", "symptom"))):
        lines.append(f"It rode: {', '.join(SYMPTOMS[symptom].label for symptom in symptoms)}")
    if words := job.get(("ridden", "words")):
        lines.append(f"Rider's words: {words}")
    return lines


def measured_lines(answered: JobAnswer, index: int, units: ShopUnits) -> list[str]:
    """Return what was measured on one wheel with one setup on it, each against what is expected."""
    typed = measured_values(answered.job)
    if not typed or index != setup_on_bike(answered.job):
        return []
    lines = ["  Measured on the bike"]
    rows, fork = measured_rows(answered), answered.answer.frame.fork
    for row in rows:
        lines.append(f"    {_LABELS[row.key]}{spoken(_AT[row.of], fork)}: {compared_text(row, units)}")
        if said := look_first(row, rows):
            lines.append(f"      {'Caution: ' if row.over_label else ''}{said}")
    for key, label, measure in _NOTED:
        if isinstance(number := typed.get(key), float):
            lines.append(f"    {label}: {units.show(number, measure)}")
    return lines if lines[1:] else []
