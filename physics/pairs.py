"""Pairs of wheel travel and shock stroke measured on a bike: the fitted curve, and the outlier.

x(w) is the least-squares polynomial through the origin, of degree 3 from six pairs on and 2 from four.
"""

from __future__ import annotations

import math

import numpy as np

from physics.arrays import NONE, Values, values
from physics.case import Leverage, Measured
from physics.faults import Caution
from physics.frozen import dataclass

FEWEST = 4
"""Fewest pairs that determine a curve."""
READ_WITHIN = 0.3e-3
"""Reading error [m] to expect with a ruler (common practice, no source)."""
BEYOND = 1e-3
"""Distance [m] past travel or stroke from which a pair is no reading error (common practice, no source)."""
DOUBT = 0.05
"""Significance level of the outlier test (false-alarm rate)."""
_BOUND = 1e-6
_STEPS = 8
_WHOLE = 5e-3
"""Suggested travels are whole multiples of this [m], easy to find on a ruler."""


@dataclass(frozen=True, slots=True)
class PairCurve:
    """x(w) = Σ weights_i (w/longest)ⁱ [m], i from 1, with `longest` [m] the longest travel of the pairs.

    `weights` [m] of shape (cases..., powers).
    """

    longest: float
    weights: Values

    def stroke(self, wheel: Values) -> Values:
        """Return the stroke [m] at travels [m].

        >>> round(float(PairCurve(0.150, values([0.060])).stroke(values([0.075]))[0]), 6)
        0.03
        """
        return values(self.weights @ _turned(_powers(wheel / self.longest, self.weights.shape[-1])))

    def slopes(self, wheel: Values) -> tuple[Values, Values]:
        """Return dx/dw and d²x/dw² [1/m] at travels [m]."""
        t, power = (wheel / self.longest)[..., None], np.arange(1, self.weights.shape[-1] + 1)
        first = self.weights @ _turned(t ** (power - 1) * power) / self.longest
        bend = t ** np.maximum(power - 2, 0) * power * (power - 1)
        second = self.weights @ _turned(bend) / self.longest**2
        return values(first), values(second)

    def leverage(self, wheel: Values) -> tuple[Values, Values]:
        """Return L = 1/x′ and L′ = −x″/x′² [1/m] at travels [m]; L ≤ 0 where x turns back.

        >>> round(float(PairCurve(0.150, values([0.060])).leverage(values([0.075]))[0][0]), 6)
        2.5
        """
        first, second = self.slopes(wheel)
        with np.errstate(divide="ignore", invalid="ignore"):
            return values(np.where(first == 0, -np.inf, 1 / first)), values(-second / first**2)


@dataclass(frozen=True, slots=True)
class PairsCheck:
    """Every pair compared with the curve, (pairs,), NaN where undetermined.

    `curve` [m] is the stroke of the curve, `residual` [m] measured less curve, `by_others` [m] the stroke
    there by the curve through all other pairs, `ratio` the leverage. Of shape () are `rms` [m] of all
    residuals and `deviation` [m], the standard deviation of a reading, NaN without a degree of `freedom`.
    `odd` is the outlier, None if every residual may be reading error.
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
    """Return the fitted curve, None if there are too few different pairs.

    >>> travel = values([0.03, 0.06, 0.09, 0.12])
    >>> curve = fitted(Measured(travel, travel / 2.5))
    >>> round(float(curve.leverage(values([0.1]))[0][0]), 6)
    2.5
    """
    count = len(pairs.travel)
    degree = 3 if count >= 6 else 2
    # Scaled to the longest travel to keep the least-squares problem well conditioned.
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
    """How far off the fitted curve may be, with normally distributed reading errors.

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
        """Return drawn curves from shares (4, cases), each uniform on −1 to 1.

        With z normal and u² of the χ² distribution with ν degrees of freedom, b + s √(ν/u²) R z has the
        multivariate t distribution of weights whose errors and s come from the same few pairs (Box and Tiao,
        Bayesian Inference in Statistical Analysis, 2.7.2, from memory). Shares of zero give the fitted curve.
        """
        from scipy.special import chdtri, ndtri

        quantiles = (shares + 1) / 2
        normal = ndtri(quantiles[: len(self.root)])
        wider = self.deviation * np.sqrt(self.freedom / chdtri(self.freedom, quantiles[-1]))
        return PairCurve(self.curve.longest, values(self.curve.weights + (wider * (self.root @ normal)).T))


def pair_scatter(pairs: Measured) -> PairScatter | None:
    """Return how far off the curve of pairs may be, None without a curve or without a degree of freedom."""
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
    """Return the standard deviation [m] of a reading, NaN if undetermined or for any other leverage."""
    scatter = pair_scatter(leverage) if isinstance(leverage, Measured) else None
    return NONE if scatter is None else values(scatter.deviation)


