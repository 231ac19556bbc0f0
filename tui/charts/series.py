"""Answer → chart data: lines, points and a level in SI, with names; and the chart with units and looks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np

from physics.answer import Answer, Curve, SetupAnswer
from physics.arrays import Values, values
from physics.baseline import less_first
from physics.frozen import NamedTuple, dataclass
from tui.charts.views import ChartView
from tui.job.wheels import spoken
from tui.kit.look import NEGATIVE, POSITIVE, TOTAL, ChartLook
from tui.shop_units import Measure, ShopUnits


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """One line: points in SI of shape (points,), and `look`, the number of its colour and marker.

    `slow` marks the curve of slow compression past the sag point, drawn together with the riding curve.
    """

    name: str
    look: int
    x: Values
    y: Values
    slow: bool = False


class Point(NamedTuple):
    """A marked point of a setup, SI."""

    name: str
    x: float
    y: float


class Axis(NamedTuple):
    """Quantity of an axis, whether it always includes zero, and whether values are shown with their sign."""

    label: str
    measure: Measure
    from_zero: bool = True
    signed: bool = False


class Level(NamedTuple):
    """A level line over the whole chart in SI."""

    name: str
    y: float


class Band(NamedTuple):
    """The least sag, the sag and the most, SI on the x axis; `look` is that of the setup's line, if any."""

    low: float
    at: float
    high: float
    look: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class ChartData:
    """Everything a chart shows.

    `fraction` (of the wheel travel, 0 to 1) and `place` (SI on the x axis), both (points,), map cursor
    positions to the x axis. `movement` says whether lines are riding curves or slow compression, empty if
    neither applies. `note` says why a chart has no lines. `number` is its place among the views. `bands` are
    the sag bands of the setups; `last` (SI on the x axis) is where the last tenth of the wheel travel begins.
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
    number: str = ""
    bands: tuple[Band, ...] = ()
    last: float | None = None


_STROKE = Axis("shock stroke", Measure.TRAVEL)
_TRAVEL = Axis("wheel travel", Measure.TRAVEL)
_FIELDS = {
    ChartView.SHAFT: ("stroke", "shaft_force", _STROKE, Measure.FORCE),
    ChartView.RATE: ("stroke", "rate", _STROKE, Measure.SPRING_RATE),
    ChartView.WHEEL: ("wheel_travel", "wheel_force", _TRAVEL, Measure.FORCE),
    ChartView.DIFFERENCE: ("wheel_travel", "wheel_force", _TRAVEL, Measure.FORCE),
    ChartView.WHEEL_RATE: ("wheel_travel", "wheel_rate", _TRAVEL, Measure.WHEEL_RATE),
}


_SAME_FORCE = 1e-3
"""Difference of wheel forces [N] below which they count as equal."""
_LAST = 0.9
"""Fraction of the wheel travel where its last tenth begins."""


def chart_data(answer: Answer, view: ChartView, selected: int = 0, *, slow: bool = False) -> ChartData:
    """Return the chart of a view of an answer; `selected` is the setup whose chambers are shown.

    Lines are riding curves, or slow compression for setups without a sag point. With `slow`, slow compression
    past the sag point is added. The first setup is the baseline.
    """
    x_axis, measure = _STROKE, Measure.FORCE
    if view is ChartView.LEVERAGE:
        x_axis, measure = _TRAVEL, Measure.RATIO
    elif view in _FIELDS and answer.setups:
        *_, x_axis, measure = _FIELDS[view]
    axis = Axis(view.value, measure, from_zero=measure is not Measure.RATIO)
    chart = ChartData(view.value, x_axis, axis, *_track(answer, x_axis), number=view.number)
    chart = replace(chart, last=float(np.interp(_LAST, chart.fraction, chart.place)))
    selected = min(max(selected, 0), len(answer.setups) - 1)
    if view is ChartView.LEVERAGE:
        chart = replace(chart, lines=(Line("frame", 0, answer.frame.travel, answer.frame.ratio),))
    elif not answer.setups:
        chart = replace(chart, note="No setup yet: add a coil or an air spring.")
    elif view is ChartView.CHAMBERS:
        chart = _with_chambers(chart, answer.setups[selected], slow)
    elif view is ChartView.DIFFERENCE:
        chart = _with_differences(chart, answer.setups, slow)
    else:
        chart = _with_setups(chart, answer, view, slow)
    chart = replace(chart, bands=tuple(_bands(answer, view, x_axis, selected)))
    if not answer.frame.fork:
        return chart
    # Do not change a title that ends in a name given by a person.
    is_named = view in (ChartView.CHAMBERS, ChartView.DIFFERENCE)
    title = chart.title if is_named else spoken(chart.title, True)
    x, y = (axis._replace(label=spoken(axis.label, True)) for axis in (chart.x, chart.y))
    return replace(chart, title=title, x=x, y=y)


def _bands(answer: Answer, view: ChartView, axis: Axis, selected: int) -> Iterator[Band]:
    """Yield for each setup that settles the band around sag in which seal friction can hold."""
    for look, setup in enumerate(answer.setups):
        sag = values([setup.sag.band_low, setup.sag.wheel, setup.sag.band_high])
        if not np.isfinite(sag).all() or (view is ChartView.CHAMBERS and look != selected):
            continue
        if axis is not _TRAVEL:
            sag = values(np.interp(sag, setup.curve.wheel_travel, setup.curve.stroke))
        is_own = view not in (ChartView.CHAMBERS, ChartView.LEVERAGE)
        low, at, high = map(float, sag)
        yield Band(low, at, high, look % TOTAL if is_own else None)


def _with_setups(chart: ChartData, answer: Answer, view: ChartView, slow: bool) -> ChartData:
    x, y, *_ = _FIELDS[view]
    lines = tuple(
        Line(setup.name, look % TOTAL, getattr(setup.curve, x), drawn, is_slow)
        for look, setup in enumerate(answer.setups)
        for is_slow, drawn in _movements(setup.curve, y, slow and _is_stiffer_fast(setup.curve))
    )
    chart = replace(chart, lines=lines, movement=movement(answer.setups))
    if view is not ChartView.WHEEL:
        return chart
    load = float(answer.load.static_wheel_force)
    settled = [setup for setup in answer.setups if np.isfinite(setup.sag.wheel)]
    points = tuple(Point(setup.name, float(setup.sag.wheel), load) for setup in settled)
    return replace(chart, points=points, level=Level("static load", load))


def _with_differences(chart: ChartData, setups: Sequence[SetupAnswer], slow: bool) -> ChartData:
    """Return the difference of every setup's wheel force to that of the first."""
    first, *others = setups
    title, y = (
        f"Wheel force, difference to {first.name}",
        Axis("Wheel force difference", Measure.FORCE, signed=True),
    )
    chart = replace(chart, title=title, y=y)
    if not others:
        return replace(chart, note=f"Add a second setup to see its difference to {first.name}.")
    curves = [setup.curve for setup in setups]
    if not np.isfinite(curves[0].wheel_force).any():
        return replace(chart, note=f"{first.name} has no result to compare with.")
    drawn = [next(_movements(curve, "wheel_force", slow=False))[1] for curve in curves]
    travel, ridden = _less_first(curves, drawn)
    _, moved = _less_first(curves, [curve.wheel_force for curve in curves])
    apart = ~np.isclose(ridden, moved, rtol=0.0, atol=_SAME_FORCE) & np.isfinite(moved)
    apart[..., :-1] |= apart[..., 1:]  # from the last point where both are one
    lines = []
    for look, setup in enumerate(setups):
        lines.append(Line(setup.name, look % TOTAL, travel, ridden[look]))
        if slow and apart[look].any():
            past = values(np.where(apart[look], moved[look], np.nan))
            lines.append(Line(setup.name, look % TOTAL, travel, past, slow=True))
    return replace(chart, lines=tuple(lines), movement=movement(setups))


