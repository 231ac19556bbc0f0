"""Rate or pressure for a target sag."""

from __future__ import annotations

import numpy as np

from physics.arrays import Values, values
from physics.case import Ambient, Coil, Setup, Target
from physics.leverage import LeverageCurve
from physics.roots import bracketed_root
from physics.shock import Shock, shock_of, with_pressure, with_rate

HIGHEST_PRESSURE = 60e5
"""Largest set pressure looked at [Pa absolute]: beyond any shock pump and inside the gas law's range."""


def target_place(target: Target, lever: LeverageCurve) -> tuple[Values, Values]:
    """Return wheel travel and shock stroke [m] at the target sag, shape (cases...)."""
    if target.of == "travel":
        wheel = values(target.sag) * lever.wheel_travel
        return wheel, lever.at(wheel[..., None])[2][..., 0]
    stroke = values(target.sag) * lever.stroke
    return lever.wheel_at(stroke[..., None])[..., 0], stroke


def shaft_force_needed(target: Target, lever: LeverageCurve, static: Values) -> tuple[Values, Values]:
    """Return the stroke [m] of the target and the shaft force F = W_s L [N] it takes there."""
    wheel, stroke = target_place(target, lever)
    return stroke, static * lever.at(wheel[..., None])[0][..., 0]


def spring_force_needed(
    setup: Setup, lever: LeverageCurve, shop: Ambient, target: Target, static: Values
) -> tuple[Values, Values]:
    """Return the stroke [m] and the force [N] left for the coil after damper gas and bumper."""
    stroke, needed = shaft_force_needed(target, lever, static)
    # A coil of zero rate is the shock without its spring.
    bare = Shock(with_rate(setup, 0.0), None, lever, shop, shop)
    return stroke, values(needed - bare.at(stroke[..., None]).force[..., 0])


def solved_rate(setup: Setup, lever: LeverageCurve, shop: Ambient, target: Target, static: Values) -> Values:
    """Return the coil rate [N/m] for the target, k = F/(x + c); NaN where no positive rate does it."""
    if not isinstance(setup.spring, Coil):
        raise TypeError("an air spring has no single rate")
    stroke, force = spring_force_needed(setup, lever, shop, target, static)
    rate = force / (stroke + setup.spring.preload)
    return values(np.where(rate > 0, rate, np.nan))


def solved_pressure(
    setup: Setup, lever: LeverageCurve, shop: Ambient, target: Target, static: Values
) -> Values:
    """Return the set pressure [Pa absolute] for the target, NaN where none reaches it.

    One bracketed root; the slope is the secant over a part in a million, enough for Newton.
    """
    stroke, needed = shaft_force_needed(target, lever, static)

    def excess(p: Values) -> tuple[Values, Values]:
        nudge = 1e-6 * p
        here, beside = (
            shock_of(with_pressure(setup, q), lever, shop).at(stroke[..., None]).force[..., 0]
            for q in (p, p + nudge)
        )
        return here - needed, (beside - here) / nudge

    low = values(shop.pressure) + np.zeros_like(needed)
    return bracketed_root(excess, low, np.full_like(needed, HIGHEST_PRESSURE))


def solved(setup: Setup, lever: LeverageCurve, shop: Ambient, target: Target, static: Values) -> Setup:
    """Return the setup with its rate or pressure put in place; NaN there where the target is out of reach."""
    spring = setup.spring
    if isinstance(spring, Coil):
        if spring.rate is not None or spring.stage_rate is not None:
            return setup
        return with_rate(setup, solved_rate(setup, lever, shop, target, static))
    if spring.pressure is not None:
        return setup
    return with_pressure(setup, solved_pressure(setup, lever, shop, target, static))
