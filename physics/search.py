"""The best of all settings: every count at once, and what turns freely on grids that close in.

Guarantee: no setting of whole knobs alone is left out. Knobs that turn freely start from a grid over all of
their range and from how they stand, and the few best places of it are closed in on until a grid is narrower
than the share of the range that is asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from physics.arrays import Values, values
from physics.knobs import Knob, every

Cost = Callable[[Values], Values]
"""What settings (knobs, n) are worth, (n,): the less the better, infinite where one cannot be."""
_GRID = {0: 1, 1: 25, 2: 9, 3: 5}
"""Places of the first grid along each free knob, by how many there are."""
_KEPT = 4
_CLOSER = 5
_SHRINKS = 0.6
FINEST = 1e-7
"""Share of its range that a free knob is closed in on to where nothing else is asked for."""


def best(
    knobs: Sequence[Knob], cost: Cost, now: Values | None = None, finest: float = FINEST
) -> tuple[Values, float]:
    """Return the numbers (knobs,) of the cheapest setting and its cost, infinite where there is none.

    `now` (knobs, n) are settings to start from besides the grid; `finest` is the share of its range within
    which a free knob is found.
    """
    free = [place for place, knob in enumerate(knobs) if not knob.whole]
    settings = grid(knobs) if now is None else values(np.concatenate([grid(knobs), now], axis=1))
    costs = cost(settings)
    order = np.argsort(costs, kind="stable")[:_KEPT]
    if not free or not np.isfinite(costs[order[0]]):
        return values(settings[:, order[0]]), float(costs[order[0]])
    return _closed_in(knobs, free, cost, values(settings[:, order]), values(costs[order]), finest)


def grid(knobs: Sequence[Knob]) -> Values:
    """Return the settings (knobs, n) a search starts from: every count, and places along what is free."""
    return every([_along(knob, _places(knobs)) for knob in knobs])


def _places(knobs: Sequence[Knob]) -> int:
    """Return how many places along each free knob the first grid has."""
    return _GRID.get(sum(not knob.whole for knob in knobs), _CLOSER)


def _along(knob: Knob, places: int) -> Values:
    return values(
        np.arange(knob.low, knob.high + 1) if knob.whole else np.linspace(knob.low, knob.high, places)
    )


def _closed_in(
    knobs: Sequence[Knob], free: Sequence[int], cost: Cost, centres: Values, costs: Values, finest: float
) -> tuple[Values, float]:
    """Return the best that grids around a few settings (knobs, kept) find, each round narrower than the last.

    A centre is itself on its grid, so that nothing found is lost.
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
