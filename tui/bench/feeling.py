"""What the rider felt after the ride, as the bench keeps it; what is ticked stands in the job."""

from __future__ import annotations

from typing import NamedTuple


class Feeling(NamedTuple):
    """The place of a symptom in `SYMPTOMS` and that of the change that is looked at."""

    symptom: int = 0
    change: int = 0


FIRST = Feeling()
"""What is looked at to begin with."""
