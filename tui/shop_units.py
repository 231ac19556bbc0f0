"""SI numbers as a shop reads them: three systems of units, with one format per measure."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import field
from enum import Enum
from typing import TYPE_CHECKING, Any, SupportsFloat, TypeVar, cast

from physics.frozen import NamedTuple, dataclass
from physics.limits import INCH, LBF_PER_IN, POUND, POUND_FORCE, PSI

if TYPE_CHECKING:
    from physics.arrays import Values


ABSENT = "-"
"""Shown for a missing number; the same in UTF-8 and ASCII."""
OVER = "!"
"""Mark before a set pressure above max pressure, and before a stress above its limit."""


Measure = Enum(
    "Measure",
    "MASS SPRING_MASS TRAVEL MISFIT ALTITUDE FORCE SPRING_RATE WHEEL_RATE PRESSURE VOLUME TEMPERATURE ANGLE "
    "STRESS ENERGY FREQUENCY SURGE DAMPING SPEED SHAFT_SPEED ACCELERATION DISTANCE "
    "TIME AREA FRACTION RATIO TURNS COUNT",
)
"""What a number measures; SI units in brackets.

Mass and spring mass [kg], travel and other short lengths, what they are off by and altitude [m], force [N],
spring and wheel rate [N/m], gauge pressure [Pa], volume [m³], temperature [K], angle [rad], stress [Pa],
energy [J], frequency and surge [Hz], damping [N s/m], speed of a bike and of a shaft or wheel in its travel
[m/s], acceleration [m/s²], distance over the ground and height of a drop [m], time [s], flow area [m²],
fraction, ratio, turns and count [1].
"""


class Writing(NamedTuple):
    """Format of a measure: unit, SI per unit, decimals, and offset added after dividing."""

    unit: str
    factor: float
    digits: int
    offset: float = 0.0


Number = TypeVar("Number", float, "Values")


@dataclass(frozen=True, slots=True)
class ShopUnits:
    """A system of units, identified by name. Pressures are gauge: pass them through `gauge` first."""

    name: str
    writings: Mapping[Measure, Writing] = field(compare=False)

    def show(self, si: SupportsFloat, measure: Measure) -> str:
        """Write an SI value with its unit, `ABSENT` for NaN."""
        unit = self.unit(measure)
        number = self.plain(si, measure)
        return f"{number} {unit}" if unit and number != ABSENT else number

    def shows(self, measure: Measure, *numbers: SupportsFloat) -> tuple[str, ...]:
        """Write several SI values of one measure with their unit."""
        return tuple(self.show(number, measure) for number in numbers)

    def plain(self, si: SupportsFloat, measure: Measure) -> str:
        """Write an SI value as the number only."""
        writing = self.writings[measure]
        value = float(si) / writing.factor + writing.offset
        if not math.isfinite(value):
            return ABSENT
        # Adding zero turns a rounded "-0" into "0".
        return f"{round(value, writing.digits) + 0.0:.{writing.digits}f}"

    def difference(self, si: SupportsFloat, base: SupportsFloat, measure: Measure) -> str:
        """Write the difference of two SI values as shown, so that a table adds up: "0" if they look the same.

        It has its sign and no unit; without one of the values it is empty.
        """
        here, there = self.plain(si, measure), self.plain(base, measure)
        if ABSENT in (here, there):
            return ""
        return "0" if here == there else f"{float(here) - float(there):+.{self.writings[measure].digits}f}"

    def unit(self, measure: Measure) -> str:
        """Return the unit of a measure, empty for a bare number."""
        return self.writings[measure].unit

    def scale(self, values: Number, measure: Measure) -> Number:
        """Return SI values as numbers in the unit of the measure."""
        writing = self.writings[measure]
        return values / writing.factor + writing.offset

    def si(self, number: float, measure: Measure) -> float:
        """Return a number in the unit of the measure as an SI value."""
        writing = self.writings[measure]
        return (number - writing.offset) * writing.factor


def gauge(absolute: Number, ambient: float) -> Number:
    """Return the gauge reading [Pa] of an absolute pressure [Pa] at an ambient pressure [Pa]."""
    return absolute - ambient


_METRIC: dict[Measure, Writing] = {
    Measure.MASS: Writing("kg", 1.0, 1),
    Measure.SPRING_MASS: Writing("g", 1e-3, 0),
    Measure.TRAVEL: Writing("mm", 1e-3, 1),
    Measure.MISFIT: Writing("mm", 1e-3, 2),
    Measure.ALTITUDE: Writing("m", 1.0, 0),
    Measure.FORCE: Writing("N", 1.0, 0),
    Measure.SPRING_RATE: Writing("N/mm", 1e3, 1),
    Measure.WHEEL_RATE: Writing("N/mm", 1e3, 1),
    Measure.PRESSURE: Writing("bar", 1e5, 1),
    Measure.VOLUME: Writing("cm3", 1e-6, 1),
    Measure.TEMPERATURE: Writing("degC", 1.0, 0, -273.15),
    Measure.ANGLE: Writing("deg", math.pi / 180, 1),
    Measure.STRESS: Writing("MPa", 1e6, 0),
    Measure.ENERGY: Writing("J", 1.0, 0),
    Measure.FREQUENCY: Writing("Hz", 1.0, 2),
    Measure.SURGE: Writing("Hz", 1.0, 0),
    Measure.DAMPING: Writing("N s/m", 1.0, 0),
    Measure.SPEED: Writing("m/s", 1.0, 1),
    Measure.SHAFT_SPEED: Writing("m/s", 1.0, 2),
    Measure.ACCELERATION: Writing("m/s2", 1.0, 1),
    Measure.DISTANCE: Writing("m", 1.0, 2),
    Measure.TIME: Writing("s", 1.0, 2),
    Measure.AREA: Writing("mm2", 1e-6, 1),
    Measure.FRACTION: Writing("%", 0.01, 1),
    Measure.RATIO: Writing("", 1.0, 2),
    Measure.TURNS: Writing("turns", 1.0, 1),
    Measure.COUNT: Writing("", 1.0, 0),
}
_POUNDS_PER_INCH = Writing("lbf/in", LBF_PER_IN, 0)
_PSI = Writing("psi", PSI, 0)

METRIC = ShopUnits("metric", _METRIC)
IMPERIAL = ShopUnits(
    "imperial",
    _METRIC
    | {
        Measure.MASS: Writing("lb", POUND, 1),
        Measure.SPRING_MASS: Writing("lb", POUND, 2),
        Measure.TRAVEL: Writing("in", INCH, 2),
        Measure.ALTITUDE: Writing("ft", 0.3048, 0),
        Measure.FORCE: Writing("lbf", POUND_FORCE, 0),
        Measure.SPRING_RATE: _POUNDS_PER_INCH,
        Measure.WHEEL_RATE: _POUNDS_PER_INCH._replace(digits=1),
        Measure.PRESSURE: _PSI,
        Measure.STRESS: Writing("ksi", 1e3 * _PSI.factor, 1),
        Measure.VOLUME: Writing("in3", INCH**3, 2),
        Measure.TEMPERATURE: Writing("degF", 5 / 9, 0, -459.67),
        Measure.ENERGY: Writing("ft lbf", 0.3048 * POUND_FORCE, 0),
        Measure.DAMPING: Writing("lbf s/in", LBF_PER_IN, 1),
        Measure.SPEED: Writing("mph", 0.44704, 1),
        Measure.SHAFT_SPEED: Writing("in/s", INCH, 1),
        Measure.ACCELERATION: Writing("ft/s2", 0.3048, 1),
        Measure.DISTANCE: Writing("ft", 0.3048, 2),
        Measure.AREA: Writing("in2", INCH**2, 4),
    },
)
USUAL = ShopUnits("usual", _METRIC | {Measure.SPRING_RATE: _POUNDS_PER_INCH, Measure.PRESSURE: _PSI})
"""Kilograms, millimetres and newtons, but springs in lbf/in and pressures in psi: common practice."""

ALL = (USUAL, METRIC, IMPERIAL)


KEY_UNITS: Mapping[Measure, Mapping[str, ShopUnits]] = {
    Measure.MASS: {"_kg": METRIC},
    Measure.TRAVEL: {"_mm": METRIC},
    Measure.ALTITUDE: {"_m": METRIC},
    Measure.FORCE: {"_n": METRIC},
    Measure.SPRING_RATE: {"_n_per_mm": METRIC, "_lbf_per_in": IMPERIAL},
    Measure.WHEEL_RATE: {"_n_per_mm": METRIC},
    Measure.PRESSURE: {"_psi": USUAL, "_bar": METRIC},
    Measure.VOLUME: {"_cm3": METRIC},
    Measure.TEMPERATURE: {"_c": METRIC},
    Measure.ANGLE: {"_deg": METRIC},
    Measure.ENERGY: {"_j": METRIC},
    Measure.FREQUENCY: {"_hz": METRIC},
    Measure.DAMPING: {"_n_s_per_m": METRIC},
    Measure.SPEED: {"_m_per_s": METRIC},
    Measure.SHAFT_SPEED: {"_m_per_s": METRIC},
    Measure.ACCELERATION: {"_m_per_s2": METRIC},
    Measure.DISTANCE: {"_m": METRIC},
    Measure.TIME: {"_s": METRIC},
    Measure.AREA: {"_mm2": METRIC},
}
"""Unit suffixes of keys of the JSON by measure, the usual one first, with their system of units."""
_SI_PER_UNIT = {
    end: units.writings[measure].factor for measure, ends in KEY_UNITS.items() for end, units in ends.items()
} | {"_mpa": 1e6}
_PER_UNIT = {end: _SI_PER_UNIT[end] for end in sorted(_SI_PER_UNIT, key=len, reverse=True)}
"""SI per unit by suffix of a key of the JSON, the longest first; other keys are in SI."""


def number(value: Values | float, unit: float = 1.0) -> float | None:
    """Return an SI value as a plain number in `unit` [SI per unit], None for NaN."""
    plain = float(value) / unit
    return plain if math.isfinite(plain) else None


def keyed(**found: object) -> dict[str, Any]:
    """Return an object of the JSON: SI numbers and arrays converted to the unit suffixes of their keys.

    NaN becomes None; other values are unchanged.
    """
    return {key: in_unit_of(key, value) for key, value in found.items()}


def in_unit_of(key: str, value: object) -> object:
    """Return one value of an object of the JSON, as `keyed` does."""
    if not isinstance(value, float) and not hasattr(value, "ndim"):
        return value
    unit = next((unit for end, unit in _PER_UNIT.items() if key.endswith(end)), 1.0)
    column = cast("Values", value)
    return [number(one, unit) for one in column] if getattr(value, "ndim", 0) else number(column, unit)


def both(si: SupportsFloat, measure: Measure) -> str:
    """Write a rate or pressure in both systems, whatever the shop's: springs and gauges have either."""
    return f"{IMPERIAL.show(si, measure)}, that is {METRIC.show(si, measure)}"


def following(units: ShopUnits) -> ShopUnits:
    """Return the next system of units, cyclically."""
    return ALL[(ALL.index(units) + 1) % len(ALL)]
