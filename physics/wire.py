"""A coil as a piece of wire: rate, stress, lengths, surge, mass, tolerance; the wire to order for a rate.

Plain laws of numbers or arrays that broadcast. d is the wire diameter [m], D the mean diameter of the coil
[m], w = D/d its index, n the active coils and n_t the total coils.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from physics.answer import WireAnswer
from physics.arrays import NONE, Marks, Scalar, Values, Words, per_point, picked, values
from physics.case import Coil, Wire
from physics.faults import Caution, Fault
from physics.frozen import dataclass
from physics.wire_stock import (
    COIL_ENDS,
    GRADES,
    MATERIALS,
    TITANIUM,
    USUAL_ENDS,
    USUAL_GRADE,
    USUAL_INNER_DIAMETER,
    USUAL_MATERIAL,
    Material,
)

HARD_WORKED = 1.5
"""Factor on the minimum gap between coils for dynamic loading (EN 13906-1, second-hand)."""
END_FACTOR = 0.5
"""Buckling end condition: both ends on flat parallel seats (Shigley table 10-2, second-hand)."""


def spring_rate(d: Scalar, D: Scalar, n: Scalar, shear_modulus: Scalar) -> Values:
    """Return k = G d⁴/(8 D³ n) [N/m] (EN 13906-1; Rao, Mechanical Vibrations, Prob. 1.38).

    >>> round(float(spring_rate(0.009, 0.045, 9.0, 79.5e9)) / 1e3, 2)  # [N/mm]
    79.5
    """
    return values(shear_modulus * values(d) ** 4 / (8 * values(D) ** 3 * n))


def coils_for(rate: Scalar, d: Scalar, D: Scalar, shear_modulus: Scalar) -> Values:
    """Return the active coils n for `rate` [N/m]: the law above solved for n."""
    return spring_rate(d, D, rate, shear_modulus)


def plain_stress(force: Scalar, d: Scalar, D: Scalar) -> Values:
    """Return the shear stress 8 F D/(π d³) [Pa] of a straight bar under the same torque.

    >>> round(float(plain_stress(5000.0, 0.009, 0.045)) / 1e6, 1)
    786.0
    """
    return values(8 * force * values(D) / (np.pi * values(d) ** 3))


def curvature_factor(d: Scalar, D: Scalar) -> Values:
    """Return the stress correction of the inside of the coil: (w + 0.5)/(w − 0.75) = (4w + 2)/(4w − 3).

    EN 13906-1 and Bergsträsser, second-hand. Valid for w from 4 to 20; diverges towards 0.75.

    >>> round(float(curvature_factor(1.0, 5.0)), 4)
    1.2941
    """
    w = values(D) / values(d)
    return values((w + 0.5) / (w - 0.75))


def shear_stress(force: Scalar, d: Scalar, D: Scalar) -> Values:
    """Return the largest shear stress in the wire [Pa] under an axial `force` [N]."""
    return values(plain_stress(force, d, D) * curvature_factor(d, D))


def strength(material: Material, d: Scalar) -> Values:
    """Return the tensile strength S_ut = A/dᵐ [Pa], extrapolated beyond the thickest wire of its source."""
    return values(material.strength / (values(d) * 1e3) ** material.exponent)


def solid_length(d: Scalar, total_coils: Scalar, ends: str) -> Values:
    """Return the solid length [m], d n_t with ground ends, one d more without."""
    return values(values(d) * (total_coils + COIL_ENDS[ends].extra))


def least_gap(d: Scalar, D: Scalar, n: Scalar) -> Values:
    """Return the minimum sum of gaps [m] between active coils at full load.

    S_a = n (0.0015 D²/d + 0.1 d), static loading (EN 13906-1, second-hand).

    >>> round(float(least_gap(0.009, 0.045, 9.0)) * 1e3, 2)  # [mm]
    11.14
    """
    d, D = values(d), values(D)
    return values(n * (0.0015 * D**2 / d + 0.1 * d))


def buckling_length(D: Scalar, material: Material) -> Values:
    """Return the free length [m] below which a coil between flat parallel seats cannot buckle.

    L₀ < π D/α · √(2 (E − G)/(2 G + E)) with α = 0.5 (Shigley Eq. 10-10, the general form from memory;
    2.63 D/α for steel). A shock body inside the coil limits buckling, but the coil rubs on it.

    >>> from physics.wire_stock import MATERIALS
    >>> round(float(buckling_length(1.0, MATERIALS["oil_tempered"])) * END_FACTOR, 2)
    2.66
    """
    E, G = material.elastic_modulus, material.shear_modulus
    return values(np.pi * values(D) / END_FACTOR * np.sqrt(2 * (E - G) / (2 * G + E)))


def wire_length(D: Scalar, total_coils: Scalar, height: Scalar) -> Values:
    """Return the length [m] of a helix of `total_coils` turns and `height` [m]."""
    return values(np.hypot(np.pi * values(D) * total_coils, height))


def wire_mass(d: Scalar, D: Scalar, total_coils: Scalar, height: Scalar, density: Scalar) -> Values:
    """Return the mass [kg] of the wire: helix length times round section times density.

    The end coils count in full and as part of the helix; material removed by grinding, up to about
    half a coil, is not subtracted.

    >>> round(float(wire_mass(0.009, 0.045, 11.0, 0.170, 7850.0)), 3)
    0.781
    """
    section = np.pi / 4 * values(d) ** 2
    return values(wire_length(D, total_coils, height) * section * density)


def surge_frequency(rate: Scalar, working_mass: Scalar) -> Values:
    """Return f = ½ √(k/m) [Hz] of longitudinal waves in the active coils, both ends held.

    Rao, Mechanical Vibrations in SI Units, Global Ed. 2017, Prob. 1.38: ½ √(k g/W).

    >>> round(float(surge_frequency(80_000.0, 0.5)), 1)
    200.0
    """
    return values(0.5 * np.sqrt(values(rate) / working_mass))


def load_tolerance(d: Scalar, D: Scalar, n: Scalar, force: Scalar, quality: Scalar) -> Values:
    """Return A_F [N], the tolerance (±) of the load `force` [N] at a given length.

    A_F = (a_F k_F + 1.5 % F) Q, with d and D in mm in
    a_F = 65.92 d^3.3/D^1.6 [−0.84 (w/10)³ + 3.781 (w/10)² − 4.244 (w/10) + 2.274] N and
    k_F = 1/(3 n²) + 8/(5 n) + 0.803; `quality` Q is 0.63, 1.00, 1.60 for grades 1, 2, 3 (EN 15800,
    second-hand). Cold-coiled springs, w from 4 to 20, n from 2.

    >>> round(float(load_tolerance(0.009, 0.045, 9.0, 5000.0, 1.0)), 1)
    280.5
    """
    return values((shape_part(d, D) * coils_part(n) + 0.015 * values(force)) * quality)


def shape_part(d: Scalar, D: Scalar) -> Values:
    """Return a_F [N] of wire and mean diameter [m]."""
    d, D = values(d) * 1e3, values(D) * 1e3
    tenth = D / d / 10
    bracket = 2.274 + tenth * (-4.244 + tenth * (3.781 - 0.84 * tenth))
    return values(65.92 * d**3.3 / D**1.6 * bracket)


def coils_part(n: Scalar) -> Values:
    """Return k_F of the active coils.

    >>> round(float(coils_part(4.0)), 4)
    1.2238
    """
    n = values(n)
    return values(1 / (3 * n**2) + 8 / (5 * n) + 0.803)


def rate_band(
    d: Scalar, D: Scalar, n: Scalar, force: Scalar, quality: Scalar, shear_spread: Scalar = 0.0
) -> Values:
    """Return the tolerance (±) of the rate, as a fraction: A_F(F)/F at the load of full stroke.

    `shear_spread` is the uncertainty of G, as a fraction: k is proportional to G, so it is added in full.

    EN 15800 has tolerances of load and no classes of rate, so this is derived. A rate is two loads over their
    distance, k = (F₂ − F₁)/(s₂ − s₁), and with both free to vary its error is up to
    (A₁ + A₂)/(F₂ − F₁). On a shock one load is exact: compression counts from first contact of the collar,
    F₁ = 0 at s₁ = 0 whatever the coil's free length is. With F₂ = F at full stroke that leaves
    δk/k ≤ A_F(F)/F. It is a bound: part of A_F is free length, which the collar takes up.
    """
    return values(load_tolerance(d, D, n, force, quality) / force + shear_spread)


CALM = 15.0
"""Surge frequency should be this many times the excitation frequency (Shigley, 15 to 20, from memory)."""


def wire_faults(coil: Coil) -> tuple[Fault, ...]:
    """Return the faults of a coil of this wire: no inner diameter, no active coil, shorter than solid."""
    w = coil.wire
    if w is None:
        return ()
    found = []
    if np.any(values(w.mean_diameter) <= w.diameter):
        found.append(Fault(("wire_diameter",), "no_hole", {"mean_diameter": float(np.min(w.mean_diameter))}))
    if np.any(values(w.active_coils) <= 0):
        found.append(Fault(("total_coils",), "no_working_coils", {"dead": COIL_ENDS[w.ends].dead_coils}))
    elif np.any(values(w.total_coils) < w.active_coils):
        found.append(Fault(("total_coils",), "fewer_than_working", {"coils": float(np.max(w.active_coils))}))
    solid = solid_length(w.diameter, w.total_coils, w.ends)
    if coil.free_length is not None and np.any(solid >= coil.free_length):
        found.append(Fault(("free_length",), "below_solid", {"solid": float(np.max(solid))}))
    return tuple(found)


def wire_answer(coil: Coil, stroke: Scalar) -> WireAnswer | None:
    """Return the coil as wire on a shock of `stroke` [m], None if its wire is not known or it is progressive.

    Force and stress are at the wire's own rate: that of the actual coil, not the one asked for.
    """
    w = coil.wire
    if w is None or coil.stage_rate is not None:
        return None
    material, d, D, n = MATERIALS[w.material], w.diameter, w.mean_diameter, w.active_coils
    rate = spring_rate(d, D, n, material.shear_modulus)
    force = values(rate * (values(stroke) + coil.preload))
    free = NONE if coil.free_length is None else values(coil.free_length)
    solid = solid_length(d, w.total_coils, w.ends)
    strong, mass = strength(material, d), _mass(w, free, solid)
    return WireAnswer(
        rate=rate,
        band=rate_band(d, D, n, force, GRADES[w.grade], material.shear_spread),
        force=force,
        stress=shear_stress(force, d, D),
        solid_stress=shear_stress(rate * (free - solid), d, D),
        strength=strong,
        allowed=values(strong * material.as_wound),
        allowed_set=values(strong * material.set_by_maker),
        beyond_table=bool(np.any(values(d) > material.thickest)),
        solid_length=solid,
        gap=values(free - solid - coil.preload - stroke),
        gap_due=values(HARD_WORKED * least_gap(d, D, n)),
        buckling_length=buckling_length(D, material),
        surge=surge_frequency(rate, mass * n / w.total_coils),
        mass=mass,
    )


def _mass(w: Wire, free: Values, solid: Values) -> Values:
    """Return the mass [kg] of a helix as high as the free coil, or the solid one if that is not known."""
    height = np.where(np.isnan(free), solid, free)
    return wire_mass(w.diameter, w.mean_diameter, w.total_coils, height, MATERIALS[w.material].density)


def wire_cautions(coil: Coil, found: WireAnswer, shaken: float) -> list[Caution]:
    """Return the cautions about one coil's wire; `shaken` [Hz] is the excitation by the wheel, or NaN.

    `coil` is solved.
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


