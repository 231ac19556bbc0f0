"""A coil's wire in the plain report."""

from __future__ import annotations

from physics.answer import WireAnswer
from tui.shop_units import ABSENT, Measure, ShopUnits


def wire_lines(wire: WireAnswer, units: ShopUnits) -> list[str]:
    """Return what a measured coil makes, carries and weighs by its wire."""
    rate, band = (
        units.show(float(wire.rate), Measure.SPRING_RATE),
        units.show(float(wire.band), Measure.FRACTION),
    )
    stress, wound, by_maker = (
        units.show(float(pressure), Measure.STRESS)
        for pressure in (wire.stress, wire.allowed, wire.allowed_set)
    )
    solid, gap, due = (
        units.show(float(length), Measure.TRAVEL) for length in (wire.solid_length, wire.gap, wire.gap_due)
    )
    mass = units.show(float(wire.mass), Measure.SPRING_MASS)
    surge = units.show(float(wire.surge), Measure.SURGE)
    lines = [
        f"  By its wire: {rate}, give or take {band}; {mass}; swings by itself at {surge}",
        f"  Wire at full stroke: {stress}; limit {wound} as wound, {by_maker} if set by its maker",
    ]
    if wire.beyond_table:
        lines.append("  This wire is thicker than the table of strengths goes: its limits are a guess")
    room = f"  Solid at {solid}"
    return [*lines, room if gap == ABSENT else f"{room}, {gap} left at full stroke where {due} is due"]
