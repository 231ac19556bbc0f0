"""Filling an equalised shock: pump, cycle through the port, read, pump again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics import gas
from physics.air import ChargedAir
from physics.answer import Fill
from physics.arrays import NONE, Marks, Values, per_point, values
from physics.case import Air, Ambient, EqualisedNegative, Negative

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


def fill(air: Air, spring: ChargedAir, shop: Ambient) -> Fill:
    """Return the rounds of one case up to the one that holds, no single fill where the label forbids it."""
    done = rounds_of(air, spring, shop)
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


def rounds_of(air: Air, spring: ChargedAir, shop: Ambient) -> Rounds:
    """Return the rounds it takes to fill an air spring to what is settled in `spring`.

    Each round pumps the positive chamber to its settled reading at x = 0, then cycles: at the port both
    chambers share their air at one density, and each keeps its part. Starts from a negative chamber at
    ambient pressure. Raises `ValueError` for a spring that is not equalised.
    """
    T = shop.temperature
    target = gas.pressure(spring.positive.mass / spring.positive.volume, T)
    outside = gas.density(shop.pressure, T)
    masses = _masses(spring, air.negative, outside)
    volume, hose = per_point(spring.positive.volume), air.hose_volume
    readings = gas.pressure(masses.left / volume, per_point(T))
    # Attaching the pump lets the hose, at ambient pressure, join the chamber.
    joined = (masses.left + per_point(outside * hose)) / (volume + hose)
    held = np.abs(per_point(target) - readings) < HOLDS_WITHIN
    holds = np.any(held, axis=-1)
    return Rounds(
        readings=readings,
        pump_gauge=gas.pressure(joined, per_point(T)),
        rounds=np.where(holds, np.argmax(held, axis=-1) + 1, MOST_ROUNDS),
        holds=np.asarray(holds),
        single_fill=gas.pressure(masses.at_once / spring.positive.volume, T),
    )


@dataclass(frozen=True, slots=True)
class _Masses:
    """Air [kg]: `left` in the positive chamber after each round, `at_once` pumped in for a single fill."""

    left: Values
    at_once: Values


def _masses(spring: ChargedAir, second: Negative, outside: Values) -> _Masses:
    """Return the air that each round leaves, `spring` being the settled one and `outside` the air around.

    With f = V_n/(V_p + V_n) at the port and m_p pumped each time, the negative chamber's air after round i is
    m_i = f (m_p + m_(i−1)): a geometric series, m_i = m_∞ + (m_0 − m_∞) fⁱ with m_∞ = m_p f/(1 − f),
    what the settled spring holds there.
    """
    if not isinstance(second, EqualisedNegative) or spring.negative is None:
        raise ValueError("only an equalised spring is filled by cycling")
    positive, negative, port = spring.positive, spring.negative, per_point(second.port)
    room, other = positive.volume_at(port), negative.volume_at(port)
    share = other / (room + other)
    settled, empty = per_point(negative.mass), per_point(outside * negative.volume)
    before = settled + (empty - settled) * share ** np.arange(MOST_ROUNDS)
    pumped = per_point(positive.mass)
    # In one go: the air of both settled chambers, less what the negative one had.
    return _Masses(values((1 - share) * (pumped + before)), values(pumped + settled - empty)[..., 0])