CANDIDATES = values(np.arange(20, 161) * 1e-4)
"""Wire diameters [m] tried: 2 to 16 mm in steps of 0.1 mm."""
STOUTEST, SLENDEREST = 4.0, 20.0
"""Range of the index w for cold coiling (EN 13906-1, from memory)."""
FEWEST = 2.0
"""Minimum number of active coils (EN 13906-1, from memory)."""

WireLimit = Literal["stress", "index", "coils", "thinnest"]
"""What decides the diameter: shear stress, index or number of coils rule out the next thinner wire, or it is
the thinnest tried. If no wire holds, the condition that none of them meets."""


@dataclass(frozen=True, slots=True)
class WireOrder:
    """A coil to have wound, shape (cases...); every number is NaN if no wire is `found`.

    `limit` is one of `WireLimit`. Lengths in m; `stress` [Pa] at full stroke and `solid_stress` at solid
    length, `allowed` [Pa] the limit for a coil pre-set by its maker, met at full stroke, `as_wound` [Pa] that
    without pre-setting; `band` a fraction, `mass` [kg], `surge` [Hz]; `beyond_table` if the strength of the
    wire is extrapolated.
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
        """Whether the stress at solid length exceeds the limit of a pre-set coil."""
        return np.asarray(self.solid_stress > self.allowed)


def inner_diameter(coil: Coil) -> Scalar:
    """Return the inner diameter [m] of a coil, the usual one if it is not known."""
    return USUAL_INNER_DIAMETER if coil.inner_diameter is None else coil.inner_diameter


def compared_materials(coil: Coil) -> tuple[str, str]:
    """Return the wires to compare for a coil: its own steel, or the usual one, and titanium."""
    own = USUAL_MATERIAL if coil.wire is None else coil.wire.material
    return (USUAL_MATERIAL if own == TITANIUM else own, TITANIUM)


def order_for(coil: Coil, stroke: Scalar, material_name: str) -> WireOrder:
    """Return the wire for a solved coil on a shock of `stroke` [m], preload included.

    Raises `ValueError` for a coil without a rate: still to be solved, or progressive.
    """
    if coil.rate is None:
        raise ValueError("the rate of this coil is not known")
    squeeze = values(values(stroke) + coil.preload)
    return wire_for(coil.rate, inner_diameter(coil), squeeze, material_name)


def wire_for(rate: Scalar, inner: Scalar, squeeze: Scalar, material_name: str) -> WireOrder:
    """Return the thinnest wire for a rate [N/m], an inner diameter [m] and stroke plus preload [m].

    D = D_i + d and n = G d⁴/(8 D³ k) for every candidate d. A wire holds if its stress at full stroke is
    within the limit for a pre-set coil, w within 4 to 20 and n at least 2. Coils n and length of
    wire grow with d, so the thinnest is the lightest. Free length: solid, stroke, preload and the dynamic
    gaps. Ends closed and ground. NaN inputs give nothing found.

    >>> order = wire_for(80_000.0, 0.036, 0.062, "chrome_silicon")
    >>> round(float(order.diameter) * 1e3, 1), round(float(order.active_coils), 2), str(order.limit)
    (9.0, 8.94, 'stress')
    """
    material = MATERIALS[material_name]
    k, squeezed = per_point(rate), per_point(squeeze)
    d = CANDIDATES
    D = values(per_point(inner) + d)
    n = coils_for(k, d, D, material.shear_modulus)
    stress = shear_stress(k * squeezed, d, D)
    strong = stress <= strength(material, d) * material.set_by_maker
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
    """Return the condition that the next thinner wire fails in each case."""
    thinner = np.maximum(first - 1, 0).astype(np.intp)
    fails = [~picked(values(mark), thinner).astype(bool) for mark in (strong, enough, windable)]
    return np.select([first == 0, *fails], ["thinnest", "stress", "coils", "index"], "thinnest")


def _out_of_reach(windable: Marks, enough: Marks) -> Words:
    """Return the condition that no wire meets: the index alone, then coils with it, else stress."""
    wound = windable.any(axis=-1)
    coiled = (windable & enough).any(axis=-1)
    return np.select([~wound, ~coiled], ["index", "coils"], "stress")


def _wound(
    d: Values, material: Material, rate: Scalar, inner: Scalar, squeeze: Scalar, limit: Words
) -> WireOrder:
    """Return the coil of wire `d`, NaN throughout where that is NaN."""
    D = values(inner + d)
    n = coils_for(rate, d, D, material.shear_modulus)
    total = values(n + COIL_ENDS[USUAL_ENDS].dead_coils)
    solid = solid_length(d, total, USUAL_ENDS)
    free = values(solid + squeeze + HARD_WORKED * least_gap(d, D, n))
    force = values(rate * values(squeeze))
    strong, mass = strength(material, d), wire_mass(d, D, total, free, material.density)
    return WireOrder(
        found=~np.isnan(d),
        limit=limit,
        diameter=d,
        mean_diameter=D,
        active_coils=n,
        total_coils=total,
        solid_length=solid,
        free_length=free,
        stress=shear_stress(force, d, D),
        allowed=values(strong * material.set_by_maker),
        as_wound=values(strong * material.as_wound),
        solid_stress=shear_stress(values(rate * values(free - solid)), d, D),
        band=rate_band(d, D, n, force, GRADES[USUAL_GRADE], material.shear_spread),
        mass=mass,
        surge=surge_frequency(rate, mass * n / total),
        beyond_table=d > material.thickest,
    )
