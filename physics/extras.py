"""What every shock has besides its spring: damper gas, bottom-out bumper, the air in a fork's lower legs.

Gas and bumper take strokes of shape (cases..., points) [m] and return force [N] and rate [N/m] on the shaft.
"""

from __future__ import annotations

import numpy as np

from physics import gas as air
from physics.arrays import Scalar, Values, beside_points, some, values
from physics.case import Ambient, Bumper, GasCharge, LowerLegs, Setup
from physics.chamber import Chamber, used_up
from physics.faults import Fault


def extras_faults(setup: Setup, full: Scalar) -> tuple[Fault, ...]:
    """Return the faults of the extras in a shock or fork of stroke `full` [m]."""
    found: list[Fault] = []
    if setup.gas is not None:
        needed = values(_rod_area(setup.gas) * full)
        found += used_up("gas_volume", "gas_used_up", values(setup.gas.volume), needed)
    if setup.bumper is not None and some(beyond := values(setup.bumper.length) > full):
        stroke = {"stroke": float(np.min(full))}
        found.append(Fault(("bumper_length",), "longer_than_stroke", stroke, cases=np.asarray(beyond)))
    if setup.lower_legs is not None:
        needed = values(_stanchion_area(setup.lower_legs) * full)
        found += used_up("lower_leg_volume", "legs_used_up", values(setup.lower_legs.volume), needed)
    return tuple(found)


def closed_legs(legs: LowerLegs, shop: Ambient) -> Chamber:
    """Return the air of all lower legs as one chamber, closed in shop air at full extension.

    The stanchion's outer area moves into each leg; the air is slow or fast as in the chambers of the air
    spring.

    >>> legs, shop = LowerLegs(240e-6, 0.035), Ambient(293.15, 101_325.0)
    >>> force, _rate = closed_legs(legs, shop).force(values([0.150]), 293.15, 101_325.0)
    >>> round(float(force[0]))  # two legs, 240 → 95.7 cm³ each
    294
    """
    volume = values(legs.legs * values(legs.volume))
    mass = air.density(shop.pressure, shop.temperature) * volume
    return Chamber(values(legs.legs * _stanchion_area(legs)), volume, values(mass))


def _stanchion_area(legs: LowerLegs) -> Values:
    return values(np.pi / 4 * values(legs.stanchion) ** 2)


def _rod_area(gas: GasCharge) -> Values:
    return values(np.pi / 4 * values(gas.rod) ** 2)


def gas_force(gas: GasCharge, stroke: Values, shop: Ambient, ambient: Ambient) -> tuple[Values, Values]:
    """Return A_rod (p_g0 V_g0/(V_g0 − A_rod x) − p_a) [N] and its derivative, slow: at ambient temperature.

    The charge was set in the shop; in other air its pressure is proportional to the absolute temperature.

    >>> shop = Ambient(293.15, 101_325.0)
    >>> charge = GasCharge(1_480_000.0, 12e-6, 0.009)
    >>> round(float(gas_force(charge, values([0.0]), shop, shop)[0][0]), 1)
    87.7
    """
    area, volume = beside_points(_rod_area(gas)), beside_points(gas.volume)
    left = volume - area * stroke
    warmed = beside_points(gas.pressure * (ambient.temperature / shop.temperature))
    p = warmed * volume / left
    return area * (p - beside_points(ambient.pressure)), area**2 * p / left


def bumper_force(bumper: Bumper, stroke: Values, full: Values) -> tuple[Values, Values]:
    """Return F_bm ((x − (S − ℓ_b))/ℓ_b)³ and its derivative over the last ℓ_b of the stroke S (cases...) [m].

    The cubic shape is an assumption, no source.

    >>> bumper_force(Bumper(0.010, 1600.0), values([0.050, 0.055, 0.060]), values(0.060))[0].round(6).tolist()
    [0.0, 200.0, 1600.0]
    """
    length, force = beside_points(bumper.length), beside_points(bumper.force)
    squeezed = np.maximum((stroke - (beside_points(full) - length)) / length, 0.0)
    squared = squeezed * squeezed
    return force * squared * squeezed, 3 * force * squared / length
