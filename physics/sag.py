"""Where the wheel settles: the first crossing of the wheel force with a load, rising."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics.answer import Sag
from physics.arrays import Marks, Scalar, Values, Words, per_point, values
from physics.crossing import first_crossing
from physics.leverage import LeverageCurve, Places
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
    settled = settle(walked, static[..., None] * _LOADS, per_point(friction) * _HELD)
    wheel = _ended(settled, lever.wheel_travel)
    unsolved = np.isnan(walked.shaft.force[..., 0])
    topped, bottomed = settled.topped_out[..., 0], settled.bottomed_out[..., 0]
    lost = (unsolved | topped | bottomed)[..., None]
    kept = values(np.where(lost, np.nan, wheel[..., :_REST]))
    there = lever.at(np.concatenate([kept[..., :1], wheel[..., _REST:]], axis=-1))
    return UnderLoad(
        state=np.asarray(_STATES[np.where(unsolved, 3, topped + 2 * (bottomed & ~topped))]),
        sag=_sag(lever, static, there, kept),
        rest_stroke=there.stroke[..., 1],
    )


# The load, the load with friction helping and hindering, and none at all: where the shock rests.
_LOADS = np.array([1.0, 1.0, 1.0, 0.0])
_HELD = np.array([0.0, 1.0, -1.0, 0.0])
_REST = 3
_STATES = np.array(["ok", "topped_out", "bottomed_out", "unsolved"])


def _ended(settled: Settled, full: Values) -> Values:
    """Return the travels [m] with the ends in place of those that do not settle."""
    at_end = np.where(settled.topped_out, 0.0, np.where(settled.bottomed_out, per_point(full), np.nan))
    return values(np.where(np.isnan(settled.wheel), at_end, settled.wheel))


def _sag(lever: LeverageCurve, static: Values, there: Places, travels: Values) -> Sag:
    wheel, stroke, ratio = travels[..., 0], there.stroke[..., 0], there.ratio[..., 0]
    return Sag(
        wheel=wheel,
        wheel_fraction=values(wheel / lever.wheel_travel),
        stroke=stroke,
        stroke_fraction=values(stroke / lever.stroke),
        shaft_force=values(static * ratio),
        band_low=travels[..., 1],
        band_high=travels[..., 2],
        ratio=ratio,
        slope=there.slope[..., 0],
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
