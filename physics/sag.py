"""Equilibrium of the wheel, settled and immediate: the first rising crossing of wheel force and load.

Under a sudden load the air follows its isentropes from the rest position. At the stroke of the equalising
port the chambers mix: the densities are equal there (the masses were set so), the temperatures are not, and
mixing conserves internal energy. Beyond the port each chamber keeps its own air. Then heat leaves through the
walls and the wheel sinks to the settled sag.
"""

from __future__ import annotations

import numpy as np

from physics import gas
from physics.air import AtRest
from physics.answer import AtOnce, Sag
from physics.arrays import (
    NONE,
    Marks,
    Scalar,
    Values,
    Words,
    at_one_point,
    beside_points,
    each,
    per_point,
    together,
    values,
    where,
)
from physics.chamber import heat_time
from physics.frozen import dataclass
from physics.roots import Crossing, Law, bracketed_root, first_crossing, of_one_point
from physics.shock import Shock, at_wheel
from physics.walk import Walk


@dataclass(frozen=True, slots=True)
class Settled:
    """Wheel travel [m], NaN where it does not settle, and why not; shape (cases..., loads)."""

    wheel: Values
    topped_out: Marks
    bottomed_out: Marks


@dataclass(frozen=True, slots=True)
class UnderLoad:
    """A setup under its rider: `state` is "ok", "topped_out", "bottomed_out" or "unsolved" for each case.

    `rest_stroke` [m] is the rest position without load; all of shape (cases...).
    """

    state: Words
    sag: Sag
    rest_stroke: Values


def under_load(walked: Walk, static: Values) -> UnderLoad:
    """Return where a shock settles under a static wheel force [N] of shape (cases...).

    The band that seal friction makes around the sag is worked out when it is looked at.
    """
    lever = walked.shock.lever
    settled = settle(walked, static[..., None] * _LOADS)
    wheel, rest = each(_ended(settled, lever.wheel_travel))
    unsolved = np.isnan(walked.shaft.force[..., 0])
    topped, bottomed = settled.topped_out[..., 0], settled.bottomed_out[..., 0]
    lost = unsolved | topped | bottomed
    at_rest = at_one_point(lever.at(values(beside_points(rest))).stroke)
    return UnderLoad(
        state=np.asarray(_STATES[np.where(unsolved, 3, topped + 2 * (bottomed & ~topped))]),
        sag=_sag(walked, static, where(lost, np.nan, wheel)),
        rest_stroke=at_rest,
    )


# The load, and none for the rest position.
_LOADS = np.array([1.0, 0.0])
_STATES = np.array(["ok", "topped_out", "bottomed_out", "unsolved"])


def _band(walked: Walk, static: Values, lost: Marks) -> tuple[Values, Values]:
    """Return the wheel travels [m] between which seal friction F_f can hold the wheel, NaN where `lost`.

    Friction does not shift the sag: from full extension it helps to carry the load and the wheel stops
    short; from deep travel it is the reverse. The band extends to the end of the travel if friction can hold
    the wheel there.
    """
    held = per_point(walked.shock.setup.friction) * _HELPING
    settled = settle(walked, np.broadcast_to(static[..., None], (*static.shape, 2)), held)
    low, high = each(_ended(settled, walked.shock.lever.wheel_travel))
    return where(lost, np.nan, low), where(lost, np.nan, high)


_HELPING = np.array([1.0, -1.0])


def _ended(settled: Settled, full: Values) -> Values:
    """Return the travels [m], with the end of the travel where the wheel tops or bottoms out."""
    at_end = np.where(settled.topped_out, 0.0, np.where(settled.bottomed_out, per_point(full), np.nan))
    return where(np.isnan(settled.wheel), at_end, settled.wheel)


def _sag(walked: Walk, static: Values, wheel: Values) -> Sag:
    lever = walked.shock.lever
    there = lever.at(values(beside_points(wheel)))
    stroke, ratio, slope = (at_one_point(part) for part in (there.stroke, there.ratio, there.slope))
    known = {
        "wheel": wheel,
        "wheel_fraction": values(wheel / lever.wheel_travel),
        "stroke": stroke,
        "stroke_fraction": values(stroke / lever.stroke),
        "shaft_force": values(static * ratio),
        "ratio": ratio,
        "slope": slope,
    }

    def with_band() -> Sag:
        low, high = _band(walked, static, np.isnan(wheel))
        return Sag(**known, band_low=low, band_high=high)

    return Sag.later(with_band, known)


