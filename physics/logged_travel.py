"""Logged travel on the grid of the ground fit, with the air integrated along it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from physics import gas
from physics.arrays import Marks, Values, values
from physics.frozen import dataclass
from physics.lanes import Arrays
from physics.live_air import LiveAir
from physics.log import Log, Unusable
from physics.motion import CELLS, DAMPER_CELLS, FASTEST, Lane, side_by_side

LEAST_RATE = 400.0
"""Minimum rate [Hz] of the grid: a slower log gets grid points between its samples."""
STRETCH, LEAD, TAIL = 5.0, 3.0, 0.25
"""Duration [s] of a stretch that is simulated by itself, of its lead-in, and of the tail of the fit after
it."""


@dataclass(frozen=True, slots=True)
class Trace:
    """One piece of a log on the grid: its start [s], travel (points,) [m], and smoothed travel (points,) [m].

    Only every `stride`-th point is a reading.
    """

    start: float
    travel: Values
    smooth: Values
    stride: int


def _traces(log: Log) -> tuple[float, float, list[Trace]]:
    """Return the grid step [s], the standard deviation of a reading [m], and the pieces on the grid."""
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
    """Return the standard deviation [m] of a reading of wheel travel, estimated from third differences.

    Limited to 0.05 to 0.3 mm: at a low sampling rate the differences contain motion of the wheel.

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
    # 20 is the sum of the squared weights 1, 3, 3, 1; the median is robust against fast motion.
    seen = float(np.median(np.abs(third))) / 0.6745 / np.sqrt(20.0)
    # A coarse sensor may show no differences at all.
    return float(np.clip(max(seen, log.quantum / np.sqrt(12.0)), 0.05e-3, 0.3e-3))


@dataclass(frozen=True, slots=True)
class AirAlong:
    """Force of the air on the shaft [N] and its rate [N/m] at strokes [m] along a log, all (points,)."""

    stroke: Values
    push: Values
    rate: Values

    def cut(self, part: slice) -> AirAlong:
        """Return a part of it."""
        return AirAlong(self.stroke[part], self.push[part], self.rate[part])


@dataclass(frozen=True, slots=True)
class Logged:
    """A log on the grid, with the setup that was ridden: the input of the ground fit.

    `noise` [m] is the standard deviation of a reading. For each trace, `airs` has the air along it and
    `masses` (points,) [kg] the mass of air in the first chamber.
    """

    lane: Lane
    step: float
    noise: float
    traces: tuple[Trace, ...]
    airs: tuple[AirAlong, ...]
    masses: tuple[Values, ...]


def logged(rides: Sequence[tuple[Lane, Log]]) -> list[Logged]:
    """Return logs of one sampling rate with the air integrated along them, all together.

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
    """Return the air along each trace, and the mass of air [kg] in the first chamber at its points.

    Computed in parallel windows with a lead-in. Air that crossed the port stays in its chamber until the port
    opens again, so a second pass starts every window with the final masses of the window before.
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
        # Seen where the next window begins: its lead-in is as long as this one's.
        _, _, mass = _along(lanes, strokes[: size + 1 : _COARSE], step * _COARSE)
        usual = values([lane.air[0].mass for lane in lanes])
        left, _ = left_with(mass.T, usual, np.array(firsts), -1)
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
"""Grid points per step of the first pass."""


def _along(lanes: Sequence[Lane], stroke: Values, step: float) -> tuple[Values, Values, Values]:
    """Return force [N] and rate [N/m] of the air and the first mass [kg] along strokes (points, lanes) [m].

    Initial state: the air is at the wall temperature at the mean stroke of its lane, as after long motion
    about it, and follows the isentrope from there to the first point.
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
    """Return whether a port joins the chambers of a setup."""
    return len(lane.air) > 1 and bool(lane.port.at > 0)


def left_with(
    mass: Values, start: Values, firsts: Marks, due: int, held: float | None = None
) -> tuple[Values, float | None]:
    """Return the initial mass [kg] in the first chamber for successive windows, and for the one after.

    `mass` (windows, points) is from a pass that began with `start` (windows,); the next window begins at
    point `due`. `firsts` (windows,) marks windows with none before them; `held` is the initial mass of the
    first of the others.
    """
    found = start.copy()
    for n in range(len(mass)):
        if held is not None and not firsts[n]:
            found[n] = held
        moved = abs(mass[n, due] - start[n]) > 1e-9 * start[n]
        held = float(mass[n, due] if moved else found[n])
    return found, held


def with_mass(lane: Lane, first: float) -> Lane:
    """Return a lane with this mass of air [kg] in the first chamber and the rest in the second."""
    if not meets(lane):
        return lane
    one, other, *more = lane.air
    total = one.mass + other.mass
    return replace(lane, air=(replace(one, mass=first), replace(other, mass=total - first), *more))


def _strokes(lane: Lane, wheel: Values) -> Values:
    at, row = _row(lane.places, wheel * (CELLS / lane.travel))
    return values(row[0] + at * row[1])


def _row(table: Values, place: Values) -> tuple[Values, Values]:
    """Return the position within its cell and the row of a table for each point."""
    cell = np.clip(place, 0, len(table) - 1).astype(np.intp)
    return place - cell, table.take(cell, 0).T


@dataclass(frozen=True, slots=True)
class WheelForce:
    """Wheel force [N] of spring, damper and friction, and its derivatives, all (points,).

    `by_travel` [N/m], `by_speed` [N s/m], `by_damper` [N] for a factor on the damper, `by_friction` [1] for
    the seal friction.
    """

    force: Values
    by_travel: Values
    by_speed: Values
    by_damper: Values
    by_friction: Values


def wheel_force(
    lane: Lane, air: AirAlong, w: Values, u: Values, creep: float, damper: float, friction: float
) -> WheelForce:
    """Return the wheel force at travels `w` [m] and speeds `u` [m/s].

    `damper` is a factor on the damper force. `friction` [N] is the seal friction at the shaft, fully
    developed above a shaft speed of `creep` [m/s].
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
