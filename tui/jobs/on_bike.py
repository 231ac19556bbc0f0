"""Which setup was on the bike when it was measured, through renaming and taking out."""

from __future__ import annotations

from tui.jobs.job import Job
from tui.jobs.tree import Path, Raw

ON_BIKE: Path = ("measured", "setup")


def setup_on_bike(job: Job) -> int:
    """Return the place of the setup that was on the bike: the one named, else the first."""
    names, meant = _names(job), job.get(ON_BIKE)
    return names.index(meant) if meant in names else 0


def still_on_bike(before: Job, after: Job) -> Job:
    """Return a changed job of one wheel with the same setup on the bike: renamed with it, gone with it."""
    meant, old, new = before.get(ON_BIKE), _names(before), _names(after)
    if meant is None or after.get(ON_BIKE) != meant or meant in new:
        return after
    if len(new) < len(old):
        return after.taken_out(ON_BIKE)
    # A setup whose name was taken out first is the one that bore it.
    at = old.index(meant) if meant in old else old.index(None) if None in old else len(new)
    return after.with_value(ON_BIKE, new[at]) if at < len(new) and new[at] else after


def _names(job: Job) -> list[Raw | None]:
    names = (setup.get("name") for setup in job.setups)
    return [name if isinstance(name, str) else None for name in names]
