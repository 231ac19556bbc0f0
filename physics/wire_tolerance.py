"""How far a coil may stray from its drawing: the load tolerance of EN 15800, and a band of rates from it."""

from __future__ import annotations

import numpy as np

from physics.arrays import Scalar, Values, values


def load_tolerance(d: Scalar, D: Scalar, n: Scalar, force: Scalar, quality: Scalar) -> Values:
    """Return A_F [N], how far the load at a given length may be off `force` [N] either way.

    A_F = (a_F k_F + 1.5 % F) Q, with d and D in mm in
    a_F = 65.92 d^3.3/D^1.6 [−0.84 (w/10)³ + 3.781 (w/10)² − 4.244 (w/10) + 2.274] N and
    k_F = 1/(3 n²) + 8/(5 n) + 0.803; `quality` Q is 0.63, 1.00, 1.60 for grades 1, 2, 3 (EN 15800,
    second-hand). Cold-wound springs, w from 4 to 20, n from 2.
    """
    return values((shape_part(d, D) * coils_part(n) + 0.015 * values(force)) * quality)


def shape_part(d: Scalar, D: Scalar) -> Values:
    """Return a_F [N] of wire and mean diameter [m]."""
    d, D = values(d) * 1e3, values(D) * 1e3
    tenth = D / d / 10
    bracket = np.polynomial.polynomial.polyval(tenth, [2.274, -4.244, 3.781, -0.84])
    return values(65.92 * d**3.3 / D**1.6 * bracket)


def coils_part(n: Scalar) -> Values:
    """Return k_F of the working coils."""
    n = values(n)
    return values(1 / (3 * n**2) + 8 / (5 * n) + 0.803)


def rate_band(
    d: Scalar, D: Scalar, n: Scalar, force: Scalar, quality: Scalar, shear_spread: Scalar = 0.0
) -> Values:
    """Return how far the rate may be off either way, as a fraction: A_F(F)/F at the load of full stroke.

    `shear_spread` is how far G may be off, as a fraction: k goes with G, so it is added in full.

    EN 15800 has tolerances of load and no classes of rate, so this is derived. A rate is two loads over what
    lies between them, k = (F₂ − F₁)/(s₂ − s₁), and with both free to be off it strays by up to
    (A₁ + A₂)/(F₂ − F₁). On a shock one load is exact: compression counts from where the collar first touches,
    F₁ = 0 at s₁ = 0 whatever the coil's free length came out as. With F₂ = F at full stroke that leaves
    δk/k ≤ A_F(F)/F. It is a bound: part of A_F is free length, which the collar takes up.
    """
    return values(load_tolerance(d, D, n, force, quality) / force + shear_spread)
