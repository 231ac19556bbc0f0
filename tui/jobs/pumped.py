"""An air spring about to be filled, for whoever puts words to it."""

from __future__ import annotations

from dataclasses import dataclass

from physics.answer import AirAnswer
from physics.arrays import Scalar
from physics.case import Air
from tui.shop_units import Measure, ShopUnits, gauge

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
        """The set pressure as the gauge shows it."""
        return self.reading(self.air.set_pressure)
