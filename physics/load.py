"""Rider, bike or a scale reading → force on the wheel."""

from __future__ import annotations

import numpy as np

from physics.answer import LoadAnswer
from physics.arrays import Values, values
from physics.case import STANDARD_GRAVITY, Load, MassCentre, RiderAndBike, ScaleReading
from physics.faults import Fault, Refused


def wheel_load(load: Load) -> LoadAnswer:
    """Return ground reaction N and static wheel force W_s [N], shape (cases...).

    N = g (s_r m_rider + s_b m_bike), W_s = N − g m_unsprung (statics, level ground). A scale reading
    replaces the bracket. Raises `Refused` if the spring would carry nothing.

    >>> load = wheel_load(RiderAndBike(85.0, 0.62, 15.5, 0.5, 4.2))
    >>> round(float(load.ground_reaction), 1), round(float(load.static_wheel_force), 1)
    (592.8, 551.6)
    """
    match load:
        case RiderAndBike():
            carried = values(load.rider_share) * load.rider_mass + values(load.bike_share) * load.bike_mass
            normal = values(1.0)
        case ScaleReading():
            carried, normal = values(load.scale_mass), values(1.0)
        case MassCentre():
            carried = axle_share(load) * load.total_mass
            normal = np.cos(values(load.slope))
    reaction = STANDARD_GRAVITY * carried
    # On a slope only the component of the unsprung weight normal to the ground acts.
    static = reaction - STANDARD_GRAVITY * values(load.unsprung_mass) * normal
    empty = np.asarray(static <= 0)
    if np.any(empty):
        least = {"carried": float(np.min(carried))}
        raise Refused(Fault(("load", "unsprung_mass"), "nothing_left", least, cases=empty))
    return LoadAnswer(reaction, static)


def axle_share(load: MassCentre) -> Values:
    """Return the fraction of the total weight that presses on this wheel, shape (cases...).

    Moments about the front contact on a slope θ: rear = (a cos θ − h sin θ)/b; both wheels together carry
    cos θ, so front = cos θ − rear.

    >>> round(float(axle_share(MassCentre(100.0, 1.25, 0.70, 1.1, 0.0, "rear", 4.2))), 6)  # 0.70/1.25
    0.56
    """
    slope = values(load.slope)
    rear = (load.behind_front * np.cos(slope) - load.height * np.sin(slope)) / load.wheelbase
    return values(rear if load.wheel == "rear" else np.cos(slope) - rear)
