"""Answer → what a chart shows: lines, points and a level in SI, with names and no looks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from physics.answer import Answer, Curve, SetupAnswer
from physics.arrays import Values, values
from tui.charts.views import ChartView
from tui.job.wheels import spoken
from tui.kit.look import NEGATIVE, POSITIVE, TOTAL, ChartLook
from tui.shop_units import Measure, ShopUnits


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """One line: SI points and `look`, the number of the colour and the marker it is drawn with.

    `slow` is the curve of slow movement past the sag point, laid over the riding curve.
    """

    name: str
    look: int
    x: Values
    y: Values
    slow: bool = False


@dataclass(frozen=True, slots=True)
class Point:
    """One marked point of a setup in SI."""

    name: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Axis:
    """What an axis shows, and whether zero is always on it."""

    label: str
    measure: Measure
    from_zero: bool = True


@dataclass(frozen=True, slots=True)
class Level:
    """A level line over the whole chart in SI."""

    name: str
    y: float


@dataclass(frozen=True, slots=True, eq=False)
class ChartData:
    """Everything a chart shows.

    `fraction` (used wheel travel, 0…1) and `place` (SI on the x axis) say where the cursor stands.
    `movement` says in words whether lines are drawn as setups ride or slowly, empty where they do not move.
    A chart without lines has its reason in `note`.
    """

    title: str
    x: Axis
    y: Axis
    fraction: Values
    place: Values
    lines: tuple[Line, ...] = ()
    points: tuple[Point, ...] = ()
    level: Level | None = None
    note: str = ""
    movement: str = ""


_STROKE = Axis("shock stroke", Measure.TRAVEL)
_TRAVEL = Axis("wheel travel", Measure.TRAVEL)
_FIELDS = {
    ChartView.SHAFT: ("stroke", "shaft_force", _STROKE, Measure.FORCE),
    ChartView.RATE: ("stroke", "rate", _STROKE, Measure.SPRING_RATE),
    ChartView.WHEEL: ("wheel_travel", "wheel_force", _TRAVEL, Measure.FORCE),
    ChartView.WHEEL_RATE: ("wheel_travel", "wheel_rate", _TRAVEL, Measure.WHEEL_RATE),
}


def chart_data(answer: Answer, view: ChartView, selected: int = 0, *, slow: bool = False) -> ChartData:
    """Return what a view shows of an answer; `selected` is the setup whose chambers are meant.

    Setups are drawn as they ride, or slow where one does not settle; with `slow` the slow curve past the sag
    point lies over that.
    """
    shown = _shown(answer, view, selected, slow)
    return _of_fork(shown) if answer.frame.fork else shown


def _of_fork(chart: ChartData) -> ChartData:
    # The title of a chart of chambers ends in a name that a person gave, which stays as it is.
    title = chart.title if chart.title.startswith(ChartView.CHAMBERS.value) else spoken(chart.title, True)
    x, y = (replace(axis, label=spoken(axis.label, True)) for axis in (chart.x, chart.y))
    return replace(chart, title=title, x=x, y=y)


def _shown(answer: Answer, view: ChartView, selected: int, slow: bool) -> ChartData:
    if view is ChartView.LEVERAGE:
        return _leverage(answer)
    if not answer.setups:
        return _empty(answer, view, "No setup yet: add a coil or an air spring.")
    if view is ChartView.CHAMBERS:
        return _chambers(answer, selected, slow)
    return _compared(answer, view, slow)


def _compared(answer: Answer, view: ChartView, slow: bool) -> ChartData:
    x, y, x_axis, measure = _FIELDS[view]
    lines = [
        Line(setup.name, look % TOTAL, getattr(setup.curve, x), drawn, is_slow)
        for look, setup in enumerate(answer.setups)
        for is_slow, drawn in _movements(setup.curve, y, slow and _is_stiffer_fast(setup.curve))
    ]
    wheel = view is ChartView.WHEEL
    fraction, place = _track(answer, x_axis)
    return ChartData(
        title=view.value,
        x=x_axis,
        y=Axis(view.value, measure),
        fraction=fraction,
        place=place,
        lines=tuple(lines),
        points=tuple(_sag_points(answer)) if wheel else (),
        level=Level("static load", float(answer.load.static_wheel_force)) if wheel else None,
        movement=movement(answer.setups),
    )


def movement(setups: Sequence[SetupAnswer]) -> str:
    """Say how the curves of some setups are drawn: an air spring without a sag point has no riding curve."""
    drawn = [setup.curve for setup in setups if np.isfinite(setup.curve.wheel_force).any()]
    ridden = [_rides(curve.riding_wheel_force) for curve in drawn]
    if all(ridden):
        return "as it rides"
    return "as it rides; slow without sag" if any(ridden) else "moved slowly: no sag"


def _movements(curve: Curve, name: str, slow: bool) -> Iterator[tuple[bool, Values]]:
    """Yield a column of a curve as it rides, and with `slow` the slow one past the sag point."""
    there, ridden = getattr(curve, name), getattr(curve, f"riding_{name}")
    yield False, ridden if _rides(ridden) else there
    if slow:
        past = np.isfinite(getattr(curve, f"fast_{name}"))
        # From the last point above sag on, where both are one: the line begins at sag and is read there.
        past[..., :-1] |= past[..., 1:]
        yield True, values(np.where(past, there, np.nan))


def _is_stiffer_fast(curve: Curve) -> bool:
    past = np.isfinite(curve.fast_shaft_force)
    return not np.allclose(curve.shaft_force[past], curve.fast_shaft_force[past])


def _rides(ridden: Values) -> bool:
    return bool(np.isfinite(ridden).any())


def _sag_points(answer: Answer) -> Iterator[Point]:
    for setup in answer.setups:
        if np.isfinite(setup.sag.wheel):
            yield Point(setup.name, float(setup.sag.wheel), float(answer.load.static_wheel_force))


def _chambers(answer: Answer, selected: int, slow: bool) -> ChartData:
    number = min(max(selected, 0), len(answer.setups) - 1)
    setup = answer.setups[number]
    if setup.kind == "coil":
        note = f"{setup.name} is a coil and has no chambers. Select an air setup."
        return _empty(answer, ChartView.CHAMBERS, note)
    fraction, place = _track(answer, _STROKE)
    return ChartData(
        title=f"{ChartView.CHAMBERS.value} of {setup.name}",
        x=_STROKE,
        y=Axis("Shaft force", Measure.FORCE),
        fraction=fraction,
        place=place,
        lines=tuple(_chamber_lines(setup, slow)),
        movement=movement([setup]),
    )


def _chamber_lines(setup: SetupAnswer, slow: bool) -> Iterator[Line]:
    curve = setup.curve
    chambers = (_movements(curve, name, slow) for name in ("positive", "negative"))
    for (is_slow, positive), (_, negative) in zip(*chambers, strict=True):
        yield Line("total", TOTAL, curve.stroke, values(positive + negative), is_slow)
        yield Line("positive", POSITIVE, curve.stroke, positive, is_slow)
        yield Line("negative", NEGATIVE, curve.stroke, negative, is_slow)


def _leverage(answer: Answer) -> ChartData:
    frame = answer.frame
    fraction, place = _track(answer, _TRAVEL)
    line = Line("frame", 0, frame.travel, frame.ratio)
    axis = Axis(ChartView.LEVERAGE.value, Measure.RATIO, from_zero=False)
    return ChartData(
        ChartView.LEVERAGE.value,
        _TRAVEL,
        axis,
        fraction,
        place,
        (line,),
    )


def _empty(answer: Answer, view: ChartView, note: str) -> ChartData:
    fraction, place = _track(answer, _STROKE)
    return ChartData(view.value, _STROKE, Axis(view.value, Measure.FORCE), fraction, place, note=note)


def _track(answer: Answer, axis: Axis) -> tuple[Values, Values]:
    ends = values([0.0, 1.0])
    if axis is _TRAVEL:
        return ends, values(ends * float(answer.frame.wheel_travel))
    if not answer.setups:
        return ends, values(ends * float(answer.frame.stroke))
    # Every setup sits on the same frame: any of them knows which stroke a wheel travel is.
    curve: Curve = answer.setups[0].curve
    return values(curve.wheel_travel / float(answer.frame.wheel_travel)), curve.stroke


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
