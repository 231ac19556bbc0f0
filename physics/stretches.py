"""Simulated rides over a fitted ground, in stretches run in parallel, each with a lead-in."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import fields

import numpy as np

from physics.arrays import Marks, Values, values
from physics.frozen import dataclass
from physics.ground_fit import Fit
from physics.log import Progress
from physics.logged_travel import LEAD, STRETCH, left_with, meets, with_mass
from physics.motion import COLUMNS, Lane, Start, stepped

LONGEST_STEP = 1.05e-3
"""Longest integration step [s]: resolves tyre hop in phase, and stop contacts."""
LONGEST_COARSE = 2.05e-3
"""Longest integration step [s] where only the mass of air counts: stable at a stop from 1.5 kg unsprung."""


@dataclass(frozen=True, slots=True)
class Stretches:
    """Stretches with their lead-in: `start` [s] after it, ground height and log (stretches, points) [m].

    `mass` (stretches,) [kg] is the mass of air in the first chamber of the ridden setup at the start of the
    lead-in; `first` marks stretches with no stretch before them.
    """

    start: Values
    height: Values
    log: Values
    mass: Values
    first: Marks


def stretched(fit: Fit, height: Values) -> Stretches:
    """Return the stretches of a fitted part, given its ground (points,) [m]."""
    lead, size = (round(part / fit.step) for part in (LEAD, STRETCH))
    firsts = [n * size for n in range(fit.stretches)]
    return Stretches(
        values([fit.trace.start + (first + lead) * fit.step for first in firsts]),
        values([height[first : first + lead + size] for first in firsts]),
        values([fit.trace.travel[first : first + lead + size] for first in firsts]),
        values([fit.mass[first] for first in firsts]),
        np.array([fit.first and first == 0 for first in firsts]),
    )


def joined(parts: Sequence[Stretches]) -> Stretches:
    """Return the stretches of several parts, concatenated."""
    whole = (np.concatenate([getattr(part, name.name) for part in parts]) for name in fields(Stretches))
    return Stretches(*whole)


@dataclass(frozen=True, slots=True)
class Asked:
    """A lane to simulate over stretches, and the initial mass of air [kg] in its first chamber for each."""

    lane: Lane
    ground: Stretches
    mass: Values


@dataclasses.dataclass(slots=True)
class Held:
    """Mass of air [kg] in a setup's first chamber after the last stretch so far, None before the first."""

    mass: float | None = None


def masses_of(rides: Sequence[tuple[Lane, Stretches, Held]], step: float, tell: Progress) -> list[Values]:
    """Return the initial mass of air [kg] in the first chamber of lanes for each of successive stretches.

    A first ride over each stretch, up to the start of the next one and in coarser steps, gives the mass
    that crosses the port. Each lane's `Held` is updated.
    """
    found = [values([lane.air[0].mass if lane.air else 0.0] * len(ground.start)) for lane, ground, _ in rides]
    meeting = [n for n, (lane, *_) in enumerate(rides) if meets(lane)]
    if not meeting:
        return found
    due, finer = round(STRETCH / step), _finer_steps(step, LONGEST_COARSE)
    column = len(COLUMNS) + max(len(rides[n][0].air) for n in meeting)
    asked = [Asked(rides[n][0], rides[n][1], found[n]) for n in meeting]
    stepped_on = _stepped(asked, step, finer, due * finer, column + 1, tell, due + 1)
    for n, kept in zip(meeting, stepped_on, strict=True):
        _, ground, held = rides[n]
        left, total = kept[:, column], sum(chamber.mass for chamber in rides[n][0].air[:2])
        left = values(np.where((left > 0) & (left < total), left, found[n][:, np.newaxis]))
        found[n], held.mass = left_with(left, found[n], ground.first, 1, held.mass)
    return found


def ridden_over(asked: Sequence[Asked], step: float, tell: Progress) -> list[Values]:
    """Return the travel (stretches, points) [m] of each ride, without lead-in.

    Where a wheel hits its stop so hard that the calculation leaves all bounds, it is at full travel.
    """
    finer, after = _finer_steps(step), round(LEAD / step)
    return [
        within_bounds(kept[:, 0, after:], one.lane.travel)
        for one, kept in zip(asked, _stepped(asked, step, finer, finer, 1, tell), strict=True)
    ]


def within_bounds(travel: Values, full: float) -> Values:
    """Return travel [m] with full travel in the place of what is no number or out of all bounds.

    >>> within_bounds(values([0.1, np.nan, 9.0, -np.inf]), 0.15).tolist()
    [0.1, 0.15, 0.15, 0.15]
    """
    return values(np.where(np.abs(travel) < 2 * full, travel, full))


def _finer_steps(step: float, longest: float = LONGEST_STEP) -> int:
    return max(1, int(np.ceil(step / longest)))


def _stepped(
    asked: Sequence[Asked],
    step: float,
    finer: int,
    every: int,
    columns: int,
    tell: Progress,
    points: int | None = None,
) -> list[Values]:
    """Return the output of rides, each (stretches, columns, points), all lanes run in parallel.

    They cover the first `points` of the ground, or all of it.
    """
    lanes, grounds = list[Lane](), list[tuple[Values, Values]]()
    made: dict[int, list[tuple[Values, Values]]] = {}
    for one in asked:
        if id(one.ground) not in made:
            made[id(one.ground)] = list(zip(*finely(one.ground.height[:, :points], step, finer), strict=True))
        grounds += made[id(one.ground)]
        lanes += [with_mass(one.lane, float(mass)) for mass in one.mass]
    starts = [Start()] * len(lanes)

    def heard(share: float) -> bool:
        tell(share)
        return True

    with np.errstate(all="ignore"):  # of a ride that leaves all bounds
        kept = stepped(
            lanes, starts, grounds, step / finer, columns=columns, every=every, few=0, progress=heard
        )
    return np.split(kept, np.cumsum([len(one.mass) for one in asked])[:-1])


def finely(height: Values, step: float, finer: int) -> tuple[Values, Values]:
    """Return height [m] and rise [m/s] (stretches, finer points) by cubic interpolation.

    `step` [s] is the spacing of `height` (stretches, points) [m]; each step is divided into `finer`.

    >>> height, rise = finely(values([[0.0, 2.0, 4.0]]), 1.0, 2)
    >>> height.tolist(), rise.tolist()
    ([[0.0, 1.0, 2.0, 3.0, 4.0]], [[2.0, 2.0, 2.0, 2.0, 2.0]])
    """
    slope = np.gradient(height, step, axis=1)
    if finer == 1:
        return height, values(slope)
    count = (height.shape[1] - 1) * finer + 1
    found, rise = np.empty((len(height), count)), np.empty((len(height), count))
    a, b, p, q = height[:, :-1], height[:, 1:], slope[:, :-1] * step, slope[:, 1:] * step
    for n in range(finer):
        t = n / finer
        c, d = 3 * (b - a) - 2 * p - q, 2 * (a - b) + p + q
        found[:, n:-1:finer] = a + t * (p + t * (c + t * d))
        rise[:, n:-1:finer] = (p + t * (2 * c + 3 * t * d)) / step
    found[:, -1], rise[:, -1] = height[:, -1], slope[:, -1]
    return values(found), values(rise)
