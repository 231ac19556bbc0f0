"""Filling an equalised shock: pump, cycle through the port, read, pump again."""

from __future__ import annotations

import numpy as np

from physics import gas
from physics.air import charge
from physics.answer import Fill
from physics.arrays import Values, values
from physics.case import Air, Ambient, EqualisedNegative

HOLDS_WITHIN = 6894.757293168
"""A reading holds once a cycle takes less than this from it: 1 psi [Pa]."""
_MOST_ROUNDS = 30


def fill(air: Air, target: float, shop: Ambient, stroke: float) -> Fill:
    """Return the rounds it takes to reach a settled reading `target` [Pa absolute] at full extension.

    Each round pumps the positive chamber to the target at x = 0, then cycles: at the port both chambers
    share their air at one density, and each keeps its part. Starts from a negative chamber at ambient
    pressure. Raises `ValueError` for a spring that is not equalised.
    """
    if not isinstance(air.negative, EqualisedNegative):
        raise ValueError("only an equalised spring is filled by cycling")
    T = float(shop.temperature)
    chambers = charge(air, target, shop, stroke)
    if chambers.negative is None:
        raise ValueError("an equalised spring has two chambers")
    positive, negative = chambers.positive, chambers.negative
    port = float(values(air.negative.port))
    v_positive, v_negative = float(positive.volume), float(negative.volume)
    shared_positive = v_positive - float(positive.area) * port
    shared_negative = v_negative - float(negative.area) * port
    full = float(positive.mass)
    hose = air.hose_volume
    outside = float(gas.density(shop.pressure, T))
    held = outside * v_negative
    readings: list[float] = []
    gauges: list[float] = []
    holds = False
    while not holds and len(readings) < _MOST_ROUNDS:
        shared = (full + held) / (shared_positive + shared_negative)
        held = shared * shared_negative
        left = shared * shared_positive
        readings.append(float(gas.pressure(left / v_positive, T)))
        # Attaching the pump lets the hose, at ambient pressure, join the chamber.
        gauges.append(float(gas.pressure((left + outside * hose) / (v_positive + hose), T)))
        holds = abs(target - readings[-1]) < HOLDS_WITHIN
    single = _single_fill(
        float(chambers.positive.mass), float(negative.mass), outside * v_negative, v_positive, T
    )
    if air.max_pressure is not None and single > air.max_pressure:
        single = values(np.nan)
    return Fill(values(readings), values(gauges), len(readings), holds, single)


def _single_fill(positive: float, negative: float, already: float, volume: float, T: float) -> Values:
    """Return the one over-pressure [Pa absolute]: all the air of both chambers, less what was there."""
    return gas.pressure((positive + negative - already) / volume, T)
