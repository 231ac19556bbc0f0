"""The views of the chart."""

from __future__ import annotations

import math
from enum import Enum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from physics.answer import Answer


class ChartView(Enum):
    """The charts, in the order in which a key cycles through them; the value is the title."""

    SHAFT = "Shaft force"
    WHEEL = "Wheel force"
    DIFFERENCE = "Difference to the baseline"
    WHEEL_RATE = "Wheel rate"
    RATE = "Spring rate"
    CHAMBERS = "Chamber forces"
    LEVERAGE = "Leverage ratio"

    @property
    def number(self) -> str:
        """Its place among all views, like "2/7"."""
        return f"{list(ChartView).index(self) + 1}/{len(ChartView)}"


BY_NAME = {view.value.lower().replace(" ", "-"): view for view in ChartView}
"""Charts by their names on the command line."""

START, END = 0.0, 1.0
FINE, COARSE = 100, 20
"""Steps from one end of the travel to the other."""


def moved(cursor: float, steps: int, per_travel: int = FINE) -> float:
    """Return the cursor moved by `steps` of its grid, clamped to the travel."""
    place = cursor * per_travel
    # From between two grid lines, the first step goes to the next line in its direction.
    start = math.floor(place + 1e-9) if steps > 0 else math.ceil(place - 1e-9)
    return min(max((start + steps) / per_travel, START), END)


def at_sag(answer: Answer, selected: int) -> float | None:
    """Return the cursor at the sag point of a setup, None if it does not settle."""
    if not 0 <= selected < len(answer.setups):
        return None
    fraction = float(answer.setups[selected].sag.wheel_fraction)
    return fraction if math.isfinite(fraction) else None
