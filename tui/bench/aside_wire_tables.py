"""The tables of a coil as wire: what is beside what it is held against, and wires to order side by side."""

from __future__ import annotations

import math
from collections.abc import Sequence

from physics.answer import WireAnswer
from physics.arrays import Values
from physics.case import Coil, Wire
from physics.wire import WireOrder
from tui.jobs.wire_words import END_WORDS, LIMIT_WORDS, MATERIAL_WORDS
from tui.shop_units import Measure, ShopUnits

Line = tuple[str, ...]

_LENGTH, _RATE, _STRESS, _COUNT = Measure.TRAVEL, Measure.SPRING_RATE, Measure.STRESS, Measure.RATIO


def described(wire: Wire, units: ShopUnits) -> str:
    """Say what a coil is wound from."""
    thick, mean = (units.show(float(size), _LENGTH) for size in (wire.diameter, wire.mean_diameter))
    working, total = (units.plain(float(count), _COUNT) for count in (wire.active_coils, wire.total_coils))
    return (
        f"{MATERIAL_WORDS[wire.material].capitalize()}, {thick} wire on a mean diameter of {mean}; {working} "
        f"of {total} coils work; ends {END_WORDS[wire.ends]}."
    )


def measured(coil: Coil, wire: Wire, found: WireAnswer, units: ShopUnits) -> list[Line]:
    """Return rows of what the coil does and what that is held against."""

    def plain(number: Values | float | None, measure: Measure) -> str:
        return units.plain(math.nan if number is None else float(number), measure)

    mass, force = Measure.SPRING_MASS, Measure.FORCE
    return [
        ("", "is", "against"),
        (f"rate {units.unit(_RATE)}", plain(found.rate, _RATE), f"asked {plain(coil.rate, _RATE)}"),
        ("may stray by %", plain(found.band, Measure.FRACTION), f"grade {wire.grade}"),
        (f"load {units.unit(force)}", plain(found.force, force), ""),
        (
            f"stress {units.unit(_STRESS)}",
            plain(found.stress, _STRESS),
            f"wound {plain(found.allowed, _STRESS)}",
        ),
        ("", "", f"set {plain(found.allowed_set, _STRESS)}"),
        (
            f"if solid {units.unit(_STRESS)}",
            plain(found.solid_stress, _STRESS),
            f"tensile {plain(found.strength, _STRESS)}",
        ),
        (
            f"gap left {units.unit(_LENGTH)}",
            plain(found.gap, _LENGTH),
            f"due {plain(found.gap_due, _LENGTH)}",
        ),
        (f"solid {units.unit(_LENGTH)}", plain(found.solid_length, _LENGTH), ""),
        (
            f"free {units.unit(_LENGTH)}",
            plain(coil.free_length, _LENGTH),
            f"bows {plain(found.buckling_length, _LENGTH)}",
        ),
        (f"surge {units.unit(Measure.SURGE)}", plain(found.surge, Measure.SURGE), ""),
        (f"weight {units.unit(mass)}", plain(found.mass, mass), ""),
    ]


def ordered(orders: Sequence[WireOrder], names: Sequence[str], units: ShopUnits) -> list[Line]:
    """Return wires to order side by side, a dash throughout for one that does not exist."""

    def line(label: str, field: str, measure: Measure) -> Line:
        unit = units.unit(measure)
        numbers = (units.plain(float(getattr(order, field)), measure) for order in orders)
        return (f"{label} {unit}".rstrip(), *numbers)

    return [
        ("", *names),
        line("wire", "diameter", _LENGTH),
        line("coils in all", "total_coils", _COUNT),
        line("that work", "active_coils", _COUNT),
        line("free", "free_length", _LENGTH),
        line("solid", "solid_length", _LENGTH),
        line("stress", "stress", _STRESS),
        line("closed", "solid_stress", _STRESS),
        line("limit, set", "allowed", _STRESS),
        line("limit, wound", "as_wound", _STRESS),
        line("rate strays", "band", Measure.FRACTION),
        line("surge", "surge", Measure.SURGE),
        line("weight", "mass", Measure.SPRING_MASS),
        ("thinner fails", *(LIMIT_WORDS[str(order.limit)] if order.found else "-" for order in orders)),
    ]
