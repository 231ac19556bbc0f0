"""What a wheel rides over, as the height of its axle path over time, and how it starts.

Every event is the same for all setups. Edges, bumps and roads are what a rolling circle of the wheel's radius
leaves of them: the axle of a rigid wheel follows it, and the tyre's stiffness acts between it and the axle.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from physics.arrays import Values, values

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

    No circle rolls over it again. The ride starts at sag on it. For a ground of minutes see `physics.ride.ride_long`.
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
