"""Sentences about a coil's wire: which modulus its rate rests on, and a wire beyond its limit when closed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from physics.answer import SetupAnswer, WireAnswer
from physics.case import Coil
from physics.wire import WireOrder, compared_materials, order_for
from physics.wire_stock import USUAL_MATERIAL
from tui.job.choices import MATERIAL_WORDS, NO_WIRE
from tui.shop_units import ABSENT, Measure, ShopUnits, number

if TYPE_CHECKING:
    from physics.answer import WireAnswer

MODULUS = "G 79.5 GPa (EN 13906-1); 77.2 GPa (handbook), also in use, is within the band of the rate"
"""What the rate of chrome-silicon wire is reckoned with."""


def modulus_text(material: str) -> str:
    """Return what is to be said of the shear modulus of a material, empty where its sources agree."""
    return f"{MATERIAL_WORDS[material].capitalize()}: {MODULUS}." if material == USUAL_MATERIAL else ""


def closed_text(material: str, order: WireOrder, units: ShopUnits) -> str:
    """Say that a wire to order is beyond its limit where all coils touch."""
    closed, limit = (
        units.show(float(stress), Measure.STRESS) for stress in (order.solid_stress, order.allowed)
    )
    return (
        f"Closed, the {MATERIAL_WORDS[material]} carries {closed}, more than the {limit} of a coil set by "
        "its maker: pressed solid it may settle. Ask the maker."
    )


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


_MM = 1e-3
_N_PER_MM = 1e3
_MPA = 1e6

_WIRE_KEYS = {
    "rate_n_per_mm": ("rate", _N_PER_MM),
    "rate_band": ("band", 1.0),
    "full_stroke_n": ("force", 1.0),
    "stress_mpa": ("stress", _MPA),
    "solid_stress_mpa": ("solid_stress", _MPA),
    "tensile_strength_mpa": ("strength", _MPA),
    "limit_as_wound_mpa": ("allowed", _MPA),
    "limit_set_mpa": ("allowed_set", _MPA),
    "solid_length_mm": ("solid_length", _MM),
    "gap_mm": ("gap", _MM),
    "gap_due_mm": ("gap_due", _MM),
    "buckling_length_mm": ("buckling_length", _MM),
    "surge_hz": ("surge", 1.0),
    "mass_kg": ("mass", 1.0),
}
_ORDER_KEYS = {
    "wire_diameter_mm": ("diameter", _MM),
    "mean_diameter_mm": ("mean_diameter", _MM),
    "active_coils": ("active_coils", 1.0),
    "total_coils": ("total_coils", 1.0),
    "free_length_mm": ("free_length", _MM),
    "solid_length_mm": ("solid_length", _MM),
    "stress_mpa": ("stress", _MPA),
    "solid_stress_mpa": ("solid_stress", _MPA),
    "limit_as_wound_mpa": ("as_wound", _MPA),
    "limit_set_mpa": ("allowed", _MPA),
    "rate_band": ("band", 1.0),
    "surge_hz": ("surge", 1.0),
    "mass_kg": ("mass", 1.0),
}


def wire_objects(setup: SetupAnswer, stroke: float) -> dict[str, Any]:
    """Return what the spring weighs, its wire where it is measured, and wires to order on `stroke` [m].

    Those only where the inner diameter is known: the headless answer has no guess in it.
    """
    found: dict[str, Any] = {"mass_kg": number(setup.mass)}
    if setup.coil is not None and setup.coil.wire is not None:
        found["wire"] = _wire_object(setup.coil.wire)
    coil = setup.setup.spring
    if isinstance(coil, Coil) and coil.rate is not None and coil.inner_diameter is not None:
        found["wire_to_order"] = [
            {"material": name, **_order_object(order_for(coil, stroke, name))}
            for name in compared_materials(coil)
        ]
    return found


def _wire_object(wire: WireAnswer) -> dict[str, Any]:
    numbers = {key: number(getattr(wire, name), unit) for key, (name, unit) in _WIRE_KEYS.items()}
    return {**numbers, "beyond_table": wire.beyond_table}


def _order_object(order: WireOrder) -> dict[str, Any]:
    numbers = {key: number(getattr(order, name), unit) for key, (name, unit) in _ORDER_KEYS.items()}
    found = bool(order.found)
    marks = {
        "solid_beyond_limit": bool(order.closed_beyond),
        "beyond_table": bool(order.beyond_table),
    }
    return {"found": found, "limit": str(order.limit), **numbers, **marks}
