"""Whether the residuals of a fit are random, or bend systematically.

Runs test of A. Wald and J. Wolfowitz, "On a test whether two samples are from the same population", Annals of
Mathematical Statistics 11 (1940) 147 (from memory): of n₁ positive and n₂ negative residuals, n together, in
order of stroke, the number R of runs of one sign has
    mean 2 n₁ n₂/n + 1,   variance 2 n₁ n₂ (2 n₁ n₂ − n)/(n² (n − 1)),
and is close to normal from about ten residuals on. A bend makes fewer runs: the probability of R or fewer is
Φ((R + ½ − mean)/√variance).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np

from physics.arrays import Values, values
from physics.frozen import dataclass
from physics.loop import Loop

Verdict = Literal["chance", "bent", "too_few"]

_GROUPS = 24
"""Most groups per direction: neighbouring readings of a dense file share the noise of the tester."""
_LEAST = 8
"""Fewest residuals per direction for a test."""
CHANCE = 0.01
"""Significance level of the runs test for one direction."""
_NOTHING = 1e-3
"""Bends below this fraction of the force range are below any tool error here."""
_TAKEN_UP = 1e-6
"""Fraction of a tool's effect that counts as rounding."""


@dataclass(frozen=True, slots=True)
class Side:
    """One direction of the loop: residuals tested, their runs, the expected runs, and the p-value.

    `way` is +1 compressing, −1 extending; `chance` is NaN with too few residuals.
    """

    way: float
    residuals: int
    runs: int
    expected: float
    chance: float


@dataclass(frozen=True, slots=True)
class Shape:
    """The result of the runs test: the verdict over all directions, and the rms [N] of the residuals tested.

    `opposite`: the two directions bend opposite ways, as with non-constant friction or warm gas.
    """

    verdict: Verdict
    sides: tuple[Side, ...]
    size: float
    opposite: bool


def shape_of(loop: Loop, residual: Values, slopes: Values, effects: Sequence[Values]) -> Shape:
    """Return the shape of residuals [N] (readings,); `slopes` (readings, unknowns) is the law's Jacobian.

    Effects of tool errors within their ± are removed first: `effects` has for each tool the effect of
    one standard deviation on the readings [N], (errors, readings).
    """
    left = _without_tools(residual, slopes, effects)
    ways = [way for way in (1.0, -1.0) if np.any(loop.way == way)]
    there = {way: _grouped(loop.stroke[loop.way == way], left[loop.way == way]) for way in ways}
    sides = tuple(runs_of(way, means) for way, (_stroke, means) in there.items())
    size = float(np.sqrt(np.mean(np.concatenate([means for _stroke, means in there.values()]) ** 2)))
    tested = [side.chance for side in sides if not math.isnan(side.chance)]
    verdict: Verdict = "chance" if tested else "too_few"
    if any(chance < CHANCE for chance in tested) and size > _NOTHING * float(np.ptp(loop.force)):
        verdict = "bent"
    return Shape(verdict, sides, size, _opposite(list(there.values())))


def _without_tools(residual: Values, slopes: Values, effects: Sequence[Values]) -> Values:
    """Return the residuals less the closest combination of tool effects within their ± after the fit."""
    from scipy.optimize import lsq_linear  # imported late: half a second

    if not effects:
        return residual
    whole = np.concatenate(effects).T
    kept = np.linalg.qr(slopes)[0]
    made = whole - kept @ (kept.T @ whole)
    # Effects fully absorbed by the unknowns leave only rounding.
    made = made[:, np.linalg.norm(made, axis=0) > _TAKEN_UP * np.linalg.norm(whole, axis=0)]
    if not made.shape[1]:
        return residual
    most = math.sqrt(3.0)
    return values(residual - made @ lsq_linear(made, residual, (-most, most)).x)


def _grouped(stroke: Values, residual: Values) -> tuple[Values, Values]:
    """Return stroke and residual in order of stroke, as means of groups of equal count."""
    order = np.argsort(stroke, kind="stable")
    edges = np.linspace(0, len(order), min(len(order), _GROUPS) + 1).round().astype(np.intp)
    sums = np.add.reduceat(np.stack([stroke, residual])[:, order], edges[:-1], axis=1)
    places, means = sums / np.diff(edges)
    return values(places), values(means)


def runs_of(way: float, residual: Values) -> Side:
    """Return the runs of sign of residuals (residuals,) in order of stroke; `way` is their direction.

    >>> side = runs_of(1.0, values([1, 1, 1, 1, 1, -1, -1, -1, -1, -1]))
    >>> side.runs, side.expected, round(side.chance, 4)
    (2, 6.0, 0.0094)
    """
    above = residual > 0
    count, up = len(residual), int(np.count_nonzero(above))
    runs = 1 + int(np.count_nonzero(above[1:] != above[:-1]))
    product = 2 * up * (count - up)
    expected = product / count + 1
    if count < _LEAST:
        return Side(way, count, runs, expected, math.nan)
    if product == 0:  # all of one sign: the normal approximation does not apply
        return Side(way, count, runs, expected, 2.0 ** (1 - count))
    far = (runs + 0.5 - expected) / math.sqrt(product * (product - count) / (count**2 * (count - 1)))
    return Side(way, count, runs, expected, 0.5 * math.erfc(-far / math.sqrt(2.0)))


def _opposite(sides: list[tuple[Values, Values]]) -> bool:
    if len(sides) < 2:
        return False
    (stroke, going_in), (other, coming_out) = sides
    return bool(np.dot(going_in, np.interp(stroke, other, coming_out)) < 0)
