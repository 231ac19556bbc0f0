"""What a wheel rides over, as the height of its axle path over time, and how it starts.

Every event is the same for all setups. Edges, bumps and roads are what a rolling circle of the wheel's radius
leaves of them: the axle of a rigid wheel follows it, and the tyre's stiffness acts between it and the axle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from physics.arrays import Values, values
from physics.limits import STANDARD_GRAVITY

USUAL_RADIUS = 0.35
"""Outer radius of a wheel [m] where not known: common practice, no source. Show it as assumed."""

RoadClass = Literal["A", "B", "C", "D", "E", "F", "G", "H"]


@dataclass(frozen=True, slots=True)
class Drop:
    """A flat drop from `height` [m]: wheel extended, air settled, the tyre just touching at √(2 g h)."""

    height: float


@dataclass(frozen=True, slots=True)
class Landing:
    """A drop from `height` [m] onto a slope [rad, downhill positive] at a level `speed` [m/s].

    Only what is normal to the slope counts: the closing speed √(2 g h) cos θ − v sin θ and gravity g cos θ.
    """

    height: float
    slope: float
    speed: float


@dataclass(frozen=True, slots=True)
class SquareEdge:
    """A step up of `height` [m] at a `speed` [m/s]."""

    height: float
    speed: float


@dataclass(frozen=True, slots=True)
class Bumps:
    """A train of `count` raised cosines of a `height` and `length` [m] at a `speed` [m/s].

    `spacing` [m] of level ground lies between one and the next.
    """

    height: float
    length: float
    speed: float
    count: int = 8
    spacing: float = 0.0


@dataclass(frozen=True, slots=True)
class Compression:
    """A hollow of a `radius` [m] through an `angle` [rad] at a `speed` [m/s]: v²/R more for R φ/v."""

    radius: float
    angle: float
    speed: float


@dataclass(frozen=True, slots=True)
class Road:
    """A random road of an ISO 8608 class at a `speed` [m/s]; the same `seed` is the same road."""

    road_class: RoadClass
    speed: float
    seed: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Given:
    """A ground as `height` (points,) [m] every `step` [s], straight between the points.

    No circle rolls over it again. The ride starts at sag on it.
    """

    step: float
    height: Values


Event = Drop | Landing | SquareEdge | Bumps | Compression | Road | Given


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """An event as the integrator takes it: the ground under the tyre every `step` [s].

    `height` [m] and `rise` [m/s] are (points,), the wheel's circle rolled over them. `gravity` is the share
    of g along the wheel's path. With `extended` the wheel starts at full extension, tyre just touching, with
    the downward speed `closing` [m/s]; otherwise it starts at sag.
    """

    step: float
    height: Values
    rise: Values
    gravity: float = 1.0
    extended: bool = False
    closing: float = 0.0


NORMAL_DURATION = 2.0
"""Seconds of a drop, a landing or an edge; how long they take to settle."""
_AHEAD = 0.1
"""Seconds of level ground before an edge, a bump or a hollow."""
_AFTER = 1.5
"""Seconds of level ground after a train of bumps or a hollow."""
_ALONG = 2e-3
"""Spacing of the ground's samples [m] under the rolling circle."""
ROAD_DURATION = 10.0
_LEAST_WAVE, _MOST_WAVE = 0.011, 2.83
"""Spatial frequencies [cycles/m] between which ISO 8608 gives its classes (from memory)."""
_LEVEL_AT = 0.1
_FADE = 2.0
"""Metres over which a random road begins."""


def usual_duration(event: Event) -> float:
    """Return how long to ride an event [s].

    >>> usual_duration(Bumps(0.05, 1.0, 5.0, count=10))  # 0.1 s before, 2 s on the bumps, 1.5 s after
    3.6
    """
    match event:
        case Bumps():
            return _AHEAD + event.count * (event.length + event.spacing) / event.speed + _AFTER
        case Compression():
            return _AHEAD + event.radius * event.angle / event.speed + _AFTER
        case Road():
            return ROAD_DURATION
        case Given():
            return event.step * (len(event.height) - 1)
        case _:
            return NORMAL_DURATION


