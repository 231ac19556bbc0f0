"""How well readings tell the unknowns of a law, and which reading more would where they do not."""

from __future__ import annotations

import numpy as np

from physics.arrays import Values, values
from physics.fit_laws import Law
from physics.loop import Loop
from physics.unfit import Unfit

_SINGULAR = 1e-7
"""Singular values of the scaled Jacobian this far apart are none: rounding makes the rest."""
_TOGETHER = 0.9
"""Two unknowns more correlated than this, one of them not told, are not told apart."""
_ASKED_AT = np.linspace(0.0, 1.0, 61)
"""Places, as shares of the stroke, at which one more reading is thought of."""


def told(law: Law, loop: Loop, solution: Values, slopes: Values, scatter: float) -> tuple[Values, Values]:
    """Return standard errors (unknowns,) and correlation (unknowns, unknowns) of scatter at a solution.

    From s² (JᵀJ)⁻¹, `slopes` J of the law there, `scatter` s in N. Raises `Unfit` where an unknown is not
    told: by name with its partner where the two stand for each other, and with the reading that would help
    most.
    """
    _left, singular, right = np.linalg.svd(slopes, full_matrices=False)
    blind = bool(singular[-1] <= _SINGULAR * singular[0])
    # What nothing is known of gets a huge variance instead of a division by zero.
    kept = np.maximum(singular, singular[0] * _SINGULAR)
    shape = values((right.T / kept**2) @ right)
    deviation = np.sqrt(np.diagonal(shape))
    correlation = values(shape / np.outer(deviation, deviation))
    errors = values(scatter * deviation * law.sizes)
    over = deviation if blind else errors / _enough(law, solution)
    if blind or np.max(over) > 1:
        raise _untold(law, loop, solution, shape, correlation, int(np.argmax(over)))
    return errors, correlation


def _enough(law: Law, solution: Values) -> Values:
    """Return the standard errors beyond which the unknowns count as not told."""
    pairs = zip(law.unknowns, solution, strict=True)
    return values([one.enough * (abs(value) if one.relative else 1.0) for one, value in pairs])


def _untold(law: Law, loop: Loop, solution: Values, shape: Values, correlation: Values, worst: int) -> Unfit:
    stroke, way = _helpful(law, loop, solution, shape, worst)
    others = np.abs(correlation[worst]) * (np.arange(len(solution)) != worst)
    partner = int(np.argmax(others))
    name = law.unknowns[worst].name
    if others[partner] > _TOGETHER:
        names, together = (name, law.unknowns[partner].name), float(correlation[worst, partner])
        return Unfit("not_apart", names, correlation=together, stroke=stroke, way=way)
    return Unfit("not_told", (name,), stroke=stroke, way=way)


def _helpful(law: Law, loop: Loop, solution: Values, shape: Values, worst: int) -> tuple[float, float]:
    """Return stroke [m] and way of the one reading more that takes most off the variance of an unknown.

    With the covariance C of the readings in hand, one more with slopes g takes (C g)²/(1 + g·C g) off it.
    """
    strokes = _ASKED_AT * float(law.bike.lever.stroke)
    ways = np.unique(loop.way)
    stroke, way = np.tile(strokes, len(ways)), np.repeat(ways, len(strokes))
    slopes = law.slopes(solution, stroke, way)
    gains = slopes @ shape
    taken = gains[:, worst] ** 2 / (1 + np.sum(gains * slopes, axis=-1))
    best = int(np.argmax(taken))
    return float(stroke[best]), float(way[best])
