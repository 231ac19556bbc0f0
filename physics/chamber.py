"""A closed chamber of air with one moving wall: its force at one temperature and along an isentrope."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics import gas
from physics.arrays import Scalar, Values, per_point, values
from physics.faults import Fault

LEAST_VOLUME = 1e-9
"""A chamber below a thousandth of a cubic centimetre [m³] is none: rounding of typed volumes leaves less."""


def used_up(field: str, code: str, volume: Values, needed: Values) -> tuple[Fault, ...]:
    """Return the fault of a chamber of `volume` [m³] whose full stroke takes `needed` [m³], if none is left.

    Both of shape (cases...); empty where every case has air left.
    """
    left = volume - needed
    short = np.asarray(left <= LEAST_VOLUME)
    if not np.any(short):
        return ()
    room = {"left": float(np.min(left)), "needed": float(np.max(needed))}
    return (Fault((field,), code, room, cases=short),)


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

    def force(self, stroke: Values, temperature: Scalar, outside: Scalar) -> tuple[Values, Values]:
        """Return force [N] and rate [N/m] with the air at the `temperature` [K] around it, slow.

        `outside` [Pa] presses on the other side of the wall; both are of shape (cases...).
        F = area (p − p_a); with dV/dx = −area, dF/dx = area² ρ/V (∂p/∂ρ)_T.
        """
        volume = self.volume_at(stroke)
        rho = per_point(self.mass) / volume
        p, slope = gas.isotherm(rho, per_point(temperature))
        return self._on_wall(p - per_point(outside), slope * (rho / volume))

    def fast_force(
        self, stroke: Values, start: Values, temperature: Scalar, outside: Scalar
    ) -> tuple[Values, Values]:
        """Return force [N] and rate [N/m] along the isentrope out of stroke `start` (cases...) [m].

        The air had settled there at the `temperature` around it; the rate takes (∂p/∂ρ)_s.
        """
        volume = self.volume_at(stroke)
        rho = per_point(self.mass) / volume
        hot = gas.isentropic_temperature(per_point(temperature), self.density_at(per_point(start)), rho)
        p, slope = gas.isentrope(rho, hot)
        return self._on_wall(p - per_point(outside), slope * (rho / volume))

    def _on_wall(self, pressing: Values, stiffening: Values) -> tuple[Values, Values]:
        area = per_point(self.area)
        return area * pressing, area * area * stiffening


def side_by_side(*chambers: Chamber) -> Chamber:
    """Return chambers as one of shape (cases..., chambers), so that all are asked at once."""
    parts = [(values(one.area), values(one.volume), values(one.mass)) for one in chambers]
    cases = np.broadcast(*(part for one in parts for part in one)).shape
    together = np.empty((3, *cases, len(chambers)))
    for place, one in enumerate(parts):
        for row, part in zip(together, one, strict=True):
            row[..., place] = part
    return Chamber(*together)
