"""Set pressure, or rate, and measured sag → the sprung load the rider actually puts on the wheel."""

from __future__ import annotations

import math

import numpy as np

from physics.arrays import values
from physics.case import Air, Case, Coil, MassCentre, RiderAndBike, Setup
from physics.faults import Unfit
from physics.fit import MOST_FRICTION
from physics.frozen import dataclass
from physics.limits import STANDARD_GRAVITY
from physics.sag import load_at_once, under_load
from physics.shock import shock_of, with_pressure
from physics.stand import Stand, stand
from physics.walk import walk


@dataclass(frozen=True, slots=True)
class Carried:
    """Static wheel force [N]: as found, its band, and as entered.

    `low` and `high` are the band of seal friction: that of the setup, or `MOST_FRICTION` if the setup has
    none, `friction_known` false. `scale_mass` [kg] is what a scale under the wheel would read; `share` the
    rider's share on this wheel, NaN if the load was not entered that way. `wheel` [m] is the sag at the
    wheel, `stroke` [m] at the shock. `at_once` is the wheel force implied by the same sag if read before the
    air cooled, equal to `load` for a coil. `gauge` [Pa gauge] is the reading used as the set pressure of a
    spring still to be solved, NaN if none is.
    """

    wheel: float
    stroke: float
    load: float
    low: float
    high: float
    friction_known: bool
    entered: float
    scale_mass: float
    share: float
    at_once: float
    gauge: float


def carried(case: Case, index: int, sag: float, gauge: float = math.nan) -> Carried:
    """Return the load that holds a setup at a `sag` [m], wheel travel or stroke as the target counts it.

    F_w at that place, its air at rest at the shop's temperature; friction F_f makes it F_w ± F_f/L. `gauge`
    [Pa gauge] was read with it and is the set pressure of an air spring still to be solved.
    Raises `Unfit` for a setup still to be solved or a sag outside the travel, and `Refused` as `answer`
    does.

    >>> from physics.case import Ambient, Frame, LeverageEnds, ScaleReading, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> coil = Setup("coil", Coil(80_000.0, 0.0, 4378.0))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (coil,))
    >>> found = carried(case, 0, 0.045)
    >>> round(found.load, 3), round(found.scale_mass, 3)  # k w/L² and that over g + 4 kg
    (576.0, 62.736)
    """
    bike, setup = stand(case), case.setups[index]
    read = math.isfinite(gauge) and isinstance(setup.spring, Air) and setup.spring.pressure is None
    if read:
        setup = with_pressure(setup, values(gauge) + values(case.shop.pressure))
    _check_set(setup)
    lever = bike.lever
    whole = float(lever.wheel_travel if case.target.of == "travel" else lever.stroke)
    if not 0 < sag < whole:
        raise Unfit("no_sag", sag=sag, whole=whole)
    at = values([sag])
    places = lever.at(at) if case.target.of == "travel" else lever.at_stroke(at)
    shock = shock_of(setup, lever, case.shop)
    force, _rate = shock.wheel(places.wheel)
    friction = float(values(setup.friction))
    load, held = float(force[0]), float((friction or MOST_FRICTION) / places.ratio[0])
    if not load > 0:
        raise Unfit("nothing_carried", load=load)
    mass, entered = _scale_mass(case, load), bike.load.static_wheel_force
    rest_stroke = under_load(walk(shock), entered).rest_stroke
    return Carried(
        wheel=float(places.wheel[0]),
        stroke=float(places.stroke[0]),
        load=load,
        low=load - held,
        high=load + held,
        friction_known=friction > 0,
        entered=float(entered),
        scale_mass=mass,
        share=_share(bike, mass),
        at_once=float(load_at_once(shock, places.stroke[0], rest_stroke)),
        gauge=gauge if read else math.nan,
    )


def _check_set(setup: Setup) -> None:
    spring = setup.spring
    if not isinstance(spring, Coil):
        if spring.pressure is None:
            raise Unfit("no_pressure")
    elif spring.rate is None and spring.stage_rate is None:
        raise Unfit("no_rate")


def _scale_mass(case: Case, load: float) -> float:
    """Return N/g with N = W_s + g m_unsprung, on a slope its component normal to the ground."""
    rider = case.load
    across = np.cos(rider.slope) if isinstance(rider, MassCentre) else 1.0
    return float(load / STANDARD_GRAVITY + values(rider.unsprung_mass) * across)


def _share(bike: Stand, scale_mass: float) -> float:
    rider = bike.case.load
    if not isinstance(rider, RiderAndBike) or not np.all(values(rider.rider_mass) > 0):
        return float("nan")
    of_bike = values(rider.bike_share) * values(rider.bike_mass)
    return float((scale_mass - of_bike) / values(rider.rider_mass))
