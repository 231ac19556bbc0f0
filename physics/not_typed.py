"""What was not typed of a shock or fork is not nothing: what a usual one would do to the answer.

The usual sizes: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from physics.answer import SetupAnswer
from physics.arrays import Values, per_point, values
from physics.case import Air, Case, Fork, GasCharge, LowerLegs, Setup
from physics.extras import closed_legs, gas_force
from physics.faults import Caution
from physics.leverage import LeverageCurve
from physics.solve import target_place

_PSI = 6894.757293168
USUAL_CHARGE = 200 * _PSI
"""Gauge pressure [Pa] of a usual damper charge."""
USUAL_ROD = 12.7e-3
"""Diameter [m] of a usual damper rod, where that of the shock is not known."""
USUAL_BUMPER = 10e-3, 1500.0
"""Length [m] and force fully squeezed [N] of a usual bottom-out bumper."""
USUAL_LEG = LowerLegs(230e-6, 35e-3)
"""Lower legs of a usual fork of `USUAL_FORK` travel."""
USUAL_FORK = 160e-3
"""Stroke [m] of that fork; a longer one has as much more room in its legs."""


def not_typed(found: SetupAnswer, case: Case, lever: LeverageCurve, static: Values) -> tuple[Caution, ...]:
    """Return a caution for each extra that is neither typed nor known to be missing, with its usual effect.

    For a single case under a static wheel force [N]; none where nothing is solved. Damper gas and bumper are
    those of a shock, lower legs those of a fork.
    """
    setup = found.setup
    full = float(found.curve.shaft_force[-1])
    if not np.isfinite(full):
        return ()
    if isinstance(case.frame.leverage, Fork):
        return tuple(_legs(setup, case, float(lever.stroke), full))
    at_sag = float(found.sag.shaft_force)
    if not np.isfinite(at_sag):
        at_sag = float(target_place(case.target, lever, static)[1])
    return (*_gas(setup, case, at_sag), *_bumper(setup, full))


def _gas(setup: Setup, case: Case, at_sag: float) -> Iterator[Caution]:
    if setup.gas is not None or "gas" in setup.lacks:
        return
    spring, shop = setup.spring, case.shop
    known = float(spring.rod) if isinstance(spring, Air) else setup.rod
    rod = known or USUAL_ROD
    charge = GasCharge(USUAL_CHARGE + float(shop.pressure), 1.0, rod)
    push = float(gas_force(charge, values([0.0]), shop, shop)[0][0])
    told = {"charge": float(charge.pressure), "rod": rod, "push": push, "share": push / at_sag}
    yield Caution("gas_not_typed", told)


def _bumper(setup: Setup, full: float) -> Iterator[Caution]:
    if setup.bumper is None and "bumper" not in setup.lacks:
        length, force = USUAL_BUMPER
        yield Caution("bumper_not_typed", {"length": length, "push": force, "share": force / full})


def _legs(setup: Setup, case: Case, stroke: float, full: float) -> Iterator[Caution]:
    if setup.lower_legs is not None or "lower_legs" in setup.lacks:
        return
    room = float(USUAL_LEG.volume) * max(stroke / USUAL_FORK, 1.0)
    legs = LowerLegs(room, USUAL_LEG.stanchion)
    closed, shop = closed_legs(legs, case.shop), case.shop
    push = float(closed.force(per_point(values(stroke)), shop.temperature, shop.pressure)[0][0])
    told = {"volume": room, "stanchion": float(legs.stanchion), "push": push, "share": push / full}
    yield Caution("legs_not_typed", told)
