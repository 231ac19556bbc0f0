"""Text with a unit to an SI float.

The ordinary units of the bench stand in a table of exact factors, so a start never pays for the unit
library; it is loaded only when somebody types a unit that is not in the table.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from physics.units_spelling import plain_symbols
from physics.units_table import TABLE, Dimension, Scale

if TYPE_CHECKING:
    import pint

__all__ = ["Dimension", "OutOfReach", "UnitFault", "accepted", "in_unit", "named", "parse", "quoted"]


class UnitFault(ValueError):
    """Text that is no quantity of the dimension asked for: `what` is wrong and what is `accepted`."""

    def __init__(self, what: str, accepted: str) -> None:
        """Keep both halves apart, for callers that lay them out themselves."""
        self.what = what
        self.accepted = accepted
        super().__init__(f"{what}; {accepted}")


class OutOfReach(UnitFault):
    """A quantity that nothing on a bench comes near, in a `unit` that is known."""

    def __init__(self, what: str, accepted: str, unit: str) -> None:
        """Keep the unit, for callers that name a range in it."""
        self.unit = unit
        super().__init__(what, accepted)


_LARGEST = 10**12
_LARGEST_EXPONENT = 99
_LONGEST_TEXT = 200
_LONGEST_QUOTE = 60
_LONGEST_UNIT = 40

_EXAMPLES = {
    Dimension.MASS: '"85 kg" or "187 lb"',
    Dimension.LENGTH: '"150 mm", "15 cm" or "5.9 in"',
    Dimension.FORCE: '"12 N", "2.7 lbf" or "1.2 kgf"',
    Dimension.SPRING_RATE: '"80 N/mm" or "450 lbf/in"',
    Dimension.PRESSURE: '"215 psi", "14.8 bar", "1480 kPa" or "1.48 MPa"',
    Dimension.VOLUME: '"105 cm3", "105 ml", "105 cc" or "6.4 in3"',
    Dimension.TEMPERATURE: '"20 degC", "68 degF" or "293 K"',
    Dimension.ANGLE: '"64 deg" or "1.117 rad"',
    Dimension.FRACTION: '"30 %" or 0.30',
}

_QUANTITY = re.compile(r"([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))(?:[eE]([+-]?\d+))?\s*([^\d.,].*)?")
_GROUPED = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
# Only names, single-digit powers, products and quotients ever reach the unit library's own parser.
_TERM = r"[A-Za-zμ°][A-Za-z_]*(?:(?:\^|\*\*)?-?[1-9])?"
_UNIT = re.compile(rf"{_TERM}(?:[*/]{_TERM})*")
_WEIGHED = (Dimension.SPRING_RATE, Dimension.PRESSURE)
"""What is marked in pounds or kilograms and means their weight."""


def accepted(dimension: Dimension) -> str:
    """Say what text is taken for a quantity of this dimension, with examples."""
    if dimension is Dimension.FRACTION:
        return f"a fraction such as {_EXAMPLES[dimension]} is accepted"
    return f"{named(dimension)} with its unit such as {_EXAMPLES[dimension]} is accepted"


def named(dimension: Dimension) -> str:
    """Return the name of a dimension with its article, e.g. "a spring rate"."""
    return f"{'an' if dimension is Dimension.ANGLE else 'a'} {dimension.value}"


def quoted(text: str) -> str:
    """Return text in quotation marks, shortened where it is long."""
    return f'"{text}"' if len(text) <= _LONGEST_QUOTE else f'"{text[:_LONGEST_QUOTE]}..."'


def parse(text: str, dimension: Dimension, sensible: tuple[float, float] | None = None) -> tuple[float, str]:
    """Read one quantity: its SI value and its unit ("" for a bare fraction).

    A decimal comma is a decimal point. A comma before exactly three digits may also part thousands: it is
    read as whichever of the two lies in the `sensible` range [SI, ends included], and is a fault where both
    or none do. Pressures are taken as they stand, neither gauge nor absolute. Raises `UnitFault` for
    anything that is no finite quantity of this dimension.
    """
    digits, exponent, typed = _split(text, dimension)
    unit = _known(typed, dimension)
    scale = _scale(unit, dimension)
    if exponent is None and _GROUPED.fullmatch(digits):
        digits = _meant(digits, scale, sensible or (-math.inf, math.inf), text)
    number = _number(digits, exponent)
    if number is None or abs(number * scale[0]) > _LARGEST:
        raise OutOfReach(f"{quoted(text)} is out of range", accepted(dimension), unit)
    si = _si(number, scale)
    if dimension is Dimension.TEMPERATURE and si <= 0.0:
        raise UnitFault(f"{quoted(text)} is not above absolute zero", accepted(dimension))
    return si, unit


def in_unit(si: float, unit: str, dimension: Dimension) -> float:
    """Return an SI value as a number of `unit`; raises `UnitFault` for what is no unit of this dimension."""
    factor, offset = _scale(unit, dimension)
    return si / float(factor) - float(offset)


def _split(text: str, dimension: Dimension) -> tuple[str, str | None, str]:
    """Return digits, exponent if any and unit of a quantity as they stand."""
    match = _QUANTITY.fullmatch(text.strip().replace("−", "-")) if len(text) <= _LONGEST_TEXT else None
    if match is None:
        raise UnitFault(f"{quoted(text)} is not a number with a unit", accepted(dimension))
    unit = (match[3] or "").strip()
    if not unit and dimension is not Dimension.FRACTION:
        raise UnitFault(f"{quoted(text)} has no unit", accepted(dimension))
    return match[1], match[2], unit


def _meant(digits: str, scale: Scale, sensible: tuple[float, float], text: str) -> str:
    """Return digits with one comma as thousands or as decimals, whichever is sensible."""
    low, high = sensible
    readings = digits.replace(",", ""), digits.replace(",", ".")
    meant = [number for number in readings if low <= _si(Fraction(number), scale) <= high]
    if len(meant) != 1:
        # One character decides a factor of a thousand here: ask instead of guessing.
        what = f"{quoted(text)} may be thousands or decimals"
        raise UnitFault(what, 'write "{}" or "{}"'.format(*readings))
    return meant[0]


def _number(digits: str, exponent: str | None) -> Fraction | None:
    """Return a number as typed, None where it is beyond all reach."""
    # The exact number type takes neither a comma nor a point without decimals after it.
    number = Fraction(digits.replace(",", ".").rstrip("."))
    power = int(exponent or 0)
    if power > _LARGEST_EXPONENT:
        return None if number else number
    # Exact arithmetic on a hostile exponent would never come back.
    return number * Fraction(10) ** power if power >= -_LARGEST_EXPONENT else Fraction(0)


def _si(number: Fraction, scale: Scale) -> float:
    factor, offset = scale
    # Exact until the last step, so that "60 mm" is the float nearest to 0.06.
    return float((number + offset) * factor)


def _known(typed: str, dimension: Dimension) -> str:
    """Return a unit as the table writes it, else in plain symbols; caps lock is no fault."""
    table = TABLE[dimension]
    plain = plain_symbols(typed) if len(typed) <= _LONGEST_UNIT else typed
    for unit in (typed, plain):
        if unit in table:
            return unit
        # A capital decides between mega and milli.
        if unit.casefold() != "mpa":
            for name in table:
                if name.casefold() == unit.casefold():
                    return name
    return plain


@lru_cache(maxsize=256)
def _scale(unit: str, dimension: Dimension) -> Scale:
    known = TABLE[dimension].get(unit)
    if known is not None:
        return known
    wrong = UnitFault(f"{quoted(unit)} is no unit of {dimension.value}", accepted(dimension))
    if dimension is Dimension.FRACTION:
        raise wrong
    try:
        zero, one = (_library_si(number, _library_name(unit), dimension) for number in (0.0, 1.0))
        factor = Fraction(one) - Fraction(zero)
        return factor, Fraction(zero) / factor
    except Exception as error:  # its parser fails in many ways; each means the same to the mechanic
        raise wrong from error


@cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint  # loading it takes longer than a whole answer

    return pint.UnitRegistry(cache_folder=None)


_LIBRARY_REFERENCE = {
    Dimension.MASS: "kg",
    Dimension.LENGTH: "m",
    Dimension.FORCE: "N",
    Dimension.SPRING_RATE: "N/m",
    Dimension.PRESSURE: "Pa",
    Dimension.VOLUME: "m**3",
    Dimension.TEMPERATURE: "K",
    Dimension.ANGLE: "rad",
}


def _library_name(unit: str) -> str:
    """Return a unit in the spelling of the library; raises `ValueError` for what must not reach it."""
    name = re.sub(r"\s+", "*", re.sub(r"\s*([*/])\s*", r"\1", unit))
    if len(unit) > _LONGEST_UNIT or not _UNIT.fullmatch(name) or "delta" in unit:
        raise ValueError(unit)
    # "cm3" and "cm-3" are powers to people and names to the library.
    return re.sub(r"(?<=[A-Za-z])(-?[1-9])", r"**\1", name.replace("^", "**")).replace("°", "deg")


def _library_si(number: float, name: str, dimension: Dimension) -> float:
    registry = _registry()
    quantity = registry.Quantity(number, name)
    reference = registry.Unit(_LIBRARY_REFERENCE[dimension])
    # Percent and radian are both pure numbers to the library; only the base unit tells them apart.
    if dimension is Dimension.ANGLE and quantity.to_base_units().units != reference:
        raise ValueError(name)
    if dimension in _WEIGHED and not quantity.is_compatible_with(reference):
        quantity = quantity * registry.Quantity(1.0, "standard_gravity")
    return float(quantity.to(reference).magnitude)
