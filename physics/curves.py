"""A setup over its stroke, sampled for drawing and reading."""

from __future__ import annotations

import numpy as np

from physics.answer import Curve
from physics.arrays import Values, per_point, values
from physics.roots import bracketed_root
from physics.shock import Shock, at_wheel

POINTS = 241
"""Points of a curve, evenly spaced in stroke: about twice the columns of a wide terminal."""


def curve(shock: Shock, sag: Values) -> Curve:
    """Return the curve of a shock, fast from the sag point [m of wheel travel] where there is one."""
    lever = shock.lever
    stroke = per_point(lever.stroke) * np.linspace(0.0, 1.0, POINTS)
    travel = lever.wheel_at(stroke)
    ratio, slope, _ = lever.at(travel)
    slow = shock.at(stroke)
    settled = np.isfinite(sag)
    start = lever.at(per_point(np.where(settled, sag, 0.0)))[2][..., 0]
    fast = shock.fast_at(stroke, start)
    wheel_force, wheel_rate = at_wheel(slow, ratio, slope)
    fast_wheel_force, fast_wheel_rate = at_wheel(fast, ratio, slope)

    def where_settled(column: Values) -> Values:
        return values(np.where(settled[..., None], column, np.nan))

    return Curve(
        stroke=values(stroke),
        shaft_force=slow.force,
        positive=slow.positive,
        negative=slow.negative,
        rate=slow.rate,
        wheel_travel=travel,
        wheel_force=wheel_force,
        wheel_rate=wheel_rate,
        fast_shaft_force=where_settled(fast.force),
        fast_rate=where_settled(fast.rate),
        fast_wheel_force=where_settled(fast_wheel_force),
        fast_wheel_rate=where_settled(fast_wheel_rate),
        fast_positive=where_settled(fast.positive),
        fast_negative=where_settled(fast.negative),
    )


def rest_stroke(shock: Shock) -> Values:
    """Return the stroke [m] where the unloaded shock rests: 0 where F(0) ≥ 0, else the first F = 0."""
    stroke = per_point(shock.lever.stroke) * np.linspace(0.0, 1.0, POINTS)
    force = shock.at(stroke).force
    first = np.argmax(force >= 0, axis=-1)[..., None]
    wide = np.broadcast_to(stroke, force.shape)
    high = np.take_along_axis(wide, first, -1)[..., 0]
    low = np.take_along_axis(wide, np.maximum(first - 1, 0), -1)[..., 0]

    def law(x: Values) -> tuple[Values, Values]:
        here = shock.at(x[..., None])
        return here.force[..., 0], here.rate[..., 0]

    return values(np.where(force[..., 0] >= 0, 0.0, bracketed_root(law, low, high)))
