"""Sentences about a coil's wire: which modulus its rate rests on, and a wire beyond its limit when closed."""

from __future__ import annotations

from physics.wire import WireOrder
from physics.wire_stock import USUAL_MATERIAL
from tui.jobs.wire_words import MATERIAL_WORDS
from tui.shop_units import Measure, ShopUnits

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
