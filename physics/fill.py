"""An air spring as it is filled: its pressures, the pressure for each spacer count, the rounds of filling.

An equalised shock is filled in rounds: pump, cycle through the port, read, pump again. A negative chamber
that pulls harder than the positive one pushes at full extension draws the shock in, and the gauge reads the
positive chamber there. Seal friction, which may hold it to either side, is left out.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from physics import gas
from physics.air import ChargedAir
from physics.answer import AirAnswer, Fill, SpacerRow
from physics.arrays import NONE, Marks, Values, at_one_point, each, per_point, together, values, where
from physics.case import Air, Ambient, Case, EqualisedNegative, Negative, Setup
from physics.chamber import Chamber
from physics.frozen import dataclass
from physics.leverage import LeverageCurve
from physics.limits import PSI
from physics.sag import UnderLoad, settle, under_load
from physics.shock import Shock, air_of, pressure_of, shock_of
from physics.solve import solved
from physics.spacing import spacer_counts
from physics.walk import fast_walk, walk


def air_answer(shock: Shock, stood: UnderLoad) -> AirAnswer:
    """Return the pressures [Pa absolute] and the rest position of a charged shock, shape (cases...).

    The peaks are those of the positive chamber at full stroke, slow and fast from the sag point. Without
    filling rounds and spacer rows, which are for a single case.
    """
    air, T = shock.charged(), values(shock.ambient.temperature)
    places = together(0.0, stood.sag.stroke, shock.lever.stroke, stood.rest_stroke)
    density = air.positive.density_at(places)
    pressure = gas.pressure(density, per_point(T))
    hot = gas.isentropic_temperature(T, density[..., _SAG], density[..., _FULL])
    highest = pressure
    if air.negative is not None:
        highest = np.maximum(pressure, gas.pressure(air.negative.density_at(places), per_point(T)))
    return AirAnswer(
        set_pressure=pressure_of(shock.setup),
        equalised_pressure=gas.pressure(air.equalised_density, T),
        compression_ratio=values(density[..., _FULL] / density[..., _EXTENDED]),
        peak_pressure=pressure[..., _FULL],
        fast_peak_pressure=gas.pressure(density[..., _FULL], hot),
        rest_stroke=stood.rest_stroke,
        rest_pressure=pressure[..., _REST],
        fill=None,
        spacers=(),
        fast_peak_temperature=hot,
        highest_extended=highest[..., _EXTENDED],
        highest_at_sag=highest[..., _SAG],
    )


_EXTENDED, _SAG, _FULL, _REST = range(4)


def spacer_rows(setup: Setup, case: Case, lever: LeverageCurve, static: Values) -> tuple[SpacerRow, ...]:
    """Return, for each spacer count that leaves air at full stroke, the pressure for the target sag.

    For a single case; empty if spacers have no volume. The pressure of `setup` may be typed or not.
    """
    spring = air_of(setup)
    counts = spacer_counts(spring, lever.stroke)
    if not counts.size:
        return ()
    spaced = replace(spring, pressure=None, positive_spacers=counts)
    ready = solved(replace(setup, spring=spaced), lever, case.shop, case.target, static)
    shock = shock_of(ready, lever, case.shop)
    stood = under_load(walk(shock), static)
    found = air_answer(shock, stood)
    bottom = values(fast_walk(shock, stood.sag.stroke).force[..., -1] / lever.nodes.ratio[..., -1])
    columns = (found.set_pressure, found.peak_pressure, found.fast_peak_pressure, bottom)
    return tuple(
        SpacerRow(int(count), *map(values, row)) for count, *row in zip(counts, *columns, strict=True)
    )


HOLDS_WITHIN = PSI
"""A reading holds once a cycle lowers it by less than this: 1 psi [Pa]."""
MOST_ROUNDS = 30
"""Rounds after which a mechanic, and this count, gives up."""


@dataclass(frozen=True, slots=True)
class Rounds:
    """Rounds of pumping and cycling for any number of cases, pressures Pa absolute.

    `readings` and `pump_gauge` are (cases..., MOST_ROUNDS) and continue after the reading holds; `rounds`,
    `holds` and `single_fill` are (cases...), `rounds` MOST_ROUNDS if it never holds.
    """

    readings: Values
    pump_gauge: Values
    rounds: NDArray[np.intp]
    holds: Marks
    single_fill: Values


def fill(air: Air, spring: ChargedAir, shop: Ambient) -> Fill:
    """Return the rounds of one case up to the one that holds, no single fill above the max pressure."""
    done = rounds_of(air, spring, shop)
    count = int(done.rounds)
    return Fill(
        readings=done.readings[:count],
        pump_gauge=done.pump_gauge[:count],
        rounds=count,
        holds=bool(done.holds),
        single_fill=_allowed(done.single_fill, air),
        one_go=done.single_fill,
    )


def _allowed(single_fill: Values, air: Air) -> Values:
    return NONE if air.max_pressure is not None and single_fill > air.max_pressure else single_fill


def fill_at_rest(shock: Shock) -> Fill:
    """Return the rounds of one settled shock and its readings at rest in each, worked out when looked at.

    Only what tells whether it can be filled at all is known at once: readings approach the settled one from
    below, so that one holds if the last one does. Raises as `fill` and `as_it_rests`.
    """
    air, spring, shop = air_of(shock.setup), shock.charged(), shock.shop
    T = shop.temperature
    masses = _masses(spring, air.negative, gas.density(shop.pressure, T), values(MOST_ROUNDS - 1.0))
    densities = together(spring.positive.mass, at_one_point(masses.left), masses.at_once)
    target, last, one_go = each(gas.pressure(densities / spring.positive.volume, T))
    known = {
        "holds": bool(abs(target - last) < HOLDS_WITHIN),
        "single_fill": _allowed(one_go, air),
        "one_go": one_go,
    }
    return Fill.later(lambda: as_it_rests(fill(air, spring, shop), shock), known)


def rounds_of(air: Air, spring: ChargedAir, shop: Ambient) -> Rounds:
    """Return the rounds it takes to fill an air spring to the settled state of `spring`.

    Each round pumps the positive chamber to its settled reading at x = 0, then cycles: at the port both
    chambers equalise at one density, and each keeps its part. The negative chamber starts at
    ambient pressure. Raises `ValueError` for a spring without an equalising port.

    >>> from physics.air import charge
    >>> shop, second = Ambient(293.15, 101_325.0), EqualisedNegative(20e-6, 0, 4e-6, 0.009)
    >>> air = Air(None, 0.040, 0.009, 0.027, 105e-6, 0, 6e-6, second)
    >>> done = rounds_of(air, charge(air, 1_601_325.0, shop), shop)  # to 15 bar gauge
    >>> ((done.readings[:3] - 101_325.0) / 1e5).round(2).tolist(), int(done.rounds)
    ([11.68, 14.28, 14.84], 4)
    """
    T = shop.temperature
    target = gas.pressure(spring.positive.mass / spring.positive.volume, T)
    outside = gas.density(shop.pressure, T)
    masses = _masses(spring, air.negative, outside, values(np.arange(MOST_ROUNDS)))
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


def _masses(spring: ChargedAir, second: Negative, outside: Values, rounds: Values) -> _Masses:
    """Return the air left after `rounds`, `spring` being the settled one and `outside` the ambient density.

    Rounds are counted from 0, (rounds,).

    With f = V_n/(V_p + V_n) at the port and m_p pumped each time, the mass in the negative chamber after
    round i is m_i = f (m_p + m_(i−1)): a geometric series, m_i = m_∞ + (m_0 − m_∞) fⁱ with m_∞ = m_p f/(1 −
    f), the settled mass there.
    """
    if not isinstance(second, EqualisedNegative) or spring.negative is None:
        raise ValueError("only an equalised spring is filled by cycling")
    positive, negative, port = spring.positive, spring.negative, per_point(second.port)
    room, other = positive.volume_at(port), negative.volume_at(port)
    share = other / (room + other)
    settled, empty = per_point(negative.mass), per_point(outside * negative.volume)
    before = settled + (empty - settled) * share**rounds
    pumped = per_point(positive.mass)
    # In one go: the air of both settled chambers, less what the negative one had.
    return _Masses(values((1 - share) * (pumped + before)), values(pumped + settled - empty)[..., 0])


def as_it_rests(found: Fill, shock: Shock) -> Fill:
    """Return the filling rounds of one settled `shock` with the gauge readings at its rest position in each.

    Raises `TypeError` for a shock without two chambers.
    """
    air, outside, T = shock.charged(), shock.shop.pressure, shock.shop.temperature
    if air.negative is None:
        raise TypeError("only a shock with two chambers is filled in rounds")
    room, other = air.positive.volume, air.negative
    left = gas.density(found.readings, T) * room
    # At the port both have one density, so the mass kept in one is proportional to that in the other.
    kept = left * (other.mass / air.positive.mass)
    before = np.concatenate([[gas.density(outside, T) * other.volume], kept[:-1]])
    hose = float(air_of(shock.setup).hose_volume)
    attached = left + gas.density(outside, T) * hose
    enough = np.full_like(left, air.positive.mass)
    positive, negative = np.stack([left, attached, enough]), np.stack([kept, kept, before])
    readings, gauge, target = _resting(shock, positive, negative, per_point(values([0.0, hose, 0.0])))
    return replace(found, rest_readings=readings, rest_gauge=gauge, rest_target=target)


def _resting(shock: Shock, positive: Values, negative: Values, hose: Values) -> Values:
    """Return the pressure [Pa absolute] of the positive chamber, `hose` [m³] joined to it, at rest.

    The masses [kg] of both chambers are (cases...).
    """
    air = shock.charged()
    assert air.negative is not None
    first = Chamber(air.positive.area, values(air.positive.volume + hose), positive)
    second = replace(air.negative, mass=negative)
    filled = replace(air, positive=first, negative=second)
    held = replace(shock, air=filled, ambient=shock.shop)
    stroke = np.zeros((*positive.shape, 1))
    if (held.at(stroke).force < 0).any():
        at = settle(walk(held), np.zeros_like(stroke))
        stroke = shock.lever.at(where(at.topped_out, 0.0, at.wheel)).stroke
    return gas.pressure(first.density_at(stroke)[..., 0], shock.shop.temperature)
