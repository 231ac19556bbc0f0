"""Coils one can order on either side of the ideal rate."""

from __future__ import annotations

import numpy as np

from physics.answer import BuyableCoil
from physics.arrays import Values, values
from physics.case import Ambient, Coil, Setup, Target
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
        preload = force / rate - stroke
        found.append(BuyableCoil(values(rate), values(sag), values(np.where(preload >= 0, preload, np.nan))))
    return tuple(found)


def _either_side(coil: Coil, ideal: float) -> list[float]:
    if coil.ladder is not None:
        rungs = np.sort(coil.ladder)
    else:
        # A hair of tolerance keeps a typed rung on its own rung.
        below = np.floor(ideal / coil.ladder_step * (1 + 1e-12)) * coil.ladder_step
        rungs = np.array([below, below + coil.ladder_step])
    softer, stiffer = rungs[rungs <= ideal * (1 + 1e-12)], rungs[rungs > ideal * (1 + 1e-12)]
    return [float(rate) for rate in (*softer[-1:], *stiffer[:1]) if rate > 0]
