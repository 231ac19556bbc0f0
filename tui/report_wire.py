"""A coil's wire in the plain report and on the sheet: the one that was measured, and the one to order."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from physics.case import Coil
from physics.wire import WireOrder, compared_materials, order_for
from tui.jobs.wire_told import closed_text, modulus_text
from tui.jobs.wire_words import MATERIAL_WORDS, NO_WIRE
from tui.shop_units import ABSENT, Measure, ShopUnits

if TYPE_CHECKING:
    from physics.answer import WireAnswer


def wire_lines(coil: Coil, found: WireAnswer, units: ShopUnits) -> Iterator[str]:
    """Yield what a measured coil makes, carries and weighs by its wire."""
    rate, band = (
        units.show(float(found.rate), Measure.SPRING_RATE),
        units.show(float(found.band), Measure.FRACTION),
    )
    stress, closed, wound, by_maker = (
        units.show(float(pressure), Measure.STRESS)
        for pressure in (found.stress, found.solid_stress, found.allowed, found.allowed_set)
    )
    solid, gap, due = (
        units.show(float(length), Measure.TRAVEL) for length in (found.solid_length, found.gap, found.gap_due)
    )
    mass = units.show(float(found.mass), Measure.SPRING_MASS)
    surge = units.show(float(found.surge), Measure.SURGE)
    yield f"By its wire: {rate}, give or take {band}; {mass}; swings by itself at {surge}"
    yield f"Wire at full stroke: {stress}; limit {wound} as wound, {by_maker} if set by its maker"
    if closed != ABSENT:
        yield f"Wire closed, all coils touching: {closed}"
    if found.beyond_table:
        yield "This wire is thicker than the table of strengths goes: its limits are a guess"
    if coil.wire is not None and (modulus := modulus_text(coil.wire.material)):
        yield modulus.removesuffix(".")
    room = f"Solid at {solid}"
    yield room if gap == ABSENT else f"{room}, {gap} left at full stroke where {due} is due"


def order_lines(coil: Coil, stroke: float, units: ShopUnits) -> Iterator[str]:
    """Yield the wires to order for a solved coil on a shock of `stroke` [m], none for one in stages.

    Only where the inner diameter is known: what is written down has no guess in it.
    """
    if coil.rate is None or coil.inner_diameter is None or coil.rate != coil.rate:
        return
    for material in compared_materials(coil):
        order = order_for(coil, stroke, material)
        if not order.found:
            yield f"No {MATERIAL_WORDS[material]} wire does it: {NO_WIRE[str(order.limit)]}"
            continue
        yield f"Wire to order, {MATERIAL_WORDS[material]}: {_ordered(order, units)}"
        if order.closed_beyond:
            yield closed_text(material, order, units).removesuffix(".")


def _ordered(order: WireOrder, units: ShopUnits) -> str:
    wire, free = (units.show(float(size), Measure.TRAVEL) for size in (order.diameter, order.free_length))
    total = units.plain(float(order.total_coils), Measure.RATIO)
    stress, closed, limit = (
        units.show(float(pressure), Measure.STRESS)
        for pressure in (order.stress, order.solid_stress, order.allowed)
    )
    band = units.show(float(order.band), Measure.FRACTION)
    return (
        f"{wire} thick, {total} coils, {free} long, rate give or take {band}; {stress} at full stroke, "
        f"{closed} closed; limit {limit} if set by its maker"
    )
