"""Many rides at once: a map over sizes of an event, where the stop is first met, which rebound just returns.

Every size of every setup is a lane of `physics.motion`. A yardstick, never a height or a speed to ride.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from physics.answer import Answer, freeze
from physics.arrays import Values, values
from physics.case import Case, Setup
from physics.damper import scaled, with_usual
from physics.ground import Bumps, Drop, Event, course, last_bump, usual_duration
from physics.leverage import remembered_curve
from physics.motion import Lane, Progress
from physics.ride import (
    STEP,
    Ridden,
    damping_table,
    lanes_of,
    lanes_on,
    ridden,
    static_sag,
    told,
    tyre_radius,
)

_TOGETHER = 192
"""Lanes stepped together by a map, so that what is kept of them stays small."""
_FIRST_HIT = 0.3
"""Seconds of a drop in which the wheel goes deepest."""
HIGHEST = 4.0
"""Height [m] up to which a drop is searched that meets the stop."""


@dataclass(frozen=True, slots=True)
class RideMap:
    """Figures of every setup through every event, each (events, setups), as in `physics.ride.Ride`.

    `meetings` counts meetings with the stop, `stop_speed` [m/s] and `stop_energy` [J] are those of the
    hardest, zero without one. NaN where a setup does not settle.
    """

    events: tuple[Event, ...]
    names: tuple[str, ...]
    deepest: Values
    meetings: Values
    stop_speed: Values
    stop_energy: Values
    peak_wheel_force: Values
    peak_shaft_force: Values
    peak_pressure: Values
    rms_acceleration: Values
    peak_acceleration: Values
    airtime: Values
    grip: Values
    mean_travel: Values


def ride_map(
    case: Case,
    found: Answer,
    events: Sequence[Event],
    *,
    duration: float | None = None,
    step: float = STEP,
    progress: Progress | None = None,
) -> RideMap:
    """Return the figures of every setup of a case through each of `events`; `found` is its answer.

    All events last `duration` [s], where None the longest usual time of one. Raises `ValueError` for an
    event of no size, and `Stopped` when `progress` returns False.

    >>> from physics.bench import answer
    >>> from physics.case import Ambient, Coil, Frame, LeverageEnds, ScaleReading, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> coil = Setup("coil", Coil(None, 0.0, 4378.0))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (coil,))
    >>> drops = ride_map(case, answer(case), [Drop(0.1), Drop(0.2)], duration=0.4)
    >>> (drops.deepest[:, 0] * 1e3).round().tolist()  # mm of 150
    [107.0, 132.0]
    """
    lasting = max(usual_duration(event) for event in events) if duration is None else duration
    tracks = [course(event, tyre_radius(case), step, lasting) for event in events]
    lanes = lanes_on(case, found, tracks)
    lever, many = remembered_curve(case.frame), max(_TOGETHER // len(found.setups), 1)
    rides = []
    for first in range(0, len(events), many):
        some = slice(first, first + many)
        kept = ridden(
            [lane for row in lanes[some] for lane in row],
            [track for track in tracks[some] for _ in found.setups],
            progress=_part_of(progress, first / len(events), min(many / len(events), 1.0)),
        )
        by_event = kept.reshape(-1, len(found.setups), *kept.shape[1:])
        rides += [
            told(Ridden(case, found, lever, event, track, rode))
            for event, track, rode in zip(events[some], tracks[some], by_event, strict=True)
        ]

    def hardest(name: str) -> Values:
        each = [[np.max(getattr(one, name), initial=0.0) for one in ride.meetings] for ride in rides]
        return values(np.where(np.isnan(deepest), np.nan, each))

    deepest = values([ride.deepest for ride in rides])
    counted = [[len(one.time) for one in ride.meetings] for ride in rides]
    alike = ("peak_wheel_force", "peak_shaft_force", "peak_pressure", "rms_acceleration", "peak_acceleration")
    figures = {
        name: values([getattr(ride, name) for ride in rides])
        for name in (*alike, "airtime", "grip", "mean_travel")
    }
    mapped = RideMap(
        events=tuple(events),
        names=rides[0].names,
        deepest=deepest,
        meetings=values(np.where(np.isnan(deepest), np.nan, counted)),
        stop_speed=hardest("speed"),
        stop_energy=hardest("energy"),
        **figures,
    )
    freeze(mapped)
    return mapped


def _part_of(progress: Progress | None, begin: float, share: float) -> Progress | None:
    return None if progress is None else lambda done: progress(begin + share * done)


_SIZES, _FACTORS = (12, 9, 7), (10, 9)
"""How many sizes and factors are ridden in each round of a search, for every setup."""


def first_meets(
    case: Case,
    found: Answer,
    sized: Callable[[float], Event] = Drop,
    *,
    largest: float = HIGHEST,
    duration: float = _FIRST_HIT,
    step: float = STEP,
    progress: Progress | None = None,
) -> Values:
    """Return the size (setups,) of an event at which each setup first meets its stop, inf beyond `largest`.

    `sized` makes the event of a size: without it the height [m] of a flat drop, for which the default
    `duration` [s] covers the first hit. NaN where a setup does not settle. Sizes are ridden on a grid that
    closes in; between the last two the travel below the stop is continued to it. Raises `Stopped`.

    >>> from physics.bench import answer
    >>> from physics.case import Ambient, Coil, Frame, LeverageEnds, ScaleReading, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> coil = Setup("coil", Coil(None, 0.0, 4378.0))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (coil,))
    >>> round(float(first_meets(case, answer(case))[0]), 2)  # m
    0.29
    """
    full = float(remembered_curve(case.frame).wheel_travel)

    def deepest(sizes: Values, told: Progress | None) -> Values:
        tracks = [[course(sized(size), tyre_radius(case), step, duration) for size in row] for row in sizes]
        lanes = [lanes[n] for n, row in enumerate(tracks) for lanes in lanes_on(case, found, row)]
        kept = ridden(lanes, [track for row in tracks for track in row], progress=told)
        return values(kept[:, 0].max(-1).reshape(sizes.shape) - full)

    return _crossing(deepest, len(found.setups), values([0.0, largest]), _SIZES, progress)


def _crossing(
    height: Callable[[Values, Progress | None], Values],
    setups: int,
    ends: Values,
    grids: Sequence[int],
    progress: Progress | None,
) -> Values:
    """Return where `height` (setups, points) of rising places (setups, points) reaches zero in each row.

    inf if it stays below zero up to the last place, the first place if it begins above, NaN among NaN.
    """
    low, high = np.full(setups, ends[0]), np.full(setups, ends[-1])
    for n, count in enumerate(grids):
        # One place more below the crossing than it takes, so that two are there to continue.
        below = (high - low) / (count - 2) if n else 0.0
        at = values(np.linspace(np.maximum(low - below, ends[0]), high, count, axis=-1))
        there = height(at, _part_of(progress, n / len(grids), 1 / len(grids)))
        beyond = there >= 0
        first = np.where(beyond.any(-1), np.argmax(beyond, -1), count - 1)
        if n == 0:
            never, always = ~beyond.any(-1), beyond[:, 0]
        rows = np.arange(setups)
        low, high = at[rows, np.maximum(first - 1, 0)], at[rows, first]
    # Beyond the crossing the law may have a kink: only what lies below it is continued.
    before, last = np.maximum(first - 2, 0), np.maximum(first - 1, 0)
    rise = there[rows, last] - there[rows, before]
    part = np.where(rise > 0, -there[rows, last] / np.where(rise > 0, rise, 1.0), 0.0)
    root = np.clip(low + part * (at[rows, last] - at[rows, before]), low, high)
    root = np.where(always, ends[0], np.where(never, np.inf, root))
    return values(np.where(np.isnan(there).all(-1), np.nan, root))


LEAST_FACTOR, MOST_FACTOR = 0.1, 10.0
"""Factors on a rebound damping among which one is searched."""


@dataclass(frozen=True, slots=True)
class Rebound:
    """The rebound damping at which the wheel just comes back to sag between the last bumps of a train.

    `factor` (setups,) on the setup's own rebound damping: inf if even `MOST_FACTOR` comes back, zero if not
    even `LEAST_FACTOR` does, NaN where a setup does not settle. `left` (setups,) [m] is how far below sag the
    least travel between the last bumps lies as it is.
    """

    factor: Values
    left: Values


def returning_rebound(
    case: Case, found: Answer, train: Bumps, *, step: float = STEP, progress: Progress | None = None
) -> Rebound:
    """Return the rebound damping of each setup at which the wheel just returns between bumps of a train.

    Raises `ValueError` for a train of nothing, and `Stopped` when `progress` returns False.
    """
    first, last = last_bump(train, step)
    track = course(train, tyre_radius(case), step, last * step)
    lanes, lever = lanes_of(case, found, track), remembered_curve(case.frame)

    def short(factors: Values, told: Progress | None) -> Values:
        rows = [
            (
                None
                if lane is None
                else _rebounding(lane, one.setup, float(one.riding.critical_damping), factor)
            )
            for lane, one, row in zip(lanes, found.setups, np.exp(factors), strict=True)
            for factor in row
        ]
        kept = ridden(rows, [track] * len(rows), progress=told)
        least = kept[:, 0, first:].min(-1).reshape(factors.shape)
        return values(least - values([[static_sag(one, lever)] for one in found.setups]))

    ends = values(np.log([LEAST_FACTOR, MOST_FACTOR]))
    factor = np.exp(_crossing(short, len(lanes), ends, _FACTORS, _part_of(progress, 0.0, 0.95)))
    left = short(np.zeros((len(lanes), 1)), _part_of(progress, 0.95, 0.05))[:, 0]
    rebound = Rebound(values(np.where(factor <= LEAST_FACTOR * (1 + 1e-9), 0.0, factor)), left)
    freeze(rebound)
    return rebound


def _rebounding(lane: Lane, setup: Setup, critical: float, factor: float) -> Lane:
    """Return a lane with its rebound damping times `factor`."""
    known = with_usual(setup.damper)
    damper = known if known.rebound is None else replace(known, rebound=scaled(known.rebound, factor))
    return replace(lane, damping=damping_table(damper, critical))
