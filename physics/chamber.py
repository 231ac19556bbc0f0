"""A closed chamber of air with one moving wall: its force at one temperature and along an isentrope."""

from __future__ import annotations

from dataclasses import dataclass

from physics import gas
from physics.arrays import Values, per_point
from physics.case import Ambient

LEAST_VOLUME = 1e-9
"""A chamber below a thousandth of a cubic centimetre [m³] is none: rounding of typed volumes leaves less."""


@dataclass(frozen=True, slots=True)
class Chamber:
    """Area [m²], signed so that V(x) = V₀ − area·x, volume V₀ [m³] at full extension, air mass [kg].

    All of shape (cases...). A negative area is a chamber that grows with the stroke and pulls.
    """

    area: Values
    volume: Values
    mass: Values

    def volume_at(self, stroke: Values) -> Values:
        """Return the volume [m³] at strokes (cases..., points) [m]."""
        return per_point(self.volume) - per_point(self.area) * stroke

    def density_at(self, stroke: Values) -> Values:
        """Return the density [kg/m³] of the air at strokes (cases..., points) [m]."""
        return per_point(self.mass) / self.volume_at(stroke)

    def force(self, stroke: Values, ambient: Ambient) -> tuple[Values, Values]:
        """Return force [N] and rate [N/m] with the air at the temperature around it.

        F = area (p − p_a); with dV/dx = −area, dF/dx = area² ρ/V (∂p/∂ρ)_T.
        """
        volume = self.volume_at(stroke)
        rho = per_point(self.mass) / volume
        p, slope = gas.isotherm(rho, per_point(ambient.temperature))
        return self._on_wall(p, slope, rho / volume, ambient)

    def fast_force(self, stroke: Values, start: Values, ambient: Ambient) -> tuple[Values, Values]:
        """Return force [N] and rate [N/m] along the isentrope out of stroke `start` (cases...) [m].

        The air had settled there at the temperature around it; the rate takes (∂p/∂ρ)_s.
        """
        volume = self.volume_at(stroke)
        rho = per_point(self.mass) / volume
        T = per_point(ambient.temperature)
        hot = gas.isentropic_temperature(T, self.density_at(per_point(start)), rho)
        return self._on_wall(gas.pressure(rho, hot), gas.isentropic_slope(rho, hot), rho / volume, ambient)

    def _on_wall(self, p: Values, slope: Values, thinning: Values, ambient: Ambient) -> tuple[Values, Values]:
        area = per_point(self.area)
        return area * (p - per_point(ambient.pressure)), area * area * thinning * slope