def _less_first(curves: Sequence[Curve], forces: Sequence[Values]) -> tuple[Values, Values]:
    return less_first([(curve.wheel_travel, force) for curve, force in zip(curves, forces, strict=True)])


def _with_chambers(chart: ChartData, setup: SetupAnswer, slow: bool) -> ChartData:
    if setup.kind == "coil":
        return replace(chart, note=f"{setup.name} is a coil and has no chambers. Select an air setup.")
    curve, lines = setup.curve, list[Line]()
    chambers = (_movements(curve, name, slow) for name in ("positive", "negative"))
    for (is_slow, positive), (_, negative) in zip(*chambers, strict=True):
        lines.append(Line("total", TOTAL, curve.stroke, values(positive + negative), is_slow))
        lines.append(Line("positive", POSITIVE, curve.stroke, positive, is_slow))
        lines.append(Line("negative", NEGATIVE, curve.stroke, negative, is_slow))
    title, y = f"{chart.title} of {setup.name}", Axis("Shaft force", Measure.FORCE)
    return replace(chart, title=title, y=y, lines=tuple(lines), movement=movement([setup]))


def movement(setups: Sequence[SetupAnswer]) -> str:
    """Return the kind of curves of some setups in words; without sag, an air spring has no riding curve."""
    drawn = [setup.curve for setup in setups if np.isfinite(setup.curve.wheel_force).any()]
    ridden = [bool(np.isfinite(curve.riding_wheel_force).any()) for curve in drawn]
    if all(ridden):
        return "as it rides"
    return "as it rides; slow without sag" if any(ridden) else "slow: no sag"


