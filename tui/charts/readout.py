"""What every line of a chart says at the cursor, as words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tui.charts.series import ChartData, Line
from tui.shop_units import ShopUnits


@dataclass(frozen=True, slots=True)
class Reading:
    """One line at the cursor: its name, its look, the value with its unit, and the same moved slowly."""

    name: str
    look: int
    value: str
    slow: str | None = None


@dataclass(frozen=True, slots=True)
class Readout:
    """Where the cursor stands and what every line says there."""

    where: str
    readings: tuple[Reading, ...]


def place(chart: ChartData, cursor: float) -> float:
    """Return the place of the cursor on the x axis, SI."""
    return float(np.interp(cursor, chart.fraction, chart.place))


def value_at(line: Line, x: float) -> float:
    """Return the value of a line at x, SI, NaN where it has none."""
    return float(np.interp(x, line.x, line.y))


def readout(chart: ChartData, units: ShopUnits, cursor: float) -> Readout:
    """Read every line of the chart at the cursor (fraction of wheel travel)."""
    x, measure = place(chart, cursor), chart.y.measure
    slow = {line.look: units.show(value_at(line, x), measure) for line in chart.lines if line.slow}
    readings = tuple(
        Reading(line.name, line.look, units.show(value_at(line, x), measure), slow.get(line.look))
        for line in chart.lines
        if not line.slow
    )
    return Readout(units.show(x, chart.x.measure), readings)
