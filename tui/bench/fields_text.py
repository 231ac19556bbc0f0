"""Numbers as people write them: a decimal comma or point, perhaps with a unit behind."""

from __future__ import annotations

import re
from decimal import Decimal

from tui.jobs.clean import clean
from tui.jobs.tree import Raw
from tui.shop_units import Measure

_DIMENSIONS = {Measure.TRAVEL: "LENGTH", Measure.ALTITUDE: "LENGTH"} | {
    measure: measure.name
    for measure in (
        Measure.MASS,
        Measure.FORCE,
        Measure.SPRING_RATE,
        Measure.PRESSURE,
        Measure.VOLUME,
        Measure.TEMPERATURE,
        Measure.ANGLE,
    )
}
_NUMBER = re.compile(r"([+-]?(?:\d+[.,]?\d*|[.,]\d+))\s*(.*)")


def split(text: object) -> tuple[str, str] | None:
    """Return the number and the unit of a quantity as typed, None where it is none."""
    if not isinstance(text, str):
        return None
    match = _NUMBER.fullmatch(text.strip().replace("−", "-"))
    return (match[1], match[2].strip()) if match else None


def in_si(text: str, measure: Measure) -> float | None:
    """Return a quantity as typed in SI, None where it is none of this measure."""
    from physics.units import Dimension, UnitFault, parse  # most fields never ask

    try:
        return parse(text, Dimension[_DIMENSIONS[measure]])[0]
    except UnitFault:
        return None


def number(text: str) -> Decimal:
    """Return a number as typed."""
    return Decimal(text.replace(",", "."))


def is_number(raw: Raw) -> bool:
    """Return whether a raw value is a bare number."""
    return isinstance(raw, int | float) and not isinstance(raw, bool)


def plain(raw: Raw) -> str:
    """Return any raw value as one line of text, empty for nothing."""
    if raw is None:
        return ""
    return raw if isinstance(raw, str) else clean(str(raw))
