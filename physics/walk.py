"""A shock over its travel: at the lever's nodes for sag and figures, at even strokes for drawing."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from physics.answer import Curve
from physics.arrays import SAME_PLACE, Marks, Values, per_point, side_by_side, values
from physics.frozen import dataclass
from physics.leverage import LeverageCurve, Places
from physics.shock import ShaftForce, Shock, at_wheel


@dataclass(frozen=True, slots=True)
class Walk:
    """Shaft and wheel of `shock` at `places`, evenly spaced in wheel travel, (cases..., nodes), slow."""

    shock: Shock
    places: Places
    shaft: ShaftForce
    wheel_force: Values
    wheel_rate: Values


def walk(shock: Shock) -> Walk:
    """Return a shock evaluated at the lever's nodes.

    >>> from physics.case import Ambient, Coil, Frame, LeverageEnds, Setup
    >>> from physics.leverage import leverage_curve
    >>> from physics.shock import shock_of
    >>> lever = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)))
    >>> coil = Setup("coil", Coil(80_000.0, 0.0, 4378.0))
    >>> walked = walk(shock_of(coil, lever, Ambient(293.15, 101_325.0)))
    >>> round(float(walked.wheel_force[-1]), 6), round(float(walked.wheel_rate[-1]), 6)  # k x/L and k/L²
    (1920.0, 12800.0)
    """
    places = shock.lever.nodes
    shaft = shock.at(places.stroke)
    return Walk(shock, places, shaft, *at_wheel(shaft.force, shaft.rate, places.ratio, places.slope))


def fast_walk(shock: Shock, sag: Values) -> ShaftForce:
    """Return the fast stroke out of a sag stroke (cases...) [m] at two points: there and at full stroke."""
    return shock.fast_at(side_by_side(per_point(sag), per_point(shock.lever.stroke)), sag)


POINTS = 241
"""Points of a curve, evenly spaced in stroke: about twice the columns of a wide terminal."""


@lru_cache(maxsize=8)
def even_strokes(lever: LeverageCurve) -> Places:
    """Return the places (cases..., POINTS) at which curves are drawn; every setup on a frame shares them."""
    return lever.at_stroke(per_point(lever.stroke) * np.linspace(0.0, 1.0, POINTS))


def curve(shock: Shock, places: Places, sag: Values) -> Curve:
    """Return the curve of a shock at `places`.

    `sag` (cases...) [m] is the stroke at which the fast curve starts. The fast columns are NaN above it;
    the riding columns are slow above it and fast from there on. Without a sag point an air spring
    has neither; a coil has the same rate fast and slow.
    """
    slow, drawn = shock.at(places.stroke), shock.fast_at(places.stroke, sag)
    nowhere = ShaftForce(*(values(np.nan),) * 4)
    start = per_point(sag) * (1 - SAME_PLACE)
    beyond = _chosen(np.asarray(places.stroke >= start), drawn, nowhere)
    ridden = _chosen(np.asarray(places.stroke < start), slow, drawn)
    ridden = _chosen(np.isfinite(ridden.force), ridden, nowhere)
    at = {
        name: at_wheel(shaft.force, shaft.rate, places.ratio, places.slope)
        for name, shaft in (("slow", slow), ("fast", beyond), ("riding", ridden))
    }
    return Curve(
        stroke=places.stroke,
        shaft_force=slow.force,
        positive=slow.positive,
        negative=slow.negative,
        rate=slow.rate,
        wheel_travel=places.wheel,
        wheel_force=at["slow"][0],
        wheel_rate=at["slow"][1],
        fast_shaft_force=beyond.force,
        fast_rate=beyond.rate,
        fast_wheel_force=at["fast"][0],
        fast_wheel_rate=at["fast"][1],
        fast_positive=beyond.positive,
        fast_negative=beyond.negative,
        riding_shaft_force=ridden.force,
        riding_rate=ridden.rate,
        riding_wheel_force=at["riding"][0],
        riding_wheel_rate=at["riding"][1],
        riding_positive=ridden.positive,
        riding_negative=ridden.negative,
    )


def _chosen(marks: Marks, there: ShaftForce, else_: ShaftForce) -> ShaftForce:
    """Return one shaft force where `marks` are true and the other elsewhere."""
    return ShaftForce(
        *(
            values(np.where(marks, getattr(there, name), getattr(else_, name)))
            for name in ShaftForce.__slots__
        )
    )
