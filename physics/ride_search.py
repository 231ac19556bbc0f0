"""Many rides at once: maps over events and cases, where the stop is first met, which rebound just returns.

Every size of every setup is a lane of `physics.motion`. A yardstick, never a height or a speed to ride.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from physics.answer import Answer, freeze
from physics.arrays import Scalar, Values, values
from physics.case import Air, Case, DampingShare, DampingSlopes, EqualisedNegative, Setup
from physics.damper import scaled, with_usual
from physics.ground import Bumps, Drop, Event, course, last_bump, usual_duration
from physics.inputs import Input, with_number
from physics.leverage import remembered_curve
from physics.motion import Lane, Progress
from physics.ride import (
    STEP,
    USUAL_PORT_AREA,
    USUAL_PORT_LENGTH,
    Ridden,
    Ride,
    damping_table,
    lanes_of,
    lanes_on,
    ridden,
    static_sag,
    told,
    tyre_of,
    tyre_radius,
)

_TOGETHER = 192
"""Lanes stepped together by a map, so that what is kept of them stays small."""
_FIRST_HIT = 0.3
"""Seconds of a drop in which the wheel goes deepest."""
HIGHEST = 4.0
"""Height [m] up to which a drop is searched that meets the stop."""


Read = Callable[[Case, Answer, Ride], Values]
"""What a map keeps of the ride of one case: an array of any shape, the same for every ride."""


def ride_map(
    asked: Sequence[tuple[Case, Answer]],
    events: Sequence[Event],
    read: Read,
    *,
    duration: float | None = None,
    step: float = STEP,
    progress: Progress | None = None,
) -> Values:
    """Return what `read` keeps of every answered case through each of `events`: (cases, events, ...).

    All cases have as many setups. All events last `duration` [s], where None the longest usual time of one.
    Raises `ValueError` for an event of no size, and `Stopped` when `progress` returns False.

    >>> from physics.bench import answer
    >>> from physics.case import Ambient, Coil, Frame, LeverageEnds, ScaleReading, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> coil = Setup("coil", Coil(None, 0.0, 4378.0))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (coil,))
    >>> drops, asked = [Drop(0.1), Drop(0.2)], [(case, answer(case))]
    >>> deepest = ride_map(asked, drops, lambda case, found, ride: ride.deepest, duration=0.4)
    >>> (deepest[0, :, 0] * 1e3).round().tolist()  # mm of 150
    [107.0, 132.0]
    """
    lasting = max(usual_duration(event) for event in events) if duration is None else duration
    tracks = [[course(event, tyre_radius(case), step, lasting) for event in events] for case, _ in asked]
    lanes = [lanes_on(*one, there) for one, there in zip(asked, tracks, strict=True)]
    pairs = [(case, event) for case in range(len(asked)) for event in range(len(events))]
    many = max(_TOGETHER // max(len(asked[0][1].setups), 1), 1)
    kept: list[Values] = []
    for first in range(0, len(pairs), many):
        some = pairs[first : first + many]
        rode = ridden(
            [lane for case, event in some for lane in lanes[case][event]],
            [tracks[case][event] for case, event in some for _ in lanes[case][event]],
            progress=_part_of(progress, first / len(pairs), len(some) / len(pairs)),
        )
        rows = rode.reshape(len(some), -1, *rode.shape[1:])
        for (place, event), row in zip(some, rows, strict=True):
            case, found = asked[place]
            one = Ridden(case, found, remembered_curve(case.frame), events[event], tracks[place][event], row)
            kept.append(read(case, found, told(one)))
    return values(np.reshape(kept, (len(asked), len(events), *np.shape(kept[0]))))


def _part_of(progress: Progress | None, begin: float, share: float) -> Progress | None:
    return None if progress is None else lambda done: progress(begin + share * done)


# --- what only a ride depends on ---------------------------------------------------------------


def _of_damper(way: str, part: str, kind: type[DampingShare] | type[DampingSlopes]) -> Input:
    """Return one number of a damper's direction, of every setup that has it."""

    def number(setup: Setup) -> Scalar | None:
        damping = getattr(with_usual(setup.damper), way)
        found = getattr(damping, part) if isinstance(damping, kind) else None
        return found if found is not None and math.isfinite(found) else None

    def read(case: Case) -> Scalar | None:
        return next((here for setup in case.setups if (here := number(setup)) is not None), None)

    def put(case: Case, to: Scalar) -> Case:
        def changed(setup: Setup) -> Setup:
            if number(setup) is None:
                return setup
            damping = with_number(getattr(with_usual(setup.damper), way), part, float(values(to)))
            return replace(setup, damper=with_number(setup.damper, way, damping))

        return replace(case, setups=tuple(map(changed, case.setups)))

    return Input(f"{way}_{part}", read, put, (0.4, 2.0), share=True)


def _of_tyre(part: str, span: tuple[float, float]) -> Input:
    """Return one number of the tyre, the usual one where nobody has typed it."""

    def read(case: Case) -> Scalar | None:
        found: float | None = getattr(tyre_of(case), part)
        return found

    def put(case: Case, to: Scalar) -> Case:
        return replace(case, tyre=replace(case.tyre, **{part: float(values(to))}))

    return Input(part, read, put, span, share=True)


def _of_port(part: str, usual: float) -> Input:
    """Return one number of the equalising port, of every setup that has one."""

    def second(setup: Setup) -> EqualisedNegative | None:
        negative = setup.spring.negative if isinstance(setup.spring, Air) else None
        return negative if isinstance(negative, EqualisedNegative) else None

    def read(case: Case) -> Scalar | None:
        there = [one for setup in case.setups if (one := second(setup)) is not None]
        typed = [getattr(one, part) for one in there if getattr(one, part) is not None]
        return next(iter(typed), usual) if there else None

    def put(case: Case, to: Scalar) -> Case:
        def changed(setup: Setup) -> Setup:
            spring, negative = setup.spring, second(setup)
            if negative is None or not isinstance(spring, Air):
                return setup
            ported = with_number(negative, part, float(values(to)))
            return replace(setup, spring=replace(spring, negative=ported))

        return replace(case, setups=tuple(map(changed, case.setups)))

    return Input(part, read, put, (0.25, 4.0), share=True)


RIDE_INPUTS: tuple[Input, ...] = (
    *(_of_damper(way, "share", DampingShare) for way in ("rebound", "compression")),
    *(
        _of_damper(way, part, DampingSlopes)
        for way in ("rebound", "compression")
        for part in ("low", "knee", "high")
    ),
    _of_tyre("stiffness", (0.5, 2.0)),
    _of_tyre("damping", (0.5, 3.0)),
    _of_tyre("radius", (0.8, 1.1)),
    _of_port("port_length", USUAL_PORT_LENGTH),
    _of_port("port_area", USUAL_PORT_AREA),
)
"""Inputs on which only a ride depends, by the names of the job file; those of a sweep (`physics.inputs`)
change a ride too."""


# --- searches ----------------------------------------------------------------------------------

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