def course(event: Event, radius: float, step: float, duration: float | None = None) -> Course:
    """Return what a wheel of `radius` [m] rides over, every `step` [s] for `duration` [s].

    Raises `ValueError` for an event without size, speed or length, or a landing that does not close in.

    >>> ahead = course(SquareEdge(0.05, 5.0), 0.35, 1e-3)
    >>> round(float(ahead.height.max()), 6), ahead.extended
    (0.05, False)
    """
    _refuse_empty(event)
    count = max(round((usual_duration(event) if duration is None else duration) / step), 2)
    time = values(np.arange(count + 1) * step)
    match event:
        case Drop() | Landing():
            level = np.zeros_like(time)
            inclined, across = (event.slope, event.speed) if isinstance(event, Landing) else (0.0, 0.0)
            fallen = touching_speed(event.height, STANDARD_GRAVITY)
            closing = fallen * math.cos(inclined) - across * math.sin(inclined)
            if closing < 0:
                raise ValueError("the wheel does not come nearer to the slope")
            return Course(step, level, level, math.cos(inclined), extended=True, closing=closing)
        case SquareEdge(height, speed):
            along = (time - _AHEAD) * speed - _before_edge(height, radius)
            return _course_on(_edge_path(along, height, radius), step)
        case Compression():
            lasting = event.radius * event.angle / event.speed
            past = np.clip(time - _AHEAD, 0.0, lasting)
            after = np.maximum(time - _AHEAD - lasting, 0.0)
            up = event.speed**2 / event.radius
            return Course(step, values(up * past * (past / 2 + after)), values(up * past))
        case Given():
            at = np.arange(len(event.height)) * event.step
            return _course_on(values(np.interp(time, at, event.height)), step)
        case Bumps() | Road():
            ahead = 0.0 if isinstance(event, Road) else _AHEAD
            along = np.arange(-radius, (time[-1] - ahead) * event.speed + radius + _ALONG, _ALONG)
            if isinstance(event, Road):
                profile = road_profile(event.road_class, event.seed, along)
            else:
                profile = _train(event, along)
            path = rolled(profile, _ALONG, radius)
            return _course_on(values(np.interp((time - ahead) * event.speed, along, path)), step)


def _course_on(height: Values, step: float) -> Course:
    """Return the course on a ground (points,) [m]; a kink on a step has the mean slope of its sides."""
    return Course(step, height, values(np.gradient(height, step)))


def last_bump(event: Bumps, step: float) -> tuple[int, int]:
    """Return the first step of the last bump of a train, and the first one after it.

    >>> last_bump(Bumps(0.05, 1.0, 5.0, count=10), 1e-3)
    (1900, 2100)
    """
    period = (event.length + event.spacing) / event.speed
    ends = [_AHEAD + (event.count - n) * period for n in (1, 0)]
    return round(ends[0] / step), round(ends[1] / step)


def _refuse_empty(event: Event) -> None:
    for name in ("length", "speed", "radius", "angle", "count"):
        if getattr(event, name, 1.0) <= 0 and not (isinstance(event, Landing) and name == "speed"):
            raise ValueError(f"an event needs a {name} above zero")
    if not isinstance(event, Given) and getattr(event, "height", 0.0) < 0:
        raise ValueError("an event needs a height of zero or more")


def _before_edge(height: float, radius: float) -> float:
    """Return √(2 R H − H²) [m], how far before an edge a wheel meets it: R above the axle."""
    low = min(height, radius)
    return math.sqrt(2 * radius * low - low * low)


