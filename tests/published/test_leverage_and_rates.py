"""Wheel rate and gas spring rate against closed forms and handbook statements."""

import numpy as np
import pytest

from physics import gas
from physics.air import charge
from physics.arrays import values
from physics.case import Air, Ambient, Coil, Ends, Fork, Frame, NoNegative, Setup
from physics.leverage import leverage_curve
from physics.shock import shock_of


def test_wheel_rate_with_the_slope_of_the_ratio() -> None:
    # L = 3.1 − 5 w + 8 w² (w in m), 85 N/mm, 4 mm preload. Source: virtual work, k_w = (k − F L′)/L²,
    # figures computed independently at high precision.
    def ratio(w: float) -> float:
        return 3.1 - 5 * w + 8 * w**2

    stroke = 0.0501157
    lever = leverage_curve(Frame(0.14, stroke, Ends(3.1, ratio(0.14), ratio(0.07))))
    shock = shock_of(Setup("c", Coil(85e3, 0.004, 4378.0)), lever, Ambient(293.15, 101325.0))
    travel = values(np.array([0.05, 0.14]))
    assert shock.at(lever.at(travel).stroke).force == pytest.approx([1766.08, 4599.86], rel=2e-5)
    assert shock.wheel(travel)[1] == pytest.approx([11219.944, 14944.506], rel=2e-5)


def test_gas_spring_rate_hangs_on_absolute_pressure() -> None:
    # Source: k = n p A²/V with absolute p (isothermal ideal gas, n = 1); at 200 psi gauge the gauge
    # pressure alone understates it by 6.8 %.
    shop = Ambient(293.15, 101325.0)
    p = 200 * 6894.757293168 + 101325.0
    air = Air(p, 0.040, 0.0, 0.0, 105e-6, 0, 0.0, NoNegative())
    rate = charge(air, p, shop).force(values([0.0]), shop).rate[0]
    area = np.pi / 4 * 0.040**2
    assert rate == pytest.approx(p * area**2 / 105e-6, rel=0.02)
    assert 1 - (p - 101325.0) / p == pytest.approx(0.068, abs=5e-4)


def test_sealed_chamber_in_the_cold_and_the_heat() -> None:
    # Source: constant-volume gas law; 200 psi at 20 °C reads about 185 at 0 °C and 211 at 35 °C.
    rho = gas.density(200 * 6894.757293168 + 101325.0, 293.15)
    read = (gas.pressure(rho, np.array([273.15, 308.15])) - 101325.0) / 6894.757293168
    assert read == pytest.approx([185, 211], abs=1.0)


def test_fork_wheel_force_is_the_vertical_part() -> None:
    # Source: a slider along its own axis; dw = sin(head angle) dx, virtual work.
    angle = np.radians(64.0)
    lever = leverage_curve(Frame(0.15 * np.sin(angle), 0.15, Fork(float(angle))))
    shock = shock_of(Setup("c", Coil(8e3, 0.0, 4378.0)), lever, Ambient(293.15, 101325.0))
    force = shock.wheel(values([0.09 * np.sin(angle)]))[0][0]
    assert force == pytest.approx(8e3 * 0.09 / np.sin(angle))
