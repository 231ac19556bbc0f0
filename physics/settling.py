"""Sag has a clock: where the wheel stands at once, before any heat has left the air, and how long it sinks.

Sat on quickly, the air follows its isentropes out of the rest position. Where two chambers meet at a port on
the way they become one volume of air: density is the same on both sides there (that is how the amounts were
set), temperature is not, and mixing keeps the internal energy. From there on each chamber keeps its own air.
The heat then leaves through the walls and the wheel sinks to the settled sag.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from physics import gas
from physics.answer import AtOnce, Sag
from physics.arrays import NONE, Values, per_point, values
from physics.case import STANDARD_GRAVITY
from physics.crossing import first_crossing
from physics.roots import bracketed_root
from physics.shock import ShaftForce, Shock, at_wheel

READABLE = 0.5e-3
"""Wheel travel [m] that is left to sink when a sag counts as settled: an O-ring is read no finer (common
practice, no source)."""
_SAMPLES = np.linspace(0.0, 1.0, 41)
_CONDUCTIVITY, _VISCOSITY, _HEAT_CAPACITY = 0.0263, 1.85e-5, 1007.0
"""Of air near 300 K: W/(m K), Pa s and J/(kg K) at constant pressure; from memory."""
_NUSSELT = 0.15
"""Nu = 0.15 Ra^(1/3) of free convection: an estimate, no source. With the cube root the size drops out."""

_Law = Callable[[Values], ShaftForce]


def at_once(shock: Shock, static: Values, sag: Sag, rest_stroke: Values) -> AtOnce:
    """Return where the wheel stands at once under a static wheel force (cases...) [N], and how long it sinks.

    `sag` is the settled one and `rest_stroke` [m] where the unloaded shock stood before. NaN where the wheel
    does not settle.
    """
    if shock.air is None and shock.legs is None:
        return AtOnce(sag.wheel, sag.stroke, values(np.where(np.isfinite(sag.wheel), 0.0, np.nan)))
    full, port = values(shock.lever.stroke), NONE if shock.air is None else shock.air.port
    ends = np.stack(np.broadcast_arrays(rest_stroke, np.where(np.isnan(port), full, port)), axis=-1)
    begin, meeting = np.moveaxis(shock.lever.at_stroke(ends).wheel, -1, 0)
    wheel = _first(shock, static, begin, meeting, lambda stroke: shock.fast_at(stroke, rest_stroke))
    if shock.air is not None and np.isfinite(port).any():
        met, end = shock.air.met(rest_stroke, shock.ambient), values(shock.lever.wheel_travel)
        after = _first(shock, static, meeting, end, lambda stroke: shock.fast_at(stroke, rest_stroke, met))
        wheel = values(np.where(np.isnan(wheel), after, wheel))
    wheel = values(np.where(np.isfinite(sag.wheel), wheel, np.nan))
    stroke = shock.lever.at(per_point(wheel)).stroke[..., 0]
    return AtOnce(wheel, stroke, _settling_time(shock, stroke, values(sag.wheel - wheel)))


def load_at_once(shock: Shock, stroke: Values, rest_stroke: Values) -> Values:
    """Return the static wheel force [N] under which the wheel stands at once at a stroke (cases...) [m].

    `rest_stroke` [m] is where the unloaded shock stood before.
    """
    places = shock.lever.at_stroke(per_point(stroke))
    force = shock.fast_at(places.stroke, rest_stroke).force
    if shock.air is not None and np.isfinite(shock.air.port).any():
        after = shock.fast_at(places.stroke, rest_stroke, shock.air.met(rest_stroke, shock.ambient)).force
        force = values(np.where(places.stroke > per_point(shock.air.port), after, force))
    return values(force / places.ratio)[..., 0]


def _first(shock: Shock, static: Values, start: Values, end: Values, force: _Law) -> Values:
    """Return the wheel travel [m] between two others where the force first reaches the load, else NaN."""

    def law(wheel: Values) -> tuple[Values, Values]:
        places = shock.lever.at(wheel)
        shaft = force(places.stroke)
        at, rate = at_wheel(shaft.force, shaft.rate, places.ratio, places.slope)
        return values(at - per_point(static)), rate

    def at_one(wheel: Values) -> tuple[Values, Values]:
        height, slope = law(per_point(wheel))
        return height[..., 0], slope[..., 0]

    span = np.maximum(per_point(end) - per_point(start), 0.0)
    at = values(per_point(start) + span * _SAMPLES)
    height, slope = law(at)
    crossing = first_crossing(np.broadcast_to(at, height.shape), height, slope, at_one)
    root = bracketed_root(at_one, crossing.low, crossing.high, crossing.ends).at
    found = np.where(height[..., 0] >= 0, np.broadcast_to(start, root.shape), root)
    return values(np.where(crossing.found, found, np.nan))


def _settling_time(shock: Shock, stroke: Values, sinking: Values) -> Values:
    """Return the time [s] until no more than `READABLE` is left to sink, zero where it is no more at once.

    Under a constant load the air cools at constant pressure, m c_p dΔT/dt = −h A ΔT with h = h₀ (ΔT/ΔT₀)^⅓,
    so ΔT = ΔT₀ (1 + t/3τ)⁻³ with τ = m c_p/(h₀ A). What is left to sink is taken as proportional to ΔT.
    The positive chamber counts, as a cylinder of its bore; with a coil the lower legs of the fork, as one.
    """
    T, chamber = values(shock.ambient.temperature), shock.legs if shock.air is None else shock.air.positive
    if chamber is None:
        raise TypeError("this setup has no air")
    piston = chamber.area
    density, volume = (part(per_point(stroke))[..., 0] for part in (chamber.density_at, chamber.volume_at))
    start = chamber.density_at(np.zeros(1))[..., 0]
    warmer = values(gas.isentropic_temperature(T, start, density) - T)
    diffusivity = _CONDUCTIVITY / (density * _HEAT_CAPACITY)
    rayleigh_per_cube = STANDARD_GRAVITY * np.maximum(warmer, 0.0) / T / (_VISCOSITY / density * diffusivity)
    transfer = _NUSSELT * _CONDUCTIVITY * np.cbrt(rayleigh_per_cube)
    wall = 2 * piston + np.sqrt(4 * np.pi * piston) * volume / piston
    with np.errstate(divide="ignore", invalid="ignore"):
        constant = density * volume * _HEAT_CAPACITY / (transfer * wall)
        time = 3 * constant * (np.cbrt(sinking / READABLE) - 1)
    return values(np.where(sinking > READABLE, time, np.where(np.isnan(sinking), np.nan, 0.0)))
