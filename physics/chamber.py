"""A closed air chamber with one moving wall: its force at constant temperature and along an isentrope."""

from __future__ import annotations

import numpy as np

from physics import gas
from physics.arrays import Scalar, Values, at_one_point, beside_points, some, values
from physics.faults import Fault
from physics.frozen import dataclass
from physics.limits import STANDARD_GRAVITY

LEAST_VOLUME = 1e-9
"""A chamber below 0.001 cm³ [m³] counts as used up: rounding of typed volumes leaves less."""


def used_up(field: str, code: str, volume: Values, needed: Values) -> tuple[Fault, ...]:
    """Return the fault of a chamber of `volume` [m³] that full stroke, taking `needed` [m³], leaves empty.

    Both of shape (cases...); empty if every case has air left.
    """
    left = volume - needed
    short = left <= LEAST_VOLUME
    if not some(short):
        return ()
    room = {"left": float(np.min(left)), "needed": float(np.max(needed))}
    return (Fault((field,), code, room, cases=short),)


@dataclass(frozen=True, slots=True)
class Chamber:
    """Area [m²], signed so that V(x) = V₀ − area·x, volume V₀ [m³] at full extension, air mass [kg].

    All of shape (cases...). A negative area is a chamber that expands with the stroke and pulls.
    """

    area: Values
    volume: Values
    mass: Values

    def volume_at(self, stroke: Values) -> Values:
        """Return the volume [m³] at strokes (cases..., points) [m]."""
        return values(beside_points(self.volume) - beside_points(self.area) * stroke)

    def density_at(self, stroke: Values) -> Values:
        """Return the air density [kg/m³] at strokes (cases..., points) [m]."""
        return values(beside_points(self.mass) / self.volume_at(stroke))

    def force(self, stroke: Values, temperature: Scalar, outside: Scalar) -> tuple[Values, Values]:
        """Return force [N] and rate [N/m], slow: the air is at the ambient `temperature` [K].

        `outside` [Pa absolute] acts on the other side of the wall; both are of shape (cases...).
        F = area (p − p_a); with dV/dx = −area, dF/dx = area² ρ/V (∂p/∂ρ)_T.

        >>> area, volume = values(1e-3), values(100e-6)
        >>> chamber = Chamber(area, volume, values(gas.density(1e6, 293.15) * volume))
        >>> force, rate = chamber.force(values([0.0, 0.05]), 293.15, 1e5)
        >>> force.round(1).tolist()  # 1 MPa on 10 cm²; half the volume, twice the pressure
        [900.0, 1894.1]
        """
        volume = self.volume_at(stroke)
        rho = beside_points(self.mass) / volume
        p, slope = gas.isotherm(rho, beside_points(temperature))
        return self._on_wall(p - beside_points(outside), slope * (rho / volume))

    def isentrope(self, start: Values, temperature: Scalar) -> gas.Isentrope:
        """Return the isentropes out of stroke `start` (cases...) [m], with an axis of points.

        The air had settled there at the ambient `temperature` [K].
        """
        return gas.isentrope_from(beside_points(temperature), self.density_at(values(beside_points(start))))

    def fast_force(self, stroke: Values, along: gas.Isentrope, outside: Scalar) -> tuple[Values, Values]:
        """Return force [N] and rate [N/m] along an isentrope of this chamber; the rate uses (∂p/∂ρ)_s."""
        volume = self.volume_at(stroke)
        rho = values(beside_points(self.mass) / volume)
        p, slope = gas.isentrope(rho, along.temperature(rho))
        return self._on_wall(p - beside_points(outside), slope * (rho / volume))

    def _on_wall(self, pressing: Values, stiffening: Values) -> tuple[Values, Values]:
        area = beside_points(self.area)
        return area * pressing, area * area * stiffening


_CONDUCTIVITY, _VISCOSITY, _HEAT_CAPACITY = 0.0263, 1.85e-5, 1007.0
"""Of air near 300 K: W/(m K), Pa s and J/(kg K) at constant pressure; from memory."""
_NUSSELT = 0.15
"""Nu = 0.15 Ra^(1/3) of free convection: an estimate, no source. With the cube root the size cancels."""


def heat_time(
    chamber: Chamber, stroke: Values, warmer: Values, T: Scalar, heat_capacity: float = _HEAT_CAPACITY
) -> Values:
    """Return the time constant [s] of the heat between a chamber's air and wall at a stroke (cases...) [m].

    τ = m c/(h A) at an air temperature `warmer` [K] than the wall's `T`, with h of free convection and A of a
    cylinder of the piston's area; c [J/(kg K)] at constant pressure, as under a constant load, or another.

    >>> volume = values(100e-6)
    >>> air = Chamber(values(1.2e-3), volume, values(gas.density(1.2e6, 293.15) * volume))
    >>> round(float(heat_time(air, values(0.020), values(40.0), 293.15)), 1)
    3.6
    """
    density, volume = (
        at_one_point(part(values(beside_points(stroke)))) for part in (chamber.density_at, chamber.volume_at)
    )
    diffusivity = _CONDUCTIVITY / (density * _HEAT_CAPACITY)
    rayleigh_per_cube = STANDARD_GRAVITY * np.maximum(warmer, 0.0) / T / (_VISCOSITY / density * diffusivity)
    transfer = _NUSSELT * _CONDUCTIVITY * np.cbrt(rayleigh_per_cube)
    piston = np.abs(chamber.area)
    wall = 2 * piston + np.sqrt(4 * np.pi * piston) * volume / piston
    with np.errstate(divide="ignore", invalid="ignore"):
        return values(density * volume * heat_capacity / (transfer * wall))
