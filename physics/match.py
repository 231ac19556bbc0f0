"""One spring in place of another: the settings whose wheel force is closest to that of a target setup.

Closeness is √(Σ q (F_w − F_w,target)² / Σ q) over W_s, both on their riding curves, evenly spaced in wheel
travel from full extension to full travel. The weight q is 1 from the target's sag on and `ABOVE_SAG` above
it, because riding is mostly beyond sag. The result has the target's sag, so both curves pass
through the rider's load at the same place, apart from rounding.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics.answer import freeze
from physics.arrays import Marks, Values, per_point, values
from physics.buyable import either_side
from physics.case import Case, Coil, Setup, Target
from physics.faults import Unmatched
from physics.frozen import dataclass
from physics.knobs import Bound, Grain, Hardware, hardware
from physics.leverage import Places
from physics.sag import under_load
from physics.search import FINEST, best, grid
from physics.shock import coil_of, shock_of
from physics.solve import solved
from physics.stand import Stand, stand
from physics.walk import walk

ABOVE_SAG = 0.25
"""Weight of travel above the target's sag relative to travel beyond it."""
OFF_SAG = 0.01
"""Fraction of the travel by which rounding may shift the sag; further off it is another equilibrium."""
WRITTEN_FINEST = 1e-3
"""Resolution of a free knob that is rounded to written steps afterwards, as a fraction of its range."""
_BEFORE, _BEYOND = 16, 24
"""Intervals of the search over the travel, before the sag and from there to the end."""
ALIKE = 0.10
"""Difference of wheel force within which two springs count as alike: common practice, no source.

Relative to the target's wheel force, or to the static load where that is more.
"""
_HALF = 0.5
"""Fraction of the largest gap that still counts as part of it."""


@dataclass(frozen=True, slots=True)
class Rung:
    """A coil in stock: its rate [N/m], the preload [m] for the sag, and its closeness.

    One that is too stiff for the sag has no preload, and less `sag`, a fraction of the travel. `alike` is
    the share of the travel over which it is within `ALIKE` of the target.
    """

    rate: float
    preload: float
    sag: float
    closeness: float
    alike: float


@dataclass(frozen=True, slots=True)
class Match:
    """The settings found, as a setup of a single case, the sag of the target setup, and the closeness.

    `closeness` is relative to W_s, `force` [N] the same at the wheel. `found_force` and `target_force`
    (points,) [N] are wheel forces of the riding curves over wheel travel `wheel` [m]. `gap` [N] is the
    largest difference, positive where the found setup is firmer, `gap_at` [m] its place, and `gap_from`,
    `gap_to` [m] the travel around it over which at least half of it remains. `bounds` are those of the
    search. `rungs` are the coils in stock on either side of a coil found that preload can bring to the
    sag or that are too stiff for it. `alike` is the share of the travel over which the wheel force is within
    `ALIKE` of the target's.
    """

    setup: Setup
    sag: Target
    closeness: Values
    force: Values
    wheel: Values
    found_force: Values
    target_force: Values
    gap: Values
    gap_at: Values
    gap_from: Values
    gap_to: Values
    alike: Values
    bounds: tuple[Bound, ...]
    rungs: tuple[Rung, ...] = ()


def matched(
    case: Case, target: int, using: int, *, volumes: bool = False, grain: Grain | None = None
) -> Match:
    """Return the settings of one setup of a single case that come closest to another one of it.

    Either may be a coil or air. With `volumes`, volumes and port of an air spring are free instead of its
    spacers. With a `grain` the settings are writable ones, and all figures are theirs.
    Raises `Refused` as `answer` does, `Unmatched` if the target setup does not settle or every setting
    with its sag is beyond a limit.
    """
    bike = stand(case)
    aim = _aim(case.setups[target], bike)
    turned = hardware(case.setups[using], bike, aim.sag, volumes=volumes)
    finest = FINEST if grain is None else WRITTEN_FINEST
    numbers, closeness = best(turned.knobs, lambda some: _closeness(some, turned, aim), turned.now(), finest)
    if not np.isfinite(closeness):
        raise Unmatched(turned.in_the_way(values(np.concatenate([grid(turned.knobs), turned.now()], axis=1))))
    if grain is None:
        setup = turned.picked(turned.at_sag(values(numbers[:, None])), 0)
    else:
        tried = turned.written(numbers, grain)
        near = _how_close(tried, bike, aim)
        setup = turned.picked(tried, int(np.argmin(near)))
        if not np.isfinite(near.min()):
            raise Unmatched(turned.in_the_way(values(numbers[:, None])))
    found = _compared(setup, turned.bounds(setup, grain), bike, aim)
    if isinstance(found.setup.spring, Coil):
        rates = either_side(coil_of(turned.setup), values(coil_of(setup).rate or np.nan))
        found = replace(found, rungs=_rungs(turned, aim, rates, grain))
    freeze(found)
    return found


