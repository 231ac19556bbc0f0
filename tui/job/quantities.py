"""Quantities as text: the number and the unit typed, and what they are in SI; no fraction is read unseen."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, TypeGuard

from tui.job.tree import Raw, clean
from tui.shop_units import Measure

if TYPE_CHECKING:
    from physics.units import Dimension

_BARE = re.compile(r"[+-]?(?:\d+[.,]?\d*|[.,]\d+)")
_LENGTHS: Mapping[str, str] = {"in": "1.8 in"}
"""A length near the sag of a bike in units other than mm."""
_TEXT_NUMBER = re.compile(r"([+-]?(?:\d+[.,]?\d*|[.,]\d+))\s*(.*)")


def is_bare(text: str) -> bool:
    """Return whether a text is a number alone."""
    return _BARE.fullmatch(text.strip().replace("−", "-")) is not None


def with_unit(text: str, unit: str) -> str:
    """Return the text with the unit that was shown if it is a number alone, else as it is."""
    return f"{text.strip()} {unit}".strip() if is_bare(text) else text


def is_fraction(text: str) -> bool:
    """Return whether a text is a number alone between 0 and 1, which may be meant as a share of the whole."""
    return is_bare(text) and 0 < abs(_number(text)) < 1


def fraction_unseen(text: str, length: str = "") -> str:
    """Return what to write in place of a fraction: per cent, or a length where one is taken as well."""
    share = f"{float(f'{_number(text) * 100:.6g}'):g} %"
    write = f"{share} or {length}" if length else share
    return f'"{text.strip()}" may be a share of the whole: write {write}'


def sag_length(unit: str) -> str:
    """Return the length of a usual sag as an example, in `unit`."""
    return _LENGTHS.get(unit, f"45 {unit}")


def _number(text: str) -> float:
    return float(text.strip().replace("−", "-").replace(",", "."))


def split(text: object) -> tuple[str, str] | None:
    """Return the number and the unit of a quantity as typed, None where it is none."""
    if not isinstance(text, str):
        return None
    match = _TEXT_NUMBER.fullmatch(text.strip().replace("−", "-"))
    return (match[1], match[2].strip()) if match else None


def dimension_of(measure: Measure) -> Dimension | None:
    """Return the dimension that the units of a measure have, None for a bare number."""
    from physics.units import Dimension  # most fields never ask

    name = "LENGTH" if measure in (Measure.TRAVEL, Measure.ALTITUDE) else measure.name
    return Dimension[name] if name in Dimension.__members__ else None


def in_si(text: str, measure: Measure) -> float | None:
    """Return a quantity as typed in SI, None where it is none of this measure."""
    from physics.units import UnitFault, parse  # most fields never ask

    dimension = dimension_of(measure)
    try:
        return parse(text, dimension)[0] if dimension is not None else None
    except UnitFault:
        return None


def number(text: str) -> Decimal:
    """Return a number as typed."""
    return Decimal(text.replace(",", "."))


def is_number(raw: object) -> TypeGuard[int | float]:
    """Return whether a raw value is a bare number."""
    return isinstance(raw, int | float) and not isinstance(raw, bool)


def plain(raw: Raw) -> str:
    """Return any raw value as one line of text, empty for nothing."""
    if raw is None:
        return ""
    return raw if isinstance(raw, str) else clean(str(raw))
