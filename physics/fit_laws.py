"""What is unknown of a spring on the tester: its parameters, their limits, and where to start looking."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from physics.air import positive_area
from physics.arrays import Scalar, Values, values
from physics.case import Air, Coil, EqualisedNegative, SeparateNegative, Setup
from physics.chamber import LEAST_VOLUME
from physics.loop import Loop
from physics.shock import air_of, coil_of, shock_of, with_rate
from physics.stand import Stand
from physics.unfit import Unfit

_STEP = 1e-5
"""Step of the central differences, in usual sizes of a parameter."""

Placed = Callable[[Setup, Values], Setup]
"""Puts a value (cases...) of one parameter into a setup."""


@dataclass(frozen=True, slots=True)
class Unknown:
    """One parameter: where it goes, its limits, its usual size and the values to start from, all SI.

    `enough` is the standard error beyond which the parameter counts as not told by the readings,
    `relative` whether that is a share of its value.
    """

    name: str
    place: Placed
    low: float
    high: float
    size: float
    starts: Values
    enough: float
    relative: bool = False


@dataclass(frozen=True, slots=True)
class Law:
    """A setup on the bench of a case with some parameters unknown; parameters are (cases..., unknowns).

    `warmer` [K] is the air on the tester above that of the shop in which the pressure was set.
    """

    setup: Setup
    bike: Stand
    unknowns: tuple[Unknown, ...]
    warmer: Scalar = 0.0

    def with_parameters(self, parameters: Values) -> Setup:
        """Return the setup with the parameters in it, as an axis of cases."""
        setup = self.setup
        for place, unknown in enumerate(self.unknowns):
            setup = unknown.place(setup, parameters[..., place])
        return setup

    def force(self, parameters: Values, stroke: Values, way: Values) -> Values:
        """Return the force [N] (cases..., readings) the tester reads: spring and extras, friction by way.

        The air keeps one temperature, as on a slow tester.
        """
        setup, shop = self.with_parameters(parameters), self.bike.case.shop
        tester = replace(shop, temperature=shop.temperature + self.warmer)
        shaft = shock_of(setup, self.bike.lever, shop, tester).at(stroke).force
        return values(shaft + values(setup.friction)[..., None] * way)

    @property
    def sizes(self) -> Values:
        """The usual sizes of the unknowns, (unknowns,)."""
        return values([unknown.size for unknown in self.unknowns])

    @property
    def limits(self) -> tuple[Values, Values]:
        """The least and the largest values of the unknowns, each (unknowns,)."""
        lows = values([unknown.low for unknown in self.unknowns])
        return lows, values([unknown.high for unknown in self.unknowns])

    def slopes(self, parameters: Values, stroke: Values, way: Values) -> Values:
        """Return the change of the force [N] (readings, unknowns) with each unknown in its usual size.

        Central differences, all in one go, one-sided at a limit.
        """
        steps = np.diag(_STEP * self.sizes)
        ahead, behind = (np.clip(parameters + side * steps, *self.limits) for side in (1, -1))
        moved = np.diagonal(ahead - behind) / self.sizes
        rise = self.force(ahead, stroke, way) - self.force(behind, stroke, way)
        return values((rise / moved[:, None]).T)

    def check_count(self, readings: int) -> None:
        """Raise `Unfit` where there are too few readings for the unknowns."""
        # Two more than there are unknowns, or the scatter is no measure of anything.
        needed = len(self.unknowns) + 2
        if readings < needed:
            raise Unfit("too_few", readings=float(readings), needed=float(needed))


def law_of(setup: Setup, bike: Stand, loop: Loop, friction: float) -> Law:
    """Return what is unknown of a setup, seal friction among it where `loop` goes both ways.

    Readings one way tell no friction: they have the `friction` [N] given. A coil: rate and preload. Air: the
    volumes, and the port where there is one; bore, rod and body, the set pressure and the extras are known.
    Raises `Unfit` for a coil in stages or a pressure not typed.
    """
    spring = setup.spring
    own = _coil(spring, loop) if isinstance(spring, Coil) else _air(spring, float(bike.lever.stroke))
    if loop.both:
        return Law(setup, bike, (*own, _FRICTION))
    return Law(replace(setup, friction=friction), bike, own)


_FRICTION = Unknown(
    "friction",
    lambda setup, value: replace(setup, friction=value),
    -np.inf,
    np.inf,
    20.0,
    values([20.0]),
    np.inf,
)


def _coil(coil: Coil, loop: Loop) -> tuple[Unknown, ...]:
    if coil.stage_rate is not None:
        raise Unfit("in_stages")
    centred = loop.stroke - loop.stroke.mean()
    slope = float(centred @ loop.force / (centred @ centred))
    if not slope > 0:
        raise Unfit("falling", rate=slope)
    preload = float(loop.force.mean() / slope - loop.stroke.mean())
    return (
        Unknown("rate", with_rate, 0.0, np.inf, 1e5, values([slope]), 0.25, relative=True),
        # Below zero is a coil that is loose at full extension.
        Unknown("preload", _with_preload, -np.inf, np.inf, 1e-3, values([preload]), 5e-3),
    )


_RATIOS = values([1.6, 1.9, 2.3, 2.8, 3.4, 4.2, 5.5])
"""Compression ratios to start from."""
_SHARES = values([0.08, 0.14, 0.22, 0.34, 0.55])
"""Negative over positive volume to start from."""
_PORTS = values([0.03, 0.08, 0.15, 0.25, 0.40])
"""Port over stroke to start from."""
_LARGEST = 40.0
"""Chambers are at most so many times what the piston sweeps: beyond that the force hardly rises."""


def _air(air: Air, full: float) -> tuple[Unknown, ...]:
    if air.pressure is None:
        raise Unfit("no_pressure")
    swept = float(positive_area(air)) * full
    spacers = float(values(air.positive_spacers) * values(air.positive_spacer_volume))
    starts = swept * _RATIOS / (_RATIOS - 1)
    found = [_volume("positive_volume", _with_positive_volume, swept, spacers, starts)]
    second = air.negative
    if isinstance(second, SeparateNegative | EqualisedNegative):
        spacers = float(values(second.spacers) * values(second.spacer_volume))
        starts = 1.5 * swept * _SHARES
        found.append(_volume("negative_volume", _with_negative_volume, swept, spacers, starts, least=0.0))
    if isinstance(second, EqualisedNegative):
        found.append(Unknown("port", _with_port, 0.0, full, 0.1 * full, full * _PORTS, 0.05 * full))
    return tuple(found)


def _volume(
    name: str, place: Placed, swept: float, spacers: float, starts: Values, least: float | None = None
) -> Unknown:
    """Return a chamber as unknown, its volume without spacers as a setup has it."""
    low = (swept if least is None else least) + spacers + 2 * LEAST_VOLUME
    enough = 0.2 if least is None else 0.25
    return Unknown(name, place, low, _LARGEST * swept, swept, starts + spacers, enough, relative=True)


def _with_preload(setup: Setup, value: Values) -> Setup:
    return replace(setup, spring=replace(coil_of(setup), preload=value))


def _with_positive_volume(setup: Setup, value: Values) -> Setup:
    return replace(setup, spring=replace(air_of(setup), positive_volume=value))


def _with_negative_volume(setup: Setup, value: Values) -> Setup:
    air = air_of(setup)
    if not isinstance(air.negative, SeparateNegative | EqualisedNegative):
        raise TypeError("this air spring has no negative chamber")
    return replace(setup, spring=replace(air, negative=replace(air.negative, volume=value)))


def _with_port(setup: Setup, value: Values) -> Setup:
    air = air_of(setup)
    if not isinstance(air.negative, EqualisedNegative):
        raise TypeError("this air spring has no port")
    return replace(setup, spring=replace(air, negative=replace(air.negative, port=value)))


def parameter_of(setup: Setup, name: str) -> Scalar | None:
    """Return what a setup has for a parameter by name, None where it has none or is still to be solved."""
    spring = setup.spring
    if name == "friction":
        return setup.friction
    if isinstance(spring, Coil):
        return {"rate": spring.rate, "preload": spring.preload}.get(name)
    second = spring.negative
    if name == "negative_volume" and isinstance(second, SeparateNegative | EqualisedNegative):
        return second.volume
    if name == "port" and isinstance(second, EqualisedNegative):
        return second.port
    return spring.positive_volume if name == "positive_volume" else None


def starts_of(unknowns: Sequence[Unknown]) -> Values:
    """Return every combination of the values to start from, (combinations, unknowns)."""
    axes = np.meshgrid(*(unknown.starts for unknown in unknowns), indexing="ij")
    return values(np.stack([axis.ravel() for axis in axes], axis=-1))
