"""What every shock has besides its spring: damper gas, the bottom-out bumper, the air in a fork's lower legs.

Gas and bumper take strokes of shape (cases..., points) [m] and return force [N] and rate [N/m] on the shaft.
"""

from __future__ import annotations

import numpy as np

from physics import gas as air
from physics.arrays import Scalar, Values, per_point, values
from physics.case import Ambient, Bumper, GasCharge, LowerLegs, Setup
from physics.chamber import Chamber, used_up
from physics.faults import Fault


def extras_faults(setup: Setup, full: Scalar) -> tuple[Fault, ...]:
    """Return what makes an extra impossible in a shock or fork of stroke `full` [m]."""
    found: list[Fault] = []
    if setup.gas is not None:
        needed = values(_rod_area(setup.gas) * full)
        found += used_up("gas_volume", "gas_used_up", values(setup.gas.volume), needed)
    if setup.bumper is not None and np.any(beyond := values(setup.bumper.length) > full):
        stroke = {"stroke": float(np.min(full))}
        found.append(Fault(("bumper_length",), "longer_than_stroke", stroke, cases=np.asarray(beyond)))
    if setup.lower_legs is not None:
        needed = values(_stanchion_area(setup.lower_legs) * full)
        found += used_up("lower_leg_volume", "legs_used_up", values(setup.lower_legs.volume), needed)
    return tuple(found)


def closed_legs(legs: LowerLegs, shop: Ambient) -> Chamber:
    """Return the air of all lower legs as one chamber, closed in the air of the shop at full extension.

    The stanchion's outer area dives into each leg, which is as slow or fast as the air spring's chambers.
    """
    volume = values(legs.legs * values(legs.volume))
    mass = air.density(shop.pressure, shop.temperature) * volume
    return Chamber(values(legs.legs * _stanchion_area(legs)), volume, values(mass))


def _stanchion_area(legs: LowerLegs) -> Values:
    return values(np.pi / 4 * values(legs.stanchion) ** 2)


def _rod_area(gas: GasCharge) -> Values:
    return values(np.pi / 4 * values(gas.rod) ** 2)


def gas_force(gas: GasCharge, stroke: Values, shop: Ambient, ambient: Ambient) -> tuple[Values, Values]:
    """Return A_rod (p_g0 V_g0/(V_g0 − A_rod x) − p_a) and its slope, slow: at the temperature around it.

    The charge was set in the shop; elsewhere its pressure follows the absolute temperature.
    """
    area = per_point(_rod_area(gas))
    left = per_point(gas.volume) - area * stroke
    warmed = per_point(gas.pressure) * (per_point(ambient.temperature) / per_point(shop.temperature))
    p = warmed * per_point(gas.volume) / left
    return area * (p - per_point(ambient.pressure)), area**2 * p / left


def bumper_force(bumper: Bumper, stroke: Values, full: Values) -> tuple[Values, Values]:
    """Return F_bm ((x − (S − ℓ_b))/ℓ_b)³ and its slope over the last ℓ_b of the stroke S (cases...) [m]."""
    length, force = per_point(bumper.length), per_point(bumper.force)
    squeezed = np.maximum((stroke - (per_point(full) - length)) / length, 0.0)
    squared = squeezed * squeezed
    return force * squared * squeezed, 3 * force * squared / length
