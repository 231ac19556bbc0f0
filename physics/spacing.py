"""How many volume spacers a chamber can take."""

from __future__ import annotations

import numpy as np

from physics.air import positive_area
from physics.arrays import Scalar, Values, values
from physics.case import Air

MOST_SPACERS = 8
"""Spacer counts looked at, from none on."""


def spacer_counts(spring: Air, stroke: Scalar) -> Values:
    """Return the counts of positive spacers that leave air at full stroke [m], none without their volume."""
    if not np.all(values(spring.positive_spacer_volume) > 0):
        return np.empty(0)
    counts = np.arange(MOST_SPACERS + 1.0)
    room = values(spring.positive_volume) - counts * spring.positive_spacer_volume
    return counts[room > positive_area(spring) * stroke]
