"""Coils one can order on either side of the ideal rate."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics.answer import BuyableCoil
from physics.arrays import Values, values
from physics.case import Ambient, Coil, Setup, Target
from physics.coil import fit_cautions
from physics.leverage import LeverageCurve
from physics.sag import settle
from physics.shock import shock_of, with_rate
from physics.solve import solved_rate, spring_force_needed


def buyable_coils(
    setup: Setup, lever: LeverageCurve, shop: Ambient, target: Target, static: Values
) -> tuple[BuyableCoil, ...]:
    """Return the rates of the ladder on either side of the ideal, softer first; empty without an ideal.

    The preload that would hit the target is c = F/k − x, NaN where it would be below zero.
    """
    spring = setup.spring
    if not isinstance(spring, Coil) or spring.stage_rate is not None:
        return ()
    ideal = float(solved_rate(setup, lever, shop, target, static))
    if not np.isfinite(ideal):
        return ()
    stroke, force = spring_force_needed(setup, lever, shop, target, static)
    found = []
    for rate in _either_side(spring, ideal):
        wheel, _topped, _bottomed = settle(shock_of(with_rate(setup, rate), lever, shop), static)
        sag = wheel / lever.wheel_travel
        if target.of == "stroke":
            sag = lever.at(wheel[..., None])[2][..., 0] / lever.stroke if np.isfinite(wheel) else wheel
        preload = values(force / rate - stroke)
        found.append(_choice(spring, rate, values(sag), preload, float(lever.stroke)))
    return tuple(found)


def _choice(coil: Coil, rate: float, sag: Values, preload: Values, stroke: float) -> BuyableCoil:
    wound = values(np.where(preload >= 0, preload, np.nan))
    turns = values(np.nan if coil.thread_pitch is None else wound / coil.thread_pitch)
    fitted = replace(coil, rate=rate, preload=np.maximum(preload, 0.0))
    return BuyableCoil(values(rate), sag, wound, turns, tuple(fit_cautions(fitted, stroke)))


def _either_side(coil: Coil, ideal: float) -> list[float]:
    if coil.ladder is not None:
        rungs = np.sort(coil.ladder)
    else:
        # A hair of tolerance keeps a typed rung on its own rung.
        below = np.floor(ideal / coil.ladder_step * (1 + 1e-12)) * coil.ladder_step
        rungs = np.array([below, below + coil.ladder_step])
    softer, stiffer = rungs[rungs <= ideal * (1 + 1e-12)], rungs[rungs > ideal * (1 + 1e-12)]
    return [float(rate) for rate in (*softer[-1:], *stiffer[:1]) if rate > 0]
