"""A safeguarded Newton iteration on a whole axis of cases at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from physics.arrays import Values, values

MOST_STEPS = 80
RELATIVE_TOLERANCE = 1e-13


def bracketed_root(law: Callable[[Values], tuple[Values, Values]], low: Values, high: Values) -> Values:
    """Return the root of each case between `low` and `high`, where `law` rises through zero.

    `law` maps positions (cases...) to value and slope. Newton's step is taken where it stays inside the
    bracket, halving it otherwise, so every case converges. A case without a change of sign gives NaN.
    """
    low, high = (np.array(edge, dtype=float) for edge in np.broadcast_arrays(low, high))
    good = (law(low)[0] <= 0) & (law(high)[0] >= 0)
    span = np.abs(high - low)
    here = (low + high) / 2
    for _ in range(MOST_STEPS):
        value, slope = law(here)
        low, high = np.where(value <= 0, here, low), np.where(value >= 0, here, high)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = here - value / slope
        inside = np.isfinite(step) & (step > low) & (step < high)
        following = np.where(inside, step, (low + high) / 2)
        moved = np.abs(following - here)
        here = following
        if np.all((moved <= RELATIVE_TOLERANCE * span) | ~good | (value == 0)):
            break
    return values(np.where(good, here, np.nan))
