"""What quantities measure, and the ordinary units of the bench with their exact factors."""

from __future__ import annotations

import math
from collections.abc import Mapping
from enum import Enum
from fractions import Fraction


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


Scale = tuple[Fraction, Fraction]
"""Factor and offset: the offset is added to the number before the factor is applied."""

_ZERO = Fraction(0)
_MILLI = Fraction(1, 1000)
_MILLION = 10**6
_INCH = Fraction("0.0254")
_FOOT = 12 * _INCH
_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_POUND_FORCE = _POUND * _GRAVITY
_PSI = _POUND_FORCE / _INCH**2
_KILOGRAMS_PER_CM2 = _GRAVITY * 10_000
# Columns of water count as 1000 kg/m3 under standard gravity: the conventional ones.
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
    # A spring is marked in pounds or kilograms per length and means their weight.
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
    Dimension.FRACTION: _plain({"%": Fraction(1, 100), "": 1}),
}
"""By dimension and by the unit as it is written."""
