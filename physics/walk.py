"""A shock walked once through the wheel travel, at the lever's nodes: what sag and figures are read from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics.arrays import Values, per_point
from physics.leverage import Places
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
    """Return the walk of a shock."""
    places = shock.lever.nodes
    shaft = shock.at(places.stroke)
    return Walk(shock, places, shaft, *at_wheel(shaft.force, shaft.rate, places.ratio, places.slope))


def fast_walk(shock: Shock, sag: Values, strokes: Values | None = None) -> ShaftForce:
    """Return the fast stroke out of a sag stroke (cases...) [m], two points: there and at full stroke.

    With `strokes` (cases..., points) [m] those come before the two.
    """
    parts = [per_point(sag), per_point(shock.lever.stroke)]
    if strokes is not None:
        parts.insert(0, strokes)
    cases = np.broadcast_shapes(*(part.shape[:-1] for part in parts))
    wide = [np.broadcast_to(part, (*cases, part.shape[-1])) for part in parts]
    return shock.fast_at(np.concatenate(wide, axis=-1), sag)
