"""Measured against expected in words: where a number lies, and what to look at first if it lies outside."""

from __future__ import annotations

from collections.abc import Sequence

from tui.jobs.measured import Key, MeasuredRow, Verdict
from tui.shop_units import ShopUnits

NOTHING_EXPECTED = "there is nothing to hold it against"
_VERDICTS: dict[Verdict, str] = {
    "within": "within the band",
    "below": "below the band",
    "above": "above the band",
}
_EARLY = "as read at once: sit still, read again"
_SAG = "Look first at load and posture ({weight} weight here?), then at friction, then at the leverage."
_SCALE = (
    "{weight} rests here than the load says: weigh rider and kit again, mind the posture, or take the load "
    "from the scale."
)
_LOOK_FIRST: dict[tuple[Key, Verdict], str] = {
    ("sag", "below"): _SAG.format(weight="less"),
    ("sag", "above"): _SAG.format(weight="more"),
    ("gauge", "below"): "Less than was set: a leak, colder air, or too little pumped.",
    ("gauge", "above"): "More than was set: warmer air, or too much pumped.",
    ("scale", "below"): _SCALE.format(weight="Less"),
    ("scale", "above"): _SCALE.format(weight="More"),
}
LET_AIR_OUT = (
    "Let air out before anything else: eye protection on, valve away from the face; in doubt, a qualified "
    "technician."
)
GAUGE_FIRST = "The gauge is off too: set the pressure right first, then read the sag again."


def compared_text(row: MeasuredRow, units: ShopUnits) -> str:
    """Return "43.0 mm, expected 42.9 mm, 36.5 mm at once (34.3 to 45.1 mm): within the band"."""
    measured = units.show(row.measured, row.measure) + limit_passed(row, units)
    if row.verdict == "unknown":
        return f"{measured}, {NOTHING_EXPECTED}"
    low, high = (units.plain(end, row.measure) for end in (row.low, row.high))
    band = f"{low} to {high} {units.unit(row.measure)}"
    expected = units.show(row.expected, row.measure)
    if row.at_once < row.expected and row.verdict == "within":
        expected += f", {units.show(row.at_once, row.measure)} at once"
    verdict = f"within the band, {_EARLY}" if row.is_early else _VERDICTS[row.verdict]
    return f"{measured}, expected {expected} ({band}): {verdict}"


def limit_passed(row: MeasuredRow, units: ShopUnits) -> str:
    """Return ", above the label's limit of 320 psi" for a gauge that is, and whether that is unverified."""
    if not row.over_label:
        return ""
    doubt = " (unverified)" if row.limit_doubted else ""
    return f", above the label's limit of {units.show(row.limit, row.measure)}{doubt}"


def look_first(row: MeasuredRow, rows: Sequence[MeasuredRow]) -> str:
    """Return what to look at first for a number outside of its band, empty for one within.

    `rows` are all those of the wheel: a pressure that is off makes the sag so. A gauge above the label comes
    before its band.
    """
    if row.over_label:
        return LET_AIR_OUT
    if row.key == "sag" and row.verdict in ("below", "above") and gauge_is_off(rows):
        return GAUGE_FIRST
    return _LOOK_FIRST.get((row.key, row.verdict), "")


def gauge_is_off(rows: Sequence[MeasuredRow]) -> bool:
    """Return whether the pressure lies outside of its band."""
    return any(row.key == "gauge" and row.verdict in ("below", "above") for row in rows)
