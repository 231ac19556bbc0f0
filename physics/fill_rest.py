"""What a gauge reads while an equalised shock is filled: where it rests unloaded, not at full extension.

A negative chamber that pulls harder than the positive one pushes at full extension draws the shock in, and
the gauge reads the positive chamber there. Seal friction, which may hold it to either side, is left out.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics import gas
from physics.answer import Fill
from physics.arrays import Values, per_point, values
from physics.chamber import Chamber, side_by_side
from physics.sag import settle
from physics.shock import Shock, air_of
from physics.walk import walk


def as_it_rests(found: Fill, shock: Shock) -> Fill:
    """Return the rounds of filling one settled `shock` with what the gauge reads as it rests in each.

    Raises `TypeError` for a shock without two chambers.
    """
    air, outside, T = shock.charged(), shock.shop.pressure, shock.shop.temperature
    if air.negative is None:
        raise TypeError("only a shock with two chambers is filled in rounds")
    room, other = air.positive.volume, air.negative
    left = gas.density(found.readings, T) * room
    # At the port both have one density: what the negative chamber keeps goes with what the positive one does.
    kept = left * (other.mass / air.positive.mass)
    before = np.concatenate([[gas.density(outside, T) * other.volume], kept[:-1]])
    hose = values(air_of(shock.setup).hose_volume)
    attached = left + gas.density(outside, T) * hose
    return replace(
        found,
        rest_readings=_resting(shock, left, kept, 0.0),
        rest_gauge=_resting(shock, attached, kept, hose),
        rest_target=_resting(shock, np.full_like(left, air.positive.mass), before, 0.0),
    )


def _resting(shock: Shock, positive: Values, negative: Values, hose: float | Values) -> Values:
    """Return the pressure [Pa absolute] of the positive chamber, `hose` [m³] joined to it, as it rests.

    The masses [kg] of both chambers are (cases...).
    """
    air = shock.charged()
    assert air.negative is not None
    first = Chamber(air.positive.area, values(air.positive.volume + hose), positive)
    second = replace(air.negative, mass=negative)
    filled = replace(air, positive=first, negative=second, chambers=side_by_side(first, second))
    held = replace(shock, air=filled, ambient=shock.shop)
    at = settle(walk(held), np.zeros((*positive.shape, 1)))
    wheel = np.where(at.topped_out, 0.0, at.wheel)
    stroke = shock.lever.at(values(wheel)).stroke
    density = first.density_at(stroke)[..., 0]
    return gas.pressure(density, per_point(values(shock.shop.temperature))[..., 0])
