"""What wire gives a rate, an inner diameter and a stroke: the thinnest, and so lightest, that holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from physics import wire
from physics.arrays import Marks, Scalar, Values, Words, per_point, picked, values
from physics.case import Coil
from physics.wire_stock import (
    ENDS,
    GRADES,
    MATERIALS,
    TITANIUM,
    USUAL_ENDS,
    USUAL_GRADE,
    USUAL_INNER_DIAMETER,
    USUAL_MATERIAL,
    Material,
)
from physics.wire_tolerance import rate_band

CANDIDATES = values(np.arange(20, 161) * 1e-4)
"""Wire diameters [m] tried: 2 to 16 mm in steps of a tenth."""
STOUTEST, SLENDEREST = 4.0, 20.0
"""Index w between which a coil can be wound cold (EN 13906-1, from memory)."""
FEWEST = 2.0
"""Coils that must work at least (EN 13906-1, from memory)."""

Limit = Literal["stress", "index", "coils", "thinnest"]
"""What decides: shear stress, index or the number of coils rule out the next thinner wire, or it is the
thinnest tried. Where no wire holds, which of them none of the wires can meet."""


@dataclass(frozen=True, slots=True)
class WireOrder:
    """A coil to have wound, shape (cases...); every number is NaN where no wire `found` holds.

    `limit` is one of `Limit`. Lengths in m; `stress` [Pa] at full stroke and `solid_stress` closed, with all
    coils touching, `allowed` [Pa] the limit for a coil set by its maker, which the wire keeps at full
    stroke, `as_wound` [Pa] the one for a coil that was not; `band` a fraction, `mass` [kg], `surge` [Hz];
    `beyond_table` where the strength of the wire is read past the end of its table.
    """

    found: Marks
    limit: Words
    diameter: Values
    mean_diameter: Values
    active_coils: Values
    total_coils: Values
    solid_length: Values
    free_length: Values
    stress: Values
    solid_stress: Values
    allowed: Values
    as_wound: Values
    band: Values
    mass: Values
    surge: Values
    beyond_table: Marks

    @property
    def closed_beyond(self) -> Marks:
        """Whether the wire is beyond the limit of a set coil when it is closed."""
        return np.asarray(self.solid_stress > self.allowed)


def inner_diameter(coil: Coil) -> Scalar:
    """Return the inner diameter [m] of a coil, the usual one where it is not known."""
    return USUAL_INNER_DIAMETER if coil.inner_diameter is None else coil.inner_diameter


def compared_materials(coil: Coil) -> tuple[str, str]:
    """Return the wires to compare for a coil: its own steel, or the usual one, and titanium."""
    own = USUAL_MATERIAL if coil.wire is None else coil.wire.material
    return (USUAL_MATERIAL if own == TITANIUM else own, TITANIUM)


def order_for(coil: Coil, stroke: Scalar, material_name: str) -> WireOrder:
    """Return the wire for a solved coil on a shock of `stroke` [m]: its rate, its width, stroke and preload.

    Raises `ValueError` for a coil whose rate is still to be solved; one in stages has none.
    """
    if coil.rate is None:
        raise ValueError("the rate of this coil is not known")
    squeeze = values(values(stroke) + coil.preload)
    return wire_for(coil.rate, inner_diameter(coil), squeeze, material_name)


def wire_for(rate: Scalar, inner: Scalar, squeeze: Scalar, material_name: str) -> WireOrder:
    """Return the thinnest wire for a rate [N/m], an inner diameter [m] and a squeeze, stroke and preload [m].

    D = D_i + d and n = G d⁴/(8 D³ k) for every candidate d. A wire holds if its stress at full squeeze is
    within the share for a coil set by its maker, w within 4 to 20 and n at least 2. Coils n and length of
    wire grow with d, so the thinnest is the lightest. Free length: solid, squeeze and the gaps of a spring
    that moves. Ends closed and ground. NaN in, nothing found out.
    """
    material = MATERIALS[material_name]
    k, squeezed = per_point(rate), per_point(squeeze)
    d = CANDIDATES
    D = values(per_point(inner) + d)
    n = wire.coils_for(k, d, D, material.shear_modulus)
    stress = wire.shear_stress(k * squeezed, d, D)
    strong = stress <= wire.strength(material, d) * material.set_by_maker
    wound = values(D / d)
    windable = (wound >= STOUTEST) & (wound <= SLENDEREST)
    enough = n >= FEWEST
    holds = strong & windable & enough
    found = holds.any(axis=-1)
    first = np.argmax(holds, axis=-1)
    limit = np.where(found, _ruled_out(first, strong, windable, enough), _out_of_reach(windable, enough))
    shape = np.broadcast_shapes(found.shape, np.shape(k)[:-1])
    chosen = values(np.where(found, CANDIDATES[first], np.nan))
    return _wound(chosen, material, rate, inner, squeeze, np.broadcast_to(limit, shape))


def _ruled_out(first: Values, strong: Marks, windable: Marks, enough: Marks) -> Words:
    """Return what the wire a tenth thinner than each case's own fails by."""
    thinner = np.maximum(first - 1, 0).astype(np.intp)
    fails = [~picked(values(mark), thinner).astype(bool) for mark in (strong, enough, windable)]
    return np.select([first == 0, *fails], ["thinnest", "stress", "coils", "index"], "thinnest")


def _out_of_reach(windable: Marks, enough: Marks) -> Words:
    """Return what no wire can meet: the index alone, then coils with it, else stress."""
    wound = windable.any(axis=-1)
    coiled = (windable & enough).any(axis=-1)
    return np.select([~wound, ~coiled], ["index", "coils"], "stress")


def _wound(
    d: Values, material: Material, rate: Scalar, inner: Scalar, squeeze: Scalar, limit: Words
) -> WireOrder:
    """Return the coil of wire `d`, NaN throughout where that is NaN."""
    D = values(inner + d)
    n = wire.coils_for(rate, d, D, material.shear_modulus)
    total = values(n + ENDS[USUAL_ENDS].dead_coils)
    solid = wire.solid_length(d, total, USUAL_ENDS)
    free = values(solid + squeeze + wire.HARD_WORKED * wire.least_gap(d, D, n))
    force = values(rate * values(squeeze))
    strength, mass = wire.strength(material, d), wire.wire_mass(d, D, total, free, material.density)
    return WireOrder(
        found=~np.isnan(d),
        limit=limit,
        diameter=d,
        mean_diameter=D,
        active_coils=n,
        total_coils=total,
        solid_length=solid,
        free_length=free,
        stress=wire.shear_stress(force, d, D),
        allowed=values(strength * material.set_by_maker),
        as_wound=values(strength * material.as_wound),
        solid_stress=wire.shear_stress(values(rate * values(free - solid)), d, D),
        band=rate_band(d, D, n, force, GRADES[USUAL_GRADE], material.shear_spread),
        mass=mass,
        surge=wire.surge_frequency(rate, mass * n / total),
        beyond_table=d > material.thickest,
    )
