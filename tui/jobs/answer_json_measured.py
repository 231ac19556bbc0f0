"""The part of the JSON answer about what was measured on the bike."""

from __future__ import annotations

from typing import Any

from tui.jobs.answer_json_springs import number
from tui.jobs.answering import JobAnswer
from tui.jobs.fields import Section
from tui.jobs.measured import Key, MeasuredRow, measured_rows, measured_values
from tui.jobs.measured_words import LET_AIR_OUT, compared_text
from tui.jobs.on_bike import setup_on_bike
from tui.jobs.values import maybe
from tui.shop_units import USUAL

_PSI = 6894.757293168
_COMPARED: dict[Key, tuple[str, float]] = {
    "sag": ("sag_mm", 1e-3),
    "gauge": ("gauge_psi", _PSI),
    "scale": ("scale_kg", 1.0),
}


def measured_object(answered: JobAnswer, index: int) -> dict[str, Any] | None:
    """Return what was measured with a setup on the bike, each beside what is expected; None for another.

    What was not measured is null.
    """
    typed = measured_values(answered.job)
    if not typed or index != setup_on_bike(answered.job):
        return None
    rows = {row.key: row for row in measured_rows(answered)}
    compared = {name: _row(rows.get(key), unit) for key, (name, unit) in _COMPARED.items()}
    tyre = maybe(typed, "tyre")
    return {
        "sag_of": rows["sag"].of if "sag" in rows else None,
        **compared,
        "rebound_clicks": _count(typed, "rebound_clicks"),
        "compression_clicks": _count(typed, "compression_clicks"),
        "tyre_psi": None if tyre is None else number(tyre, _PSI),
    }


def measured_cautions(answered: JobAnswer, index: int) -> list[dict[str, str]]:
    """Return a caution where the gauge of the setup on the bike was read above its label's limit."""
    if index != setup_on_bike(answered.job):
        return []
    over = (row for row in measured_rows(answered) if row.over_label)
    return [
        {
            "code": "measured_over_label",
            "text": f"The gauge read {compared_text(row, USUAL)}. {LET_AIR_OUT}",
        }
        for row in over
    ]


def _row(row: MeasuredRow | None, unit: float) -> dict[str, Any] | None:
    if row is None:
        return None
    found: dict[str, Any] = {
        "measured": number(row.measured, unit),
        "expected": number(row.expected, unit),
        "low": number(row.low, unit),
        "high": number(row.high, unit),
    }
    if row.key == "sag":
        found["at_once"] = number(row.at_once, unit)
    if row.key == "gauge":
        found |= {"limit": number(row.limit, unit), "over_label": row.over_label}
    return {**found, "verdict": row.verdict}


def _count(typed: Section, key: str) -> int | None:
    clicks = maybe(typed, key)
    return None if clicks is None else int(clicks)
