"""How far a change may go: what is beyond it is never offered."""

from __future__ import annotations

from collections.abc import Set
from typing import Literal

import numpy as np

from physics import gas
from physics.answer import AirAnswer
from physics.case import Air, SeparateNegative, Setup
from physics.offered import MOST_REST
from physics.sweep import SweptSetup

Bar = Literal["label", "gas_law", "rest"]
"""The max pressure on the label; the law for air at full stroke, pushed in slowly; the rest position."""

BARS: tuple[Bar, ...] = ("label", "gas_law", "rest")


def barred(swept: SweptSetup) -> Set[Bar]:
    """Return the limits that one changed setup of a single case is beyond."""
    return frozenset() if swept.air is None else beyond(swept.setup, swept.air)


def beyond(setup: Setup, air: AirAnswer) -> Set[Bar]:
    """Return the same of an air setup and its answer."""
    spring, found = setup.spring, set[Bar]()
    assert isinstance(spring, Air)
    pumped = float(air.set_pressure)
    if isinstance(spring.negative, SeparateNegative):
        pumped = max(pumped, float(spring.negative.pressure))
    if spring.max_pressure is not None and pumped > spring.max_pressure:
        found.add("label")
    if float(np.fmax(air.peak_pressure, air.highest_extended)) > gas.HIGHEST:
        found.add("gas_law")
    if float(air.rest_stroke) > MOST_REST:
        found.add("rest")
    return frozenset(found)