def _movements(curve: Curve, name: str, slow: bool) -> Iterator[tuple[bool, Values]]:
    """Yield the riding values of a curve, and with `slow` those of slow compression past the sag point."""
    there, ridden = getattr(curve, name), getattr(curve, f"riding_{name}")
    yield False, ridden if np.isfinite(ridden).any() else there
    if slow:
        past = np.isfinite(getattr(curve, f"fast_{name}"))
        # Start at the last point above sag, where both are equal, so that the line can be read at sag.
        past[..., :-1] |= past[..., 1:]
        yield True, values(np.where(past, there, np.nan))


def _is_stiffer_fast(curve: Curve) -> bool:
    past = np.isfinite(curve.fast_shaft_force)
    return not np.allclose(curve.shaft_force[past], curve.fast_shaft_force[past])


def _track(answer: Answer, axis: Axis) -> tuple[Values, Values]:
    """Return fractions of the wheel travel and their positions on the x axis, SI; both (points,)."""
    ends, frame = values([0.0, 1.0]), answer.frame
    if axis is _TRAVEL:
        return ends, values(ends * float(frame.wheel_travel))
    if not answer.setups:
        return ends, values(ends * float(frame.stroke))
    # All setups are on the same frame, so any of them gives the stroke for a wheel travel.
    curve: Curve = answer.setups[0].curve
    return values(curve.wheel_travel / float(frame.wheel_travel)), curve.stroke


def written(si: float, axis: Axis, units: ShopUnits) -> str:
    """Return a value of an axis as text with its unit."""
    text = units.show(si, axis.measure)
    return f"+{text}" if axis.signed and si > 0 and units.plain(si, axis.measure).strip("0.") else text


Number = TypeVar("Number", float, Values)


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """A chart with units and look."""

    chart: ChartData
    units: ShopUnits
    look: ChartLook

    def x(self, si: Number) -> Number:
        """Return positions on the x axis in the shop's unit."""
        return self.units.scale(si, self.chart.x.measure)

    def y(self, si: Number) -> Number:
        """Return values in the shop's unit."""
        return self.units.scale(si, self.chart.y.measure)

    def written(self, si: float) -> str:
        """Return one value as text with its unit."""
        return written(si, self.chart.y, self.units)
