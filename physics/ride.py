"""Simulation of one wheel over time: every setup of a case through the same event.

A sprung mass m = W_s/g moves vertically above the unsprung mass. Modelled are a tyre that pushes and never
pulls, travel stops, both air chambers with a thermal time constant each, flow through the equalising port,
seal friction, and the damper in each direction. The rider is a rigid mass: legs are not modelled. The results
compare setups; they are never a height or a speed that is safe to ride.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from physics import gas
from physics.answer import Answer, Sag, SetupAnswer, freeze
from physics.arrays import NONE, Values, per_point, values
from physics.case import Air as Spring
from physics.case import Ambient, Case, Damper, EqualisedNegative, Setup, Tyre
from physics.chamber import heat_time
from physics.damper import damper_force
from physics.frozen import dataclass
from physics.ground import USUAL_RADIUS, Bumps, Course, Event, course, last_bump
from physics.leverage import LeverageCurve, remembered_curve
from physics.limits import STANDARD_GRAVITY
from physics.live_air import Port, TimedChamber
from physics.motion import (
    CELLS,
    COLUMNS,
    DAMPER_CELLS,
    FASTEST,
    STOP_STIFFNESS,
    Lane,
    Progress,
    Start,
    cells_of,
    stepped,
)
from physics.sag import under_load
from physics.shock import Shock, shock_of
from physics.walk import walk

USUAL_TYRE = Tyre(stiffness=120e3, damping=100.0, radius=USUAL_RADIUS)
"""Assumed where the tyre is not known, and shown as assumed: 120 N/mm, within the 31 to 147 N/mm measured on
20-inch tyres (Rothhämel, Bicycle and Motorcycle Dynamics 2023); damping from memory."""
USUAL_PORT_LENGTH, USUAL_PORT_AREA = 2e-3, 3e-6
"""Length of the equalising port along the stroke [m], and its flow area times discharge coefficient [m²]:
assumed, no source."""
STEP = 0.5e-3
"""Integration step [s]; halving it changes no printed digit."""


@dataclass(frozen=True, slots=True)
class Meetings:
    """Contacts of one setup with the stop at full travel, (contacts,), re-armed below 98 % of travel.

    `time` [s] of each; wheel `speed` [m/s] and kinetic `energy` [J] of the sprung mass, ½ m ẇ², just before
    contact; peak `force` [N] of the stop at the wheel, which mostly reflects the assumed stop stiffness.
    """

    time: Values
    speed: Values
    energy: Values
    force: Values


@dataclass(frozen=True, slots=True)
class Ride:
    """Every setup through one event. Arrays are read-only; NaN where a setup does not settle.

    Time series, (points,) or (setups, points): `time` [s]; wheel `travel` [m], limited to the range between
    the stops, and its `speed` [m/s]; `wheel_force` and `shaft_force` [N] of spring, damper and friction,
    without the stops; `stop_force` [N] at the wheel; `tyre_force` [N]; sprung `acceleration` [m/s²], zero at
    rest; height of the `ground` [m] under the tyre.

    Figures, (setups,): `deepest` travel [m]; `meetings`, the contacts with the stop at full travel, and
    `top_meetings`, the number of those at full extension; `peak_wheel_force`, `peak_shaft_force` [N] away
    from the stops; `peak_pressure` [Pa absolute] of any chamber, NaN for a coil; `rms_acceleration`,
    `peak_acceleration` [m/s²]; `airtime`, the fraction of time with the tyre off the ground, and
    `longest_air` [s]; `grip`, the r.m.s. variation of the tyre force over the static one; `mean_travel` [m];
    `sinks` [m], how far mean travel over the last bump of a train lies below static sag (NaN for other
    events); `damper_heat`, `friction_heat` [J]. Fractions and r.m.s. values are over the whole ride.
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
    """Return the tyre of a case, with usual values for those not known.

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
    """Return m = W_s/g [kg], the mass of rider and bike carried by this wheel's spring."""
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
    """Simulate every setup of a case through an event; `found` is the bench's answer to the case.

    Without a `duration` [s] the event's usual one applies. The shock works in the riding air of the case,
    with the mass of gas it was filled with in the shop. Raises `ValueError` for an event without size, speed
    or length, and `Stopped` when `progress` returns False.
    """
    track = course(event, tyre_radius(case), step, duration)
    kept = ridden(lanes_of(case, found, track), [track] * len(found.setups), progress=progress)
    lever = remembered_curve(case.frame)
    return told(Ridden(case, found, lever, event, track, kept))


