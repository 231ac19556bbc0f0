"""How far the picture of a linkage was turned until two of its points lay level."""

from __future__ import annotations

from tui.jobs.job import Job
from tui.jobs.reading import look


def turned_by(job: Job) -> float | None:
    """Return the angle [rad], anticlockwise positive, None where a job of one wheel has no level points."""
    if job.get(("frame", "leverage", "level")) is None:
        return None
    turned = look(job)[0].leverage.get("turned")
    return turned if isinstance(turned, float) else None
