"""Text with a unit to an SI float.

The usual units are in a table of exact factors, so start-up never loads the unit
library; it is loaded only for a unit that is not in the table.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from physics.limits import INCH, POUND, STANDARD_GRAVITY

if TYPE_CHECKING:
    import pint


class Dimension(Enum):
    """Kinds of quantity; the value is the name in messages. SI units in brackets below.

    Mass [kg], length [m], force [N], spring rate [N/m], pressure [Pa], volume [m³], temperature [K],
    angle [rad], speed [m/s], damping [N s/m], time [s], area [m²], fraction [1].
    """

    MASS = "mass"
    LENGTH = "length"
    FORCE = "force"
    SPRING_RATE = "spring rate"
    PRESSURE = "pressure"
    VOLUME = "volume"
    TEMPERATURE = "temperature"
    ANGLE = "angle"
    SPEED = "speed"
    DAMPING = "damping"
    TIME = "time"
    AREA = "area"
    FRACTION = "fraction"


Scale = tuple[Fraction, Fraction]
"""Factor and offset: the offset is added to the number before the factor is applied."""

_ZERO = Fraction(0)
_MILLI = Fraction(1, 1000)
_MILLION = 10**6
_INCH, _POUND, _GRAVITY = (Fraction(str(exact)) for exact in (INCH, POUND, STANDARD_GRAVITY))
_FOOT = 12 * _INCH
_POUND_FORCE = _POUND * _GRAVITY
_PSI = _POUND_FORCE / _INCH**2
_KILOGRAMS_PER_CM2 = _GRAVITY * 10_000
# Columns of water are the conventional ones: 1000 kg/m3 under standard gravity.
_WATER = _GRAVITY * 1000
_US_FLUID_OUNCE = 231 * _INCH**3 / 128
_DEGREE = Fraction(math.pi) / 180
_CELSIUS = (Fraction(1), Fraction("273.15"))
_FAHRENHEIT = (Fraction(5, 9), Fraction("459.67"))


def _plain(factors: Mapping[str, Fraction | int]) -> dict[str, Scale]:
    return {name: (Fraction(factor), _ZERO) for name, factor in factors.items()}


TABLE: dict[Dimension, dict[str, Scale]] = {
    Dimension.MASS: _plain({"kg": 1, "lb": _POUND, "lbs": _POUND, "g": _MILLI, "st": 14 * _POUND}),
    Dimension.LENGTH: _plain(
        {
            "mm": _MILLI,
            "cm": Fraction(1, 100),
            "m": 1,
            "in": _INCH,
            "inch": _INCH,
            "mil": _INCH / 1000,
        }
    ),
    Dimension.FORCE: _plain({"N": 1, "lbf": _POUND_FORCE, "kgf": _GRAVITY, "kN": 1000, "kp": _GRAVITY}),
    # Springs are marked in pounds or kilograms per length, meaning the weight of these masses.
    Dimension.SPRING_RATE: _plain(
        {
            "N/mm": 1000,
            "lbf/in": _POUND_FORCE / _INCH,
            "lb/in": _POUND_FORCE / _INCH,
            "lbs/in": _POUND_FORCE / _INCH,
            "N/m": 1,
            "kgf/mm": _GRAVITY / _MILLI,
            "kg/mm": _GRAVITY / _MILLI,
            "kp/mm": _GRAVITY / _MILLI,
        }
    ),
    Dimension.PRESSURE: _plain(
        dict.fromkeys(("psi", "PSI", "psig", "lb/in2", "lbf/in2"), _PSI)
        | dict.fromkeys(("bar", "barg"), 100_000)
        | {"kPa": 1000, "MPa": _MILLION, "Pa": 1}
        | dict.fromkeys(("kg/cm2", "kgf/cm2", "kp/cm2"), _KILOGRAMS_PER_CM2)
        | {"psf": _POUND_FORCE / _FOOT**2, "Torr": Fraction(101_325, 760)}
        | {"cmH2O": _WATER / 100, "inH2O": _WATER * _INCH}
    ),
    Dimension.VOLUME: _plain(
        dict.fromkeys(("cm3", "ml", "mL", "cc", "ccm", "cm³", "cm^3"), Fraction(1, _MILLION))
        | dict.fromkeys(("in3", "in³", "in^3"), _INCH**3)
        | {"m3": 1, "fl oz": _US_FLUID_OUNCE}
    ),
    Dimension.TEMPERATURE: {
        **dict.fromkeys(("degC", "°C", "C"), _CELSIUS),
        **dict.fromkeys(("degF", "°F", "F"), _FAHRENHEIT),
        "K": (Fraction(1), _ZERO),
    },
    Dimension.ANGLE: _plain({"deg": _DEGREE, "°": _DEGREE, "rad": 1}),
    Dimension.SPEED: _plain(
        {
            "m/s": 1,
            "mm/s": _MILLI,
            "in/s": _INCH,
            "ft/s": _FOOT,
            "km/h": Fraction(1000, 3600),
            "kph": Fraction(1000, 3600),
            "mph": 5280 * _FOOT / 3600,
        }
    ),
    # Pounds and kilograms mean the weight of these masses here too.
    Dimension.DAMPING: _plain(
        dict.fromkeys(("N s/m", "N*s/m", "Ns/m", "N/(m/s)"), 1)
        | dict.fromkeys(("N s/mm", "N*s/mm", "Ns/mm"), 1000)
        | dict.fromkeys(("lbf s/in", "lbf*s/in", "lb s/in", "lb*s/in"), _POUND_FORCE / _INCH)
        | dict.fromkeys(("kgf s/m", "kgf*s/m", "kg s/m", "kg*s/m"), _GRAVITY)
    ),
    Dimension.TIME: _plain({"s": 1, "ms": _MILLI, "min": 60, "h": 3600}),
    Dimension.AREA: _plain(
        dict.fromkeys(("mm2", "mm²", "mm^2"), _MILLI**2)
        | dict.fromkeys(("cm2", "cm²", "cm^2"), Fraction(1, 10_000))
        | dict.fromkeys(("in2", "in²", "in^2"), _INCH**2)
        | {"m2": 1}
    ),
    Dimension.FRACTION: _plain({"%": Fraction(1, 100), "": 1}),
}
"""By dimension and by the unit as written."""


_SYMBOLS = {
    "metre": "m",
    "millimetre": "mm",
    "centimetre": "cm",
    "inch": "in",
    "thou": "mil",
    "gram": "g",
    "kilo": "kg",
    "kilogram": "kg",
    "pound": "lb",
    "lbs": "lb",
    "stone": "st",
    "newton": "N",
    "kilonewton": "kN",
    "kilopond": "kp",
    "pascal": "Pa",
    "kilopascal": "kPa",
    "megapascal": "MPa",
    "bar": "bar",
    "torr": "Torr",
    "millilitre": "ml",
    "degree": "deg",
    "second": "s",
    "sec": "s",
    "millisecond": "ms",
    "minute": "min",
    "hour": "h",
    "radian": "rad",
    "celsius": "C",
    "centigrade": "C",
    "fahrenheit": "F",
    "kelvin": "K",
    "ounce": "oz",
    "fluid": "fl",
    "percent": "%",
}
_PLURALS = {"inches": "in", "feet": "ft"}
_WORD = re.compile(r"[^\W\d_]{3,}")
_PHRASES = (
    # What is read here -> how the tables write it; applied in this order.
    (re.compile(r"\bper\s+cent\b"), "%"),
    (re.compile(r"\s*(?:/|\bper\b)\s*"), "/"),
    (re.compile(r"\b(?:square|sq)\.?\s+(\w+)"), r"\g<1>2"),
    (re.compile(r"\b(?:cubic|cu)\.?\s+(\w+)"), r"\g<1>3"),
    (re.compile(r"\b(lb|kg)[\s-]*force\b"), r"\1f"),
    (re.compile(r"(?:\bdeg\.?|°)\s*([CFcf])\b"), r"deg\1"),
    (re.compile(r"\bfl\.?\s*oz\b"), "fl oz"),
    (re.compile(r"[·⋅×]"), "*"),
    (re.compile("[−–]"), "-"),
)


def plain_symbols(unit: str) -> str:
    """Return a unit in plain symbols, e.g. "N/mm" for "newtons per millimeter"; others unchanged.

    >>> plain_symbols("newtons per millimeter"), plain_symbols("cubic inches")
    ('N/mm', 'in3')
    """
    # Compatibility forms: raised digits become digits, a degree sign drawn with its letter becomes two.
    text = _WORD.sub(_symbol, unicodedata.normalize("NFKC", unit))
    for written, plain in _PHRASES:
        text = written.sub(plain, text)
    return text.strip()


def _symbol(word: re.Match[str]) -> str:
    text = word[0].casefold()
    if text in _PLURALS:
        return _PLURALS[text]
    single = text if text in _SYMBOLS else text.removesuffix("s")
    british = re.sub("(met|lit)er$", r"\1re", single)
    return _SYMBOLS.get(british, word[0])


__all__ = [
    "Dimension",
    "OutOfReach",
    "UnitFault",
    "accepted",
    "decimal_text",
    "in_unit",
    "named",
    "parse",
    "quoted",
]


class UnitFault(ValueError):
    """Text that is not a quantity of the dimension: `what` is wrong, and what is `accepted`."""

    def __init__(self, what: str, accepted: str) -> None:
        """Keep both parts, for callers with their own layout."""
        self.what = what
        self.accepted = accepted
        super().__init__(f"{what}; {accepted}")


class OutOfReach(UnitFault):
    """A quantity far beyond anything on a bench, in a known `unit`."""

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
    Dimension.SPEED: '"7 m/s", "25 km/h" or "16 mph"',
    Dimension.DAMPING: '"900 N s/m" or "5.1 lbf s/in"',
    Dimension.TIME: '"4 s" or "400 ms"',
    Dimension.AREA: '"3 mm2" or "0.005 in2"',
    Dimension.FRACTION: '"30 %" or 0.30',
}

_QUANTITY = re.compile(r"([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))(?:[eE]([+-]?\d+))?\s*([^\d.,].*)?")
_FRACTION = re.compile(r"([+-]?)(?:(\d{1,4})\s+)?(\d{1,4})\s*/\s*(\d{1,4})(?![\d.,/])")
_GROUPED = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
# Only names, single-digit powers, products and quotients ever reach the unit library's own parser.
_TERM = r"[A-Za-zμ°][A-Za-z_]*(?:(?:\^|\*\*)?-?[1-9])?"
_UNIT = re.compile(rf"{_TERM}(?:[*/]{_TERM})*")
_WEIGHED = (Dimension.SPRING_RATE, Dimension.PRESSURE, Dimension.DAMPING)
"""Quantities whose units in pounds or kilograms mean the weight of these masses."""


def accepted(dimension: Dimension) -> str:
    """Say what text to use for a dimension, with examples."""
    if dimension is Dimension.FRACTION:
        return f"use a fraction such as {_EXAMPLES[dimension]}"
    return f"use {named(dimension)} with its unit such as {_EXAMPLES[dimension]}"


def named(dimension: Dimension) -> str:
    """Return the name of a dimension with its article, e.g. "a spring rate"."""
    return f"{'an' if dimension.value[0] in 'aeiou' else 'a'} {dimension.value}"


def quoted(text: str) -> str:
    """Return text in quotation marks, shortened if it is long."""
    return f'"{text}"' if len(text) <= _LONGEST_QUOTE else f'"{text[:_LONGEST_QUOTE]}..."'


def decimal_text(text: str) -> str:
    """Return a quantity whose number is a fraction or a mixed number with a decimal number, else the text.

    Whole numbers of up to four digits, e.g. 1/2 or 1 1/2; the decimal number has eight digits at most.

    >>> decimal_text("1 1/2 in"), decimal_text("15/16"), decimal_text("1.5/2 in")
    ('1.5 in', '0.9375', '1.5/2 in')
    """
    text = text.strip().replace("−", "-")
    match = _FRACTION.match(text)
    if match is None or not int(match[4]) or (match[2] and int(match[3]) >= int(match[4])):
        return text
    value = int(match[2] or 0) + Fraction(int(match[3]), int(match[4]))
    return f"{match[1]}{float(value):.8g}{text[match.end() :]}"


def parse(text: str, dimension: Dimension, sensible: tuple[float, float] | None = None) -> tuple[float, str]:
    """Read one quantity: its SI value and its unit ("" for a bare fraction).

    A decimal comma is a decimal point, and 1 1/2 is 1.5 (`decimal_text`). A comma before exactly three digits
    may also separate thousands: it is read as whichever of the two lies in the `sensible` range [SI, ends
    included], and is a fault if both or neither do. Pressures are taken as written, neither gauge nor
    absolute. Raises `UnitFault` for anything that is no finite quantity of this dimension.

    >>> parse("450 lbf/in", Dimension.SPRING_RATE)
    (78807.07586091437, 'lbf/in')
    >>> parse("30 %", Dimension.FRACTION)
    (0.3, '%')
    """
    return _parsed(text, dimension, sensible or (-math.inf, math.inf))


@lru_cache(maxsize=1024)
def _parsed(text: str, dimension: Dimension, sensible: tuple[float, float]) -> tuple[float, str]:
    """Return what `parse` does, cached because a keystroke changes one text of a job."""
    digits, exponent, typed = _split(text, dimension)
    unit = _known(typed, dimension)
    scale = _scale(unit, dimension)
    if exponent is None and _GROUPED.fullmatch(digits):
        digits = _meant(digits, scale, sensible, text)
    number = _number(digits, exponent)
    if number is None or abs(number * scale[0]) > _LARGEST:
        raise OutOfReach(f"{quoted(text)} is out of range", accepted(dimension), unit)
    si = _si(number, scale)
    if dimension is Dimension.TEMPERATURE and si <= 0.0:
        raise UnitFault(f"{quoted(text)} is not above absolute zero", accepted(dimension))
    return si, unit


def in_unit(si: float, unit: str, dimension: Dimension) -> float:
    """Return an SI value as a number of `unit`; raises `UnitFault` for no unit of this dimension.

    >>> round(in_unit(1_482_372.8, "psi", Dimension.PRESSURE), 3)
    215.0
    """
    factor, offset = _scale(unit, dimension)
    return si / float(factor) - float(offset)


def _split(text: str, dimension: Dimension) -> tuple[str, str | None, str]:
    """Return digits, exponent if any and unit of a quantity as written."""
    match = _QUANTITY.fullmatch(decimal_text(text)) if len(text) <= _LONGEST_TEXT else None
    unit = "" if match is None else (match[3] or "").strip()
    if match is None or unit[:1].isdecimal() or unit[:1] == "/":
        raise UnitFault(f"{quoted(text)} is not a number with a unit", accepted(dimension))
    if not unit and dimension is not Dimension.FRACTION:
        raise UnitFault(f"{quoted(text)} has no unit", accepted(dimension))
    return match[1], match[2], unit


def _meant(digits: str, scale: Scale, sensible: tuple[float, float], text: str) -> str:
    """Return digits with one comma as thousands or decimal separator, whichever is sensible."""
    low, high = sensible
    readings = digits.replace(",", ""), digits.replace(",", ".")
    meant = [number for number in readings if low <= _si(Fraction(number), scale) <= high]
    if len(meant) != 1:
        # One character means a factor of a thousand: ask instead of guessing.
        what = f"{quoted(text)} may be thousands or decimals"
        raise UnitFault(what, 'write "{}" or "{}"'.format(*readings))
    return meant[0]


def _number(digits: str, exponent: str | None) -> Fraction | None:
    """Return a number as typed, None if it is far out of range."""
    # The exact number type takes neither a comma nor a point without decimals after it.
    number = Fraction(digits.replace(",", ".").rstrip("."))
    power = int(exponent or 0)
    if power > _LARGEST_EXPONENT:
        return None if number else number
    # Exact arithmetic on a hostile exponent would never finish.
    return number * Fraction(10) ** power if power >= -_LARGEST_EXPONENT else Fraction(0)


def _si(number: Fraction, scale: Scale) -> float:
    factor, offset = scale
    # Exact until the last step: "60 mm" is the float nearest to 0.06.
    return float((number + offset) * factor)


def _known(typed: str, dimension: Dimension) -> str:
    """Return a unit as in the table, else in plain symbols; case is ignored."""
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
    wrong = UnitFault(f"{quoted(unit)} is not a unit of {dimension.value}", accepted(dimension))
    if dimension is Dimension.FRACTION:
        raise wrong
    try:
        _registry()
    except Exception as error:  # a library that does not go together with its own parts fails in any way
        what = f"the unit library pint does not load ({type(error).__name__}: {error})"
        raise UnitFault(what, f"{accepted(dimension)}; other units need pint installed again") from error
    try:
        zero, one = (_library_si(number, _library_name(unit), dimension) for number in (0.0, 1.0))
        factor = Fraction(one) - Fraction(zero)
        return factor, Fraction(zero) / factor
    except Exception as error:  # its parser fails in many ways; each means the same to the mechanic
        raise wrong from error


@cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint  # loading it takes longer than a whole answer

    # Its own cache saves most of the time it takes; a disk that gives or takes nothing is no reason to fail.
    try:
        return pint.UnitRegistry(cache_folder=":auto:")
    except Exception:
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
    Dimension.SPEED: "m/s",
    Dimension.DAMPING: "N*s/m",
    Dimension.TIME: "s",
    Dimension.AREA: "m**2",
}


def _library_name(unit: str) -> str:
    """Return a unit in the library's spelling; raises `ValueError` for what must not reach its parser."""
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
