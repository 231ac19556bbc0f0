"""A setup over its stroke, sampled for drawing and reading."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from physics.answer import Curve
from physics.arrays import per_point, values
from physics.leverage import LeverageCurve, Places
from physics.shock import ShaftForce, Shock, at_wheel

POINTS = 241
"""Points of a curve, evenly spaced in stroke: about twice the columns of a wide terminal."""


@lru_cache(maxsize=8)
def even_strokes(lever: LeverageCurve) -> Places:
    """Return the places (cases..., POINTS) that curves are drawn at; every setup on a frame shares them."""
    return lever.at_stroke(per_point(lever.stroke) * np.linspace(0.0, 1.0, POINTS))


def curve(shock: Shock, places: Places, fast: ShaftForce) -> Curve:
    """Return the curve of a shock at `places`, `fast` being what `fast_walk` says for their strokes.

    The fast columns are NaN where there is no sag point; a coil is as stiff fast as slow.
    """
    slow = shock.at(places.stroke)
    wheel_force, wheel_rate = at_wheel(slow.force, slow.rate, places.ratio, places.slope)
    settled = np.isfinite(fast.force[..., -2:-1])
    fast_force, fast_rate, fast_positive, fast_negative = (
        values(np.where(settled, part[..., :POINTS], np.nan))
        for part in (fast.force, fast.rate, fast.positive, fast.negative)
    )
    fast_wheel_force, fast_wheel_rate = at_wheel(fast_force, fast_rate, places.ratio, places.slope)
    return Curve(
        stroke=places.stroke,
        shaft_force=slow.force,
        positive=slow.positive,
        negative=slow.negative,
        rate=slow.rate,
        wheel_travel=places.wheel,
        wheel_force=wheel_force,
        wheel_rate=wheel_rate,
        fast_shaft_force=fast_force,
        fast_rate=fast_rate,
        fast_wheel_force=fast_wheel_force,
        fast_wheel_rate=fast_wheel_rate,
        fast_positive=fast_positive,
        fast_negative=fast_negative,
    )
