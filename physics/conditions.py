"""Set here, ride there: one setup over a range of temperatures and of altitudes, its amounts of gas kept."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics import gas
from physics.arrays import NONE, Values, values
from physics.case import Ambient, Case
from physics.elsewhere import Elsewhere, elsewhere
from physics.shock import Shock, air_of, shock_of
from physics.solve import solved
from physics.stand import stand
from physics.trees import mapped

TEMPERATURES = values(np.arange(-15.0, 46.0, 10.0)) + 273.15
"""Temperatures [K] looked at, −15 to 45 °C."""
ALTITUDES = values(np.arange(0.0, 4001.0, 500.0))
"""Altitudes [m] looked at."""


@dataclass(frozen=True, slots=True)
class Conditions:
    """One setup in other air: T [K] and ambient pressure [Pa] of the places, and what it does there.

    Every array is of shape (places,). `attached` [Pa absolute] is what a pump shows when it is put on there,
    its hose at the pressure around it; NaN without a chamber.
    """

    around: Ambient
    there: Elsewhere
    attached: Values


def conditions(case: Case, index: int) -> tuple[Conditions, Conditions]:
    """Return a setup over `TEMPERATURES` at the shop's pressure, and over `ALTITUDES` at its temperature.

    For a single case; raises `Refused` as `answer` does.
    """
    bike, shop = stand(case), case.shop
    static = bike.load.static_wheel_force
    shock = shock_of(solved(case.setups[index], bike.lever, shop, case.target, static), bike.lever, shop)
    warm = Ambient(TEMPERATURES, np.full_like(TEMPERATURES, shop.pressure))
    high = Ambient(np.full_like(ALTITUDES, shop.temperature), gas.standard_pressure(ALTITUDES))
    return _in_air(shock, warm, static), _in_air(shock, high, static)


def _in_air(shock: Shock, around: Ambient, static: Values) -> Conditions:
    places = values(around.temperature).shape
    found = Conditions(around, elsewhere(shock, around, static), attached(shock, around))
    return mapped(found, lambda figure: np.broadcast_to(figure, places))


def attached(shock: Shock, around: Ambient) -> Values:
    """Return what the pump shows: the hose's own air at p_a and the chamber's share one volume."""
    if shock.air is None:
        return NONE
    chamber, hose = shock.air.positive, values(air_of(shock.setup).hose_volume)
    mass = chamber.mass + gas.density(around.pressure, around.temperature) * hose
    return gas.pressure(mass / (chamber.volume + hose), around.temperature)
