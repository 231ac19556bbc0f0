"""Spring, damper gas, bumper and lower legs on one shaft, and the wheel force by virtual work."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from physics.air import AirForce, AtRest, ChargedAir, air_faults, charge
from physics.arrays import NONE, Scalar, Values, values
from physics.case import Air, Ambient, Coil, Setup
from physics.chamber import Chamber
from physics.coil import coil_faults, coil_force, coil_kinks
from physics.extras import bumper_force, closed_legs, extras_faults, gas_force
from physics.faults import Fault
from physics.frozen import dataclass
from physics.leverage import LeverageCurve


@dataclass(frozen=True, slots=True)
class ShaftForce:
    """Force [N] and rate [N/m] on the shaft, (cases..., points), positive where it extends the shock.

    `positive` and `negative` are the contributions [N] of the air spring, NaN for a coil.
    """

    force: Values
    rate: Values
    positive: Values
    negative: Values


@dataclass(frozen=True, slots=True)
class Shock:
    """A setup ready to be evaluated: `air` holds its masses of gas, None for a coil.

    It was filled in the air of `shop` and works in `ambient`. `legs` is the air in a fork's lower legs,
    closed in the shop too, None without it.
    """

    setup: Setup
    air: ChargedAir | None
    lever: LeverageCurve
    shop: Ambient
    ambient: Ambient
    legs: Chamber | None = None

    def at(self, stroke: Values) -> ShaftForce:
        """Return the slow shaft force at strokes (cases..., points) [m]."""
        spring = None if self.air is None else self.air.force(stroke, self.ambient)
        around = self.ambient.temperature, self.ambient.pressure
        return self._shaft(stroke, spring, None if self.legs is None else self.legs.force(stroke, *around))

    def fast_at(self, stroke: Values, start: Values, met: AtRest | None = None) -> ShaftForce:
        """Return the same on a fast stroke out of stroke `start`, as `fast_out_of` says."""
        return self.fast_out_of(start, met)(stroke)

    def fast_out_of(self, start: Values, met: AtRest | None = None) -> Callable[[Values], ShaftForce]:
        """Return the law of a fast stroke out of stroke `start` (cases...) [m], where the air had settled.

        `met` is where the chambers of the spring mixed on the way, and their temperature there, for
        strokes past it. The damper gas stays slow.
        """
        T, outside = self.ambient.temperature, self.ambient.pressure
        air, legs = self.air, self.legs
        in_spring = None if air is None else air.isentropes(met or AtRest(start, values(T)))
        in_legs = None if legs is None else legs.isentrope(start, T)

        def law(stroke: Values) -> ShaftForce:
            spring = (
                None if air is None or in_spring is None else air.fast_force(stroke, in_spring, self.ambient)
            )
            below = None if legs is None or in_legs is None else legs.fast_force(stroke, in_legs, outside)
            return self._shaft(stroke, spring, below)

        return law

    def _shaft(self, stroke: Values, air: AirForce | None, legs: tuple[Values, Values] | None) -> ShaftForce:
        if air is None:
            force, rate = coil_force(coil_of(self.setup), stroke)
            positive = negative = np.full_like(force, np.nan) if force.ndim else NONE
        else:
            positive, negative, rate = air.positive, air.negative, air.rate
            force = positive + negative
        if legs is not None:
            force, rate = force + legs[0], rate + legs[1]
        return ShaftForce(*self._with_extras(stroke, force, rate), positive, negative)

    def still(self, stroke: Values) -> tuple[Values, Values]:
        """Return force [N] and rate [N/m] of all that follows the stroke alone, without the air chambers.

        That is a coil, a mechanical negative spring, the damper gas and the bumper, at strokes (cases...,
        points) [m].
        """
        alone = coil_force(coil_of(self.setup), stroke) if self.air is None else self.air.coil_pull(stroke)
        return self._with_extras(stroke, *alone)

    def _with_extras(self, stroke: Values, force: Values, rate: Values) -> tuple[Values, Values]:
        if self.setup.gas is not None:
            extra = gas_force(self.setup.gas, stroke, self.shop, self.ambient)
            force, rate = force + extra[0], rate + extra[1]
        if self.setup.bumper is not None:
            extra = bumper_force(self.setup.bumper, stroke, self.lever.stroke)
            force, rate = force + extra[0], rate + extra[1]
        return force, rate

    def beside_coil(self, stroke: Values) -> tuple[Values, Values]:
        """Return force [N] and rate [N/m] of a shock without its coil at strokes (cases..., points) [m].

        The rate of the coil may still be to be solved.
        """
        none = values(np.zeros_like(stroke))
        around = self.ambient.temperature, self.ambient.pressure
        force, rate = (none, none) if self.legs is None else self.legs.force(stroke, *around)
        return self._with_extras(stroke, force, rate)

    def wheel(self, travel: Values) -> tuple[Values, Values]:
        """Return wheel force [N] and wheel rate [N/m] at wheel travels (cases..., points) [m]."""
        places = self.lever.at(travel)
        shaft = self.at(places.stroke)
        return at_wheel(shaft.force, shaft.rate, places.ratio, places.slope)

    def charged(self) -> ChargedAir:
        """Return the air; raises `TypeError` for a coil."""
        if self.air is None:
            raise TypeError("this setup has a coil")
        return self.air

    def kinks(self) -> Values:
        """Return the strokes (cases..., kinks) [m] at which the rate jumps."""
        return coil_kinks(coil_of(self.setup)) if self.air is None else self.air.kinks()


def at_wheel(force: Values, rate: Values, ratio: Values, slope: Values) -> tuple[Values, Values]:
    """Return wheel force [N] and wheel rate [N/m] from shaft force, its rate, L and dL/dw [1/m].

    Virtual work, F_w dw = F dx with dx/dw = 1/L, pivot friction neglected: F_w = F/L, and
    dF_w/dw = k/L² − F L′/L².

    >>> force, rate = at_wheel(values(2000.0), values(80_000.0), values(2.5), values(0.0))
    >>> float(force), float(rate)
    (800.0, 12800.0)
    """
    return force / ratio, (rate - force * slope) / (ratio * ratio)


def coil_of(setup: Setup) -> Coil:
    """Return the coil of a setup; raises `TypeError` for an air spring."""
    if not isinstance(setup.spring, Coil):
        raise TypeError("this setup has an air spring")
    return setup.spring


def air_of(setup: Setup) -> Air:
    """Return the air spring of a setup; raises `TypeError` for a coil."""
    if not isinstance(setup.spring, Air):
        raise TypeError("this setup has a coil")
    return setup.spring


def pressure_of(setup: Setup) -> Values:
    """Return the set pressure [Pa absolute]; raises `ValueError` if it is still to be solved."""
    pressure = air_of(setup).pressure
    if pressure is None:
        raise ValueError("the pressure of this air spring is still to be solved")
    return values(pressure)


def setup_faults(setup: Setup, full: Scalar) -> tuple[Fault, ...]:
    """Return every fault of a setup in a shock of stroke `full` [m]."""
    spring = setup.spring
    own = coil_faults(spring) if isinstance(spring, Coil) else air_faults(spring, full)
    return own + extras_faults(setup, full)


def shock_of(
    setup: Setup,
    lever: LeverageCurve,
    shop: Ambient,
    ambient: Ambient | None = None,
    pressure: Scalar | None = None,
) -> Shock:
    """Return the shock of a setup without faults, filled in the shop, in `ambient` air.

    An air spring is filled to its set pressure, or to another `pressure` [Pa absolute]. Raises `ValueError`
    if the set pressure is still to be solved.
    """
    air = None
    if isinstance(setup.spring, Air):
        air = charge(setup.spring, pressure_of(setup) if pressure is None else pressure, shop)
    legs = None if setup.lower_legs is None else closed_legs(setup.lower_legs, shop)
    return Shock(setup, air, lever, shop, ambient or shop, legs)


def with_rate(setup: Setup, rate: Scalar) -> Setup:
    """Return the setup with this coil rate [N/m]."""
    return replace(setup, spring=replace(coil_of(setup), rate=rate))


def with_pressure(setup: Setup, pressure: Scalar) -> Setup:
    """Return the setup with this set pressure [Pa absolute]."""
    return replace(setup, spring=replace(air_of(setup), pressure=pressure))
