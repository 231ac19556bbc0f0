"""A logged travel on the grid on which a ground is found from it, with the air in time along it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from physics import gas
from physics.arrays import Marks, Values, values
from physics.lanes import Arrays
from physics.live_air import LiveAir
from physics.log import Log, Unusable
from physics.motion import CELLS, DAMPER_CELLS, FASTEST, Lane, side_by_side

LEAST_RATE = 400.0
"""Least rate [Hz] of the grid of the fit: a log sampled more slowly is fitted between its samples too."""
STRETCH, LEAD, TAIL = 5.0, 3.0, 0.25
"""Seconds of a stretch that is ridden by itself, of the lead-in before it and the fit after it."""


@dataclass(frozen=True, slots=True)
class Trace:
    """One piece of a log on the grid of the fit: its start [s], travel (points,) [m], smoothed travel.

    Only every `stride`-th point is a reading.
    """

    start: float
    travel: Values
    smooth: Values
    stride: int


def _traces(log: Log) -> tuple[float, float, list[Trace]]:
    """Return the step of the grid [s], the noise of a reading [m], and the pieces on the grid."""
    from scipy.interpolate import CubicSpline
    from scipy.signal import resample_poly, savgol_filter

    fewer = max(1, int(log.rate // LEAST_RATE))
    stride = max(1, int(np.ceil(LEAST_RATE / log.rate - 1e-6)))
    step = fewer / stride / log.rate
    found = []
    for piece in log.pieces:
        travel = piece.wheel
        if fewer > 1:
            travel = values(resample_poly(travel, 1, fewer, padtype="line"))
        if stride > 1:
            count = (len(travel) - 1) * stride + 1
            travel = values(CubicSpline(np.arange(len(travel)), travel)(np.arange(count) / stride))
        window = max(5, 2 * round(0.006 / step) + 1)
        found.append(Trace(piece.start, travel, values(savgol_filter(travel, window, 3)), stride))
    return step, noise_of(log) / np.sqrt(fewer), found


def noise_of(log: Log) -> float:
    """Return the standard deviation [m] of a reading of wheel travel: what third differences show.

    Kept between 0.05 and 0.3 mm: between readings far apart the wheel itself moves.

    >>> from physics.case import Frame, LeverageEnds
    >>> from physics.leverage import leverage_curve
    >>> from physics.log import read_log
    >>> lever = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)))
    >>> time, rng = values(np.arange(10_000) / 500), np.random.default_rng(1)
    >>> travel = values(0.050 + 0.030 * np.sin(12.0 * time) + rng.normal(0.0, 0.1e-3, 10_000))
    >>> round(1e3 * noise_of(read_log(time, travel, lever, "wheel")), 2)
    0.1
    """
    longest = max(log.pieces, key=lambda piece: len(piece.wheel)).wheel
    third = np.diff(longest[:200_000], 3)
    # Σ of the squared weights 1, 3, 3, 1; the median leaves out what moves fast.
    seen = float(np.median(np.abs(third))) / 0.6745 / np.sqrt(20.0)
    # Readings all on a few steps of the sensor may show no difference at all.
    return float(np.clip(max(seen, log.quantum / np.sqrt(12.0)), 0.05e-3, 0.3e-3))


@dataclass(frozen=True, slots=True)
class AirAlong:
    """The air's push on the shaft [N] and its rate [N/m] at strokes [m] along a travel, all (points,)."""

    stroke: Values
    push: Values
    rate: Values

    def cut(self, part: slice) -> AirAlong:
        """Return a part of it."""
        return AirAlong(self.stroke[part], self.push[part], self.rate[part])


@dataclass(frozen=True, slots=True)
class Logged:
    """A log on the grid of the fit, on the setup that was ridden: what the ground is found from.

    `noise` [m] is that of a reading; of each trace `airs` has the air along it, and `masses` (points,) [kg]
    what the first chamber holds.
    """

    lane: Lane
    step: float
    noise: float
    traces: tuple[Trace, ...]
    airs: tuple[AirAlong, ...]
    masses: tuple[Values, ...]


def logged(rides: Sequence[tuple[Lane, Log]]) -> list[Logged]:
    """Return logs with the air in time along them, all at once; they are of one sampling rate.

    Raises `Unusable` for a log without a piece that is long enough.
    """
    gridded = []
    for lane, log in rides:
        step, noise, traces = _traces(log)
        traces = [trace for trace in traces if len(trace.travel) * step >= LEAD + STRETCH + TAIL]
        if not traces:
            longest = max(len(piece.wheel) for piece in log.pieces) / log.rate
            raise Unusable("too_short", kept=longest, least=LEAD + STRETCH + TAIL, logged=log.logged)
        gridded.append((lane, step, noise, traces))
    airs = iter(_airs_along([(lane, trace) for lane, _, _, some in gridded for trace in some], gridded[0][1]))
    found = []
    for lane, step, noise, traces in gridded:
        both = [next(airs) for _ in traces]
        found.append(
            Logged(lane, step, noise, tuple(traces), tuple(air for air, _ in both), tuple(m for _, m in both))
        )
    return found


