"""Real air: pressure, density, isentropes; the standard atmosphere.

Equation of state p = ρ R T (1 + B(T) ρ + C ρ²), effective coefficients fitted to the CoolProp 8.0.0
equation for air: largest pressure error 0.044 % over 255–520 K up to 120 bar absolute, where ideal air is
up to 5.5 % off. T in K, ρ in kg/m³, p in Pa absolute; everything broadcasts. For these coefficients
B² < 3 C at every temperature above 200 K, so p increases with ρ without bound and every p > 0 has one ρ.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

import numpy as np

from physics.arrays import Scalar, Values, some, values
from physics.frozen import dataclass
from physics.limits import HIGHEST_PRESSURE, STANDARD_GRAVITY

GAS_CONSTANT = 287.049
"""Specific gas constant of air [J/(kg K)]."""
COLDEST, HOTTEST, HIGHEST = 255.0, 520.0, HIGHEST_PRESSURE
"""Range of the fit: temperatures [K] and highest pressure [Pa]."""

_B0, _B1, _B2 = 1.38475e-3, -0.41398, -24.315
_C = 1.7809e-6
_TWICE = 2.0 * GAS_CONSTANT
_HEAT0, _HEAT1, _HEAT2 = 734.891, -0.165409, 3.60147e-4
_EARTH, _SEA_LEVEL, _SEA_WARMTH, _LAPSE = 6_356_766.0, 101_325.0, 288.15, 0.0065
_EXPONENT = STANDARD_GRAVITY / (_LAPSE * 287.05287)
_NEWTON_STEPS = 30
_LAST_STEP = 1e-5
"""Stop when the relative Newton step in ρ or T is below this; convergence is quadratic, so the relative error
is below 1e-11 within the range."""


def _b(T: Scalar) -> Scalar:
    """B(T) = B₀ + B₁/T + B₂/T² [m³/kg]."""
    return _B0 + (_B1 + _B2 / T) / T


def _b_plus_t_db(T: Scalar) -> Scalar:
    """B + T B′ = B₀ − B₂/T², common to the temperature derivative of p and the entropy."""
    return _B0 - _B2 / (T * T)


def pressure(density: Scalar, T: Scalar) -> Values:
    """Return p [Pa] at a density [kg/m³] and temperature [K].

    >>> round(float(pressure(20.0, 293.15)) / 1e5, 3)  # ideal air: 16.830 bar
    16.737
    """
    return values(isotherm(density, T)[0])


def isotherm(density: Scalar, T: Scalar) -> tuple[Values, Values]:
    """Return p [Pa] and (∂p/∂ρ)_T [Pa m³/kg] at a density [kg/m³] and temperature [K]."""
    return _cubic(values(density), *virial(T))


def _cubic(rho: Values, a: Scalar, b: Scalar, c: Scalar) -> tuple[Values, Values]:
    curved = c * rho
    return rho * (a + rho * (b + curved)), a + rho * (2 * b + 3 * curved)


def virial(T: Scalar) -> tuple[Scalar, Scalar, Scalar]:
    """Return a, b, c of p = a ρ + b ρ² + c ρ³ at a temperature [K]: R T, R T B and R T C."""
    heat = GAS_CONSTANT * T
    return heat, heat * _b(T), heat * _C


def density(p: Scalar, T: Scalar) -> Values:
    """Return ρ [kg/m³] at a pressure [Pa] and temperature [K]; Newton's method from the ideal gas.

    >>> round(float(density(101_325.0, 288.15)), 4)  # ISO 2533 at sea level: 1.225
    1.2255
    """
    target, law = values(p), virial(T)
    rho = values(target / law[0])
    for _ in range(_NEWTON_STEPS):
        reached, slope = _cubic(rho, *law)
        step = (reached - target) / slope
        rho = values(rho - step)
        if not some(abs(step) > _LAST_STEP * abs(rho)):
            break
    return rho


def entropy(T: Scalar, density: Scalar) -> Values:
    """Return the specific entropy s [J/(kg K)] up to a constant.

    From (∂s/∂ρ)_T = −(∂p/∂T)_ρ/ρ²: s = ∫ c_v0/T dT − R [ln ρ + (B + T B′) ρ + C ρ²/2], with
    c_v0 = 734.891 − 0.165409 T + 3.60147e-4 T² [J/(kg K)] fitted to the same reference equation.
    """
    heat = _HEAT0 * np.log(T) + (_HEAT1 + _HEAT2 / 2 * T) * T
    return values(heat - GAS_CONSTANT * (np.log(density) + (_b_plus_t_db(T) + _C / 2 * density) * density))


def heat_capacity(T: Scalar, density: Scalar) -> Values:
    """Return the isochoric heat capacity c_v = T (∂s/∂T)_ρ [J/(kg K)] of the real gas.

    Apart from c_v0 only B + T B′ = B₀ − B₂/T² depends on T: −R T d(B + T B′)/dT ρ = −2 R B₂ ρ/T².

    >>> round(float(heat_capacity(300.0, 1.0)), 1)
    717.8
    """
    return values(_HEAT0 + (_HEAT1 + _HEAT2 * T) * T - _TWICE * _B2 / (T * T) * density)


def internal_energy(T: Scalar, density: Scalar) -> Values:
    """Return the specific internal energy u [J/kg] up to a constant.

    From (∂u/∂ρ)_T = (p − T (∂p/∂T)_ρ)/ρ² = −R T² B′: u = ∫ c_v0 dT + R (B₁ + 2 B₂/T) ρ.
    """
    return values(energy(values(T), values(density)))


Number = TypeVar("Number", float, Values)
"""A float or an array: the laws of a short step are the same lines for both, and floats are spared numpy."""


def energy(T: Number, density: Number) -> Number:
    """Return `internal_energy` [J/kg] in the kind of number it is given."""
    ideal = (_HEAT0 + (_HEAT1 / 2 + _HEAT2 / 3 * T) * T) * T
    return ideal + GAS_CONSTANT * (_B1 + 2 * _B2 / T) * density


def squeezed(
    T: Number, exponent: Number, growth: Number, density: Number
) -> tuple[Number, Number, Number, Number]:
    """Return p [Pa], T [K], κ and c_v [J/(kg K)] after a short adiabatic step to `density` [kg/m³].

    `growth` is the density over that before the step, `T` and `exponent` are T and κ before it. From dT/T =
    κ dρ/ρ with κ = (R/c_v) [1 + (B + T B′) ρ + C ρ²]; κ is the mean of both ends, so that the error is of
    third order in the step.

    >>> T, kappa, count = 293.15, 0.0, 20
    >>> _p, T, kappa, _heat = squeezed(T, kappa, 1.0, 10.0)  # finds κ at the start
    >>> for n in range(count):
    ...     p, T, kappa, _heat = squeezed(T, kappa, 2 ** (1 / count), 10.0 * 2 ** ((n + 1) / count))
    >>> round(T, 3), round(float(isentropic_temperature(293.15, 10.0, 20.0)), 3)
    (388.632, 388.632)
    """
    hot = T * growth**exponent
    bent = _B2 / hot
    squared = bent / hot * density
    dense = _B0 + _C * density
    heat = _HEAT0 + (_HEAT1 + _HEAT2 * hot) * hot - _TWICE * squared
    there = GAS_CONSTANT * (1.0 + dense * density - squared) / heat
    hot = hot + hot * (0.5 * (there - exponent) * (growth - 1.0))
    p = GAS_CONSTANT * density * (hot + density * (hot * dense + _B1 + bent))
    return p, hot, there, heat


Parts = Sequence[Values] | Values
"""A quantity of several parts, each of shape (cases...)."""


def mixed_temperature(T: Parts, mass: Parts, density: Values) -> Values:
    """Return T [K] of air mixed from parts of a `mass` [kg] at a temperature [K], all at one density.

    Adiabatic at constant volume: Σ m u(T, ρ) is conserved. Newton's method with (∂u/∂T)_ρ = c_v from the
    mean.

    >>> round(float(mixed_temperature(values([300.0, 400.0]), values([1e-3, 1e-3]), values(10.0))), 1)
    350.1
    """
    shares = [part / sum(mass) for part in mass]
    due = sum(share * internal_energy(hot, density) for share, hot in zip(shares, T, strict=True))
    mixed = values(sum(share * hot for share, hot in zip(shares, T, strict=True)))
    for _ in range(_NEWTON_STEPS):
        step = (internal_energy(mixed, density) - due) / heat_capacity(mixed, density)
        mixed = values(mixed - step)
        if not some(abs(step) > _LAST_STEP * mixed):
            break
    return mixed


def isentropic_temperature(T_start: Scalar, density_start: Scalar, density_end: Scalar) -> Values:
    """Return T [K] at `density_end` [kg/m³] on the isentrope through the start.

    >>> round(float(isentropic_temperature(293.15, 10.0, 20.0)), 1)  # ideal air: 293.15 · 2^0.4 = 386.8
    388.6
    """
    return isentrope_from(T_start, density_start).temperature(values(density_end))


@dataclass(frozen=True, slots=True)
class Isentrope:
    """The isentrope through a start, by its `entropy` [J/(kg K)].

    Near the start ln T = `log_warmth` + `exponent` ln ρ.
    """

    entropy: Values
    log_warmth: Values
    exponent: Values

    def temperature(self, density: Values) -> Values:
        """Return T [K] at a density [kg/m³].

        Newton's method for the entropy over ln T, in which it is nearly linear (slope c_v).
        """
        log_rho = np.log(density)
        # Terms independent of T are computed once.
        due = self.entropy + GAS_CONSTANT * (log_rho + (_B0 + _C / 2 * density) * density)
        bend = GAS_CONSTANT * _B2 * density
        log_T = self.log_warmth + self.exponent * log_rho
        for _ in range(_NEWTON_STEPS):
            T = np.exp(log_T)
            curved = bend / (T * T)
            heat = _HEAT0 + (_HEAT1 + _HEAT2 * T) * T - 2 * curved
            step = (due - _HEAT0 * log_T - (_HEAT1 + _HEAT2 / 2 * T) * T - curved) / heat
            # Far beyond the range, at almost no volume, a full step from a cold start would overflow.
            log_T = log_T + np.minimum(step, 1.0)
            if not some(abs(step) > _LAST_STEP):
                break
        return values(np.exp(log_T))


def isentrope_from(T: Scalar, density: Scalar) -> Isentrope:
    """Return the isentrope of air at a temperature [K] and density [kg/m³].

    Near there dT/T = κ dρ/ρ with κ = (R/c_v) [1 + (B + T B′) ρ + C ρ²].

    >>> round(float(isentrope_from(293.15, 10.0).temperature(values(20.0))), 1)
    388.6
    """
    exponent = _by_temperature(T, density) / heat_capacity(T, density)
    return Isentrope(entropy(T, density), np.log(T) - exponent * np.log(density), exponent)


def isentrope(density: Scalar, T: Scalar) -> tuple[Values, Values]:
    """Return p [Pa] and (∂p/∂ρ)_s [Pa m³/kg], the square of the speed of sound.

    (∂p/∂ρ)_s = (∂p/∂ρ)_T + (∂p/∂T)_ρ² T/(ρ² c_v).

    >>> round(float(isentrope(1.225, 288.15)[1]) ** 0.5, 1)  # ISO 2533 at sea level: 340.3 m/s
    340.4
    """
    rho, T = values(density), values(T)
    p, slope = isotherm(rho, T)
    by_temperature = _by_temperature(T, rho)
    return p, values(slope + by_temperature * by_temperature * T / heat_capacity(T, rho))


def _by_temperature(T: Scalar, rho: Scalar) -> Scalar:
    """Return (∂p/∂T)_ρ/ρ = R [1 + (B + T B′) ρ + C ρ²] [J/(kg K)]."""
    return GAS_CONSTANT * (1 + (_b_plus_t_db(T) + _C * rho) * rho)


def standard_pressure(altitude: Scalar) -> Values:
    """Return the ambient pressure [Pa] at a geometric altitude [m], −1000 to 11 000: troposphere of ISO 2533.

    Geopotential height H = r h/(r + h), r = 6 356 766 m; p = 101 325 (1 − 0.0065 H/288.15)^5.255 88.

    >>> round(float(standard_pressure(2000.0)))  # ISO 2533: 79 501 Pa
    79501
    """
    h = values(altitude)
    geopotential = _EARTH * h / (_EARTH + h)
    return values(_SEA_LEVEL * (1 - _LAPSE * geopotential / _SEA_WARMTH) ** _EXPONENT)


def standard_altitude(ambient: Scalar) -> Values:
    """Return the geometric altitude [m] at which `standard_pressure` is `ambient` [Pa].

    >>> round(float(standard_altitude(79_501.0)))
    2000
    """
    geopotential = (1 - (values(ambient) / _SEA_LEVEL) ** (1 / _EXPONENT)) * _SEA_WARMTH / _LAPSE
    return values(_EARTH * geopotential / (_EARTH - geopotential))
