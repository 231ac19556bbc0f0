"""What can be read off a shock, as data; a fit goes backwards from one of these."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from physics.fit import AskedFriction
    from physics.loop import Loop


@dataclass(frozen=True, slots=True, eq=False)
class LoopRead:
    """Force over stroke, where it comes from in a few words, and the friction told with it, None for none."""

    loop: Loop
    source: str
    friction: AskedFriction | None = None


@dataclass(frozen=True, slots=True)
class CyclingRead:
    """Gauge pressures [Pa] at full extension before and after cycling once."""

    before: float
    after: float


@dataclass(frozen=True, slots=True)
class SagRead:
    """A sag in the measure of the target: a length [m], or a share of the whole."""

    sag: float
    is_share: bool


Readings = LoopRead | CyclingRead | SagRead


class UnusableReadings(ValueError):
    """Readings or a table that cannot be used, one line of words for every fault."""

    def __init__(self, *lines: str) -> None:
        """Keep the lines."""
        self.lines = lines
        super().__init__("\n".join(lines))


_TOLD = 12
"""Faults of one table told one by one."""


def unusable(faults: Sequence[str]) -> UnusableReadings:
    """Return the faults of a table, the first of them told one by one."""
    more = len(faults) - _TOLD
    return UnusableReadings(*faults[:_TOLD], *([f"and {more} lines more like these"] if more > 0 else []))
