"""The gas law against itself: inverses, derivatives, limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics import gas
from physics.arrays import values

temperatures = st.floats(255.0, 520.0)
pressures = st.floats(0.3e5, 120e5)


@given(pressures, temperatures)
def test_density_is_the_inverse_of_pressure(p: float, T: float) -> None:
    assert gas.pressure(gas.density(p, T), T) == pytest.approx(p, rel=1e-11)


def test_many_at_once_with_shapes_that_broadcast() -> None:
    p, T = values([[1e5], [20e5], [120e5]]), values([255.0, 293.15, 345.0, 520.0])
    rho = gas.density(p, T)
    assert rho.shape == (3, 4)
    assert rho[1, 2] == pytest.approx(gas.density(20e5, 345.0))


def test_thin_air_is_ideal_and_a_vacuum_is_empty() -> None:
    assert gas.density(10.0, 293.15) == pytest.approx(10.0 / (gas.GAS_CONSTANT * 293.15), rel=1e-6)
    assert gas.density(0.0, 293.15) == 0.0


def test_what_is_not_there_stays_not_there() -> None:
    assert np.isnan(gas.density(np.nan, 293.15))
    assert np.isnan(gas.isentropic_temperature(293.15, np.nan, 20.0))


@given(st.floats(1.0, 150.0), temperatures)
def test_slopes_are_derivatives(rho: float, T: float) -> None:
    near = rho * np.array([1 - 1e-5, 1 + 1e-5])
    low, high = gas.pressure(near, T)
    assert gas.isotherm(rho, T)[1] == pytest.approx((high - low) / (near[1] - near[0]), rel=1e-7)
    low, high = gas.pressure(near, gas.isentropic_temperature(T, rho, near))
    assert gas.isentrope(rho, T)[1] == pytest.approx((high - low) / (near[1] - near[0]), rel=1e-5)


@given(st.floats(1.0, 150.0), temperatures)
def test_entropy_is_the_closed_form_of_the_equation_of_state(rho: float, T: float) -> None:
    # Maxwell: (∂s/∂ρ)_T = −(∂p/∂T)_ρ/ρ², and c_v = T (∂s/∂T)_ρ.
    step = 1e-4
    along = np.diff(gas.entropy(T, rho * np.array([1 - step, 1 + step])))[0] / (2 * step * rho)
    warming = np.diff(gas.pressure(rho, T * np.array([1 - step, 1 + step])))[0] / (2 * step * T)
    assert along == pytest.approx(-warming / rho**2, rel=1e-6)
    heating = np.diff(gas.entropy(T * np.array([1 - step, 1 + step]), rho))[0] / (2 * step)
    assert gas.heat_capacity(T, rho) == pytest.approx(heating, rel=1e-6)


@given(st.floats(5.0, 40.0), st.floats(255.0, 345.0), st.floats(0.3, 5.0))
def test_the_isentrope_keeps_its_entropy_and_leads_back(rho: float, T: float, ratio: float) -> None:
    hot = gas.isentropic_temperature(T, rho, ratio * rho)
    assert gas.entropy(hot, ratio * rho) == pytest.approx(gas.entropy(T, rho), abs=1e-6)
    assert gas.isentropic_temperature(hot, ratio * rho, rho) == pytest.approx(T, rel=1e-10)


@given(st.floats(-1000.0, 10_900.0))
def test_air_thins_with_height(altitude: float) -> None:
    low, high = gas.standard_pressure(altitude + np.array([-5.0, 5.0]))
    # Hydrostatics: dp/dh = −ρ g with the air's own density at its standard temperature.
    T = 288.15 - 0.0065 * altitude
    assert (high - low) / 10.0 == pytest.approx(-9.80665 * (low + high) / 2 / (287.05287 * T), rel=0.005)


def test_air_squeezed_into_next_to_nothing_is_hot_but_a_number() -> None:
    found = gas.isentropic_temperature(293.15, 20.0, values([1e3, 1e4, 1e5, 1e6]))
    assert np.isfinite(found).all()
    assert np.all(np.diff(found) > 0)
    assert gas.entropy(found, values([1e3, 1e4, 1e5, 1e6])) == pytest.approx(
        float(gas.entropy(293.15, 20.0)), abs=1e-3
    )
