"""Text with a unit to an SI float and back.

The ordinary units of the bench stand in a table of exact factors, so a start never pays for the unit
library; it is loaded only when somebody types a unit that is not in the table.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pint


class Dimension(Enum):
    """What a quantity measures; the value is its name in messages. SI units in brackets below.

    Mass [kg], length [m], force [N], spring rate [N/m], pressure [Pa], volume [m³], temperature [K],
    angle [rad], fraction [1].
    """

    MASS = "mass"
    LENGTH = "length"
    FORCE = "force"
    SPRING_RATE = "spring rate"
    PRESSURE = "pressure"
    VOLUME = "volume"
    TEMPERATURE = "temperature"
    ANGLE = "angle"
    FRACTION = "fraction"


class UnitFault(ValueError):
    """Text that is no quantity of the dimension asked for: `what` is wrong and what is `accepted`."""

    def __init__(self, what: str, accepted: str) -> None:
        """Keep both halves apart, for callers that lay them out themselves."""
        self.what = what
        self.accepted = accepted
        super().__init__(f"{what}; {accepted}")


_LARGEST = 1e12
_INCH = Fraction("0.0254")
_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_POUND_FORCE = _POUND * _GRAVITY
_MILLI = Fraction(1, 1000)
_DEGREE = Fraction(math.pi) / 180
_CELSIUS_ZERO = Fraction("273.15")
_FAHRENHEIT_ZERO = Fraction("459.67")
_ZERO = Fraction(0)

# Factor and offset: the offset is added to the number before the factor is applied.
_Scale = tuple[Fraction, Fraction]


def _plain(**factors: Fraction | int) -> dict[str, _Scale]:
    return _named(factors)


def _named(factors: Mapping[str, Fraction | int]) -> dict[str, _Scale]:
    return {name: (Fraction(factor), _ZERO) for name, factor in factors.items()}


_TABLE: dict[Dimension, dict[str, _Scale]] = {
    Dimension.MASS: _plain(kg=1, lb=_POUND, lbs=_POUND, g=_MILLI),
    Dimension.LENGTH: _named({"mm": _MILLI, "cm": Fraction(1, 100), "m": 1, "in": _INCH, "inch": _INCH}),
    Dimension.FORCE: _plain(N=1, lbf=_POUND_FORCE, kgf=_GRAVITY, kN=1000),
    # A spring is marked in pounds or kilograms per length and means their weight.
    Dimension.SPRING_RATE: _named(
        {
            "N/mm": 1000,
            "lbf/in": _POUND_FORCE / _INCH,
            "lb/in": _POUND_FORCE / _INCH,
            "lbs/in": _POUND_FORCE / _INCH,
            "N/m": 1,
            "kgf/mm": _GRAVITY / _MILLI,
            "kg/mm": _GRAVITY / _MILLI,
        }
    ),
    Dimension.PRESSURE: _plain(
        psi=_POUND_FORCE / _INCH**2,
        PSI=_POUND_FORCE / _INCH**2,
        bar=100_000,
        kPa=1000,
        MPa=1_000_000,
        Pa=1,
    ),
    Dimension.VOLUME: _named(
        {name: Fraction(1, 10**6) for name in ("cm3", "ml", "mL", "cc", "cm³", "cm^3")}
        | dict.fromkeys(("in3", "in³", "in^3"), _INCH**3)
        | {"m3": Fraction(1)}
    ),
    Dimension.TEMPERATURE: {
        "degC": (Fraction(1), _CELSIUS_ZERO),
        "°C": (Fraction(1), _CELSIUS_ZERO),
        "degF": (Fraction(5, 9), _FAHRENHEIT_ZERO),
        "°F": (Fraction(5, 9), _FAHRENHEIT_ZERO),
        "K": (Fraction(1), _ZERO),
    },
    Dimension.ANGLE: _named({"deg": _DEGREE, "°": _DEGREE, "rad": 1}),
    Dimension.FRACTION: _named({"%": Fraction(1, 100), "": 1}),
}

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

# The exponent is kept short: exact arithmetic on a hostile one would never come back.
_QUANTITY = re.compile(
    r"([+-]?(?:\d{1,40}(?:[.,]\d{0,40})?|[.,]\d{1,40})(?:[eE][+-]?\d{1,2})?)\s*([^\d.,].*)?"
)
_GROUPED = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
# Only names, single-digit powers, products and quotients ever reach the unit library's own parser.
_TERM = r"[A-Za-zµμ°][A-Za-z_]*(?:(?:\^|\*\*)?-?[1-9])?"
_UNIT = re.compile(rf"{_TERM}(?:\s*[*/·]\s*{_TERM})*")


def accepted(dimension: Dimension) -> str:
    """Say what text is taken for a quantity of this dimension, with examples."""
    if dimension is Dimension.FRACTION:
        return f"a fraction such as {_EXAMPLES[dimension]} is accepted"
    return f"{named(dimension)} with its unit such as {_EXAMPLES[dimension]} is accepted"


def named(dimension: Dimension) -> str:
    """Return the name of a dimension with its article, e.g. "a spring rate"."""
    return f"{'an' if dimension is Dimension.ANGLE else 'a'} {dimension.value}"


def parse(text: str, dimension: Dimension, sensible: tuple[float, float] | None = None) -> tuple[float, str]:
    """Read one quantity: its SI value and its unit ("" for a bare fraction).

    A decimal comma is a decimal point. A comma before exactly three digits may also part thousands: it is
    read as whichever of the two lies in the `sensible` range [SI, ends included], and is a fault where both
    or none do. Pressures are taken as they stand, neither gauge nor absolute. Raises `UnitFault` for
    anything that is no finite quantity of this dimension.
    """
    digits, typed = _split(text, dimension)
    unit = _known(typed, dimension)
    if not _GROUPED.fullmatch(digits):
        return _si(_number(digits), unit, dimension, text), unit
    plain, decimal = digits.replace(",", ""), digits.replace(",", ".")
    low, high = sensible or (-math.inf, math.inf)
    readings = [_si(Fraction(reading), unit, dimension, text) for reading in (plain, decimal)]
    meant = [si for si in readings if low <= si <= high]
    if len(meant) != 1:
        # One character decides a factor of a thousand here: ask instead of guessing.
        raise UnitFault(f'"{text}" may be thousands or decimals', f'write "{plain}" or "{decimal}"')
    return meant[0], unit


def _si(number: Fraction, unit: str, dimension: Dimension, text: str) -> float:
    scale = _TABLE[dimension].get(unit)
    if scale is not None:
        factor, offset = scale
        # Exact until the last step, so that "60 mm" is the float nearest to 0.06.
        si = float((number + offset) * factor)
    else:
        si = _library_parse(float(number), unit, dimension)
    if not math.isfinite(si) or abs(si) > _LARGEST:
        raise UnitFault(f'"{text}" is too large', accepted(dimension))
    if dimension is Dimension.TEMPERATURE and si <= 0.0:
        raise UnitFault(f'"{text}" is not above absolute zero', accepted(dimension))
    return si


def _known(unit: str, dimension: Dimension) -> str:
    """Return a unit as the table writes it; caps lock is no fault."""
    table = _TABLE[dimension]
    # A capital decides between mega and milli.
    if unit in table or unit.casefold() == "mpa":
        return unit
    return next((name for name in table if name.casefold() == unit.casefold()), unit)


def to_text(si: float, unit: str, digits: int) -> str:
    """Write an SI value in `unit` with `digits` decimals, e.g. `to_text(0.06, "mm", 1)` is "60.0 mm"."""
    value = in_unit(si, unit)
    if not math.isfinite(value):
        raise UnitFault(f"{si} is not a finite number", "a finite SI value is accepted")
    # Adding zero turns a rounded "-0" into "0".
    number = f"{round(value, digits) + 0.0:.{digits}f}"
    return f"{number} {unit}" if unit else number


def _split(text: str, dimension: Dimension) -> tuple[str, str]:
    match = _QUANTITY.fullmatch(text.strip().replace("−", "-"))
    if match is None:
        raise UnitFault(f'"{text}" is not a number with a unit', accepted(dimension))
    digits, unit = match[1], (match[2] or "").strip()
    if not unit and dimension is not Dimension.FRACTION:
        raise UnitFault(f'"{text}" has no unit', accepted(dimension))
    return digits, unit


def _number(digits: str) -> Fraction:
    # The exact number type takes neither a comma nor a point without decimals after it.
    return Fraction(re.sub(r"\.(?=[eE]|$)", "", digits.replace(",", ".")))


def in_unit(si: float, unit: str) -> float:
    """Return an SI value as a number of `unit`; raises `UnitFault` for a unit that is not known."""
    for units in _TABLE.values():
        if unit in units:
            factor, offset = units[unit]
            return si / float(factor) - float(offset)
    registry = _registry()
    try:
        base = registry.Quantity(1.0, _library_name(unit)).to_base_units().units
        return float(registry.Quantity(si, base).to(_library_name(unit)).magnitude)
    except Exception as error:
        raise UnitFault(
            f'"{unit}" is no unit known here', "a unit such as mm, psi or N is accepted"
        ) from error


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
    if len(unit) > 40 or not _UNIT.fullmatch(unit) or "delta" in unit:
        raise ValueError(unit)
    # "cm3" and "cm-3" are powers to people and names to the library.
    powers = re.sub(r"(?<=[A-Za-z])(-?[1-9])", r"**\1", unit.replace("^", "**"))
    return powers.replace("·", "*").replace("°", "deg")


def _library_parse(number: float, unit: str, dimension: Dimension) -> float:
    wrong = UnitFault(f'"{unit}" is no unit of {dimension.value}', accepted(dimension))
    if dimension is Dimension.FRACTION:
        raise wrong
    try:
        registry = _registry()
        quantity = registry.Quantity(number, _library_name(unit))
        reference = registry.Unit(_LIBRARY_REFERENCE[dimension])
        base = quantity.to_base_units()
        # Percent and radian are both pure numbers to the library; only the base unit tells them apart.
        if dimension is Dimension.ANGLE and base.units != reference:
            raise wrong
        return float(quantity.to(reference).magnitude)
    except UnitFault:
        raise
    except Exception as error:  # its parser fails in many ways; each means the same to the mechanic
        raise wrong from error
