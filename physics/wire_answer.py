"""What a coil's wire makes of it on its shock, and the cautions and faults that come of that."""

from __future__ import annotations

import numpy as np

from physics import wire
from physics.answer import WireAnswer
from physics.arrays import NONE, Scalar, Values, values
from physics.case import Coil, Wire
from physics.faults import Caution, Fault
from physics.wire_stock import ENDS, GRADES, MATERIALS
from physics.wire_tolerance import rate_band

CALM = 15.0
"""Surge should lie this many times above what moves the coil to and fro (Shigley, 15 to 20, from memory)."""


def wire_faults(coil: Coil) -> tuple[Fault, ...]:
    """Return what makes a coil of this wire impossible: no hole, no working coil, no room for itself."""
    w = coil.wire
    if w is None:
        return ()
    found = []
    if np.any(values(w.mean_diameter) <= w.diameter):
        found.append(Fault(("wire_diameter",), "no_hole", {"mean_diameter": float(np.min(w.mean_diameter))}))
    if np.any(values(w.active_coils) <= 0):
        found.append(Fault(("total_coils",), "no_working_coils", {"dead": ENDS[w.ends].dead_coils}))
    elif np.any(values(w.total_coils) < w.active_coils):
        found.append(Fault(("total_coils",), "fewer_than_working", {"coils": float(np.max(w.active_coils))}))
    solid = wire.solid_length(w.diameter, w.total_coils, w.ends)
    if coil.free_length is not None and np.any(solid >= coil.free_length):
        found.append(Fault(("free_length",), "below_solid", {"solid": float(np.max(solid))}))
    return tuple(found)


def wire_answer(coil: Coil, stroke: Scalar) -> WireAnswer | None:
    """Return the coil as wire on a shock of `stroke` [m], None where its wire is not known or it has stages.

    Force and stress are those of the wire's own rate: what the coil on the bench does, not what was asked.
    """
    w = coil.wire
    if w is None or coil.stage_rate is not None:
        return None
    material, d, D, n = MATERIALS[w.material], w.diameter, w.mean_diameter, w.active_coils
    rate = wire.spring_rate(d, D, n, material.shear_modulus)
    force = values(rate * (values(stroke) + coil.preload))
    free = NONE if coil.free_length is None else values(coil.free_length)
    solid = wire.solid_length(d, w.total_coils, w.ends)
    strength, mass = wire.strength(material, d), _mass(w, free, solid)
    return WireAnswer(
        rate=rate,
        band=rate_band(d, D, n, force, GRADES[w.grade], material.shear_spread),
        force=force,
        stress=wire.shear_stress(force, d, D),
        solid_stress=wire.shear_stress(rate * (free - solid), d, D),
        strength=strength,
        allowed=values(strength * material.as_wound),
        allowed_set=values(strength * material.set_by_maker),
        beyond_table=bool(np.any(values(d) > material.thickest)),
        solid_length=solid,
        gap=values(free - solid - coil.preload - stroke),
        gap_due=values(wire.HARD_WORKED * wire.least_gap(d, D, n)),
        buckling_length=wire.buckling_length(D, material),
        surge=wire.surge_frequency(rate, mass * n / w.total_coils),
        mass=mass,
    )


def _mass(w: Wire, free: Values, solid: Values) -> Values:
    """Return the mass [kg] of a helix as high as the free coil, the solid one where that is not known."""
    height = np.where(np.isnan(free), solid, free)
    return wire.wire_mass(w.diameter, w.mean_diameter, w.total_coils, height, MATERIALS[w.material].density)


def wire_cautions(coil: Coil, found: WireAnswer, shaken: float) -> list[Caution]:
    """Return the cautions about one coil's wire; `shaken` [Hz] is how fast the wheel moves it, or NaN.

    `coil` has its rate put in place.
    """
    cautions = [*_stress_cautions(found)]
    rate = np.nan if coil.rate is None else float(coil.rate)
    if abs(found.rate - rate) > found.band * found.rate:
        values_ = {"wire_rate": float(found.rate), "rate": rate, "band": float(found.band)}
        cautions.append(Caution("wire_rate", values_))
    if coil.free_length is not None and coil.free_length >= found.buckling_length:
        lengths = {"free_length": coil.free_length, "longest": float(found.buckling_length)}
        cautions.append(Caution("buckling", lengths))
    if found.surge < CALM * shaken:
        cautions.append(Caution("surge", {"surge": float(found.surge), "least": CALM * shaken}))
    return cautions


def _stress_cautions(found: WireAnswer) -> list[Caution]:
    stress = float(found.stress)
    if stress > found.allowed_set:
        return [Caution("wire_stress", {"stress": stress, "allowed": float(found.allowed_set)})]
    if stress > found.allowed:
        return [Caution("wire_not_set", {"stress": stress, "allowed": float(found.allowed)})]
    return []
