"""One wheel in time: every setup of a case through the same event.

Sprung mass m = W_s/g upright over the unsprung mass, a tyre that pushes and never pulls, travel stops, both
chambers with one thermal time constant each, air that crosses the equalising port, seal friction, the damper
in each direction. The rider is a mass: legs are not modelled. A yardstick, never a height or a speed to ride.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from physics.answer import Answer
from physics.arrays import Values
from physics.case import STANDARD_GRAVITY, Case, Tyre
from physics.ground import USUAL_RADIUS, Event

USUAL_TYRE = Tyre(stiffness=120e3, damping=100.0, radius=USUAL_RADIUS)
"""Where nobody knows the tyre: 120 N/mm within the 31 to 147 N/mm measured on 20-inch tyres (Rothhämel,
Bicycle and Motorcycle Dynamics 2023), damping from memory. Show it as assumed."""
USUAL_PORT_LENGTH, USUAL_PORT_AREA = 2e-3, 3e-6
"""Length of the equalising port along the stroke [m], flow area times discharge coefficient [m²]: assumed, no
source."""
STEP = 0.5e-3
"""Step of the integration [s]; halved it changes no printed digit."""

Progress = Callable[[float], bool]
"""Told the fraction that is done; returns False to stop, which raises `Stopped`."""


class Stopped(Exception):
    """The caller's `Progress` asked to stop."""


@dataclass(frozen=True, slots=True)
class Meetings:
    """One setup's meetings with the stop at full travel, (meetings,), re-armed below 98 % of travel.

    `time` [s]; wheel `speed` [m/s] and the sprung mass's `energy` [J] brought to it, ½ m ẇ², from before
    contact; the peak `force` [N] at the wheel that the stop itself carries tells little but the stiffness
    assumed.
    """

    time: Values
    speed: Values
    energy: Values
    force: Values


@dataclass(frozen=True, slots=True)
class Ride:
    """A ride of every setup through one event. Arrays are read-only; NaN where a setup does not settle.

    Over time, (points,) or (setups, points): `time` [s], `travel` of the wheel [m] between the stops, `speed`
    [m/s] of it, `wheel_force` and `shaft_force` [N] of spring, damper and friction without the stops,
    `stop_force` [N] at the wheel, `tyre_force` [N], sprung `acceleration` [m/s²] (zero at rest), `ground` [m]
    under the tyre.

    Figures, (setups,): `deepest` travel [m]; `meetings` with the stop at full travel, `top_meetings` (count)
    with that at full extension; `peak_wheel_force`, `peak_shaft_force` [N] away from the stops;
    `peak_pressure` [Pa absolute] of the chamber of highest pressure, NaN for a coil; `rms_acceleration`,
    `peak_acceleration` [m/s²]; `airtime` share of time with the tyre off the ground and the `longest_air`
    [s]; `grip` r.m.s. variation of the tyre force over static; `mean_travel` [m] and `sinks` [m], how far
    mean travel over the last bump of a train lies below static sag (NaN for other events); `damper_heat`,
    `friction_heat` [J]. Shares and r.m.s. are over the whole ride.
    """

    event: Event
    names: tuple[str, ...]
    time: Values
    ground: Values
    travel: Values
    speed: Values
    wheel_force: Values
    shaft_force: Values
    stop_force: Values
    tyre_force: Values
    acceleration: Values
    wheel_travel: Values
    static_sag: Values
    deepest: Values
    meetings: tuple[Meetings, ...]
    top_meetings: Values
    peak_wheel_force: Values
    peak_shaft_force: Values
    peak_pressure: Values
    rms_acceleration: Values
    peak_acceleration: Values
    airtime: Values
    longest_air: Values
    grip: Values
    mean_travel: Values
    sinks: Values
    damper_heat: Values
    friction_heat: Values


def tyre_of(case: Case) -> Tyre:
    """Return the tyre of a case with the usual value for each that is not known.

    >>> from dataclasses import replace
    >>> from physics.case import Ambient, Frame, LeverageEnds, ScaleReading, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, ())
    >>> tyre_of(replace(case, tyre=Tyre(stiffness=90e3)))
    Tyre(stiffness=90000.0, damping=100.0, radius=0.35)
    """
    asked, usual = case.tyre, USUAL_TYRE
    return Tyre(
        usual.stiffness if asked.stiffness is None else asked.stiffness,
        usual.damping if asked.damping is None else asked.damping,
        usual.radius if asked.radius is None else asked.radius,
    )


def sprung_mass(found: Answer) -> float:
    """Return m = W_s/g [kg], the part of rider and bike that the spring of this wheel carries."""
    return float(found.load.static_wheel_force) / STANDARD_GRAVITY


def ride(
    case: Case,
    found: Answer,
    event: Event,
    *,
    duration: float | None = None,
    step: float = STEP,
    progress: Progress | None = None,
) -> Ride:
    """Return the ride of every setup of a case through an event; `found` is the bench's answer to the case.

    `duration` [s] is the usual one of the event where None. Raises `ValueError` for an event of no size, no
    speed or no length, and `Stopped` when `progress` returns False.
    """
    raise NotImplementedError


@dataclass(frozen=True, slots=True)
class LongRide:
    """A ride of every setup over a ground of any length, at the points of that ground.

    `time` (points,) [s]; `travel` [m] and `speed` [m/s] of the wheel and `stop_force` [N] at the wheel, all
    (setups, points), NaN where a setup does not settle.
    """

    time: Values
    travel: Values
    speed: Values
    stop_force: Values


def ride_long(
    case: Case,
    found: Answer,
    height: Values,
    step: float,
    *,
    progress: Progress | None = None,
) -> LongRide:
    """Return the ride of every setup of a case over a ground of `height` (points,) [m] every `step` [s].

    A long ground is cut into pieces that are ridden side by side, each with a lead-in of the ground before
    it, which is long enough for the start at sag to be forgotten.
    """
    raise NotImplementedError
