"""Limits of what may be offered of an air spring: label, gas law, rest position."""

from __future__ import annotations

from collections.abc import Mapping, Set
from typing import Literal

import numpy as np

from physics import gas
from physics.answer import AirAnswer
from physics.arrays import Marks, values
from physics.case import Air, Case, SeparateNegative, Setup
from physics.cautions import usual_reach
from physics.faults import Limit
from physics.shock import air_of, pressure_of, shock_of
from physics.stand import Stand
from physics.sweep import SweptSetup

MOST_REST = 0.001
"""Largest rest position [m] of stroke that is offered: the shock would lose that much of it."""


def highest_pressure(spring: Air, case: Case) -> float:
    """Return the highest filling pressure [Pa absolute]: the label's, else that of common labels.

    >>> from physics.case import Ambient, Frame, LeverageEnds, NoNegative, ScaleReading, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, ())
    >>> spring = Air(None, 0.040, 0.0, 0.0, 105e-6, 0, 0.0, NoNegative())
    >>> round(highest_pressure(spring, case))  # 400 psi of 6894.757 Pa over 101 325 Pa
    2859228
    """
    outside = float(values(case.shop.pressure))
    limit = outside + usual_reach(case) if spring.max_pressure is None else spring.max_pressure
    return max(limit, outside)


def beyond_limits(setup: Setup, bike: Stand) -> Mapping[Limit, Marks]:
    """Return, by limit, which of n solved air setups (n,) are beyond it.

    The gas law is checked in every chamber of the spring, slow, at both ends of the stroke, between which the
    pressure is monotonic. A NaN pressure is "no_pressure" and beyond nothing else.
    """
    pressure, spring = pressure_of(setup), air_of(setup)
    shock = shock_of(setup, bike.lever, bike.case.shop)
    stroke = float(bike.lever.stroke)
    force = shock.at(values([0.0, min(MOST_REST, stroke)])).force
    ends, T = values([0.0, stroke]), bike.case.shop.temperature
    packed = [gas.pressure(one.density_at(ends), T) for one in shock.charged().chambers]
    return {
        "no_pressure": np.isnan(pressure),
        "pumps" if spring.max_pressure is None else "label": np.asarray(
            pressure > highest_pressure(spring, bike.case)
        ),
        # A chamber whose air no setting changes has the same at all n.
        "gas_law": np.any(np.broadcast_arrays(*((one > gas.HIGHEST).any(axis=-1) for one in packed)), axis=0),
        "rest": np.asarray((force < 0).all(axis=-1)),
    }


Bar = Literal["label", "gas_law", "rest"]
"""The max pressure on the label; the range of the gas law at full stroke, slow; the rest position."""

BARS: tuple[Bar, ...] = ("label", "gas_law", "rest")


def barred(swept: SweptSetup) -> Set[Bar]:
    """Return the limits that one changed setup of a single case exceeds."""
    return frozenset() if swept.air is None else beyond(swept.setup, swept.air)


def beyond(setup: Setup, air: AirAnswer) -> Set[Bar]:
    """Return the same of an air setup and its answer."""
    spring, found = setup.spring, set[Bar]()
    assert isinstance(spring, Air)
    pumped = float(air.set_pressure)
    if isinstance(spring.negative, SeparateNegative):
        pumped = max(pumped, float(spring.negative.pressure))
    if spring.max_pressure is not None and pumped > spring.max_pressure:
        found.add("label")
    if float(np.fmax(air.peak_pressure, air.highest_extended)) > gas.HIGHEST:
        found.add("gas_law")
    if float(air.rest_stroke) > MOST_REST:
        found.add("rest")
    return frozenset(found)
