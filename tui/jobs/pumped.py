"""An air spring about to be filled, for whoever puts words to it."""

from __future__ import annotations

from dataclasses import dataclass

from physics.answer import AirAnswer
from physics.arrays import Scalar
from physics.case import Air
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge

CYCLES = "ten slow cycles"
"""How often the chambers are made to meet: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Filling:
    """An air spring about to be filled; `ambient` [Pa] turns its pressures into gauge readings."""

    spring: Air
    air: AirAnswer
    units: ShopUnits
    ambient: float

    def reading(self, absolute: Scalar) -> str:
        """Return what a gauge shows, with its unit."""
        return self.units.show(gauge(float(absolute), self.ambient), Measure.PRESSURE)

    @property
    def target(self) -> str:
        """The set pressure as the gauge shows it at full extension."""
        return self.reading(self.air.set_pressure)

    @property
    def settled(self) -> str:
        """The set pressure, and what the gauge shows where the shock rests with it."""
        return self.with_rest(self.air.set_pressure, self.air.rest_pressure)

    def with_rest(self, extended: Scalar, resting: Scalar) -> str:
        """Return a reading at full extension, and that at rest where the gauge tells them apart."""
        return pressure_at_rest(float(extended), float(resting), self.ambient, self.units)


def pressure_at_rest(extended: float, resting: float, ambient: float, units: ShopUnits) -> str:
    """Return a gauge reading at full extension and, where it reads otherwise as it rests, that too."""
    full, rest = (units.show(gauge(value, ambient), Measure.PRESSURE) for value in (extended, resting))
    return full if rest in (full, ABSENT) else f"{full} ({rest} as it rests)"