def tyre_radius(case: Case) -> float:
    """Return the wheel's outer radius [m], the usual one if it is not known."""
    return tyre_of(case).radius or USUAL_RADIUS


def around(case: Case) -> Ambient:
    """Return the ambient air of the ride, that of the shop if no other is known."""
    return case.shop if case.ride is None else case.ride


def standing(case: Case, found: SetupAnswer, static: Values) -> Standing:
    """Return a setup under its static wheel force [N] in the riding air."""
    lever = remembered_curve(case.frame)
    shock = shock_of(found.setup, lever, case.shop, case.ride)
    if case.ride is None:
        rest = NONE if found.air is None else found.air.rest_stroke
        return Standing(shock, found.sag, rest)
    stood = under_load(walk(shock), static)
    return Standing(shock, stood.sag, stood.rest_stroke)


@dataclass(frozen=True, slots=True)
class Standing:
    """A shock in the riding air, its sag there, and its stroke [m] without load."""

    shock: Shock
    sag: Sag
    rest_stroke: Values


def static_sag(found: SetupAnswer, lever: LeverageCurve) -> float:
    """Return the wheel travel [m] of a setup at rest in the riding air, NaN if it does not settle."""
    if found.ride is None:
        return float(found.sag.wheel)
    return float(found.ride.sag_wheel_fraction) * float(lever.wheel_travel)


def lanes_of(case: Case, found: Answer, track: Course) -> list[Lane | None]:
    """Return a lane for each setup of an answered case on a course, None where the setup does not settle.

    The shocks work in the riding air of the case.
    """
    lever, tyre, mass = remembered_curve(case.frame), tyre_of(case), sprung_mass(found)
    settles = (one.state == "ok" and math.isfinite(static_sag(one, lever)) for one in found.setups)
    asked = [one if settled else None for one, settled in zip(found.setups, settles, strict=True)]
    lanes = [None if one is None else lane_of(case, one, lever, tyre, mass, track) for one in asked]
    return [None if lane is None or math.isnan(lane.start) else lane for lane in lanes]


def lanes_on(case: Case, found: Answer, tracks: Sequence[Course]) -> list[list[Lane | None]]:
    """Return `lanes_of` for each of many courses; courses with the same initial state share lanes."""
    made: dict[tuple[float, bool], list[Lane | None]] = {}
    for track in tracks:
        start = track.gravity, track.extended
        if start not in made:
            made[start] = lanes_of(case, found, track)
    return [made[track.gravity, track.extended] for track in tracks]


def lane_of(
    case: Case,
    found: SetupAnswer,
    lever: LeverageCurve,
    tyre: Tyre,
    mass: float,
    track: Course,
) -> Lane:
    """Return one setup as a lane of `physics.motion`, its air settled at full extension or at sag.

    A damper given as a fraction of critical damping refers to critical damping in the shop. `start` is NaN if
    the setup does not settle in the riding air.
    """
    setup = found.setup
    stood = standing(case, found, values(mass * STANDARD_GRAVITY))
    shock = stood.shock
    full = float(lever.wheel_travel)
    places = lever.at(values(np.linspace(0.0, full, CELLS + 1)))
    force, _rate = shock.still(places.stroke)
    air = _air_of(shock, stood.sag.stroke)
    lane = Lane(
        mass=mass,
        unsprung=float(case.load.unsprung_mass),
        tyre_stiffness=float(tyre.stiffness or 0.0),
        tyre_damping=float(tyre.damping or 0.0),
        gravity=STANDARD_GRAVITY * track.gravity,
        travel=full,
        places=cells_of(np.stack([places.stroke, 1 / places.ratio, force / places.ratio])),
        damping=damping_table(setup.damper, float(found.riding.critical_damping)),
        friction=float(setup.friction),
        air=air,
        port=_port_of(setup),
        wall=float(shock.ambient.temperature),
        outside=float(shock.ambient.pressure),
        start=float(stood.sag.wheel),
    )
    return replace(lane, start=_extended(shock, stood.rest_stroke)) if track.extended else lane


def damping_table(damper: Damper, critical: float) -> Values:
    """Return the `damping` table of a `Lane`; `critical` [N s/m] is critical damping at the shaft at sag."""
    speeds = values(np.linspace(-FASTEST, FASTEST, DAMPER_CELLS + 1))
    return cells_of(damper_force(damper, speeds, critical)[None, :])


