"""What is said of how the two ends of a bike go together."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from physics.balance import Change

MEASURES = {
    "sag_fraction": "sag",
    "frequency": "swings",
    "support": "half x load",
    "bottom_ratio": "end",
}
"""What each measure of agreement is called."""
AGREES = "In everything that can be set here it agrees with the other end, to within 2 %."
PRACTICE = (
    "Which of these should agree is the rider's choice. Common practice, no source: the front sags less than "
    "the rear, 15 to 20 % against 25 to 30 %, and the bike stays level over bumps when both swing about "
    "equally fast."
)
CAUTIONS = {
    "pressure": "Never above the limit on the label; eye protection on, the maker's manual first.",
    "spring_rate": "Collar off before a spring is changed; eye protection on, the maker's manual first.",
    "over_label": "A setting above the label's limit is told for comparison only: do not pump it that high.",
}
MARKED = "Settings marked {mark} are above the label's limit: do not pump them that high."
"""The caution of a table that marks such settings."""


def change_label(change: Change) -> str:
    """Name the measure that a change brings together, and the spacers it takes."""
    measure = MEASURES[change.measure]
    count = float(change.spacers)
    if math.isnan(count):
        return measure
    return f"{measure}, {count:.0f} spacer{'' if count == 1 else 's'}"
