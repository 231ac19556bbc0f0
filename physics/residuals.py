"""Whether what is left between readings and law is chance, or bends as the law cannot.

Runs test of A. Wald and J. Wolfowitz, "On a test whether two samples are from the same population", Annals of
Mathematical Statistics 11 (1940) 147 (from memory): of n₁ residuals above zero and n₂ below, n together, in
the order of the stroke, the runs of one sign are R with
    mean 2 n₁ n₂/n + 1,   variance 2 n₁ n₂ (2 n₁ n₂ − n)/(n² (n − 1)),
close to normal from some ten residuals on. A bend makes fewer runs: the chance of R or fewer is
Φ((R + ½ − mean)/√variance).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from physics.arrays import Values, values
from physics.loop import Loop

Verdict = Literal["chance", "bent", "too_few"]

_GROUPS = 24
"""Most groups on one side: readings close to each other in a dense file share the noise of the tester."""
_LEAST = 8
"""Fewer residuals than this on a side show no shape."""
_CHANCE = 0.01
"""A side with so few runs comes of chance less often than this."""
_NOTHING = 1e-3
"""Bends below this share of the span of the force are less than what any tool here tells."""
_TAKEN_UP = 1e-6
"""Share of a tool's effect that may be left of it by rounding."""


@dataclass(frozen=True, slots=True)
class Side:
    """One way of the loop: residuals tested, their runs, the runs expected, and the chance of so few.

    The way is +1 going in, −1 coming out; the chance is NaN where there are too few residuals.
    """

    way: float
    residuals: int
    runs: int
    expected: float
    chance: float


@dataclass(frozen=True, slots=True)
class Shape:
    """What the runs say: the verdict of all sides, and the root mean square [N] of the residuals tested.

    `opposite` is whether the two sides bend opposite ways, as friction that is not constant or warm gas does.
    """

    verdict: Verdict
    sides: tuple[Side, ...]
    size: float
    opposite: bool


def shape_of(loop: Loop, residual: Values, slopes: Values, effects: Sequence[Values]) -> Shape:
    """Return the shape of residuals [N] (readings,), `slopes` (readings, unknowns) those of the law.

    What the tools' errors can make of them, each within its ±, is taken off: `effects` has for each tool what
    its errors of one standard deviation do to the readings [N], (errors, readings).
    """
    left = _without_tools(residual, slopes, effects)
    ways = [way for way in (1.0, -1.0) if np.any(loop.way == way)]
    there = {way: _grouped(loop.stroke[loop.way == way], left[loop.way == way]) for way in ways}
    sides = tuple(runs_of(way, means) for way, (_stroke, means) in there.items())
    size = float(np.sqrt(np.mean(np.concatenate([means for _stroke, means in there.values()]) ** 2)))
    tested = [side.chance for side in sides if not math.isnan(side.chance)]
    verdict: Verdict = "chance" if tested else "too_few"
    if any(chance < _CHANCE for chance in tested) and size > _NOTHING * float(np.ptp(loop.force)):
        verdict = "bent"
    return Shape(verdict, sides, size, _opposite(list(there.values())))


def _without_tools(residual: Values, slopes: Values, effects: Sequence[Values]) -> Values:
    """Return the residuals less the closest to them that tools within their ± make of them after the fit."""
    from scipy.optimize import lsq_linear  # half a second that nothing else on the bench waits for

    if not effects:
        return residual
    whole = np.concatenate(effects).T
    kept = np.linalg.qr(slopes)[0]
    made = whole - kept @ (kept.T @ whole)
    # Of what the unknowns take up whole only rounding is left.
    made = made[:, np.linalg.norm(made, axis=0) > _TAKEN_UP * np.linalg.norm(whole, axis=0)]
    if not made.shape[1]:
        return residual
    most = math.sqrt(3.0)
    return values(residual - made @ lsq_linear(made, residual, (-most, most)).x)


def _grouped(stroke: Values, residual: Values) -> tuple[Values, Values]:
    """Return stroke and residual in the order of the stroke, as means of groups of equal count."""
    order = np.argsort(stroke, kind="stable")
    edges = np.linspace(0, len(order), min(len(order), _GROUPS) + 1).round().astype(np.intp)
    sums = np.add.reduceat(np.stack([stroke, residual])[:, order], edges[:-1], axis=1)
    places, means = sums / np.diff(edges)
    return values(places), values(means)


def runs_of(way: float, residual: Values) -> Side:
    """Return the runs of sign of residuals (residuals,) in the order of the stroke; `way` is theirs."""
    above = residual > 0
    count, up = len(residual), int(np.count_nonzero(above))
    runs = 1 + int(np.count_nonzero(above[1:] != above[:-1]))
    product = 2 * up * (count - up)
    expected = product / count + 1
    if count < _LEAST:
        return Side(way, count, runs, expected, math.nan)
    if product == 0:  # all of one sign, of which the normal form says nothing
        return Side(way, count, runs, expected, 2.0 ** (1 - count))
    far = (runs + 0.5 - expected) / math.sqrt(product * (product - count) / (count**2 * (count - 1)))
    return Side(way, count, runs, expected, 0.5 * math.erfc(-far / math.sqrt(2.0)))


def _opposite(sides: list[tuple[Values, Values]]) -> bool:
    if len(sides) < 2:
        return False
    (stroke, going_in), (other, coming_out) = sides
    return bool(np.dot(going_in, np.interp(stroke, other, coming_out)) < 0)
