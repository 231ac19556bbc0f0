"""Pairs of wheel travel and shock stroke read off a bike: the curve through them, and the pair that is off.

x(w) is the least-squares polynomial through the origin, of degree 3 from six pairs on and 2 from four.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from physics.arrays import NONE, Values, values
from physics.case import Leverage, Measured
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
    """x(w) = Σ weights_i (w/longest)ⁱ [m], i from 1, with `longest` [m] the longest travel of the pairs.

    `weights` [m] of shape (cases..., powers).
    """

    longest: float
    weights: Values

    def stroke(self, wheel: Values) -> Values:
        """Return the stroke [m] at travels [m]."""
        return values(self.weights @ _turned(_powers(wheel / self.longest, self.weights.shape[-1])))

    def slopes(self, wheel: Values) -> tuple[Values, Values]:
        """Return dx/dw and d²x/dw² [1/m] at travels [m]."""
        t, power = (wheel / self.longest)[..., None], np.arange(1, self.weights.shape[-1] + 1)
        first = self.weights @ _turned(t ** (power - 1) * power) / self.longest
        bend = t ** np.maximum(power - 2, 0) * power * (power - 1)
        second = self.weights @ _turned(bend) / self.longest**2
        return values(first), values(second)

    def leverage(self, wheel: Values) -> tuple[Values, Values]:
        """Return L = 1/x′ and L′ = −x″/x′² [1/m] at travels [m]; L ≤ 0 where x turns back."""
        first, second = self.slopes(wheel)
        with np.errstate(divide="ignore", invalid="ignore"):
            return values(np.where(first == 0, -np.inf, 1 / first)), values(-second / first**2)


@dataclass(frozen=True, slots=True)
class PairsCheck:
    """Every pair against the curve, (pairs,), NaN where there is no telling.

    `curve` [m] is the stroke of the curve, `residual` [m] typed less curve, `by_others` [m] the stroke that
    the curve through all other pairs has there, `ratio` the leverage. Of shape () are `rms` [m] of all
    residuals and `deviation` [m], the standard deviation of a reading, NaN without a degree of `freedom`.
    `odd` is the pair that does not go with the others, None where every misfit may be reading.
    """

    curve: Values
    residual: Values
    by_others: Values
    ratio: Values
    rms: Values
    deviation: Values
    freedom: int
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


def _turned(powers: Values) -> Values:
    return values(np.swapaxes(powers, -1, -2))


@dataclass(frozen=True, slots=True)
class PairScatter:
    """How far off the curve through pairs may be, the pairs scattering about it by a law of Gauss.

    The standard deviation of one reading is s = √(SSR/(n − p)) [m], `deviation`, with n pairs away from the
    origin and p weights; `freedom` is n − p. The covariance of the weights is s² (XᵀX)⁻¹ (NIST/SEMATECH
    e-Handbook of Statistical Methods, 4.1.4.1, from memory) and `root` (p, p) a matrix R with
    R Rᵀ = (XᵀX)⁻¹.
    """

    curve: PairCurve
    deviation: float
    freedom: int
    root: Values

    def drawn(self, shares: Values) -> PairCurve:
        """Return curves that the pairs allow for, shares (4, cases) of −1 to 1 each evenly spread.

        With z normal and u² of the χ² law with ν degrees of freedom, b + s √(ν/u²) R z is the multivariate
        Student law of weights whose errors and s come from the same few pairs (Box and Tiao, Bayesian
        Inference in Statistical Analysis, 2.7.2, from memory). Shares of zero are the curve itself.
        """
        from scipy.special import chdtri, ndtri

        quantiles = (shares + 1) / 2
        normal = ndtri(quantiles[: len(self.root)])
        wider = self.deviation * np.sqrt(self.freedom / chdtri(self.freedom, quantiles[-1]))
        return PairCurve(self.curve.longest, values(self.curve.weights + (wider * (self.root @ normal)).T))


def pair_scatter(pairs: Measured) -> PairScatter | None:
    """Return how far off the curve of pairs may be, None without a curve or with none left to tell it."""
    curve, away = fitted(pairs), pairs.travel > 0
    if curve is None:
        return None
    count = len(curve.weights)
    freedom = int(np.count_nonzero(away)) - count
    if freedom < 1:
        return None
    residual = (pairs.stroke - curve.stroke(pairs.travel))[away]
    _, upper = np.linalg.qr(_powers(pairs.travel[away] / curve.longest, count))
    deviation = math.sqrt(float(residual @ residual) / freedom)
    return PairScatter(curve, deviation, freedom, values(np.linalg.inv(upper)))


def pairs_deviation(leverage: Leverage) -> Values:
    """Return the standard deviation [m] of a reading, NaN for other kinds and without a degree of freedom."""
    scatter = pair_scatter(leverage) if isinstance(leverage, Measured) else None
    return NONE if scatter is None else values(scatter.deviation)


def checked(pairs: Measured) -> PairsCheck:
    """Return the pairs held against their curve.

    With h the diagonal of the hat matrix, e the residual of a pair, n pairs away from the origin and p
    weights, the curve through the others misses the pair by d = e/(1 − h), and
        t = e/(s √(1 − h)),   s² = (Σe² − e²/(1 − h))/(n − p − 1)
    follows Student's law with n − p − 1 degrees of freedom where errors are normal: the externally
    studentised residual (from memory, any text on regression). A plain residual will not do: a slip pulls the
    curve to itself, at the ends most. The largest of n is odd beyond the two-sided limit for `DOUBT`/n, and
    only if d is more than `READ_WITHIN`. A pair at zero travel tells the curve nothing: its stroke should be
    zero.
    """
    curve, none = fitted(pairs), np.full(len(pairs.travel), np.nan)
    if curve is None:
        return PairsCheck(none, none, none, none, NONE, NONE, 0, None)
    scatter = pair_scatter(pairs)
    on_curve = curve.stroke(pairs.travel)
    residual = values(pairs.stroke - on_curve)
    q, _ = np.linalg.qr(_powers(pairs.travel / curve.longest, len(curve.weights)))
    own = 1 - np.sum(q * q, axis=1)
    # A pair with leverage 1 always fits and cannot be tested.
    own = np.where(own > _BOUND, own, np.nan)
    with np.errstate(divide="ignore"):
        ratio = values(1 / curve.slopes(pairs.travel)[0])
    return PairsCheck(
        curve=on_curve,
        residual=residual,
        by_others=values(pairs.stroke - residual / own),
        ratio=ratio,
        rms=values(np.sqrt(np.mean(residual * residual))),
        deviation=NONE if scatter is None else values(scatter.deviation),
        freedom=0 if scatter is None else scatter.freedom,
        odd=_odd(pairs.travel, residual, own, len(curve.weights)),
    )


def pair_cautions(pairs: Measured, found: PairsCheck) -> tuple[Caution, ...]:
    """Return the caution about the odd pair, which is counted from 1 there; none without one."""
    if found.odd is None:
        return ()
    columns = {"at": pairs.travel, "typed_stroke": pairs.stroke, "by_others": found.by_others}
    numbers = {name: float(column[found.odd]) for name, column in columns.items()}
    return (Caution("odd_pair", {"pair": found.odd + 1.0, **numbers}),)


def _odd(travel: Values, residual: Values, own: Values, weights: int) -> int | None:
    away = travel > 0
    off_zero = ~away & (np.abs(residual) > READ_WITHIN)
    if off_zero.any():
        return int(np.argmax(off_zero))
    count = int(np.count_nonzero(away))
    freedom = count - weights - 1
    if freedom < 1:
        return None
    share = residual * residual / own
    spread = np.maximum(np.sum(residual[away] ** 2) - share, 0.0) / freedom
    slipped = away & (np.abs(residual / own) > READ_WITHIN)
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