@dataclass(frozen=True, slots=True)
class Aim:
    """The target setup's sag, static wheel force [N], and riding curve.

    `before` and `beyond` are the places of the search, above the sag and from there on; `before_force` and
    `beyond_force` [N] are the target's wheel forces there, `force` (nodes,) [N] at the lever's nodes.
    """

    sag: Target
    static: float
    stroke: Values
    before: Places
    beyond: Places
    before_force: Values
    beyond_force: Values
    force: Values


def _aim(asked: Setup, bike: Stand) -> Aim:
    case, static = bike.case, bike.load.static_wheel_force
    setup = solved(asked, bike.lever, case.shop, case.target, static)
    shock = shock_of(setup, bike.lever, case.shop)
    stood = under_load(walk(shock), static)
    if str(stood.state) != "ok":
        raise Unmatched("target_unsettled")
    sag, full = float(stood.sag.wheel), float(bike.lever.wheel_travel)
    before = bike.lever.at(values(np.linspace(0.0, sag, _BEFORE + 1)))
    beyond = bike.lever.at(values(np.linspace(sag, full, _BEYOND + 1)))
    stroke = stood.sag.stroke
    return Aim(
        sag=Target(sag / full, "travel"),
        static=float(static),
        stroke=stroke,
        before=before,
        beyond=beyond,
        before_force=values(shock.at(before.stroke).force / before.ratio),
        beyond_force=values(shock.fast_at(beyond.stroke, stroke).force / beyond.ratio),
        force=_riding_force(setup, bike)[0],
    )


def _riding_force(setup: Setup, bike: Stand) -> tuple[Values, Values]:
    """Return wheel force [N] of the riding curve (cases..., nodes) at the lever's nodes, and the sag [m]."""
    walked = walk(shock_of(setup, bike.lever, bike.case.shop))
    sag = under_load(walked, bike.load.static_wheel_force).sag
    places = walked.places
    fast = values(walked.shock.fast_at(places.stroke, sag.stroke).force / places.ratio)
    settled = np.where(np.isnan(per_point(sag.wheel)), np.nan, fast)
    return values(np.where(places.wheel < per_point(sag.wheel), walked.wheel_force, settled)), sag.wheel


def _closeness(settings: Values, turned: Hardware, aim: Aim) -> Values:
    """Return the closeness of settings (knobs, n), infinite if impossible or with another sag.

    By Simpson's rule at the places of the search, all settings slow up to the target's sag.
    """
    kept, found = turned.possible(settings), np.full(settings.shape[1], np.inf)
    if kept.any():
        setup = turned.at_sag(values(settings[:, kept]))
        shock = shock_of(setup, turned.bike.lever, turned.bike.case.shop)
        slow = shock.at(aim.before.stroke).force / aim.before.ratio
        fast = shock.fast_at(aim.beyond.stroke, aim.stroke).force / aim.beyond.ratio
        above, length = aim.sag.sag, 1 - aim.sag.sag
        square = ABOVE_SAG * above * _mean(values((slow - aim.before_force) ** 2)) + length * _mean(
            values((fast - aim.beyond_force) ** 2)
        )
        near = np.sqrt(square / (ABOVE_SAG * above + length)) / aim.static
        # Below the load all the way to the sag, so that the first crossing is there.
        settles = (slow[..., :-1] < aim.static).all(axis=-1)
        found[kept] = np.where(settles & np.isfinite(near), near, np.inf)
    return values(found)


