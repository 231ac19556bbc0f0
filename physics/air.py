"""The air spring: a positive chamber and the four negative springs, filled with fixed masses of air."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from physics import gas
from physics.arrays import NONE, Scalar, Values, beside_points, each, per_point, some, together, values, where
from physics.case import Air, Ambient, EqualisedNegative, MechanicalNegative, SeparateNegative
from physics.chamber import LEAST_VOLUME, Chamber, used_up
from physics.faults import Fault
from physics.frozen import dataclass


@dataclass(frozen=True, slots=True)
class AirForce:
    """Force contributions [N] of the positive and the negative spring, and their total rate [N/m]."""

    positive: Values
    negative: Values
    rate: Values


@dataclass(frozen=True, slots=True)
class AtRest:
    """A stroke [m] at which the air of every chamber had one temperature [K], both of shape (cases...)."""

    stroke: Values
    temperature: Values


@dataclass(frozen=True, slots=True)
class ChargedAir:
    """An air spring with fixed masses of air; `negative` is None without a second chamber.

    `equalised_density` [kg/m³] is the density of both at the `port` [m], NaN without one.
    """

    positive: Chamber
    negative: Chamber | None
    spring: MechanicalNegative | None
    equalised_density: Values
    port: Values

    @property
    def chambers(self) -> tuple[Chamber, ...]:
        """The chambers present, the positive one first."""
        return (self.positive,) if self.negative is None else (self.positive, self.negative)

    def force(self, stroke: Values, ambient: Ambient) -> AirForce:
        """Return the slow force at strokes (cases..., points) [m], the air at ambient temperature."""
        T, outside = ambient.temperature, ambient.pressure
        return self._both([one.force(stroke, T, outside) for one in self.chambers], stroke)

    def isentropes(self, out_of: AtRest) -> list[gas.Isentrope]:
        """Return the isentrope of each chamber out of where its air was at rest."""
        return [one.isentrope(out_of.stroke, out_of.temperature) for one in self.chambers]

    def fast_force(self, stroke: Values, along: Sequence[gas.Isentrope], ambient: Ambient) -> AirForce:
        """Return the same along the `isentropes` of the chambers."""
        ways = zip(self.chambers, along, strict=True)
        return self._both([one.fast_force(stroke, way, ambient.pressure) for one, way in ways], stroke)

    def met(self, start: Values, ambient: Ambient) -> AtRest:
        """Return the state just past the port, where both chambers mixed on a fast stroke out of `start`.

        They had settled at stroke `start` (cases...) [m]; beyond the port they have been separate all along.
        Raises `TypeError` without a second chamber.
        """
        if self.negative is None:
            raise TypeError("this spring has no second chamber")
        T, here = values(ambient.temperature), values(np.maximum(start, self.port))
        ends = together(start, here)
        density = [each(one.density_at(ends)) for one in self.chambers]
        hot = [gas.isentropic_temperature(T, *dense) for dense in density]
        mass = [values(one.mass) for one in self.chambers]
        mixed = gas.mixed_temperature(hot, mass, self.equalised_density)
        return AtRest(here, where(start > self.port, T, mixed))

    def _both(self, pairs: Sequence[tuple[Values, Values]], stroke: Values) -> AirForce:
        """Turn force and rate (cases..., points) of each chamber into those of the two springs."""
        force, rate = pairs[0]
        pulling, stiff = pairs[1] if self.negative is not None else self.coil_pull(stroke)
        return AirForce(force, pulling, rate + stiff)

    def coil_pull(self, stroke: Values) -> tuple[Values, Values]:
        """Return −k_n max(0, ℓ_n − x) of a mechanical negative spring and its slope, zero without one."""
        if self.spring is None:
            return np.zeros_like(stroke), np.zeros_like(stroke)
        k, left = beside_points(self.spring.rate), values(beside_points(self.spring.length) - stroke)
        return values(-k * np.maximum(left, 0.0)), values(k * (left > 0))

    def kinks(self) -> Values:
        """Return the strokes (cases..., kinks) [m] at which the rate jumps: where a mechanical one ends."""
        return np.empty(0) if self.spring is None else per_point(self.spring.length)


def charge(air: Air, pressure: Scalar, shop: Ambient) -> ChargedAir:
    """Return the spring filled to a settled reading `pressure` [Pa absolute] at full extension.

    The positive chamber has that pressure at x = 0. An equalised negative chamber has the density of
    the port, where both were joined, so that both masses are proportional to the density of the positive one.

    >>> from physics.case import NoNegative
    >>> spring = Air(None, 0.040, 0.009, 0.0, 105e-6, 0, 6e-6, NoNegative())
    >>> shop = Ambient(293.15, 101_325.0)
    >>> push = charge(spring, 1_101_325.0, shop).force(values([0.0]), shop).positive
    >>> round(float(push[0]), 1)  # 1 MPa gauge on π/4 (40² − 9²) mm²
    1193.0
    """
    density = gas.density(pressure, shop.temperature)
    area, volume = positive_area(air), positive_volume(air)
    mass = density * volume
    positive = Chamber(area, volume, values(mass))
    match air.negative:
        case SeparateNegative() as second:
            rest = negative_volume(second)
            held = gas.density(second.pressure, shop.temperature) * rest
            return ChargedAir(positive, Chamber(-negative_area(air), rest, held), None, NONE, NONE)
        case EqualisedNegative() as second:
            rest, ring = negative_volume(second), negative_area(air)
            shared = mass / (volume - area * second.port)
            held = values(shared * (rest + ring * second.port))
            negative = Chamber(-ring, rest, held)
            return ChargedAir(positive, negative, None, values(shared), values(second.port))
        case MechanicalNegative() as spring:
            return ChargedAir(positive, None, spring, NONE, NONE)
        case _:
            return ChargedAir(positive, None, None, NONE, NONE)


def positive_area(air: Air) -> Values:
    """Return A_p = π/4 (D² − d_r²) [m²]."""
    return values(np.pi / 4 * (values(air.bore) ** 2 - values(air.rod) ** 2))


def positive_pressure(air: Air, force: Scalar, outside: Scalar) -> Values:
    """Return p = p_a + F/A_p [Pa absolute] of the positive chamber that pushes with F [N] in air of p_a.

    >>> from physics.case import NoNegative
    >>> air = Air(10e5, 0.040, 0.0, 0.0, 105e-6, 0, 0.0, NoNegative())
    >>> round(float(positive_pressure(air, 1000.0, 1e5)))  # 1000 N on 1256.6 mm²
    895775
    """
    return values(outside + values(force) / positive_area(air))


def negative_area(air: Air) -> Values:
    """Return A_n = π/4 (D² − d_b²) [m²]."""
    return values(np.pi / 4 * (values(air.bore) ** 2 - values(air.body) ** 2))


def positive_volume(air: Air) -> Values:
    """Return V_p(0) [m³] less the volume spacers."""
    return values(
        values(air.positive_volume) - values(air.positive_spacers) * values(air.positive_spacer_volume)
    )


def negative_volume(second: SeparateNegative | EqualisedNegative) -> Values:
    """Return V_n(0) [m³] less the volume spacers."""
    return values(values(second.volume) - values(second.spacers) * values(second.spacer_volume))


def air_faults(air: Air, full: Scalar) -> tuple[Fault, ...]:
    """Return the faults of an air spring in a shock of stroke `full` [m]."""
    found = []
    wide = values(air.rod) >= values(air.bore)
    if some(wide):
        found.append(Fault(("rod",), "wider_than_bore", {"bore": float(np.min(air.bore))}, cases=wide))
    needed = values(positive_area(air) * full)
    found += used_up("positive_volume", "chamber_used_up", positive_volume(air), needed)
    if isinstance(air.negative, SeparateNegative | EqualisedNegative):
        found += _second_faults(air, air.negative, full)
    return tuple(found)


def _second_faults(air: Air, second: SeparateNegative | EqualisedNegative, full: Scalar) -> tuple[Fault, ...]:
    found = []
    wide = values(air.body) >= values(air.bore)
    if some(wide):
        found.append(Fault(("body",), "wider_than_bore", {"bore": float(np.min(air.bore))}, cases=wide))
    left = negative_volume(second)
    short = left <= LEAST_VOLUME
    if some(short):
        room = {"left": float(np.min(left))}
        found.append(Fault(("negative_volume",), "chamber_used_up", room, cases=short))
    if isinstance(second, EqualisedNegative) and some(beyond := values(second.port) > full):
        stroke = {"stroke": float(np.min(full))}
        found.append(Fault(("port",), "longer_than_stroke", stroke, cases=np.asarray(beyond)))
    return tuple(found)