def _extended(shock: Shock, rest: Values) -> float:
    """Return the wheel travel [m] of a hanging wheel, slightly below zero if the stop carries it.

    `rest` [m] is the stroke of the rest position.
    """
    if rest > 0:
        return float(shock.lever.at_stroke(per_point(rest)).wheel[0])
    return -float(shock.wheel(np.zeros(1))[0][0]) / STOP_STIFFNESS


def _port_of(setup: Setup) -> Port:
    """Return the equalising port, with the usual length and area where not given."""
    second = setup.spring.negative if isinstance(setup.spring, Spring) else None
    if not isinstance(second, EqualisedNegative):
        return Port()
    length = USUAL_PORT_LENGTH if second.port_length is None else second.port_length
    area = USUAL_PORT_AREA if second.port_area is None else second.port_area
    return Port(float(second.port), length, area)


WARMER = 40.0
"""Temperature difference [K] of air and wall for estimating a time constant: a hard hit (assumed)."""


def _air_of(shock: Shock, sag: Values) -> tuple[TimedChamber, ...]:
    """Return the chambers of a shock with their time constants, estimated at a sag [m] where not given."""
    spring, legs = shock.setup.spring, shock.setup.lower_legs
    typed = spring.time_constant if isinstance(spring, Spring) else None
    chambers = [] if shock.air is None else [shock.air.positive, shock.air.negative]
    timed = [(one, typed) for one in chambers if one is not None]
    if shock.legs is not None and legs is not None:
        timed.append((shock.legs, legs.time_constant))
    made = []
    for one, constant in timed:
        if constant is None:
            warmth = shock.ambient.temperature
            heat = float(gas.heat_capacity(warmth, one.density_at(per_point(sag))[..., 0]))
            constant = float(heat_time(one, sag, values(WARMER), warmth, heat))
        made.append(TimedChamber(float(one.area), float(one.volume), float(one.mass), constant))
    return tuple(made)


def ridden(
    lanes: Sequence[Lane | None], tracks: Sequence[Course], *, progress: Progress | None = None
) -> Values:
    """Return the output of `physics.motion` for lanes, each on its course: (lanes, columns, points).

    The courses have one length. NaN where there is no lane.
    """
    there = [(lane, track) for lane, track in zip(lanes, tracks, strict=True) if lane is not None]
    starts = [Start(-track.closing, not track.extended) for _, track in there]
    grounds = [(track.height, track.rise) for _, track in there]
    rode = stepped([lane for lane, _ in there], starts, grounds, tracks[0].step, progress=progress)
    if len(there) == len(lanes):
        return rode
    kept = np.full((len(lanes), len(COLUMNS), len(tracks[0].height)), np.nan)
    if there:
        kept[[lane is not None for lane in lanes]] = rode
    return kept


@dataclass(frozen=True, slots=True)
class Ridden:
    """Output of a case's setups on one course, (setups, columns, points), and what it was computed from."""

    case: Case
    found: Answer
    lever: LeverageCurve
    event: Event
    track: Course
    kept: Values

    def column(self, name: str) -> Values:
        """Return one of the columns of `physics.motion`, (setups, points)."""
        return self.kept[:, COLUMNS.index(name)]


_REARMED = 0.98
"""Fraction of the travel below which another contact with the stop can be counted."""


def told(rode: Ridden) -> Ride:
    """Return the ride with its figures."""
    full, step = values(rode.lever.wheel_travel), rode.track.step
    time = values(np.arange(rode.kept.shape[-1]) * step)
    w, speed, stop, tyre = (rode.column(name) for name in ("travel", "speed", "stop", "tyre"))
    travel = np.clip(w, 0.0, full)
    wheel_force = rode.column("wheel_force") + rode.column("friction")
    ratio = rode.lever.at(travel).ratio
    shaft_force = wheel_force * ratio
    mass, static = sprung_mass(rode.found), tyre_load(rode.case, rode.found, rode.track)
    flying = np.where(np.isnan(w), np.nan, tyre == 0)
    acceleration = rode.column("acceleration")
    sag = values([static_sag(one, rode.lever) for one in rode.found.setups])
    is_air = np.array([one.kind == "air" for one in rode.found.setups])
    mean = values(travel.mean(-1))
    one = Ride(
        event=rode.event,
        names=tuple(one.name for one in rode.found.setups),
        time=time,
        ground=rode.track.height,
        travel=travel,
        speed=speed,
        wheel_force=wheel_force,
        shaft_force=shaft_force,
        stop_force=stop,
        tyre_force=tyre,
        acceleration=acceleration,
        wheel_travel=full,
        static_sag=sag,
        deepest=values(travel.max(-1)),
        meetings=tuple(
            _meetings(*rows, time, float(full), mass) for rows in zip(w, speed, stop, strict=True)
        ),
        top_meetings=values([_top_meetings(row, float(full)) for row in w]),
        peak_wheel_force=_peak(wheel_force, w, stop, full),
        peak_shaft_force=_peak(shaft_force, w, stop, full),
        peak_pressure=values(np.where(is_air, rode.column("pressure").max(-1), np.nan)),
        rms_acceleration=values(np.sqrt((acceleration**2).mean(-1))),
        peak_acceleration=values(np.abs(acceleration).max(-1)),
        airtime=values(flying.mean(-1)),
        longest_air=values([_longest(row) * step for row in flying]),
        grip=values(np.sqrt(((tyre - static) ** 2).mean(-1)) / static),
        mean_travel=mean,
        sinks=_sinks(rode, travel, sag),
        damper_heat=_work(rode.column("damper") * speed / ratio, step),
        friction_heat=_work(rode.column("friction") * speed, step),
    )
    freeze(one)
    return one


