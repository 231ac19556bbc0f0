"""A coil as a piece of wire: rate, shear stress, solid length, gaps, buckling, surge, mass, strength.

Plain laws of numbers or arrays that broadcast. d is the wire diameter [m], D the mean diameter of the coil
[m], w = D/d its index, n the coils that work and n_t all of them.
"""

from __future__ import annotations

import numpy as np

from physics.arrays import Scalar, Values, values
from physics.wire_stock import ENDS, Material

HARD_WORKED = 1.5
"""Factor on the least gap between coils for a spring that moves all the time (EN 13906-1, second-hand)."""
END_FACTOR = 0.5
"""Buckling: both ends on flat and parallel seats (Shigley table 10-2, second-hand)."""


def spring_rate(d: Scalar, D: Scalar, n: Scalar, shear_modulus: Scalar) -> Values:
    """Return k = G d⁴/(8 D³ n) [N/m] (EN 13906-1; Rao, Mechanical Vibrations, Prob. 1.38)."""
    return values(shear_modulus * values(d) ** 4 / (8 * values(D) ** 3 * n))


def coils_for(rate: Scalar, d: Scalar, D: Scalar, shear_modulus: Scalar) -> Values:
    """Return the working coils n that make `rate` [N/m]: the law above turned round."""
    return spring_rate(d, D, rate, shear_modulus)


def plain_stress(force: Scalar, d: Scalar, D: Scalar) -> Values:
    """Return the shear stress 8 F D/(π d³) [Pa] of a straight bar under the same twist."""
    return values(8 * force * values(D) / (np.pi * values(d) ** 3))


def curvature_factor(d: Scalar, D: Scalar) -> Values:
    """Return what the inside of the coil carries more: (w + 0.5)/(w − 0.75), equal to (4w + 2)/(4w − 3).

    EN 13906-1 and Bergsträsser, second-hand. Meant for w from 4 to 20; grows without bound towards 0.75.
    """
    w = values(D) / values(d)
    return values((w + 0.5) / (w - 0.75))


def shear_stress(force: Scalar, d: Scalar, D: Scalar) -> Values:
    """Return the highest shear stress in the wire [Pa] under an axial `force` [N]."""
    return values(plain_stress(force, d, D) * curvature_factor(d, D))


def strength(material: Material, d: Scalar) -> Values:
    """Return the tensile strength S_ut = A/dᵐ [Pa], carried on past the thickest wire of its source."""
    return values(material.strength / (values(d) * 1e3) ** material.exponent)


def solid_length(d: Scalar, total_coils: Scalar, ends: str) -> Values:
    """Return the length [m] with all coils touching, d n_t with ground ends, one d more without."""
    return values(values(d) * (total_coils + ENDS[ends].extra))


def least_gap(d: Scalar, D: Scalar, n: Scalar) -> Values:
    """Return the gaps [m] that should be left between all coils together at full load.

    S_a = n (0.0015 D²/d + 0.1 d), for a spring at rest (EN 13906-1, second-hand).
    """
    d, D = values(d), values(D)
    return values(n * (0.0015 * D**2 / d + 0.1 * d))


def buckling_length(D: Scalar, material: Material) -> Values:
    """Return the free length [m] below which a coil between flat parallel seats cannot bow out at all.

    L₀ < π D/α · √(2 (E − G)/(2 G + E)) with α = 0.5 (Shigley Eq. 10-10, the general form from memory;
    2.63 D/α for steel). A shock's body inside a coil keeps it from going far, but it rubs.
    """
    E, G = material.elastic_modulus, material.shear_modulus
    return values(np.pi * values(D) / END_FACTOR * np.sqrt(2 * (E - G) / (2 * G + E)))


def wire_length(D: Scalar, total_coils: Scalar, height: Scalar) -> Values:
    """Return the length [m] of a helix of `total_coils` turns that climbs `height` [m]."""
    return values(np.hypot(np.pi * values(D) * total_coils, height))


def wire_mass(d: Scalar, D: Scalar, total_coils: Scalar, height: Scalar, density: Scalar) -> Values:
    """Return the mass [kg] of the wire: helix length times its round section times density.

    The coils at the ends count in full and as part of the helix; what grinding takes off them, up to about
    half a coil, is not taken off here.
    """
    section = np.pi / 4 * values(d) ** 2
    return values(wire_length(D, total_coils, height) * section * density)


def surge_frequency(rate: Scalar, working_mass: Scalar) -> Values:
    """Return f = ½ √(k/m) [Hz] at which waves run to and fro in the working coils, both ends held.

    Rao, Mechanical Vibrations in SI Units, Global Ed. 2017, Prob. 1.38: ½ √(k g/W).
    """
    return values(0.5 * np.sqrt(values(rate) / working_mass))
