"""Pairs of wheel travel and shock stroke read off a bike: the curve through them, and the pair that is off.

x(w) is the least-squares polynomial through the origin, of degree 3 from six pairs on and 2 from four.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from physics.arrays import NONE, Values, values
from physics.case import Measured
from physics.faults import Caution

FEWEST = 4
"""Pairs that a curve takes."""
READ_WITHIN = 0.3e-3
"""Misfit [m] that a ruler and an eye leave in any reading (common practice, no source)."""
DOUBT = 0.05
"""How often pairs without a slip among them may be suspected of one."""
_BOUND = 1e-6
_STEPS = 8
_WHOLE = 5e-3
"""Travels to read at are whole multiples of this [m]: what is easy to find on a ruler."""


@dataclass(frozen=True, slots=True)
class PairCurve:
    """x(w) = Σ weights_i (w/longest)ⁱ [m], i from 1, with `longest` [m] the longest travel of the pairs."""

    longest: float
    weights: Values

    def stroke(self, wheel: Values) -> Values:
        """Return the stroke [m] at travels [m]."""
        return values(_powers(wheel / self.longest, len(self.weights)) @ self.weights)

    def slopes(self, wheel: Values) -> tuple[Values, Values]:
        """Return dx/dw and d²x/dw² [1/m] at travels [m]."""
        t, power = (wheel / self.longest)[..., None], np.arange(1, len(self.weights) + 1)
        first = (t ** (power - 1) * power) @ self.weights / self.longest
        second = (t ** np.maximum(power - 2, 0) * power * (power - 1)) @ self.weights / self.longest**2
        return values(first), values(second)


@dataclass(frozen=True, slots=True)
class PairsCheck:
    """Every pair against the curve, (pairs,), NaN where there is no telling.

    `curve` [m] is the stroke of the curve, `residual` [m] typed less curve, `by_others` [m] the stroke that
    the curve through all other pairs has there, `ratio` the leverage, `rms` [m] of the residuals, shape ().
    `odd` is the pair that does not go with the others, None where every misfit may be reading.
    """

    curve: Values
    residual: Values
    by_others: Values
    ratio: Values
    rms: Values
    odd: int | None


def fitted(pairs: Measured) -> PairCurve | None:
    """Return the curve of pairs, None where there are too few different ones."""
    count = len(pairs.travel)
    degree = 3 if count >= 6 else 2
    # Scaled to the longest travel so that the normal equations stay well conditioned.
    longest = float(np.max(pairs.travel, initial=0.0)) or 1.0
    matrix = _powers(pairs.travel / longest, degree)
    weights, _, rank, _ = np.linalg.lstsq(matrix, pairs.stroke, rcond=None)
    return PairCurve(longest, values(weights)) if count >= FEWEST and rank == degree else None


def _powers(t: Values, degree: int) -> Values:
    return values(t[..., None] ** np.arange(1, degree + 1))


def checked(pairs: Measured) -> PairsCheck:
    """Return the pairs held against their curve.

    With h the diagonal of the hat matrix, e the residual of a pair, n pairs and p weights, the curve through
    the others misses the pair by d = e/(1 − h), and
        t = e/(s √(1 − h)),   s² = (Σe² − e²/(1 − h))/(n − p − 1)
    follows Student's law with n − p − 1 degrees of freedom where errors are normal: the externally
    studentised residual (from memory, any text on regression). A plain residual will not do: a slip pulls the
    curve to itself, at the ends most. The largest of n is odd beyond the two-sided limit for `DOUBT`/n, and
    only if d is more than `READ_WITHIN`. A pair at zero travel tells the curve nothing: its stroke should be
    zero.
    """
    curve, none = fitted(pairs), np.full(len(pairs.travel), np.nan)
    if curve is None:
        return PairsCheck(none, none, none, none, NONE, None)
    on_curve = curve.stroke(pairs.travel)
    residual = values(pairs.stroke - on_curve)
    q, _ = np.linalg.qr(_powers(pairs.travel / curve.longest, len(curve.weights)))
    own = 1 - np.sum(q * q, axis=1)
    # A pair that the curve cannot miss has nothing to be told by.
    own = np.where(own > _BOUND, own, np.nan)
    with np.errstate(divide="ignore"):
        ratio = values(1 / curve.slopes(pairs.travel)[0])
    return PairsCheck(
        curve=on_curve,
        residual=residual,
        by_others=values(pairs.stroke - residual / own),
        ratio=ratio,
        rms=values(np.sqrt(np.mean(residual * residual))),
        odd=_odd(pairs.travel, residual, own, len(curve.weights)),
    )


def pair_cautions(pairs: Measured, found: PairsCheck) -> tuple[Caution, ...]:
    """Return the caution about the odd pair, which is counted from 1 there; none without one."""
    if found.odd is None:
        return ()
    columns = {"at": pairs.travel, "typed_stroke": pairs.stroke, "by_others": found.by_others}
    told = {name: float(column[found.odd]) for name, column in columns.items()}
    return (Caution("odd_pair", {"pair": found.odd + 1.0, **told}),)


def _odd(travel: Values, residual: Values, own: Values, weights: int) -> int | None:
    told = travel > 0
    off_zero = ~told & (np.abs(residual) > READ_WITHIN)
    if off_zero.any():
        return int(np.argmax(off_zero))
    count = int(np.count_nonzero(told))
    freedom = count - weights - 1
    if freedom < 1:
        return None
    share = residual * residual / own
    spread = np.maximum(np.sum(residual * residual) - share, 0.0) / freedom
    slipped = told & (np.abs(residual / own) > READ_WITHIN)
    # t² against its limit without dividing: the others may lie on the curve to the last digit.
    excess = np.where(slipped, share - _limit(freedom, count) ** 2 * spread, 0.0)
    worst = int(np.argmax(excess))
    return worst if excess[worst] > 0 else None


def _limit(freedom: int, count: int) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(freedom, 1 - DOUBT / (2 * count)))


def next_travel(travel: Values, wheel_travel: float) -> float | None:
    """Return the wheel travel [m] to read next, None once the pairs reach the end.

    Even steps from full extension, whole multiples of 5 mm, about eight over the travel, and the end itself.
    """
    step = math.ceil(wheel_travel / _STEPS / _WHOLE) * _WHOLE
    last = float(np.max(travel, initial=0.0))
    if last > wheel_travel - READ_WITHIN:
        return None
    following = math.floor(last / step + 1e-6) * step + step
    return following if following < wheel_travel - step / 2 else wheel_travel
