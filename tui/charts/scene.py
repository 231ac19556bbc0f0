"""What is drawn, in which units, with which looks: what every step of drawing a chart needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from physics.arrays import Values
from tui.charts.look import ChartLook
from tui.charts.series import ChartData
from tui.shop_units import ShopUnits

Number = TypeVar("Number", float, Values)


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """A chart with its units and its looks."""

    chart: ChartData
    units: ShopUnits
    look: ChartLook

    def x(self, si: Number) -> Number:
        """Return places on the x axis in the shop's unit."""
        return self.units.scale(si, self.chart.x.measure)

    def y(self, si: Number) -> Number:
        """Return values in the shop's unit."""
        return self.units.scale(si, self.chart.y.measure)

    def written(self, si: float) -> str:
        """Return one value as text with its unit."""
        return self.units.show(si, self.chart.y.measure)
