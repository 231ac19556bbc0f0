"""Ground profiles: height under the tyre over time, and the initial state of the wheel.

An event is the same for all setups. Edges, bumps and roads are filtered by rolling a circle of the wheel's
radius over them: this is the path of the axle of a rigid wheel. The tyre's stiffness acts between this path
and the axle.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from physics.arrays import Values, values
from physics.frozen import dataclass
from physics.limits import STANDARD_GRAVITY

USUAL_RADIUS = 0.35
"""Outer radius [m] of a wheel if not known, shown as assumed: common practice, no source."""

RoadClass = Literal["A", "B", "C", "D", "E", "F", "G", "H"]


@dataclass(frozen=True, slots=True)
class Drop:
    """A drop to flat from `height` [m]: starts at touchdown with √(2 g h), wheel extended, air settled."""

    height: float


@dataclass(frozen=True, slots=True)
class Landing:
    """A drop from `height` [m] onto a `slope` [rad, downhill positive] at a horizontal `speed` [m/s].

    Only components normal to the slope count: impact speed √(2 g h) cos θ − v sin θ and gravity g cos θ.
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

    `spacing` [m] is the level ground between two bumps.
    """

    height: float
    length: float
    speed: float
    count: int = 8
    spacing: float = 0.0


@dataclass(frozen=True, slots=True)
class Compression:
    """A dip of `radius` [m] over an `angle` [rad] at a `speed` [m/s]: adds v²/R to gravity for R φ/v."""

    radius: float
    angle: float
    speed: float


@dataclass(frozen=True, slots=True)
class Road:
    """A random road of an ISO 8608 class at a `speed` [m/s]; the same `seed` gives the same road."""

    road_class: RoadClass
    speed: float
    seed: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Given:
    """A ground given as `height` (points,) [m] every `step` [s], linear in between.

    It is taken as already filtered by the wheel. The ride starts at sag.
    """

    step: float
    height: Values


Event = Drop | Landing | SquareEdge | Bumps | Compression | Road | Given


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """An event as input of the integrator: the ground under the tyre every `step` [s].

    `height` [m] and `rise` [m/s], both (points,), are those of the filtered profile. `gravity` is the
    fraction of g along the wheel's path. With `extended` the wheel starts at full extension, tyre just
    touching, at the downward speed `closing` [m/s]; otherwise it starts at sag.
    """

    step: float
    height: Values
    rise: Values
    gravity: float = 1.0
    extended: bool = False
    closing: float = 0.0


NORMAL_DURATION = 2.0
"""Duration [s] of a drop, a landing or an edge, long enough to settle."""
_AHEAD = 0.1
"""Time [s] on level ground before an edge, a bump or a dip."""
_AFTER = 1.5
"""Time [s] on level ground after a train of bumps or a dip."""
_ALONG = 2e-3
"""Sample spacing [m] of the ground for the rolling circle."""
ROAD_DURATION = 10.0
_LEAST_WAVE, _MOST_WAVE = 0.011, 2.83
"""Range of spatial frequencies [cycles/m] of the classes of ISO 8608 (from memory)."""
_LEVEL_AT = 0.1
_FADE = 2.0
"""Distance [m] over which a random road is faded in."""


def usual_duration(event: Event) -> float:
    """Return the usual duration of an event [s].

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
    """Return the course of a wheel of `radius` [m] through an event, every `step` [s] for `duration` [s].

    Raises `ValueError` for an event without size, speed or length, or a landing without impact speed.

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
    """Return the course on a ground (points,) [m]; at a kink the rise is the mean of both sides."""
    return Course(step, height, values(np.gradient(height, step)))


def last_bump(event: Bumps, step: float) -> tuple[int, int]:
    """Return the index of the first step on the last bump of a train, and of the first one after it.

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
    """Return √(2 R H − H²) [m], how far the axle is before an edge at first contact; R for a higher edge."""
    low = min(height, radius)
    return math.sqrt(2 * radius * low - low * low)


def _edge_path(along: Values, height: float, radius: float) -> Values:
    """Return the height [m] of the axle over a step up at 0, at positions `along` [m].

    From first contact the wheel pivots about the edge.
    """
    on_edge = (along > -_before_edge(height, radius)) & (along < 0)
    x = np.where(on_edge, along, 0.0)
    turning = height + np.sqrt(radius * radius - x * x) - radius
    return values(np.where(on_edge, turning, np.where(along < 0, 0.0, height)))


def _train(event: Bumps, along: Values) -> Values:
    """Return the height [m] of a train of raised cosines at positions `along` [m], starting at 0."""
    period = event.length + event.spacing
    within = np.mod(along, period)
    on = (along >= 0) & (along < event.count * period) & (within < event.length)
    return values(np.where(on, event.height / 2 * (1 - np.cos(2 * np.pi * within / event.length)), 0.0))


def rolled(profile: Values, spacing: float, radius: float) -> Values:
    """Return the axle path of a wheel of `radius` [m] rolling over a `profile` (points,) [m].

    The lift of the lowest point of the wheel: the maximum of y(x + d) − (R − √(R² − d²)) over |d| ≤ R.

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
    """Return the height [m] of a random road of an ISO 8608 class at even positions `along` (points,) [m].

    A sum of sines with random phases over all spatial frequencies from 0.011 to 2.83 cycles/m that have a
    whole number of periods in the road, or in the longest wave of the standard if that is longer. Each has
    the amplitude √(2 G_d Δn) for G_d(n) = G_d(n₀) (n/n₀)⁻². The road is faded in over the first two metres.
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
    """Return G_d(n₀) [m³], the mean displacement power spectral density of a class at n₀ = 0.1 cycles/m.

    ISO 8608 (from memory): 16e-6 m³ for class A, a factor of four from class to class.

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
