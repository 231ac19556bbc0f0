"""What the rider felt after the ride, as the bench keeps it."""

from __future__ import annotations

from typing import NamedTuple


class Feeling(NamedTuple):
    """The place of a complaint in `FELT` and that of the change that is looked at."""

    felt: int = 0
    change: int = 0


FIRST = Feeling()
"""What is looked at to begin with."""
