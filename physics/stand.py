"""The bike on the stand: what rests on the wheel, and the lever between wheel and spring."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

import numpy as np

from physics.answer import LoadAnswer
from physics.arrays import Values, some, values
from physics.case import Case, Load, MassCentre, RiderAndBike, ScaleReading, Setup
from physics.faults import Fault, Refused
from physics.frozen import dataclass
from physics.leverage import LeverageCurve, remembered_curve
from physics.limits import STANDARD_GRAVITY
from physics.shock import setup_faults


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
    empty = static <= 0
    if some(empty):
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


Part = TypeVar("Part")


@dataclass(frozen=True, slots=True)
class Stand:
    """What every setup of a case shares."""

    case: Case
    load: LoadAnswer
    lever: LeverageCurve


def stand(case: Case) -> Stand:
    """Return load and leverage of a case.

    Raises `Refused` with every fault of load, frame and setups at once.

    >>> from physics.case import Ambient, Coil, Frame, LeverageEnds, ScaleReading, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> coil = Setup("coil", Coil(None, -0.001, 4378.0))
    >>> case = Case(ScaleReading(3.0, 4.0), frame, Target(0.30, "travel"), shop, (coil,))
    >>> try:
    ...     stand(case)
    ... except Refused as refused:
    ...     [fault.code for fault in refused.faults]
    ['nothing_left', 'negative_preload']
    """
    faults: list[Fault] = []
    load = _unless_refused(lambda: wheel_load(case.load), faults)
    lever = _unless_refused(lambda: remembered_curve(case.frame), faults)
    for index, setup in enumerate(case.setups):
        faults += _faults_of(setup, index, case)
    if load is None or lever is None or faults:
        raise Refused(*faults)
    return Stand(case, load, lever)


def _unless_refused(make: Callable[[], Part], faults: list[Fault]) -> Part | None:
    try:
        return make()
    except Refused as refusal:
        faults += refusal.faults
        return None


def _faults_of(setup: Setup, index: int, case: Case) -> list[Fault]:
    """Return the faults of a setup, its index in their path."""
    found = setup_faults(setup, case.frame.stroke)
    return [replace(fault, field=("setup", index, *fault.field)) for fault in found]