def settle(walked: Walk, loads: Values, held: Scalar = 0.0) -> Settled:
    """Return where a shock carries wheel forces `loads` (cases..., loads) [N].

    `held` [N] of the same shape is shaft force that helps the spring. Topped out: F_w(0) ≥ load. Bottomed
    out: no crossing before the end of the travel.

    >>> from physics.case import Ambient, Coil, Frame, LeverageEnds, Setup
    >>> from physics.leverage import leverage_curve
    >>> from physics.shock import shock_of
    >>> from physics.walk import walk
    >>> lever = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)))
    >>> setup = Setup("coil", Coil(80_000.0, 0.0, 4378.0))
    >>> shock = shock_of(setup, lever, Ambient(293.15, 101_325.0))
    >>> round(float(settle(walk(shock), values([560.0])).wheel[0]), 6)  # W_s L²/k
    0.04375
    """
    shock, held = walked.shock, values(held)
    shaft, places = walked.shaft, walked.places
    force, rate, ratio, slope = (
        part[..., None, :] for part in (shaft.force, shaft.rate, places.ratio, places.slope)
    )
    at_nodes, rising = at_wheel(force + held[..., None], rate, ratio, slope)
    height = at_nodes - loads[..., None]
    crossing = first_crossing(places.wheel[..., None, :], height, rising, _excess(shock, loads, held))
    topped = height[..., 0] >= 0
    bottomed = ~crossing.found & ~np.isnan(height[..., 0])
    settles = crossing.found & ~topped
    return Settled(where(settles, _crossed(shock, loads, held, crossing, settles), np.nan), topped, bottomed)


def _excess(shock: Shock, loads: Values, held: Values) -> Law:
    """Return the wheel force [N] beyond the loads and its rate, over wheel travels (cases..., loads) [m]."""

    def law(wheel: Values) -> tuple[Values, Values]:
        places = shock.lever.at(wheel)
        shaft = shock.at(places.stroke)
        force, rate = at_wheel(shaft.force + held, shaft.rate, places.ratio, places.slope)
        return force - loads, rate

    return law


def _crossed(shock: Shock, loads: Values, held: Values, crossing: Crossing, settles: Marks) -> Values:
    """Return the wheel travels [m] (cases..., loads) of crossings that exist where it `settles`.

    A few loads of a single case are taken one by one: numpy is faster with scalars than with a short array.
    """
    if crossing.low.ndim > 1 or loads.size > _FEW:
        law = _excess(shock, loads, held)
        return bracketed_root(law, crossing.low, crossing.high, crossing.ends).at
    found = np.full(loads.shape, np.nan)
    for index in range(loads.size):
        if settles[index]:
            law = _excess(shock, loads[index], held[index] if held.ndim else held)
            low, high, ends = crossing.of_case(index)
            found[index] = bracketed_root(law, low, high, ends).at
    return found


_FEW = 4
READABLE = 0.5e-3
"""Remaining wheel travel [m] at which a sag counts as settled: the reading accuracy of an O-ring (common
practice, no source)."""
_SAMPLES = np.linspace(0.0, 1.0, 41)


def at_once(shock: Shock, static: Values, sag: Sag, rest_stroke: Values) -> AtOnce:
    """Return the immediate sag under a static wheel force (cases...) [N], and the settling time.

    `sag` is the settled sag and `rest_stroke` [m] the rest position before. NaN where the wheel does not
    settle.
    """
    if shock.air is None and shock.legs is None:
        return AtOnce(sag.wheel, sag.stroke, where(np.isfinite(sag.wheel), 0.0, np.nan))
    wheel = _first(shock, static, rest_stroke)
    wheel = where(np.isfinite(sag.wheel), wheel, np.nan)
    stroke = at_one_point(shock.lever.at(values(beside_points(wheel))).stroke)
    return AtOnce(wheel, stroke, _settling_time(shock, stroke, values(sag.wheel - wheel)))


