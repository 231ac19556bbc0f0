"""The views of the chart."""

from __future__ import annotations

from enum import Enum


class ChartView(Enum):
    """The views of the chart, in the order a key walks through them; the value is the title."""

    SHAFT = "Shaft force"
    CHAMBERS = "Chamber forces"
    WHEEL = "Wheel force"
    RATE = "Spring rate"
    WHEEL_RATE = "Wheel rate"
    LEVERAGE = "Leverage ratio"
