"""What every line of a chart says at the cursor, as words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tui.charts.series import ChartData, Line
from tui.shop_units import ShopUnits


@dataclass(frozen=True, slots=True)
class Reading:
    """One line at the cursor: its name, its look and the value with its unit."""

    name: str
    look: int
    fast: bool
    value: str


@dataclass(frozen=True, slots=True)
class Readout:
    """Where the cursor stands and what every line says there."""

    where: str
    readings: tuple[Reading, ...]


def place(chart: ChartData, cursor: float) -> float:
    """Return the place of the cursor on the x axis, SI."""
    return float(np.interp(cursor, chart.fraction, chart.place))


def readout(chart: ChartData, units: ShopUnits, cursor: float) -> Readout:
    """Read every line of the chart at the cursor (fraction of wheel travel)."""
    x = place(chart, cursor)
    where = f"{units.show(x, chart.x.measure)} {chart.x.label}"
    return Readout(where, tuple(_reading(line, chart, units, x) for line in chart.lines))


def _reading(line: Line, chart: ChartData, units: ShopUnits, x: float) -> Reading:
    return Reading(line.name, line.look, line.fast, units.show(value_at(line, x), chart.y.measure))


def value_at(line: Line, x: float) -> float:
    """Return the value of a line at x, NaN where it has none."""
    return float(np.interp(x, line.x, line.y))