def _mean(square: Values) -> Values:
    """Return the mean over an even number of equal intervals by Simpson's rule.

    >>> round(float(_mean(values([0.0, 1.0, 4.0]))), 6)  # of x² over 0 to 2: 4/3
    1.333333
    """
    inner = 4 * square[..., 1:-1:2].sum(-1) + 2 * square[..., 2:-1:2].sum(-1)
    return values((square[..., 0] + square[..., -1] + inner) / (3 * (square.shape[-1] - 1)))


def _how_close(setup: Setup, bike: Stand, aim: Aim) -> Values:
    """Return the closeness of settings (n,) at their own sag points, infinite if those are elsewhere."""
    force, sag = _riding_force(setup, bike)
    near = _over_load(values(force - aim.force), bike, aim)
    full = float(bike.lever.wheel_travel)
    there = np.abs(sag / full - aim.sag.sag) < OFF_SAG
    return values(np.where(there & np.isfinite(near), near, np.inf))


def _alike(gap: Values, bike: Stand, aim: Aim) -> Values:
    """Return the share of the travel over which gaps [N] (cases..., nodes) are within `ALIKE`."""
    each = np.diff(bike.lever.nodes.wheel)
    weight = (np.append(each, 0.0) + np.append(0.0, each)) / 2
    near = np.abs(gap) <= ALIKE * np.maximum(aim.force, aim.static)
    return values((weight * near).sum(-1) / weight.sum())


def _over_load(gap: Values, bike: Stand, aim: Aim) -> Values:
    """Return the closeness of gaps [N] (cases..., nodes) at the lever's nodes, by the trapezoidal rule."""
    wheel = bike.lever.nodes.wheel
    above = np.clip((aim.sag.sag * wheel[-1] - wheel[:-1]) / np.diff(wheel), 0.0, 1.0)
    each = above * ABOVE_SAG + (1 - above)
    weight = (np.append(each, 0.0) + np.append(0.0, each)) / 2
    return values(np.sqrt((weight * gap * gap).sum(-1) / weight.sum()) / aim.static)


def _rungs(turned: Hardware, aim: Aim, rates: Values, grain: Grain | None) -> tuple[Rung, ...]:
    """Return the coils of `rates` in stock [N/m] that preload brings to the sag, and any too stiff for it."""
    knob = turned.knobs[0]
    rates = values(rates[rates >= knob.low])
    if not rates.size:
        return ()
    setup, bike = turned.preloaded(rates, grain), turned.bike
    force, wheel = _riding_force(setup, bike)
    gap, sag = values(force - aim.force), wheel / float(bike.lever.wheel_travel)
    near, alike = _over_load(gap, bike, aim), _alike(gap, bike, aim)
    there = np.isfinite(near) & ((np.abs(sag - aim.sag.sag) < OFF_SAG) | (rates > knob.high))
    columns = (rates, values(coil_of(setup).preload), sag, near, alike)
    return tuple(Rung(*map(float, row)) for row in np.stack(np.broadcast_arrays(*columns), axis=-1)[there])


def _compared(setup: Setup, bounds: tuple[Bound, ...], bike: Stand, aim: Aim) -> Match:
    force, wheel = _riding_force(setup, bike)[0], bike.lever.nodes.wheel
    gap = values(force - aim.force)
    place = int(np.argmax(np.abs(gap)))
    first, last = _around(np.asarray(gap * np.sign(gap[place]) >= _HALF * abs(gap[place])), place)
    near = _over_load(gap, bike, aim)
    return Match(
        setup=setup,
        sag=aim.sag,
        closeness=near,
        force=values(near * aim.static),
        wheel=wheel,
        found_force=force,
        target_force=aim.force,
        gap=values(gap[place]),
        gap_at=values(wheel[place]),
        gap_from=values(wheel[first]),
        gap_to=values(wheel[last]),
        alike=_alike(gap, bike, aim),
        bounds=bounds,
    )


def _around(marks: Marks, place: int) -> tuple[int, int]:
    """Return the first and last index of the run of marks around `place`."""
    off = np.flatnonzero(~marks)
    before, after = off[off < place], off[off > place]
    return (int(before[-1]) + 1 if before.size else 0), (int(after[0]) - 1 if after.size else marks.size - 1)
