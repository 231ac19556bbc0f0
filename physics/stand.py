"""Load and leverage of a case, once every fault in it is ruled out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeVar

from physics.answer import LoadAnswer
from physics.case import Case, Setup
from physics.faults import Fault, Refused
from physics.leverage import LeverageCurve, remembered_curve
from physics.load import wheel_load
from physics.shock import setup_faults

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