def checked(pairs: Measured) -> PairsCheck:
    """Return the pairs compared with their curve.

    With h the diagonal of the hat matrix, e the residual of a pair, n pairs away from the origin and p
    weights, the curve through the others misses the pair by d = e/(1 − h), and
        t = e/(s √(1 − h)),   s² = (Σe² − e²/(1 − h))/(n − p − 1)
    follows Student's t distribution with n − p − 1 degrees of freedom for normal errors: the externally
    studentised residual (from memory, any text on regression). Plain residuals fail: an outlier pulls the fit
    towards itself, most at the ends. The largest of n is an outlier beyond the two-sided limit for `DOUBT`/n,
    and only if d exceeds `READ_WITHIN`. A pair at zero travel says nothing about the curve: its stroke should
    be zero.

    >>> travel = values([0.02, 0.04, 0.06, 0.08, 0.10, 0.12, 0.14])
    >>> stroke = travel / 2.5 + values([0, 0, 0, 0.003, 0, 0, 0])
    >>> checked(Measured(travel, stroke)).odd  # 3 mm off at the fourth pair
    3
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


def suspects(pairs: Measured, found: PairsCheck) -> tuple[int, ...]:
    """Return the indices of the two pairs without which the others fit, empty where one stands out.

    Two wrong pairs hide each other: each widens the scatter that the other one is judged by. Without the
    pairs I the squares of the residuals e sum to Σe² − e_Iᵀ(1 − H_II)⁻¹e_I, H the hat matrix (from memory,
    any text on regression). The two that leave the least are named if the readings then scatter by no more
    than `READ_WITHIN`, and with them by more.

    >>> travel = values([0.02, 0.04, 0.06, 0.08, 0.10, 0.12, 0.14])
    >>> pairs = Measured(travel, travel / 2.5 + values([0, 0, 0, 0.003, 0, 0, -0.003]))
    >>> suspects(pairs, checked(pairs))
    (3, 6)
    """
    curve, away = fitted(pairs), np.flatnonzero(pairs.travel > 0)
    if curve is None or found.odd is not None or not found.deviation > READ_WITHIN:
        return ()
    powers, residual = len(curve.weights), found.residual[away]
    freedom = len(away) - powers - 2
    if freedom < 1:
        return ()
    q, _ = np.linalg.qr(_powers(pairs.travel[away] / curve.longest, powers))
    left = np.eye(len(away)) - q @ q.T
    one, other = np.triu_indices(len(away), 1)
    a, b, both = left[one, one], left[other, other], left[one, other]
    apart = a * b - both * both
    e, f = residual[one], residual[other]
    with np.errstate(divide="ignore", invalid="ignore"):
        taken = (b * e * e - 2 * both * e * f + a * f * f) / apart
    rest = np.where(apart > _BOUND, np.sum(residual * residual) - taken, np.inf)
    best = int(np.argmin(rest))
    if not rest[best] <= freedom * READ_WITHIN**2:
        return ()
    return int(away[one[best]]), int(away[other[best]])


def first_beyond(pairs: Measured, wheel_travel: float, stroke: float) -> int | None:
    """Return the index of the first pair beyond the wheel travel or the stroke [m], None if all are within.

    Neither wheel nor shock goes further, so such a pair was misread or the frame's number is wrong. Within
    `BEYOND` it may be reading error.

    >>> first_beyond(Measured(values([0.07, 0.14]), values([0.03, 0.0649])), 0.140, 0.060)
    1
    """
    beyond = np.flatnonzero((pairs.travel > wheel_travel + BEYOND) | (pairs.stroke > stroke + BEYOND))
    return int(beyond[0]) if beyond.size else None


def beyond_cautions(pairs: Measured, wheel_travel: float, stroke: float) -> tuple[Caution, ...]:
    """Return the caution about the first pair beyond the travel or the stroke [m], counted from 1 there."""
    place = first_beyond(pairs, wheel_travel, stroke)
    if place is None:
        return ()
    typed = {"at": float(pairs.travel[place]), "typed_stroke": float(pairs.stroke[place])}
    sizes = {"wheel_travel": wheel_travel, "stroke": stroke}
    return (Caution("pair_beyond", {"pair": place + 1.0, **typed, **sizes}),)


def pair_cautions(pairs: Measured, found: PairsCheck) -> tuple[Caution, ...]:
    """Return the caution about the outlier, counted from 1 there; none without one."""
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
    # t² against its limit without division: the other residuals may all be zero.
    excess = np.where(slipped, share - _limit(freedom, count) ** 2 * spread, 0.0)
    worst = int(np.argmax(excess))
    return worst if excess[worst] > 0 else None


def _limit(freedom: int, count: int) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(freedom, 1 - DOUBT / (2 * count)))


def next_travel(travel: Values, wheel_travel: float) -> float | None:
    """Return the wheel travel [m] to measure next, None once the pairs reach the end.

    Even steps from full extension, whole multiples of 5 mm, about eight over the travel, and the end itself.

    >>> next_travel(values([0.02, 0.04]), 0.150)
    0.06
    """
    step = math.ceil(wheel_travel / _STEPS / _WHOLE) * _WHOLE
    last = float(np.max(travel, initial=0.0))
    if last > wheel_travel - READ_WITHIN:
        return None
    following = math.floor(last / step + 1e-6) * step + step
    return following if following < wheel_travel - step / 2 else wheel_travel
