"""Force and rate at the wheel, for the charts of a sheet, and in numbers for who cannot see them."""

from __future__ import annotations

import math

import numpy as np

from physics.answer import Answer
from tui.charts.series import ChartData, Line, Point, chart_data, movement
from tui.charts.views import ChartView
from tui.jobs.clean import brief
from tui.sheet import model
from tui.shop_units import ShopUnits

_PLACES = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
"""Shares of the wheel travel at which a chart is told in numbers."""


def curves_section(answer: Answer, units: ShopUnits) -> model.Section:
    """Return force and rate at the wheel of every setup over the wheel travel, as it rides where it can."""
    views = (("Force at the wheel", ChartView.WHEEL), ("Rate at the wheel", ChartView.WHEEL_RATE))
    charts = (_chart(title, chart_data(answer, view), answer, units) for title, view in views)
    return model.Section(f"Curves, {movement(answer.setups)}", tuple(charts))


def _chart(title: str, data: ChartData, answer: Answer, units: ShopUnits) -> model.Chart:
    sags = (float(setup.sag.wheel) for setup in answer.setups)
    points = (
        Point(line.name, sag, float(np.interp(sag, line.x, line.y)))
        for line, sag in zip(data.lines, sags, strict=True)
        if math.isfinite(sag)
    )
    title = f"{title} ({units.unit(data.y.measure)})"
    return model.Chart(title, data, tuple(points), tuple(_told(line, data, units) for line in data.lines))


def _told(line: Line, data: ChartData, units: ShopUnits) -> model.Line:
    at = _PLACES * float(data.place[-1])
    read = zip(np.interp(at, line.x, line.y), at, strict=True)
    told = (f"{units.show(y, data.y.measure)} at {units.show(x, data.x.measure)}" for y, x in read)
    return model.Line(brief(line.name), ", ".join(told))
