"""A shock walked once through the wheel travel, at the lever's nodes: what sag and figures are read from."""

from __future__ import annotations

from dataclasses import dataclass

from physics.arrays import Values
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
