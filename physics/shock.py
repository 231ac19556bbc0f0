"""Spring, damper gas, bumper and friction on one shaft, and the wheel that feels them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from physics.air import ChargedAir, charge
from physics.arrays import Scalar, Values, per_point, values
from physics.case import Air, Ambient, Coil, Setup
from physics.coil import coil_force
from physics.leverage import LeverageCurve


@dataclass(frozen=True, slots=True)
class ShaftForce:
    """Forces [N] and rate [N/m] on the shaft, (cases..., points); the parts are NaN for a coil."""

    force: Values
    rate: Values
    positive: Values
    negative: Values


@dataclass(frozen=True, slots=True)
class Shock:
    """A setup that is ready to push: `air` holds its amounts of gas, None for a coil."""

    setup: Setup
    air: ChargedAir | None
    lever: LeverageCurve
    ambient: Ambient
    shop: Ambient

    def at(self, stroke: Values) -> ShaftForce:
        """Return what the shaft carries at rest at strokes (cases..., points) [m]."""
        return self._with_rest(stroke, None)

    def fast_at(self, stroke: Values, start: Values) -> ShaftForce:
        """Return the same on a fast stroke out of stroke `start` (cases...), where the air had settled."""
        return self._with_rest(stroke, start)

    def _with_rest(self, stroke: Values, start: Values | None) -> ShaftForce:
        if self.air is None:
            force, rate = coil_force(_coil(self.setup), stroke)
            positive = negative = np.full_like(force, np.nan)
        else:
            parts = (
                self.air.parts(stroke, self.ambient)
                if start is None
                else self.air.fast_parts(stroke, start, self.ambient)
            )
            positive, negative = parts[0], parts[1]
            force, rate = positive + negative, parts[2] + parts[3]
        for extra_force, extra_rate in (self._gas(stroke), self._bumper(stroke)):
            force, rate = force + extra_force, rate + extra_rate
        return ShaftForce(values(force), values(rate), positive, negative)

    def _gas(self, stroke: Values) -> tuple[Values, Values]:
        gas = self.setup.gas
        if gas is None:
            return np.zeros_like(stroke), np.zeros_like(stroke)
        area = per_point(np.pi / 4 * values(gas.rod) ** 2)
        left = per_point(gas.volume) - area * stroke
        warmed = (
            per_point(gas.pressure) * per_point(self.ambient.temperature) / per_point(self.shop.temperature)
        )
        p = warmed * per_point(gas.volume) / left
        return area * (p - per_point(self.ambient.pressure)), area**2 * p / left

    def _bumper(self, stroke: Values) -> tuple[Values, Values]:
        bumper = self.setup.bumper
        if bumper is None:
            return np.zeros_like(stroke), np.zeros_like(stroke)
        length, force = per_point(bumper.length), per_point(bumper.force)
        squeezed = np.maximum((stroke - (per_point(self.lever.stroke) - length)) / length, 0.0)
        return force * squeezed**3, 3 * force * squeezed**2 / length

    def wheel(self, travel: Values) -> tuple[Values, Values]:
        """Return wheel force F/L [N] and wheel rate k/L² − F L′/L² [N/m] at travels (cases..., points).

        Virtual work, friction at the pivots left out.
        """
        ratio, slope, stroke = self.lever.at(travel)
        shaft = self.at(stroke)
        return at_wheel(shaft, ratio, slope)


def at_wheel(shaft: ShaftForce, ratio: Values, slope: Values) -> tuple[Values, Values]:
    """Return wheel force [N] and wheel rate [N/m] from the shaft's and the leverage there."""
    return shaft.force / ratio, (shaft.rate - shaft.force * slope) / ratio**2


def _coil(setup: Setup) -> Coil:
    if not isinstance(setup.spring, Coil):
        raise TypeError("an air spring without its charge")
    return setup.spring


def shock_of(setup: Setup, lever: LeverageCurve, shop: Ambient, ambient: Ambient | None = None) -> Shock:
    """Return the shock of a setup whose rate or pressure is known, filled in the shop, in `ambient` air."""
    air = None
    if isinstance(setup.spring, Air):
        if setup.spring.pressure is None:
            raise ValueError("the pressure of this air spring is still to be solved")
        air = charge(setup.spring, setup.spring.pressure, shop, lever.stroke)
    return Shock(setup, air, lever, ambient or shop, shop)


def with_rate(setup: Setup, rate: Scalar) -> Setup:
    """Return the setup with this coil rate [N/m]."""
    return replace(setup, spring=replace(_coil(setup), rate=rate))


def with_pressure(setup: Setup, pressure: Scalar) -> Setup:
    """Return the setup with this set pressure [Pa absolute]."""
    if not isinstance(setup.spring, Air):
        raise TypeError("a coil has no pressure")
    return replace(setup, spring=replace(setup.spring, pressure=pressure))