def load_at_once(shock: Shock, stroke: Values, rest_stroke: Values) -> Values:
    """Return the static wheel force [N] whose immediate sag is at a stroke (cases...) [m].

    `rest_stroke` [m] is the rest position before.
    """
    places = shock.lever.at_stroke(per_point(stroke))
    force = shock.fast_at(places.stroke, rest_stroke).force
    if shock.air is not None and np.isfinite(shock.air.port).any():
        after = shock.fast_at(places.stroke, rest_stroke, shock.air.met(rest_stroke, shock.ambient)).force
        force = where(places.stroke > per_point(shock.air.port), after, force)
    return values(force / places.ratio)[..., 0]


def _first(shock: Shock, static: Values, rest_stroke: Values) -> Values:
    """Return the wheel travel [m] at which the force at once first reaches the load, NaN if it does not.

    Where the chambers meet on the way it has two parts, along an axis before that of the cases.
    """
    lever = shock.lever
    bounds, out_of = _parts(shock, rest_stroke)

    def leaving(start: AtRest) -> Law:
        fast = shock.fast_out_of(rest_stroke, start)

        def law(wheel: Values) -> tuple[Values, Values]:
            places = lever.at(wheel)
            shaft = fast(places.stroke)
            force, rate = at_wheel(shaft.force, shaft.rate, places.ratio, places.slope)
            return values(force - beside_points(static)), rate

        return law

    law = leaving(out_of)
    span = np.maximum(np.diff(bounds, axis=0), 0.0)
    at = values(per_point(bounds[:-1]) + per_point(span) * _SAMPLES)
    height, slope = law(at)
    crossing = first_crossing(np.broadcast_to(at, height.shape), height, slope, of_one_point(law))
    is_first = crossing.found[0]

    def of_part(parts: Values) -> Values:
        return where(is_first, parts[0], parts[-1])

    low, high = of_part(crossing.low), of_part(crossing.high)
    below, above = ((of_part(value), of_part(rate)) for value, rate in crossing.ends)
    part = leaving(AtRest(of_part(out_of.stroke), of_part(out_of.temperature)))
    root = bracketed_root(of_one_point(part), low, high, (below, above)).at
    found = where(of_part(height[..., 0]) >= 0, low, root)
    return where(crossing.found.any(axis=0), found, np.nan)


def _parts(shock: Shock, rest_stroke: Values) -> tuple[Values, AtRest]:
    """Return the travels (parts + 1, cases...) [m] between the parts, and where the air was at rest."""
    lever, T = shock.lever, values(shock.ambient.temperature)
    port = NONE if shock.air is None else shock.air.port
    has_port = np.isfinite(port)
    ends = together(rest_stroke, where(has_port, port, lever.stroke))
    begin, meeting = each(lever.at_stroke(ends).wheel)
    if shock.air is None or not has_port.any():
        return _in_turn(begin, meeting), AtRest(_in_turn(rest_stroke), _in_turn(T))
    met = shock.air.met(rest_stroke, shock.ambient)
    out_of = AtRest(_in_turn(rest_stroke, met.stroke), _in_turn(T, met.temperature))
    return _in_turn(begin, meeting, lever.wheel_travel), out_of


def _in_turn(*parts: Values) -> Values:
    """Return the parts of a way in turn, each (cases...), along an axis before that of the cases."""
    return together(*parts, axis=0)


def _settling_time(shock: Shock, stroke: Values, sinking: Values) -> Values:
    """Return the time [s] until at most `READABLE` is left to sink, zero if that is so immediately.

    Under a constant load the air cools at constant pressure, m c_p dΔT/dt = −h A ΔT with h = h₀ (ΔT/ΔT₀)^⅓,
    so ΔT = ΔT₀ (1 + t/3τ)⁻³ with τ = m c_p/(h₀ A). The remaining travel is taken as proportional to ΔT. The
    positive chamber is taken as a cylinder of its bore; with a coil, the lower legs of the fork as one
    cylinder.
    """
    T, chamber = values(shock.ambient.temperature), shock.legs if shock.air is None else shock.air.positive
    if chamber is None:
        raise TypeError("this setup has no air")
    start, there = (at_one_point(chamber.density_at(values(beside_points(at)))) for at in (0.0, stroke))
    warmer = values(gas.isentropic_temperature(T, start, there) - T)
    with np.errstate(divide="ignore", invalid="ignore"):
        constant = heat_time(chamber, stroke, warmer, T)
        time = 3 * constant * (np.cbrt(sinking / READABLE) - 1)
    return where(sinking > READABLE, time, where(np.isnan(sinking), np.nan, 0.0))
