"""Real air: pressure, density, the isentrope; the standard atmosphere.

Equation of state p = ρ R T (1 + B(T) ρ + C ρ²), with effective coefficients fitted to a reference
equation of state for air: largest pressure error 0.044 % over 255–520 K up to 120 bar.
T in K, ρ in kg/m³, p in Pa absolute; everything broadcasts.
"""

from __future__ import annotations

import numpy as np

from physics.arrays import Scalar, Values, values

GAS_CONSTANT = 287.049
"""Specific gas constant of air [J/(kg K)]."""
_C = 1.7809e-6
_NEWTON_STEPS = 30
_TOLERANCE = 1e-13


def _b(T: Scalar) -> Values:
    return values(1.38475e-3 - 0.41398 / values(T) - 24.315 / values(T) ** 2)


def _b_plus_t_db(T: Scalar) -> Values:
    """B + T B′, which the temperature derivative of p and the entropy share."""
    return values(1.38475e-3 + 24.315 / values(T) ** 2)


def pressure(density: Scalar, T: Scalar) -> Values:
    """Return p [Pa] at a density and temperature."""
    rho = values(density)
    return rho * GAS_CONSTANT * T * (1 + _b(T) * rho + _C * rho**2)


def pressure_slope(density: Scalar, T: Scalar) -> Values:
    """Return (∂p/∂ρ)_T [Pa m³/kg]."""
    rho = values(density)
    return GAS_CONSTANT * T * (1 + 2 * _b(T) * rho + 3 * _C * rho**2)


def density(p: Scalar, T: Scalar) -> Values:
    """Return ρ [kg/m³] at a pressure and temperature; Newton from the ideal gas."""
    target = values(p)
    rho = target / (GAS_CONSTANT * values(T))
    for _ in range(_NEWTON_STEPS):
        step = (pressure(rho, T) - target) / pressure_slope(rho, T)
        rho = rho - step
        if np.all(np.abs(step) <= _TOLERANCE * np.abs(rho)):
            break
    return rho


def entropy(T: Scalar, density: Scalar) -> Values:
    """Return s [J/(kg K)] up to a constant.

    From (∂s/∂ρ)_T = −(∂p/∂T)_ρ/ρ²: s = ∫ c_v0/T dT − R [ln ρ + (B + T B′) ρ + C ρ²/2], with
    c_v0 = 734.891 − 0.165409 T + 3.60147e-4 T² [J/(kg K)] from the same reference equation.
    """
    T, rho = values(T), values(density)
    heat = 734.891 * np.log(T) - 0.165409 * T + 3.60147e-4 * T**2 / 2
    return heat - GAS_CONSTANT * (np.log(rho) + _b_plus_t_db(T) * rho + _C * rho**2 / 2)


def heat_capacity(T: Scalar, density: Scalar) -> Values:
    """Return c_v [J/(kg K)] of the real gas, T (∂s/∂T)_ρ."""
    T = values(T)
    ideal = 734.891 - 0.165409 * T + 3.60147e-4 * T**2
    return ideal + GAS_CONSTANT * 2 * 24.315 / T**2 * values(density)


def isentropic_temperature(T_start: Scalar, density_start: Scalar, density_end: Scalar) -> Values:
    """Return T [K] at `density_end` on the isentrope through the start; Newton on the entropy."""
    target = entropy(T_start, density_start)
    T = values(T_start) * (values(density_end) / density_start) ** 0.4
    for _ in range(_NEWTON_STEPS):
        step = (entropy(T, density_end) - target) * T / heat_capacity(T, density_end)
        T = np.maximum(T - step, 0.5 * T)
        if np.all(np.abs(step) <= 1e-11 * T):
            break
    return values(T)


def isentropic_slope(density: Scalar, T: Scalar) -> Values:
    """Return (∂p/∂ρ)_s [Pa m³/kg] = (∂p/∂ρ)_T + (∂p/∂T)_ρ² T/(ρ² c_v)."""
    rho = values(density)
    by_temperature = rho * GAS_CONSTANT * (1 + _b_plus_t_db(T) * rho + _C * rho**2)
    return values(pressure_slope(rho, T) + by_temperature**2 * T / (rho**2 * heat_capacity(T, rho)))


def standard_pressure(altitude: Scalar) -> Values:
    """Return ambient pressure [Pa] at a geometric altitude [m], troposphere of ISO 2533.

    Geopotential height H = r h/(r + h), r = 6 356 766 m; p = 101 325 (1 − 0.0065 H/288.15)^5.255 88.
    """
    h = values(altitude)
    geopotential = 6_356_766.0 * h / (6_356_766.0 + h)
    exponent = 9.80665 / (0.0065 * 287.05287)
    return values(101_325.0 * (1 - 0.0065 * geopotential / 288.15) ** exponent)
