"""Rate or pressure for a target sag: a case with something to solve → the same case solved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics import gas
from physics.arrays import Scalar, Values, at_one_point, beside_points, in_blocks, per_point, values, where
from physics.case import Ambient, Case, Coil, EqualisedNegative, Setup, Target
from physics.leverage import LeverageCurve
from physics.limits import HIGHEST_PRESSURE
from physics.remembered import remembered
from physics.roots import bracketed_root
from physics.shock import Shock, air_of, coil_of, shock_of, with_pressure, with_rate
from physics.stand import stand


def solved_case(case: Case) -> Case:
    """Return the case with every rate and pressure that was None solved, NaN where out of reach.

    Raises `Refused` for an impossible load, frame or setup.
    """
    bike = stand(case)
    static = bike.load.static_wheel_force
    setups = tuple(solved(setup, bike.lever, case.shop, case.target, static) for setup in case.setups)
    return replace(case, setups=setups)


def solved(setup: Setup, lever: LeverageCurve, shop: Ambient, target: Target, static: Values) -> Setup:
    """Return the setup with its rate or pressure solved, NaN where the target is out of reach."""
    spring = setup.spring
    if isinstance(spring, Coil):
        if spring.rate is not None or spring.stage_rate is not None:
            return setup
        return with_rate(setup, solved_rate(setup, lever, shop, target, static))
    if spring.pressure is not None:
        return setup
    return with_pressure(setup, solved_pressure(setup, lever, shop, target, static))


def target_place(target: Target, lever: LeverageCurve, static: Values) -> tuple[Values, Values]:
    """Return the stroke [m] at the target sag and the shaft force F = W_s L [N] needed there."""
    if target.of == "travel":
        there = lever.at(values(beside_points(target.sag * lever.wheel_travel)))
    else:
        there = lever.at_stroke(per_point(target.sag * lever.stroke))
    return at_one_point(there.stroke), values(static * at_one_point(there.ratio))


def coil_force_due(
    setup: Setup, lever: LeverageCurve, shop: Ambient, target: Target, static: Values
) -> tuple[Values, Values]:
    """Return the stroke [m] of the target and the force [N] left for the coil after the extras."""
    stroke, needed = target_place(target, lever, static)
    beside = shock_of(setup, lever, shop).beside_coil(values(beside_points(stroke)))[0]
    return stroke, values(needed - at_one_point(beside))


def solved_rate(setup: Setup, lever: LeverageCurve, shop: Ambient, target: Target, static: Values) -> Values:
    """Return the coil rate [N/m] for the target, k = F/(x + c); NaN if no positive rate reaches it."""
    return rate_for(coil_of(setup), *coil_force_due(setup, lever, shop, target, static))


def rate_for(coil: Coil, stroke: Values, force: Values) -> Values:
    """Return the rate [N/m] at which a coil exerts `force` [N] at `stroke` [m], NaN if none does.

    >>> round(float(rate_for(Coil(None, 0.001, 4378.0), values(0.019), values(1600.0))), 6)
    80000.0
    """
    squeezed = stroke + values(coil.preload)
    rate = force / where(squeezed > 0, squeezed, np.nan)
    return where(rate > 0, rate, np.nan)


def solved_pressure(
    setup: Setup,
    lever: LeverageCurve,
    shop: Ambient,
    target: Target,
    static: Values,
    ridden: Ambient | None = None,
) -> Values:
    """Return the set pressure [Pa absolute] for the target, NaN if none up to `HIGHEST_PRESSURE` reaches it.

    The shock is filled in the shop; the target is met there, or in the air where it is `ridden`.

    One bracketed root in the density ρ of the positive chamber at full extension: all other densities are
    fixed multiples of it, so the force and its derivative are explicit. If a negative chamber pulls harder
    than the positive one pushes at the target at any pressure, there is no change of sign and the result is
    NaN.
    """
    stroke, needed = target_place(target, lever, static)
    empty = shock_of(setup, lever, shop, ridden, pressure=shop.pressure)
    beside, *powers = _filled_force(empty, stroke)
    # The density before filling, and the limit of the gas law.
    low = at_one_point(empty.charged().positive.density_at(values(0.0)))
    high = _highest_density(shop.temperature)
    density = in_blocks(_rising_root, values(beside - needed), *powers, low, high)
    return gas.pressure(density, shop.temperature)


@remembered(8)
def _highest_density(T: Scalar) -> Values:
    """Return the density [kg/m³] at the limit of the gas law."""
    return gas.density(HIGHEST_PRESSURE, T)


def _rising_root(constant: Values, a: Values, b: Values, c: Values, low: Values, high: Values) -> Values:
    """Return where `constant` + a ρ + b ρ² + c ρ³ rises through zero between two ρ, NaN if it does not."""

    def law(rho: Values) -> tuple[Values, Values]:
        value = constant + rho * (a + rho * (b + rho * c))
        return values(value), values(a + rho * (2 * b + 3 * c * rho))

    return bracketed_root(law, low, high).at


def _filled_force(empty: Shock, stroke: Values) -> tuple[Values, Values, Values, Values]:
    """Return shaft force [N] at `stroke` (cases...) [m] as a cubic in the density ρ at x = 0, ρ⁰ to ρ³.

    `empty` holds only ambient air: the forces beside its chambers do not change with filling.
    """
    air, at = empty.charged(), values(beside_points(stroke))
    here = empty.at(at)
    chambers, fixed = [air.positive], at_one_point(values(here.force - here.positive))
    if isinstance(air_of(empty.setup).negative, EqualisedNegative) and air.negative is not None:
        chambers.append(air.negative)
        fixed = values(fixed - at_one_point(here.negative))
    unit = air.positive.mass / air.positive.volume
    # Each chamber holds a fixed multiple m of ρ, so that Σ A p(m ρ) is a cubic in ρ.
    first, second, third = gas.virial(empty.ambient.temperature)
    a = b = c = values(0.0)
    beside = fixed
    for chamber in chambers:
        A, m = chamber.area, at_one_point(chamber.density_at(at)) / unit
        a, b, c = a + first * (A * m), b + second * (A * m * m), c + third * (A * m * m * m)
        beside = values(beside - A * empty.ambient.pressure)
    return beside, values(a), values(b), values(c)
