"""Minimisation over settings: every count at once, free knobs on grids that shrink.

Guarantee: no setting of integer knobs is left out. Free knobs start from a grid over their whole
range and from their present values, and the few best points are refined until the grid is narrower
than the required fraction of the range.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from physics.arrays import Values, values
from physics.knobs import Knob, every

Cost = Callable[[Values], Values]
"""Cost of settings (knobs, n), (n,): lower is better, infinite if impossible."""
_GRID = {0: 1, 1: 25, 2: 9, 3: 5}
"""Points of the first grid along each free knob, by the number of free knobs."""
_KEPT = 4
_CLOSER = 5
_SHRINKS = 0.6
FINEST = 1e-7
"""Default resolution of a free knob, as a fraction of its range."""


def best(
    knobs: Sequence[Knob], cost: Cost, now: Values | None = None, finest: float = FINEST
) -> tuple[Values, float]:
    """Return the numbers (knobs,) of the cheapest setting and its cost, infinite if there is none.

    `now` (knobs, n) are settings to start from besides the grid; `finest` is the resolution of a free knob as
    a fraction of its range.

    >>> number, cost = best([Knob("port", 0.0, 1.0)], lambda some: (some[0] - 0.3) ** 2)
    >>> round(float(number[0]), 6)
    0.3
    """
    free = [place for place, knob in enumerate(knobs) if not knob.whole]
    settings = grid(knobs) if now is None else values(np.concatenate([grid(knobs), now], axis=1))
    costs = cost(settings)
    order = np.argsort(costs, kind="stable")[:_KEPT]
    if not free or not np.isfinite(costs[order[0]]):
        return values(settings[:, order[0]]), float(costs[order[0]])
    return _closed_in(knobs, free, cost, values(settings[:, order]), values(costs[order]), finest)


def grid(knobs: Sequence[Knob]) -> Values:
    """Return the settings (knobs, n) of the first grid: every count, and points along free knobs."""
    return every([_along(knob, _places(knobs)) for knob in knobs])


def _places(knobs: Sequence[Knob]) -> int:
    """Return the number of points along each free knob of the first grid."""
    return _GRID.get(sum(not knob.whole for knob in knobs), _CLOSER)


def _along(knob: Knob, places: int) -> Values:
    return values(
        np.arange(knob.low, knob.high + 1) if knob.whole else np.linspace(knob.low, knob.high, places)
    )


def _closed_in(
    knobs: Sequence[Knob], free: Sequence[int], cost: Cost, centres: Values, costs: Values, finest: float
) -> tuple[Values, float]:
    """Return the best setting of successively finer grids around a few settings (knobs, kept).

    Each centre is on its own grid, so the cost never increases.
    """
    low, high = (values([getattr(knob, end) for knob in knobs])[:, None, None] for end in ("low", "high"))
    steps = np.zeros((len(knobs), 1, _CLOSER ** len(free)))
    steps[free, 0] = every([values(np.linspace(-1.0, 1.0, _CLOSER))] * len(free))
    share, kept = 1 / (_places(knobs) - 1), np.arange(centres.shape[1])
    while share > finest:
        reach = (high - low) * share
        around = np.clip(centres[:, :, None] + steps * reach, low, high)
        found = cost(values(around.reshape(len(knobs), -1))).reshape(len(kept), -1)
        cheapest = np.argmin(found, axis=1)
        centres, costs = values(around[:, kept, cheapest]), values(found[kept, cheapest])
        share *= _SHRINKS
    winner = int(np.argmin(costs))
    return values(centres[:, winner]), float(costs[winner])
