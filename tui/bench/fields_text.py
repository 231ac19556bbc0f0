"""Numbers as people write them: a decimal comma or point, perhaps with a unit behind."""

from __future__ import annotations

import re
from decimal import Decimal

from physics.units import Dimension, UnitFault, parse
from tui.jobs.clean import clean
from tui.jobs.tree import Raw
from tui.shop_units import Measure

_DIMENSIONS = {
    Measure.MASS: Dimension.MASS,
    Measure.TRAVEL: Dimension.LENGTH,
    Measure.ALTITUDE: Dimension.LENGTH,
    Measure.FORCE: Dimension.FORCE,
    Measure.SPRING_RATE: Dimension.SPRING_RATE,
    Measure.PRESSURE: Dimension.PRESSURE,
    Measure.VOLUME: Dimension.VOLUME,
    Measure.TEMPERATURE: Dimension.TEMPERATURE,
    Measure.ANGLE: Dimension.ANGLE,
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
    try:
        return parse(text, _DIMENSIONS[measure])[0]
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
