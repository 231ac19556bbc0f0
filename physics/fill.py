"""Filling an equalised shock: pump, cycle through the port, read, pump again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics import gas
from physics.air import charge
from physics.answer import Fill
from physics.arrays import NONE, Marks, Scalar, Values, per_point, values
from physics.case import Air, Ambient, EqualisedNegative

HOLDS_WITHIN = 6894.757293168
"""A reading holds once a cycle takes less than this from it: 1 psi [Pa]."""
MOST_ROUNDS = 30
"""Rounds after which a mechanic, and this count, gives up."""


@dataclass(frozen=True, slots=True)
class Rounds:
    """Rounds of pumping and cycling for any number of cases, pressures Pa absolute.

    `readings` and `pump_gauge` are (cases..., MOST_ROUNDS) and go on after the reading holds; `rounds`,
    `holds` and `single_fill` are (cases...), `rounds` MOST_ROUNDS where it never holds.
    """

    readings: Values
    pump_gauge: Values
    rounds: NDArray[np.intp]
    holds: Marks
    single_fill: Values


def fill(air: Air, target: float, shop: Ambient) -> Fill:
    """Return the rounds of one case up to the one that holds, no single fill where the label forbids it."""
    done = rounds_of(air, target, shop)
    count = int(done.rounds)
    forbidden = air.max_pressure is not None and done.single_fill > air.max_pressure
    return Fill(
        readings=done.readings[:count],
        pump_gauge=done.pump_gauge[:count],
        rounds=count,
        holds=bool(done.holds),
        single_fill=NONE if forbidden else done.single_fill,
        one_go=done.single_fill,
    )


def rounds_of(air: Air, target: Scalar, shop: Ambient) -> Rounds:
    """Return the rounds it takes to reach a settled reading `target` [Pa absolute] at full extension.

    Each round pumps the positive chamber to the target at x = 0, m_p; then cycles: at the port both
    chambers share their air at one density, and the negative one keeps its share f = V_n/(V_p + V_n) there.
    Its air after round i is m_i = f (m_p + m_(i−1)), a geometric series from air at ambient pressure m_0:
    m_i = m_∞ + (m_0 − m_∞) fⁱ, m_∞ = m_p f/(1 − f). Raises `ValueError` for a spring that is not equalised.
    """
    second = air.negative
    spring = charge(air, target, shop)
    if not isinstance(second, EqualisedNegative) or spring.negative is None:
        raise ValueError("only an equalised spring is filled by cycling")
    T = shop.temperature
    outside = gas.density(shop.pressure, T)
    positive, negative = spring.positive, spring.negative
    at_port = per_point(second.port)
    left, right = positive.volume_at(at_port)[..., 0], negative.volume_at(at_port)[..., 0]
    kept = values(right / (left + right))

    empty = values(outside * negative.volume)
    settled = values(positive.mass * right / left)
    before = per_point(settled) + per_point(empty - settled) * per_point(kept) ** np.arange(MOST_ROUNDS)
    remaining = per_point(1 - kept) * (per_point(positive.mass) + before)
    readings = gas.pressure(remaining / per_point(positive.volume), per_point(T))
    # Attaching the pump lets the hose, at ambient pressure, join the chamber.
    hose = air.hose_volume
    joined = (remaining + per_point(outside * hose)) / (per_point(positive.volume) + hose)
    held = np.abs(per_point(target) - readings) < HOLDS_WITHIN
    holds = np.any(held, axis=-1)
    # In one go: all the air of both chambers pumped into the positive one, less what was there.
    single = gas.pressure((positive.mass + settled - empty) / positive.volume, T)
    return Rounds(
        readings=readings,
        pump_gauge=gas.pressure(joined, per_point(T)),
        rounds=np.where(holds, np.argmax(held, axis=-1) + 1, MOST_ROUNDS),
        holds=np.asarray(holds),
        single_fill=single,
    )
