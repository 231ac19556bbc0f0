"""A curve through points by cubics, each piece given by its ends and the slopes there.

The interpolators of scipy do the same; loading them takes half a second and 44 MB, most of what a bench has.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from physics.arrays import Values, values
from physics.frozen import dataclass

_Pieces = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Cubic:
    """The cubics through `y` (points,) with the slopes dy/dx (points,) at `x` (points,), in any units.

    Two points at least; `ValueError` for places that do not increase. Beyond the ends the last cubic goes on.
    """

    x: Values
    y: Values
    slope: Values

    def __post_init__(self) -> None:
        if len(self.x) < 2 or not (np.diff(self.x) > 0).all():
            raise ValueError("the places of a curve have to increase")

    def at(self, place: Values) -> tuple[Values, Values]:
        """Return y and dy/dx at places of any shape; NaN stays NaN.

        >>> [float(found) for found in Cubic(values([0, 1]), values([0, 1]), values([0, 3])).at(values(0.5))]
        [0.125, 0.75]
        """
        (c0, c1, c2, c3), z, _ = self._pieces(place)
        return c0 + z * (c1 + z * (c2 + z * c3)), c1 + z * (2 * c2 + z * 3 * c3)

    def integral(self, place: Values) -> Values:
        """Return the integral of y from the first point to places of any shape.

        >>> float(Cubic(values([0, 1]), values([0, 1]), values([0, 3])).integral(values(1.0)))
        0.25
        """
        step = np.diff(self.x)
        # Simpson's rule with the slopes of the ends is exact for a cubic.
        whole = step * ((self.y[:-1] + self.y[1:]) / 2 + step * (self.slope[:-1] - self.slope[1:]) / 12)
        (c0, c1, c2, c3), z, piece = self._pieces(place)
        before = np.concatenate([[0.0], np.cumsum(whole)])[piece]
        return values(before + z * (c0 + z * (c1 / 2 + z * (c2 / 3 + z * c3 / 4))))

    def _pieces(self, place: Values) -> tuple[tuple[Values, Values, Values, Values], Values, _Pieces]:
        """Return the coefficients of the pieces at places, how far these are into them, and the pieces."""
        piece = np.clip(np.searchsorted(self.x, place, "right") - 1, 0, len(self.x) - 2)
        step = np.diff(self.x)
        chord = np.diff(self.y) / step
        bend = (self.slope[:-1] + self.slope[1:] - 2 * chord) / step
        second, third = (chord - self.slope[:-1]) / step - bend, bend / step
        found = self.y[piece], self.slope[piece], second[piece], third[piece]
        return found, values(place - self.x[piece]), piece


def shape_preserving(x: Values, y: Values) -> Cubic:
    """Return the cubics through points (points,) that rise, fall and turn where the points do (PCHIP).

    Fritsch and Butland, A method for constructing local monotone piecewise cubic interpolants, SIAM J. Sci.
    Stat. Comput. 5 (1984), 300; the ends as in Moler, Numerical Computing with MATLAB, 3.6. Two points give
    the straight line. `ValueError` for places that do not increase.

    >>> shape_preserving(values([0, 1, 2]), values([0, 1, 1])).slope.tolist()
    [1.5, 0.0, 0.0]
    """
    curve = Cubic(x, y, np.zeros_like(y))
    step = np.diff(x)
    chord = np.diff(y) / step
    if len(x) == 2:
        return Cubic(x, y, np.repeat(chord, 2))
    turns = chord[:-1] * chord[1:] <= 0
    before, after = np.where(turns, 1.0, chord[:-1]), np.where(turns, 1.0, chord[1:])
    one, other = 2 * step[1:] + step[:-1], step[1:] + 2 * step[:-1]
    curve.slope[1:-1] = np.where(turns, 0.0, (one + other) / (one / before + other / after))
    curve.slope[0] = _at_end(*step[:2], *chord[:2])
    curve.slope[-1] = _at_end(*step[:-3:-1], *chord[:-3:-1])
    return curve


def _at_end(step: float, next_step: float, chord: float, next_chord: float) -> float:
    """Return the slope at an end: of the parabola through three points, as far as it keeps the shape."""
    slope = ((2 * step + next_step) * chord - step * next_chord) / (step + next_step)
    if slope * chord <= 0:
        return 0.0
    turns = chord * next_chord <= 0
    return 3 * chord if turns and abs(slope) > 3 * abs(chord) else slope
