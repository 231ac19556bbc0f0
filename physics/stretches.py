"""A ground that was found is ridden again, in stretches side by side, each with a lead-in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from physics.arrays import Marks, Values, values
from physics.ground_fit import Fit
from physics.log import Progress
from physics.logged_travel import LEAD, STRETCH, left_with, meets, with_mass
from physics.motion import COLUMNS, Lane, Start, stepped

LONGEST_STEP = 1.05e-3
"""Longest step [s] of the ride: the phase of a tyre hop is followed, the stops included."""


@dataclass(frozen=True, slots=True)
class Stretches:
    """Stretches with their lead-in: `start` [s] after it, height and log (stretches, points) [m].

    `mass` (stretches,) [kg] is that of the air in the first chamber of the ridden setup at the beginning of
    the lead-in; `first` marks those before which nothing is known.
    """

    start: Values
    height: Values
    log: Values
    mass: Values
    first: Marks


def stretched(fit: Fit, height: Values) -> Stretches:
    """Return the stretches of a fitted part with its ground (points,) [m]."""
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
    """Return the stretches of several parts as one."""
    whole = (np.concatenate([getattr(part, name.name) for part in parts]) for name in fields(Stretches))
    return Stretches(*whole)


@dataclass(frozen=True, slots=True)
class Asked:
    """A lane to ride over stretches, and the mass of air [kg] its first chamber starts each with."""

    lane: Lane
    ground: Stretches
    mass: Values


@dataclass(slots=True)
class Held:
    """The mass of air [kg] that a setup's first chamber was left with so far, None at the beginning."""

    mass: float | None = None


_SEEN = 0.25
"""Seconds between two looks at the air in a chamber."""


def masses_of(rides: Sequence[tuple[Lane, Stretches, Held]], step: float, tell: Progress) -> list[Values]:
    """Return the mass of air [kg] in the first chamber with which lanes start each of successive stretches.

    A first ride over all of them shows what crossed the port. What each lane was left with by the stretches
    before is brought up to date.
    """
    found = [values([lane.air[0].mass if lane.air else 0.0] * len(ground.start)) for lane, ground, _ in rides]
    meeting = [n for n, (lane, *_) in enumerate(rides) if meets(lane)]
    if not meeting:
        return found
    seen, finer = round(_SEEN / step), _finer_steps(step)
    column = len(COLUMNS) + max(len(rides[n][0].air) for n in meeting)
    asked = [Asked(rides[n][0], rides[n][1], found[n]) for n in meeting]
    stepped_on = _stepped(asked, step, finer, seen * finer, column + 1, tell)
    for n, kept in zip(meeting, stepped_on, strict=True):
        _, ground, held = rides[n]
        due = round(STRETCH / step) // seen
        found[n], held.mass = left_with(kept[:, column], found[n], ground.first, due, held.mass)
    return found


def ridden_over(asked: Sequence[Asked], step: float, tell: Progress) -> list[Values]:
    """Return the travel (stretches, points) [m] of each ride, without lead-in."""
    finer = _finer_steps(step)
    return [kept[:, 0, round(LEAD / step) :] for kept in _stepped(asked, step, finer, finer, 1, tell)]


def _finer_steps(step: float) -> int:
    return max(1, int(np.ceil(step / LONGEST_STEP)))


def _stepped(
    asked: Sequence[Asked], step: float, finer: int, every: int, columns: int, tell: Progress
) -> list[Values]:
    """Return what is kept of rides, each (stretches, columns, points), side by side in lanes."""
    lanes, grounds = list[Lane](), list[tuple[Values, Values]]()
    made: dict[int, list[tuple[Values, Values]]] = {}
    for one in asked:
        if id(one.ground) not in made:
            made[id(one.ground)] = list(zip(*finely(one.ground.height, step, finer), strict=True))
        grounds += made[id(one.ground)]
        lanes += [with_mass(one.lane, float(mass)) for mass in one.mass]
    starts = [Start()] * len(lanes)

    def heard(share: float) -> bool:
        tell(share)
        return True

    kept = stepped(lanes, starts, grounds, step / finer, columns=columns, every=every, few=0, progress=heard)
    return np.split(kept, np.cumsum([len(one.mass) for one in asked])[:-1])


def finely(height: Values, step: float, finer: int) -> tuple[Values, Values]:
    """Return height [m] and rise [m/s] (stretches, finer points) of the cubic through the points.

    `step` [s] is that of `height` (stretches, points) [m]; each becomes `finer` of them.

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