def tyre_load(case: Case, found: Answer, track: Course) -> float:
    """Return the static force [N] of the tyre on a course."""
    return float(found.load.static_wheel_force + STANDARD_GRAVITY * case.load.unsprung_mass) * track.gravity


def _peak(force: Values, w: Values, stop: Values, full: Values) -> Values:
    """Return the peak of a force over time while no stop is in contact, the moment of contact included.

    The force (setups, points) excludes the stops and so is continuous across the contact.
    """
    before, after = w[:, :-1], w[:, 1:]
    meets = (before < full) & (after >= full)
    part = np.where(meets, (full - before) / np.where(meets, after - before, 1.0), 0.0)
    at_contact = force[:, :-1] + part * np.diff(force, axis=-1)
    free = np.where(stop == 0, force, -np.inf)
    largest = np.maximum(free.max(-1), np.where(meets, at_contact, -np.inf).max(-1))
    return values(np.where(np.isfinite(largest), largest, np.nan))


def _meetings(w: Values, speed: Values, stop: Values, time: Values, full: float, mass: float) -> Meetings:
    """Return the stop contacts of one setup; speed and energy are extrapolated to the moment of contact."""
    there = w >= full
    entries = np.flatnonzero(there[1:] & ~there[:-1]) + 1
    below = np.cumsum(w < _REARMED * full)
    entries = entries[np.unique(below[entries], return_index=True)[1]]
    if not entries.size:
        return Meetings(*(np.empty(0) for _ in range(4)))
    last, before = entries - 1, np.maximum(entries - 2, 0)
    part = (full - w[last]) / (w[entries] - w[last])
    brought = speed[last] + part * (speed[last] - speed[before])
    return Meetings(
        time=values(time[last] + part * (time[1] - time[0])),
        speed=values(brought),
        energy=values(mass / 2 * brought**2),
        force=values(np.maximum.reduceat(stop, entries)),
    )


def _top_meetings(w: Values, full: float) -> float:
    """Return the number of contacts with the stop at full extension, re-armed beyond 2 % of travel."""
    there = w <= 0
    entries = np.flatnonzero(there[1:] & ~there[:-1]) + 1
    beyond = np.cumsum(w > (1 - _REARMED) * full)
    return float(len(np.unique(beyond[entries]))) if np.isfinite(w[0]) else math.nan


def _longest(flying: Values) -> float:
    """Return the length of the longest run of ones, NaN among NaN."""
    if np.isnan(flying[0]):
        return math.nan
    edges = np.flatnonzero(np.diff(flying, prepend=0.0, append=0.0))
    return float(np.max(edges[1::2] - edges[::2], initial=0))


def _sinks(rode: Ridden, travel: Values, sag: Values) -> Values:
    """Return how far mean travel over the last bump of a train lies below static sag [m]; NaN without one."""
    first, last = last_bump(rode.event, rode.track.step) if isinstance(rode.event, Bumps) else (0, 0)
    if not first < last <= travel.shape[-1]:
        return np.full(len(sag), np.nan)
    return values(travel[:, first:last].mean(-1) - sag)


def _work(power: Values, step: float) -> Values:
    """Return the integral of a power [W] over time [J]."""
    return values((power.sum(-1) - (power[:, 0] + power[:, -1]) / 2) * step)
