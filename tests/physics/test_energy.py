"""Wheel force is the derivative of stored energy, the energy taken from closed forms of every part."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics import gas
from physics.arrays import Values, values
from physics.case import Air, Coil, Frame, Setup
from physics.chamber import Chamber
from physics.leverage import leverage_curve
from physics.shock import Shock, shock_of
from physics.solve import solved
from physics.stand import wheel_load
from tests.physics.examples import LEVERAGES, LOAD, SEA, SETUPS, SHOP, TARGET
from tests.random_cases import cases

T = 293.15
_B0, _B1, _B2, _C = 1.38475e-3, -0.41398, -24.315, 1.7809e-6
STATIC = wheel_load(LOAD).static_wheel_force


def slow_gas_energy(chamber: Chamber, x: Values) -> Values:
    """Work of an isotherm, −∫(p − p_a) dV = m R T [ln ρ + B ρ + C ρ²/2] + p_a V, up to a constant."""
    rho = chamber.density_at(x)
    b = _B0 + _B1 / T + _B2 / T**2
    free = gas.GAS_CONSTANT * T * (np.log(rho) + b * rho + _C * rho**2 / 2)
    return values(chamber.mass * free + SEA * chamber.volume_at(x))


def fast_gas_energy(chamber: Chamber, x: Values, start: Values) -> Values:
    """Work of an isentrope, m u + p_a V, up to a constant.

    From (∂u/∂ρ)_T = (p − T ∂p/∂T)/ρ² the internal energy is u = ∫ c_v0 dT − R T² B′ ρ.
    """
    rho = chamber.density_at(x)
    hot = gas.isentropic_temperature(T, chamber.density_at(start[None])[0], rho)
    heat = 734.891 * hot - 0.165409 * hot**2 / 2 + 3.60147e-4 * hot**3 / 3
    inner = heat + gas.GAS_CONSTANT * (_B1 + 2 * _B2 / hot) * rho
    return values(chamber.mass * inner + SEA * chamber.volume_at(x))


def spring_energy(setup: Setup, shock: Shock, x: Values, start: Values | None) -> Values:
    spring = setup.spring
    if isinstance(spring, Coil):
        squeezed = x + spring.preload
        if spring.stage_rate is None:
            assert spring.rate is not None
            return values(spring.rate * squeezed**2 / 2)
        assert spring.stage_start is not None
        steps = np.diff(spring.stage_rate, prepend=0.0)
        beyond = np.maximum(squeezed[:, None] - spring.stage_start, 0.0)
        return values(beyond**2 / 2 @ steps)
    air = shock.charged()
    chambers = [part for part in (air.positive, air.negative) if part is not None]
    total = sum(
        slow_gas_energy(part, x) if start is None else fast_gas_energy(part, x, start) for part in chambers
    )
    if air.spring is not None:
        total += air.spring.rate * np.maximum(air.spring.length - x, 0.0) ** 2 / 2
    return values(total)


def energy(setup: Setup, shock: Shock, wheel: Values, start: Values | None = None) -> Values:
    """Everything that is stored at a wheel travel, up to a constant [J]."""
    x = shock.lever.at(wheel).stroke
    total = spring_energy(setup, shock, x, start)
    if setup.gas is not None:
        v = setup.gas.volume - math.pi / 4 * setup.gas.rod**2 * x
        total = total - setup.gas.pressure * setup.gas.volume * np.log(v) + SEA * v
    if setup.bumper is not None:
        length = setup.bumper.length
        squeezed = np.maximum((x - (0.060 - length)) / length, 0.0)
        total = total + setup.bumper.force * length / 4 * squeezed**4
    return values(total)


@settings(max_examples=cases(150))
@given(
    st.sampled_from(sorted(SETUPS)),
    st.sampled_from(sorted(LEVERAGES)),
    st.floats(0.001, 0.149),
    st.booleans(),
)
def test_wheel_force_is_the_derivative_of_stored_energy(
    name: str, leverage: str, wheel: float, fast: bool
) -> None:
    lever = leverage_curve(Frame(0.150, 0.060, LEVERAGES[leverage]))
    setup = solved(SETUPS[name], lever, SHOP, TARGET, STATIC)
    shock = shock_of(setup, lever, SHOP)
    start = values(0.0167) if fast and isinstance(setup.spring, Air) else None
    h = 2e-5
    # Fourth-order difference of the energy.
    around = values(wheel + h * np.array([-2, -1, 1, 2]))
    e = energy(setup, shock, around, start)
    slope = (e[0] - 8 * e[1] + 8 * e[2] - e[3]) / (12 * h)
    there = lever.at(values([wheel]))
    shaft = shock.at(there.stroke) if start is None else shock.fast_at(there.stroke, start)
    assert shaft.force[0] / there.ratio[0] == pytest.approx(slope, rel=2e-5, abs=0.02)