def _airs_along(traces: Sequence[tuple[Lane, Trace]], step: float) -> list[tuple[AirAlong, Values]]:
    """Return the air along each trace in time, and its mass [kg] in the first chamber at the points.

    In windows side by side with a lead-in. What crossed the port stays in its chamber until the port opens
    again, so that a second pass starts every window with the masses that the one before it was left with.
    """
    lead, size = round(LEAD / step), round(STRETCH / step)
    found, windows, lanes, firsts = [], list[Values](), list[Lane](), list[bool]()
    for lane, trace in traces:
        stroke = _strokes(lane, trace.smooth)
        found.append((AirAlong(stroke, np.zeros_like(stroke), np.zeros_like(stroke)), np.zeros_like(stroke)))
        for first in range(0, len(stroke) if lane.air else 0, size):
            window = stroke[max(first - lead, 0) : first + size]
            ahead = lead - min(first, lead)
            behind = size - (min(first + size, len(stroke)) - first)
            windows.append(np.pad(window, (ahead, behind), mode="edge"))
            lanes.append(lane)
            firsts.append(first == 0)
    if not windows:
        return found
    strokes = values(np.stack(windows, axis=1))
    if any(map(meets, lanes)):
        _, _, mass = _along(lanes, strokes[::_COARSE], step * _COARSE)
        usual = values([lane.air[0].mass for lane in lanes])
        left, _ = left_with(mass.T, usual, np.array(firsts), round(size / _COARSE))
        lanes = [with_mass(lane, float(held)) for lane, held in zip(lanes, left, strict=True)]
    push, rate, mass = _along(lanes, strokes, step)
    column = 0
    for (lane, _), (one, held) in zip(traces, found, strict=True):
        for first in range(0, len(one.stroke) if lane.air else 0, size):
            count = min(size, len(one.stroke) - first)
            for whole, part in ((one.push, push), (one.rate, rate), (held, mass)):
                whole[first : first + count] = part[lead : lead + count, column]
            column += 1
    return found


_COARSE = 2
"""Points of the grid that one step of the first pass takes."""


def _along(lanes: Sequence[Lane], stroke: Values, step: float) -> tuple[Values, Values, Values]:
    """Return force [N], rate [N/m] of the air and the first mass [kg] along strokes (points, lanes) [m].

    Each lane starts as if it had been moving about its mean stroke for long: its air would be at the wall's
    temperature there, and is on the isentrope through that at the first point.
    """
    many, first, mean = side_by_side(lanes), stroke[0], stroke.mean(axis=0)
    warmth = [
        gas.isentropic_temperature(
            many.wall, one.mass / (one.volume - one.area * mean), one.mass / (one.volume - one.area * first)
        )
        for one in many.air
    ]
    air = LiveAir(many.air, many.port, many.wall, many.outside, first, Arrays(), warmth)
    push, rate, mass = (np.empty_like(stroke) for _ in range(3))
    for now, x in enumerate(stroke):
        push[now], rate[now] = air.moved_to(x)
        mass[now] = air.mass[0]
        if not now:
            air.begin(step)
    return push, rate, mass


def meets(lane: Lane) -> bool:
    """Return whether the chambers of a setup meet at a port."""
    return len(lane.air) > 1 and bool(lane.port.at > 0)


def left_with(
    mass: Values, start: Values, firsts: Marks, due: int, held: float | None = None
) -> tuple[Values, float | None]:
    """Return the mass [kg] in the first chamber with which each of successive windows starts, and the next.

    `mass` (windows, points) is what it was on a pass from `start` (windows,); the next window starts at point
    `due`. `firsts` (windows,) marks those before which nothing is known; `held` is what the first of the
    others starts with.
    """
    found = start.copy()
    for n in range(len(mass)):
        if held is not None and not firsts[n]:
            found[n] = held
        moved = abs(mass[n, due] - start[n]) > 1e-9 * start[n]
        held = float(mass[n, due] if moved else found[n])
    return found, held


def with_mass(lane: Lane, first: float) -> Lane:
    """Return a lane of which the first chamber holds this mass [kg], the second the rest."""
    if not meets(lane):
        return lane
    one, other, *more = lane.air
    total = one.mass + other.mass
    return replace(lane, air=(replace(one, mass=first), replace(other, mass=total - first), *more))


def _strokes(lane: Lane, wheel: Values) -> Values:
    at, row = _row(lane.places, wheel * (CELLS / lane.travel))
    return values(row[0] + at * row[1])


def _row(table: Values, place: Values) -> tuple[Values, Values]:
    """Return the place within its cell and the row of a table for each point."""
    cell = np.clip(place, 0, len(table) - 1).astype(np.intp)
    return place - cell, table.take(cell, 0).T


@dataclass(frozen=True, slots=True)
class WheelForce:
    """The wheel force [N] of spring, damper and friction, each part (points,).

    `by_travel` [N/m] and `by_speed` [N s/m] are its derivatives, `by_damper` [N] that by a factor on the
    damper, and `by_friction` that by the friction of the seals.
    """

    force: Values
    by_travel: Values
    by_speed: Values
    by_damper: Values
    by_friction: Values


def wheel_force(
    lane: Lane, air: AirAlong, w: Values, u: Values, creep: float, damper: float, friction: float
) -> WheelForce:
    """Return the force at the wheel at travels [m] and speeds [m/s], with a factor on the damper.

    `friction` [N] at the shaft is that of the seals, full from a shaft speed `creep` [m/s] on.
    """
    cells, speeds = CELLS / lane.travel, DAMPER_CELLS / (2 * FASTEST)
    t, (x, dx, r, dr, force, stiff) = _row(lane.places, w * cells)
    x, r, force = x + t * dx, r + t * dr, force + t * stiff
    speed = r * u
    t, (damped, drag) = _row(lane.damping, speed * speeds + DAMPER_CELLS / 2)
    damped, rub = damped + t * drag, np.tanh(speed / creep)
    shaft = damper * damped + friction * rub + air.push + air.rate * (x - air.stroke)
    by_speed = damper * drag * speeds + friction * (1 - rub * rub) / creep
    return WheelForce(
        force=values(force + r * shaft),
        by_travel=values(stiff * cells + dr * cells * shaft + r * r * air.rate),
        by_speed=values(r * r * by_speed),
        by_damper=values(r * damped),
        by_friction=values(r * rub),
    )
