"""What is said of how the two ends of a bike go together."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from physics.balance import Change
    from physics.offered import Bar

MEASURES = {
    "sag_fraction": "sag",
    "frequency": "swings",
    "support": "half x load",
    "bottom_ratio": "end",
}
"""What each measure of agreement is called."""
AGREES = "In everything that can be set here it agrees with the other end, to within 2 %."
PRACTICE = (
    "Natural frequency, support and force at the end are of the riding curve: slow air as far as sag, then "
    "air that keeps its heat. Which of these should agree is the rider's choice. Common practice, no source: "
    "the front sags less than the rear, 15 to 20 % against 25 to 30 %, and the bike stays level over bumps "
    "when both swing about equally fast."
)
CAUTIONS = {
    "pressure": "Never above the limit on the label; eye protection on, the maker's manual first.",
    "spring_rate": (
        "Rates are worked out; A offers the one that can be bought. Collar off before a spring is changed; "
        "eye protection on, the maker's manual first."
    ),
}
OVER: Mapping[Bar, str] = {
    "label": "above the max pressure on the label",
    "gas_law": "beyond 120 bar at full stroke, slow, where the checked gas law ends",
    "rest": "beyond a rest position of 1 mm",
}
"""What a setting may be beyond."""
NEAREST = "Only nearest: no spacer count agrees with the other end at this sag."
"""What is said above a change that does not reach agreement."""
COMPARED = "A setting beyond a limit is told for comparison only: do not set it."
BEYOND = "Settings marked {mark} are {over}: they are told for comparison, do not set them."
"""The caution of a table that marks such settings."""


def over_text(changes: Iterable[Change]) -> str:
    """Return what some of the changes are beyond, empty where none is."""
    found = {bar for change in changes for bar in change.over}
    return " or ".join(text for bar, text in OVER.items() if bar in found)


def is_nearest(change: Change) -> bool:
    """Return whether a change, where there is one, comes nearest to the other end and does not agree."""
    return not change.agrees and math.isfinite(change.setting)


def change_label(change: Change) -> str:
    """Name the measure that a change brings together, and the spacers it takes."""
    measure = MEASURES[change.measure]
    count = float(change.spacers)
    if math.isnan(count):
        return measure
    return f"{measure}, {count:.0f} spacer{'' if count == 1 else 's'}"
