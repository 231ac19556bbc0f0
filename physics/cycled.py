"""Pressure before and after cycling an equalised shock → its negative over its positive volume."""

from __future__ import annotations

import numpy as np

from physics import gas
from physics.air import negative_area, positive_area, positive_volume
from physics.arrays import Values, values
from physics.case import Air, Ambient, Case, EqualisedNegative
from physics.faults import Unfit
from physics.fit import TO_DEVIATION
from physics.frozen import dataclass
from physics.stand import stand

_LARGEST = 3.0
"""A negative chamber this many times the positive one is a leak rather than a chamber."""


@dataclass(frozen=True, slots=True)
class Cycled:
    """Negative over positive volume at full extension, less spacers, and the standard error due to the gauge.

    Each reading has an independent uniform error within the gauge's ±: a common error
    nearly cancels, so this is an upper bound.
    `volume` [m³] is the negative chamber's without spacers, as in a setup.
    """

    ratio: float
    error: float
    volume: float


def cycled(case: Case, index: int, before: float, after: float) -> Cycled:
    """Return the volumes implied by two readings [Pa absolute] of the positive chamber at full extension.

    The negative chamber starts at ambient pressure; `before` is the reading while pumping, `after` the one
    when the pump is attached again after cycling, its hose then at ambient pressure. Raises `Unfit`, and
    `Refused` as `answer` does.

    >>> from physics.case import Frame, LeverageEnds, ScaleReading, Setup, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> joined = EqualisedNegative(20e-6, 0, 0.0, 0.0)
    >>> air = Setup("air", Air(None, 0.040, 0.0, 0.027, 100e-6, 0, 0.0, joined))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (air,))
    >>> found = cycled(case, 0, 10e5 + 101_325.0, 8e5 + 101_325.0)
    >>> round(found.ratio, 4)  # ideal air, port at full extension: (10 − 8) bar / 8 bar = 0.25
    0.2508
    """
    stand(case)
    air, shop, off = case.setups[index].spring, case.shop, case.tolerance.gauge
    if not isinstance(air, Air) or not isinstance(second := air.negative, EqualisedNegative):
        raise Unfit("not_equalised")
    if not after < before:
        raise Unfit("not_lower", before=before, after=after)
    # As read, and each reading off either way.
    befores = values([before, before + off, before - off, before, before])
    afters = values([after, after, after, after + off, after - off])
    volume = _negative_room(air, second, befores, afters, shop)
    ratio = volume / float(positive_volume(air))
    if ratio[0] <= 0:
        raise Unfit("too_little", before=before, after=after)
    if not ratio[0] < _LARGEST:
        raise Unfit("emptied", after=after)
    # Half the width of the effect of ±, and from that the standard deviation of a uniform error.
    error = np.hypot(ratio[1] - ratio[2], ratio[3] - ratio[4]) / 2 * TO_DEVIATION
    spacers = float(values(second.spacers) * values(second.spacer_volume))
    return Cycled(float(ratio[0]), float(error), float(volume[0]) + spacers)


def _negative_room(
    air: Air, second: EqualisedNegative, before: Values, after: Values, shop: Ambient
) -> Values:
    """Return V_n(0) [m³] less spacers from readings [Pa absolute] of shape (cases...).

    Before, the positive chamber holds ρ₁ V_p and the negative one ρ_a V_n. At the port x_e both have one
    density ρ_e; the positive one keeps ρ_e (V_p − A_p x_e) and is read with it at full extension:
    ρ_e (V_p − A_p x_e + V_n + A_n x_e) = ρ₁ V_p + ρ_a V_n.
    """
    port = second.port
    T, room, hose = shop.temperature, positive_volume(air), air.hose_volume
    outside = gas.density(shop.pressure, T)
    # The pump's hose joins the chamber: its reading is of both.
    left = gas.density(after, T) * (room + hose) - outside * hose
    at_port = room - positive_area(air) * port
    shared = left / at_port
    pumped = gas.density(before, T) * room
    spare = shared - outside
    needed = pumped - shared * (at_port + negative_area(air) * port)
    return values(needed / np.where(spare > 0, spare, np.nan))
