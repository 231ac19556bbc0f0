"""Real air against a reference equation of state and a standard atmosphere."""

import numpy as np
import pytest

from physics import gas


@pytest.mark.parametrize(
    ("T", "bar", "printed"),
    [(263, 1, 0.99927), (263, 40, 0.97570), (293, 20, 0.99360), (293, 80, 0.98647), (323, 120, 1.01212)],
)
def test_compressibility_factor(T: float, bar: float, printed: float) -> None:
    # Source: CoolProp 8.0.0, fluid "Air".
    rho = gas.density(bar * 1e5, T)
    assert bar * 1e5 / (rho * gas.GAS_CONSTANT * T) == pytest.approx(printed, rel=1e-3)


@pytest.mark.parametrize(
    ("ratio", "bar", "T"), [(2, 37.727, 390.08), (3, 68.027, 461.73), (4, 104.067, 520.78)]
)
def test_isentrope_from_14_bar(ratio: float, bar: float, T: float) -> None:
    # Source: CoolProp 8.0.0, fluid "Air", isentrope from 293.15 K, 14 bar abs.
    start = gas.density(14e5, 293.15)
    hot = gas.isentropic_temperature(293.15, start, ratio * start)
    assert hot == pytest.approx(T, rel=5e-3)
    assert gas.pressure(ratio * start, hot) / 1e5 == pytest.approx(bar, rel=5e-3)


def test_standard_atmosphere() -> None:
    # Source: US Standard Atmosphere 1976, identical to ISO 2533 below 11 km.
    altitudes = np.array([500.0, 1000.0, 1500.0, 2000.0, 3000.0])
    assert gas.standard_pressure(altitudes) == pytest.approx(
        np.array([95461.0, 89876.0, 84560.0, 79501.0, 70121.0]), abs=1.0
    )


def test_isentropic_slope_is_the_slope_of_the_isentrope() -> None:
    start = gas.density(14e5, 293.15)
    near = start * np.array([1 - 1e-5, 1 + 1e-5])
    p = gas.pressure(near, gas.isentropic_temperature(293.15, start, near))
    assert (p[1] - p[0]) / (near[1] - near[0]) == pytest.approx(gas.isentropic_slope(start, 293.15), rel=1e-6)
