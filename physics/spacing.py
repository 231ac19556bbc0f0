"""Number of volume spacers that fit in a chamber."""

from __future__ import annotations

import numpy as np

from physics.air import positive_area
from physics.arrays import Scalar, Values, values
from physics.case import Air

MOST_SPACERS = 8
"""Largest spacer count considered, starting from none."""


def spacer_counts(spring: Air, stroke: Scalar) -> Values:
    """Return the counts of positive spacers that leave air at full stroke [m].

    Empty if the spacers have no volume.

    >>> from physics.case import NoNegative
    >>> spacer_counts(Air(None, 0.040, 0.009, 0.0, 105e-6, 0, 6e-6, NoNegative()), 0.060).tolist()
    [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]
    """
    if not np.all(values(spring.positive_spacer_volume) > 0):
        return np.empty(0)
    counts = np.arange(MOST_SPACERS + 1.0)
    room = values(spring.positive_volume) - counts * spring.positive_spacer_volume
    return counts[room > positive_area(spring) * stroke]