def _edge_path(along: Values, height: float, radius: float) -> Values:
    """Return the height [m] of an axle on its way over a step up at 0, at places `along` [m].

    The wheel turns about the edge once it meets it.
    """
    on_edge = (along > -_before_edge(height, radius)) & (along < 0)
    x = np.where(on_edge, along, 0.0)
    turning = height + np.sqrt(radius * radius - x * x) - radius
    return values(np.where(on_edge, turning, np.where(along < 0, 0.0, height)))


def _train(event: Bumps, along: Values) -> Values:
    """Return a train of raised cosines at places `along` [m], the first one from 0 on."""
    period = event.length + event.spacing
    within = np.mod(along, period)
    on = (along >= 0) & (along < event.count * period) & (within < event.length)
    return values(np.where(on, event.height / 2 * (1 - np.cos(2 * np.pi * within / event.length)), 0.0))


def rolled(profile: Values, spacing: float, radius: float) -> Values:
    """Return the path of the axle of a wheel of `radius` [m] that rolls over a `profile` (points,) [m].

    That is how far the lowest point of the wheel is lifted: the largest of y(x + d) − (R − √(R² − d²)) over
    |d| ≤ R.

    >>> path = rolled(values([0.0] * 200 + [0.02] + [0.0] * 200), 1e-3, 0.35)
    >>> path[200], round(float(path[100]), 4)  # 0.02 − (0.35 − √(0.35² − 0.1²))
    (np.float64(0.02), 0.0054)
    """
    reach = int(radius / spacing)
    highest = float(profile.max() - profile.min())
    path = profile.copy()
    for n in range(1, reach + 1):
        sunk = radius - math.sqrt(radius * radius - (n * spacing) ** 2)
        if sunk > highest:
            break
        np.maximum(path[:-n], profile[n:] - sunk, out=path[:-n])
        np.maximum(path[n:], profile[:-n] - sunk, out=path[n:])
    return path


def road_profile(road_class: RoadClass, seed: int, along: Values) -> Values:
    """Return the height [m] of a random road of an ISO 8608 class at even places `along` (points,) [m].

    Sines of every spatial frequency that fits into the road, or into the longest wave of the standard if that
    is longer, from 0.011 to 2.83 cycles/m, each with the amplitude √(2 G_d Δn) of G_d(n) = G_d(n₀) (n/n₀)⁻²
    and a random phase. It begins over the first two metres.
    """
    spacing = float(along[1] - along[0])
    length = max(len(along) * spacing, 1.0 / _LEAST_WAVE)
    count = round(length / spacing)
    waves = np.fft.rfftfreq(count, spacing)
    inside = (waves >= _LEAST_WAVE * (1 - 1e-9)) & (waves <= _MOST_WAVE)
    density = np.where(
        inside, road_level(road_class) * (np.where(inside, waves, 1.0) / _LEVEL_AT) ** -2.0, 0.0
    )
    phase = np.random.default_rng(seed).uniform(0.0, 2 * np.pi, len(waves))
    amplitude = np.sqrt(2 * density * (waves[1] - waves[0]))
    height = np.fft.irfft(amplitude * np.exp(1j * phase) * count / 2, count)[: len(along)]
    begun = np.clip((along - along[0]) / _FADE, 0.0, 1.0)
    return values(height * (begun * begun * (3 - 2 * begun)))


def road_level(road_class: RoadClass) -> float:
    """Return G_d(n₀) [m³], the displacement spectral density at n₀ = 0.1 cycles/m in the middle of a class.

    ISO 8608 (from memory): 16e-6 m³ for class A, four times as much for each further one.

    >>> road_level("C")
    0.000256
    """
    return 16e-6 * 4.0 ** "ABCDEFGH".index(road_class)


def touching_speed(height: float, gravity: float) -> float:
    """Return the speed √(2 g h) [m/s] after a free fall from `height` [m].

    >>> round(touching_speed(0.5, 9.80665), 3)
    3.132
    """
    return float(np.sqrt(2 * gravity * values(height)))
