"""Where the wheel settles: the first crossing of the wheel force with a load, rising."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics.answer import Sag
from physics.arrays import Marks, Scalar, Values, Words, per_point, values
from physics.crossing import first_crossing
from physics.roots import bracketed_root
from physics.shock import at_wheel
from physics.walk import Walk


@dataclass(frozen=True, slots=True)
class Settled:
    """Wheel travel [m], NaN where it does not settle, and why not; shape (cases..., loads)."""

    wheel: Values
    topped_out: Marks
    bottomed_out: Marks


@dataclass(frozen=True, slots=True)
class UnderLoad:
    """A setup under its rider: `state` is one of "ok", "topped_out", "bottomed_out", "unsolved" a case.

    `rest_stroke` [m] is where the shock rests without a load, all of shape (cases...).
    """

    state: Words
    sag: Sag
    rest_stroke: Values


def under_load(walked: Walk, static: Values) -> UnderLoad:
    """Return where a walked shock settles under a static wheel force [N] of shape (cases...).

    Seal friction F_f is not in the sag but makes a band around it: coming from full extension it helps to
    carry and the wheel stops short, coming from deep it is the other way round. The band ends at the end of
    the travel where friction can hold the wheel there.
    """
    lever, friction = walked.shock.lever, walked.shock.setup.friction
    # The load, the load with friction helping and hindering, and none at all: where the shock rests.
    loads = static[..., None] * np.array([1.0, 1.0, 1.0, 0.0])
    held = per_point(friction) * np.array([0.0, 1.0, -1.0, 0.0])
    settled = settle(walked, loads, held)
    wheel, shortest, furthest, rest = np.moveaxis(_ended(settled, lever.wheel_travel), -1, 0)
    unsolved = np.isnan(walked.shaft.force[..., 0])
    topped, bottomed = settled.topped_out[..., 0], settled.bottomed_out[..., 0]
    state = np.select([unsolved, topped, bottomed], ["unsolved", "topped_out", "bottomed_out"], "ok")
    ok = state == "ok"
    sag = _sag(walked, static, *(values(np.where(ok, part, np.nan)) for part in (wheel, shortest, furthest)))
    return UnderLoad(state, sag, lever.at(values(rest[..., None])).stroke[..., 0])


def _ended(settled: Settled, full: Values) -> Values:
    """Return the travels [m] with the ends in place of those that do not settle."""
    at_end = np.where(settled.topped_out, 0.0, np.where(settled.bottomed_out, per_point(full), np.nan))
    return values(np.where(np.isnan(settled.wheel), at_end, settled.wheel))


def _sag(walked: Walk, static: Values, wheel: Values, shortest: Values, furthest: Values) -> Sag:
    lever = walked.shock.lever
    there = lever.at(wheel[..., None])
    stroke = there.stroke[..., 0]
    return Sag(
        wheel=wheel,
        wheel_fraction=values(wheel / lever.wheel_travel),
        stroke=stroke,
        stroke_fraction=values(stroke / lever.stroke),
        shaft_force=values(static * there.ratio[..., 0]),
        band_low=shortest,
        band_high=furthest,
    )


def settle(walked: Walk, loads: Values, held: Scalar = 0.0) -> Settled:
    """Return where a walked shock carries wheel forces `loads` (cases..., loads) [N].

    `held` [N] of the same shape is shaft force that helps the spring. Topped out: F_w(0) ≥ load. Bottomed
    out: no crossing before the end of the travel.
    """
    shock, held = walked.shock, values(held)
    lever = shock.lever

    def law(wheel: Values) -> tuple[Values, Values]:
        places = lever.at(wheel)
        shaft = shock.at(places.stroke)
        force, rate = at_wheel(shaft.force + held, shaft.rate, places.ratio, places.slope)
        return force - loads, rate

    shaft, places = walked.shaft, walked.places
    force, rate, ratio, slope = (
        part[..., None, :] for part in (shaft.force, shaft.rate, places.ratio, places.slope)
    )
    at_nodes, rising = at_wheel(force + held[..., None], rate, ratio, slope)
    height = at_nodes - loads[..., None]
    crossing = first_crossing(places.wheel[..., None, :], height, rising, law)
    topped = height[..., 0] >= 0
    bottomed = ~crossing.found & ~np.isnan(height[..., 0])
    root = bracketed_root(law, crossing.low, crossing.high, crossing.ends).at
    return Settled(values(np.where(topped | bottomed, np.nan, root)), topped, bottomed)
