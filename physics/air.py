"""The air spring: two chambers and the four negative springs, slow and fast."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics import gas
from physics.arrays import Scalar, Values, per_point, values
from physics.case import Air, Ambient, EqualisedNegative, MechanicalNegative, SeparateNegative
from physics.faults import Fault, Refused


@dataclass(frozen=True, slots=True)
class Chamber:
    """A closed chamber: area [m²], signed so that V(x) = V₀ − area·x [m³], and air mass [kg]."""

    area: Values
    volume: Values
    mass: Values

    def at(self, stroke: Values) -> tuple[Values, Values]:
        """Return volume [m³] and density [kg/m³] at strokes (cases..., points)."""
        volume = per_point(self.volume) - per_point(self.area) * stroke
        return volume, per_point(self.mass) / volume

    def force(self, stroke: Values, T: Values, ambient: Values) -> tuple[Values, Values]:
        """Return force [N] and rate [N/m] at constant temperature T (cases...) [K]."""
        volume, rho = self.at(stroke)
        area = per_point(self.area)
        p = gas.pressure(rho, per_point(T))
        rate = area**2 * rho / volume * gas.pressure_slope(rho, per_point(T))
        return area * (p - per_point(ambient)), rate

    def fast_force(self, stroke: Values, start: Values, T: Values, ambient: Values) -> tuple[Values, Values]:
        """Return force [N] and rate [N/m] along the isentrope from stroke `start` (cases...) at T."""
        volume, rho = self.at(stroke)
        _, rho_start = self.at(per_point(start))
        hot = gas.isentropic_temperature(per_point(T), rho_start, rho)
        area = per_point(self.area)
        rate = area**2 * rho / volume * gas.isentropic_slope(rho, hot)
        return area * (gas.pressure(rho, hot) - per_point(ambient)), rate


@dataclass(frozen=True, slots=True)
class ChargedAir:
    """An air spring whose amounts of air are fixed; `negative` is None without a second chamber."""

    positive: Chamber
    negative: Chamber | None
    spring: MechanicalNegative | None
    equalised_density: Values

    def parts(self, stroke: Values, ambient: Ambient) -> tuple[Values, Values, Values, Values]:
        """Return positive and negative force [N], then their rates [N/m], air at rest with the ambient."""
        T, p_a = values(ambient.temperature), values(ambient.pressure)
        force, rate = self.positive.force(stroke, T, p_a)
        if self.negative is not None:
            return force, *_paired(rate, *self.negative.force(stroke, T, p_a))
        return force, *_paired(rate, *self._mechanical(stroke))

    def fast_parts(
        self, stroke: Values, start: Values, ambient: Ambient
    ) -> tuple[Values, Values, Values, Values]:
        """Return the same along the isentropes that leave stroke `start` [m] (cases...)."""
        T, p_a = values(ambient.temperature), values(ambient.pressure)
        force, rate = self.positive.fast_force(stroke, start, T, p_a)
        if self.negative is not None:
            return force, *_paired(rate, *self.negative.fast_force(stroke, start, T, p_a))
        return force, *_paired(rate, *self._mechanical(stroke))

    def _mechanical(self, stroke: Values) -> tuple[Values, Values]:
        if self.spring is None:
            return np.zeros_like(stroke), np.zeros_like(stroke)
        k, left = per_point(self.spring.rate), per_point(self.spring.length) - stroke
        return -k * np.maximum(left, 0.0), k * (left > 0)


def _paired(rate: Values, negative: Values, negative_rate: Values) -> tuple[Values, Values, Values]:
    return negative, rate, negative_rate


def charge(air: Air, pressure: Scalar, shop: Ambient, stroke: Scalar) -> ChargedAir:
    """Return the spring filled to a settled reading `pressure` [Pa absolute] at full extension.

    The positive chamber holds that pressure at x = 0; an equalised negative chamber holds the density
    of the port, where both were one. Raises `Refused` where a chamber has no volume left.
    """
    T = values(shop.temperature)
    area = np.pi / 4 * (values(air.bore) ** 2 - values(air.rod) ** 2)
    volume = values(air.positive_volume) - values(air.positive_spacers) * air.positive_spacer_volume
    left = volume - area * stroke
    if not np.all(left > 0):
        raise Refused(
            Fault(
                ("positive_volume",),
                "chamber_used_up",
                {"left": float(np.min(left)), "needed": float(np.max(area * stroke))},
            )
        )
    mass = gas.density(pressure, T) * volume
    positive = Chamber(values(area), values(volume), values(mass))
    nothing = values(np.nan)
    match air.negative:
        case SeparateNegative() as second:
            rest = _negative_volume(second)
            held = gas.density(second.pressure, T) * rest
            return ChargedAir(positive, Chamber(-_negative_area(air), rest, held), None, nothing)
        case EqualisedNegative() as second:
            rest = _negative_volume(second)
            ring = _negative_area(air)
            shared = mass / (volume - area * second.port)
            held = shared * (rest + ring * second.port)
            return ChargedAir(positive, Chamber(-ring, rest, values(held)), None, values(shared))
        case MechanicalNegative() as spring:
            return ChargedAir(positive, None, spring, nothing)
        case _:
            return ChargedAir(positive, None, None, nothing)


def _negative_area(air: Air) -> Values:
    return values(np.pi / 4 * (values(air.bore) ** 2 - values(air.body) ** 2))


def _negative_volume(second: SeparateNegative | EqualisedNegative) -> Values:
    volume = values(second.volume) - values(second.spacers) * second.spacer_volume
    if not np.all(volume > 0):
        raise Refused(Fault(("negative_volume",), "chamber_used_up", {"left": float(np.min(volume))}))
    return values(volume)
