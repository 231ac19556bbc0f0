"""One spring in the place of another: the settings whose wheel force comes closest to that of a goal.

Closeness is √(mean (F_w − F_w,goal)²) over wheel travel from the goal's sag to the end, over W_s. What is
found sits at the goal's sag, so that both curves pass through the rider's load at the same place.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from physics.arrays import Marks, Values, values
from physics.buyable import either_side
from physics.case import Case, Coil, Setup, Target
from physics.knobs import Hardware, hardware
from physics.sag import under_load
from physics.search import best
from physics.shock import Shock, coil_of, shock_of
from physics.solve import solved
from physics.stand import Stand, stand
from physics.trees import freeze
from physics.unmatched import Unmatched
from physics.walk import walk

_BEFORE, _BEYOND = 16, 64
"""Intervals in which the travel is looked at before the sag, and those from there to the end."""
_HALF = 0.5
"""Share of the largest gap that still belongs to where the setup cannot follow."""


@dataclass(frozen=True, slots=True)
class Rung:
    """A coil one can buy: its rate [N/m], the preload [m] that gives it the sag, and its closeness."""

    rate: float
    preload: float
    closeness: float


@dataclass(frozen=True, slots=True)
class Match:
    """The settings found, as a setup of a single case, the sag shared with the goal, and how close it comes.

    `closeness` is a share of W_s, `force` [N] the same at the wheel. `found_force` and `goal_force` (points,)
    [N] are wheel forces over wheel travel `wheel` [m] from the sag on. `gap` [N] is the largest difference,
    above zero where the found one is firmer, `gap_at` [m] where it is, and `gap_from`, `gap_to` [m] the
    travel around it over which at least half of it is left. `rungs` are the coils one can buy on either side
    of a coil that is found, those that preload can bring to the sag.
    """

    setup: Setup
    sag: Target
    closeness: Values
    force: Values
    wheel: Values
    found_force: Values
    goal_force: Values
    gap: Values
    gap_at: Values
    gap_from: Values
    gap_to: Values
    rungs: tuple[Rung, ...] = ()


def matched(case: Case, goal: int, using: int, *, cans: bool = False) -> Match:
    """Return the settings of one setup of a single case that come closest to another one of it.

    Either may be a coil or air. With `cans` volumes and port of an air spring are free in place of its
    spacers. Raises `Refused`
    as `answer` does, `Unmatched` where the goal does not settle or no setting has its sag.
    """
    bike = stand(case)
    wanted = _goal(case.setups[goal], bike)
    turned = hardware(case.setups[using], bike, wanted.sag, cans=cans)
    numbers, closeness = best(turned.knobs, lambda settings: _closeness(settings, turned, wanted))
    if not np.isfinite(closeness):
        raise Unmatched("out_of_reach")
    found = _compared(turned.at_sag(numbers), bike, wanted)
    if isinstance(found.setup.spring, Coil):
        found = replace(found, rungs=_rungs(turned, wanted, numbers))
    freeze(found)
    return found


@dataclass(frozen=True, slots=True)
class Goal:
    """Wheel force [N] to come close to at wheel travels [m], those beyond the sag, and those before it."""

    sag: Target
    static: float
    before: Values
    beyond: Values
    force: Values


def _goal(asked: Setup, bike: Stand) -> Goal:
    case, static = bike.case, bike.load.static_wheel_force
    setup = solved(asked, bike.lever, case.shop, case.target, static)
    shock = shock_of(setup, bike.lever, case.shop)
    stood = under_load(walk(shock), static)
    if str(stood.state) != "ok":
        raise Unmatched("goal_unsettled")
    sag, full = float(stood.sag.wheel), float(bike.lever.wheel_travel)
    beyond = np.linspace(sag, full, _BEYOND + 1)
    before = np.linspace(0.0, sag, _BEFORE + 1)[:-1]
    force, _ = shock.wheel(values(beyond))
    return Goal(Target(sag / full, "travel"), float(static), values(before), values(beyond), force)


def _closeness(settings: Values, turned: Hardware, goal: Goal) -> Values:
    """Return the closeness of settings (knobs, n), infinite for what cannot be or has its sag elsewhere."""
    kept, found = turned.possible(settings), np.full(settings.shape[1], np.inf)
    if kept.any():
        setup = turned.at_sag(values(settings[:, kept]))
        shock = shock_of(setup, turned.bike.lever, turned.bike.case.shop)
        near = _rms(values(shock.wheel(goal.beyond)[0] - goal.force), goal.static)
        found[kept] = np.where(_settles_there(shock, goal) & np.isfinite(near), near, np.inf)
    return values(found)


def _rungs(turned: Hardware, goal: Goal, numbers: Values) -> tuple[Rung, ...]:
    """Return the coils one can buy on either side of the rate found, (1,) [N/m]."""
    rates, knob = either_side(coil_of(turned.setup), values(numbers[0])), turned.knobs[0]
    within = rates[(rates >= knob.low) & (rates <= knob.high)]
    near = _closeness(values(within[None, :]), turned, goal)
    preloads = values(coil_of(turned.at_sag(values(within[None, :]))).preload)
    return tuple(
        Rung(*map(float, row)) for row in zip(within, preloads, near, strict=True) if np.isfinite(row[2])
    )


def _settles_there(shock: Shock, goal: Goal) -> Marks:
    """Return which cases carry less than the load all the way to the sag: they cross it first there."""
    return np.asarray((shock.wheel(goal.before)[0] < goal.static).all(axis=-1))


def _rms(gap: Values, static: float) -> Values:
    """Return √(mean gap²) over W_s by the trapezoidal rule over evenly spaced travels."""
    square = gap * gap
    mean = (square.sum(-1) - (square[..., 0] + square[..., -1]) / 2) / _BEYOND
    return values(np.sqrt(mean) / static)


def _compared(setup: Setup, bike: Stand, goal: Goal) -> Match:
    force, _ = shock_of(setup, bike.lever, bike.case.shop).wheel(goal.beyond)
    gap = values(force - goal.force)
    place = int(np.argmax(np.abs(gap)))
    first, last = _around(np.asarray(gap * np.sign(gap[place]) >= _HALF * abs(gap[place])), place)
    near = _rms(gap, goal.static)
    return Match(
        setup=setup,
        sag=goal.sag,
        closeness=near,
        force=values(near * goal.static),
        wheel=goal.beyond,
        found_force=force,
        goal_force=goal.force,
        gap=values(gap[place]),
        gap_at=values(goal.beyond[place]),
        gap_from=values(goal.beyond[first]),
        gap_to=values(goal.beyond[last]),
    )


def _around(marks: Marks, place: int) -> tuple[int, int]:
    """Return the first and last place of the unbroken run of marks that holds `place`."""
    off = np.flatnonzero(~marks)
    before, after = off[off < place], off[off > place]
    return (int(before[-1]) + 1 if before.size else 0), (int(after[0]) - 1 if after.size else marks.size - 1)
