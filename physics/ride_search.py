"""Many rides at once: maps over events and cases, size of first stop contact, rebound that just returns.

Every size of every setup is a lane of `physics.motion`. The results compare setups; they are never a height
or a speed that is safe to ride.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from physics.answer import Answer, freeze
from physics.arrays import Scalar, Values, values
from physics.case import Air, Case, DampingShare, DampingSlopes, EqualisedNegative, Setup
from physics.damper import scaled, with_usual
from physics.frozen import dataclass
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
"""Lanes that a map integrates together: bounds the memory for their output."""
_FIRST_HIT = 0.3
"""Time [s] within which the wheel reaches its deepest point after a drop."""
HIGHEST = 4.0
"""Largest drop height [m] tried in the search for first stop contact."""


Read = Callable[[Case, Answer, Ride], Values]
"""The quantity a map records from the ride of one case: an array of the same shape for every ride."""


def ride_map(
    asked: Sequence[tuple[Case, Answer]],
    events: Sequence[Event],
    read: Read,
    *,
    duration: float | None = None,
    step: float = STEP,
    progress: Progress | None = None,
) -> Values:
    """Return `read` of the ride of every answered case through each of `events`: (cases, events, ...).

    All cases have the same number of setups. All events last `duration` [s], by default the longest of their
    usual durations. Raises `ValueError` for an event without size, and `Stopped` when `progress` returns
    False.

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
    """Return the input for one number of a damper direction, in every setup that has it."""

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
    """Return the input for one number of the tyre, by default the usual one."""

    def read(case: Case) -> Scalar | None:
        found: float | None = getattr(tyre_of(case), part)
        return found

    def put(case: Case, to: Scalar) -> Case:
        return replace(case, tyre=replace(case.tyre, **{part: float(values(to))}))

    return Input(part, read, put, span, share=True)


def _of_port(part: str, usual: float) -> Input:
    """Return the input for one number of the equalising port, in every setup that has one."""

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
"""Inputs that affect rides only, under their job file names; those of a sweep (`physics.inputs`) affect rides
too."""


# --- searches ----------------------------------------------------------------------------------

_SIZES, _FACTORS = (12, 9, 7), (10, 9)
"""Number of sizes and of factors tried in each round of a search, for every setup."""


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
    """Return the event size (setups,) at which each setup first reaches its stop, inf beyond `largest`.

    `sized` makes an event of a size; by default the size is the height [m] of a flat drop, and the default
    `duration` [s] covers its first hit. NaN where a setup does not settle. Sizes are tried on successively
    finer grids; the result is extrapolated from the last two sizes that stay short of the stop. Raises
    `Stopped`.

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
    """Return where `height` (setups, points), a function of increasing positions, reaches zero in each row.

    inf if it stays below zero up to the last position, the first position if it starts above, NaN if it is
    NaN.
    """
    low, high = np.full(setups, ends[0]), np.full(setups, ends[-1])
    for n, count in enumerate(grids):
        # Keep one extra position below the crossing: extrapolation needs two.
        below = (high - low) / (count - 2) if n else 0.0
        at = values(np.linspace(np.maximum(low - below, ends[0]), high, count, axis=-1))
        there = height(at, _part_of(progress, n / len(grids), 1 / len(grids)))
        beyond = there >= 0
        first = np.where(beyond.any(-1), np.argmax(beyond, -1), count - 1)
        if n == 0:
            never, always = ~beyond.any(-1), beyond[:, 0]
        rows = np.arange(setups)
        low, high = at[rows, np.maximum(first - 1, 0)], at[rows, first]
    # The function may have a kink at the crossing: extrapolate only from below.
    before, last = np.maximum(first - 2, 0), np.maximum(first - 1, 0)
    rise = there[rows, last] - there[rows, before]
    part = np.where(rise > 0, -there[rows, last] / np.where(rise > 0, rise, 1.0), 0.0)
    root = np.clip(low + part * (at[rows, last] - at[rows, before]), low, high)
    root = np.where(always, ends[0], np.where(never, np.inf, root))
    return values(np.where(np.isnan(there).all(-1), np.nan, root))


LEAST_FACTOR, MOST_FACTOR = 0.1, 10.0
"""Range of the factor on rebound damping that is searched."""


@dataclass(frozen=True, slots=True)
class Rebound:
    """The rebound damping at which the wheel just returns to sag between the last bumps of a train.

    `factor` (setups,) multiplies the setup's own rebound damping: inf if the wheel returns even with
    `MOST_FACTOR`, zero if it does not even with `LEAST_FACTOR`, NaN where a setup does not settle. `left`
    (setups,) [m] is how far below sag the least travel between the last bumps lies with the present damping.
    """

    factor: Values
    left: Values


def returning_rebound(
    case: Case, found: Answer, train: Bumps, *, step: float = STEP, progress: Progress | None = None
) -> Rebound:
    """Return the rebound damping of each setup at which the wheel just returns between bumps of a train.

    Raises `ValueError` for a train without size, and `Stopped` when `progress` returns False.
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
