"""Sag comes first: what brings a setup to its target sag, before anything else is changed on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from physics.advise_changes import Trial, fits, most_preload, settings
from physics.advise_feel import Feel
from physics.arrays import Values
from physics.buyable import buyable_coils
from physics.carried import carried
from physics.case import Case, Coil, Setup, Target
from physics.shock import with_pressure
from physics.solve import coil_force_due, solved_pressure
from physics.stand import Stand, stand

SAG_NEAR = 0.005
"""How far a sag may lie off its target, a share of travel or stroke, and count as on it: half a millimetre
on a ring and the rounding of a gauge are no more (common practice, no source)."""


_LOOKED_AT = 13


def off_target(feel: Feel, target: Target) -> float:
    """Return how far a sag lies off its target, as the target counts it; NaN for one that is not settled."""
    return abs(feel.sag_as_aimed - float(target.sag))


def is_off(feel: Feel, target: Target) -> bool:
    """Return whether a sag has to be put right; one that does not exist has to be, too."""
    return not off_target(feel, target) <= SAG_NEAR


def leaves(before: Feel, after: Feel, target: Target) -> bool:
    """Return whether a change takes the sag further from its target."""
    return off_target(after, target) > off_target(before, target) + SAG_NEAR


def to_target(setup: Setup, bike: Stand, static: Values | None = None) -> tuple[Trial, ...]:
    """Return what brings a setup to its target sag, what changes least first; its settings are in place.

    Air: the pressure. A coil: preload within its limit, else a rate one can buy with its preload, else one
    with the preload there is. `static` is the wheel force [N] in place of the load of the case. Not all of
    them may be offered, nor does each reach the target.
    """
    load = bike.load.static_wheel_force if static is None else static
    spring = setup.spring
    if isinstance(spring, Coil):
        found = _of_coil(setup, spring, bike, load)
        return tuple(trial for trial in found if fits(trial.setup, setup, bike))
    case = bike.case
    pressure = solved_pressure(setup, bike.lever, case.shop, case.target, load)
    ready = with_pressure(setup, pressure)
    return (Trial("pressure", settings(ready)[0] > settings(setup)[0], ready),)


def _of_coil(setup: Setup, coil: Coil, bike: Stand, static: Values) -> Iterator[Trial]:
    case, most, wound = bike.case, most_preload(coil) + 1e-9, float(coil.preload)
    if coil.stage_rate is not None:
        # Its force is no straight line of the preload: a few are looked at, the nearest is taken.
        for preload in np.linspace(0.0, most_preload(coil), _LOOKED_AT):
            tight = replace(coil, preload=float(preload))
            yield Trial("preload", preload > wound, replace(setup, spring=tight))
        return
    if coil.rate is not None and coil.rate > 0:
        stroke, force = coil_force_due(setup, bike.lever, case.shop, case.target, static)
        preload = float(force / coil.rate - stroke)
        if 0 <= preload <= most:
            yield Trial("preload", preload > wound, replace(setup, spring=replace(coil, preload=preload)))
    if coil.rate is None:
        return
    rate, least = float(coil.rate), []
    coil = replace(coil, preload=min(wound, most_preload(coil)))
    for choice in buyable_coils(replace(setup, spring=coil), bike.lever, case.shop, case.target, static):
        found, preload = float(choice.rate), float(choice.preload_for_target)
        if not np.isfinite(found):
            continue
        if preload <= most:
            spring = replace(coil, rate=found, preload=preload)
            yield Trial("rate", found > rate, replace(setup, spring=spring))
        least.append(Trial("rate", found > rate, replace(setup, spring=replace(coil, rate=found))))
    yield from least


@dataclass(frozen=True, slots=True)
class ByMeasuredSag:
    """The wheel force [N] that a measured sag speaks of, and what would hold it at the target sag.

    `trial` is None where nothing that can be set does.
    """

    load: float
    entered: float
    trial: Trial | None


def by_measured_sag(case: Case, setup: Setup, sag: float, of: str) -> ByMeasuredSag:
    """Return what a sag [m] measured at the wheel (`of` travel) or at the shock says of one setup.

    `setup` has its settings in place. Raises `Unfit` for a sag that tells no load.
    """
    read = Target(case.target.sag, "travel" if of == "travel" else "stroke")
    there = carried(replace(case, setups=(setup,), target=read), 0, sag)
    found = to_target(setup, stand(replace(case, setups=(setup,))), np.asarray(there.load))
    return ByMeasuredSag(there.load, there.entered, next(iter(found), None))
