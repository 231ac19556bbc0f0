"""The part of the JSON answer about weight and about a coil's wire."""

from __future__ import annotations

from typing import Any

from physics.answer import SetupAnswer, WireAnswer
from physics.case import Coil
from physics.wire import WireOrder, compared_materials, order_for
from tui.jobs.answer_json_springs import number

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
