"""Set here, ride there: the same masses of gas in air of another temperature and pressure."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

import numpy as np

from physics import gas
from physics.answer import RideAnswer, State, mapped
from physics.arrays import NONE, Values, Words, each, per_point, together, values
from physics.case import Ambient, Case
from physics.frozen import dataclass
from physics.sag import under_load
from physics.shock import Shock, air_of, shock_of, with_pressure
from physics.solve import solved, solved_pressure
from physics.stand import stand
from physics.walk import fast_walk, walk


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """A setup in other riding conditions, shape (cases...): `RideAnswer` for any number of cases.

    `set_pressure` is the reading at full extension, `rest_pressure` the one at the rest position there.
    `bottom_ratio` is that of the riding curve there.
    """

    state: Words
    set_pressure: Values
    rest_pressure: Values
    sag_wheel_fraction: Values
    sag_stroke_fraction: Values
    starting_shaft: Values
    bottom_ratio: Values


def elsewhere(shock: Shock, ambient: Ambient, static: Values) -> Elsewhere:
    """Return sag, reading [Pa absolute, NaN for a coil] and breakaway force [N] in `ambient` air."""
    moved = replace(shock, ambient=ambient)
    walked = walk(moved)
    stood = under_load(walked, static)
    reading = resting = NONE
    if moved.air is not None:
        places = together(0.0, stood.rest_stroke)
        held = gas.pressure(moved.air.positive.density_at(places), per_point(ambient.temperature))
        reading, resting = each(held)
    starting = np.maximum(walked.shaft.force[..., 0], 0.0) + values(shock.setup.friction)
    return Elsewhere(
        state=stood.state,
        set_pressure=reading,
        rest_pressure=resting,
        sag_wheel_fraction=stood.sag.wheel_fraction,
        sag_stroke_fraction=stood.sag.stroke_fraction,
        starting_shaft=values(starting),
        bottom_ratio=values(
            fast_walk(moved, stood.sag.stroke).force[..., -1] / walked.places.ratio[..., -1] / static
        ),
    )


def ride_answer(shock: Shock, ride: Ambient | None, static: Values) -> RideAnswer | None:
    """Return the answer of one case in its riding conditions, None if none were given."""
    if ride is None:
        return None
    there = elsewhere(shock, ride, static)
    return RideAnswer(
        ambient=ride,
        state=cast(State, str(there.state)),
        set_pressure=there.set_pressure,
        rest_pressure=there.rest_pressure,
        sag_wheel_fraction=there.sag_wheel_fraction,
        sag_stroke_fraction=there.sag_stroke_fraction,
        starting_shaft=there.starting_shaft,
    )


@dataclass(frozen=True, slots=True)
class Ridden:
    """A setup in the riding conditions of its case: `around` them, `there` as it is set, `attached` a pump.

    `set_here` is the setup in the shop with the set pressure that gives it the target sag in the riding
    conditions: its readings and its sag in the shop. None for a coil, and where no pressure does.
    """

    around: Ambient
    there: Elsewhere
    attached: Values
    set_here: Elsewhere | None


def ridden(case: Case, index: int, step: float | None = None) -> Ridden | None:
    """Return a setup in the riding conditions of a single case, None without any; raises as `answer` does.

    With a `step` [Pa], a pressure to set here is a whole number of them on the gauge.

    >>> from physics.case import Air, Frame, LeverageEnds, NoNegative, ScaleReading, Setup, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> air = Setup("air", Air(None, 0.040, 0.0, 0.0, 105e-6, 0, 0.0, NoNegative()))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (air,), shop)
    >>> found = ridden(case, 0)
    >>> assert found is not None and found.set_here is not None
    >>> round(float(found.set_here.sag_wheel_fraction), 6)  # ridden in the shop itself
    0.3
    """
    if case.ride is None:
        return None
    bike, shop, ride = stand(case), case.shop, case.ride
    static = bike.load.static_wheel_force
    typed = case.setups[index]
    shock = shock_of(solved(typed, bike.lever, shop, case.target, static), bike.lever, shop)
    there = elsewhere(shock, ride, static)
    pressure = NONE
    if shock.air is not None:
        pressure = solved_pressure(typed, bike.lever, shop, case.target, static, ride)
    if step is not None:
        pressure = values(np.round((pressure - shop.pressure) / step) * step + shop.pressure)
    set_here = None
    if np.isfinite(pressure):
        set_here = elsewhere(shock_of(with_pressure(typed, pressure), bike.lever, shop), shop, static)
    return Ridden(ride, there, attached(shock, ride), set_here)


TEMPERATURES = values(np.arange(-15.0, 46.0, 10.0)) + 273.15
"""Temperatures [K] considered, −15 to 45 °C."""
ALTITUDES = values(np.arange(0.0, 4001.0, 500.0))
"""Altitudes [m] considered."""


@dataclass(frozen=True, slots=True)
class Conditions:
    """One setup in other air: T [K] and ambient pressure [Pa] of the places, and its figures there.

    Every array is of shape (places,). `attached` [Pa absolute] is what a pump reads when attached there,
    its hose at ambient pressure; NaN without a chamber.
    """

    around: Ambient
    there: Elsewhere
    attached: Values


def conditions(case: Case, index: int) -> tuple[Conditions, Conditions]:
    """Return a setup over `TEMPERATURES` at the shop's pressure, and over `ALTITUDES` at its temperature.

    For a single case; raises `Refused` as `answer` does.

    >>> from physics.case import Air, Frame, LeverageEnds, NoNegative, ScaleReading, Setup, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> air = Setup("air", Air(10e5, 0.040, 0.0, 0.0, 105e-6, 0, 0.0, NoNegative()))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (air,))
    >>> cold = conditions(case, 0)[0].there.set_pressure[0]  # at −15 °C
    >>> round(float(cold) / 1e5, 2)  # ideal air: 10 bar · 258.15/293.15 = 8.81 bar
    8.78
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
    """Return the pump's reading [Pa absolute] when attached: hose at p_a and chamber share one volume."""
    if shock.air is None:
        return NONE
    chamber, hose = shock.air.positive, values(air_of(shock.setup).hose_volume)
    mass = chamber.mass + gas.density(around.pressure, around.temperature) * hose
    return gas.pressure(mass / (chamber.volume + hose), around.temperature)
