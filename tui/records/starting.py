"""A job for the next rider: what stays is the bike's, what goes is the last rider's."""

from __future__ import annotations

import re

from tui.jobs.job import Job
from tui.jobs.tree import Path, Table

_RECORD: Path = ("record",)
_OF_RIDER: tuple[Path, ...] = (
    ("record", "customer"),
    ("record", "ticket"),
    ("measured",),
    ("front", "measured"),
    ("ridden",),
)
_RIDER: tuple[Path, ...] = (
    ("load", "rider_mass"),
    ("load", "scale_mass"),
    ("front", "load", "scale_mass"),
)
_EDGES = " ,;:-/–—|·"
_LEAST_NAME = 3
"""Letters of a part of a name that is looked for in a title by itself."""


def for_next_rider(job: Job) -> Job:
    """Return the job without its customer, what was measured and how it rode; frame and setups stay.

    What the last rider weighed stays too, for a start: nobody has typed it for this one.
    """
    title = _without_names(job.title, _names(job))
    for path in _OF_RIDER:
        job = job.without(path)
    if job.get(_RECORD) == Table({}):
        job = job.without(_RECORD)
    for path in _RIDER:
        raw = job.get(path)
        job = job if raw is None else job.with_invented(path, raw)
    if title == job.title:
        return job
    return job.with_value(("title",), title) if title else job.without(("title",))


def _names(job: Job) -> list[str]:
    """Return the customer's name, its parts, and the ticket, the longest first."""
    texts = [job.get(path) for path in _OF_RIDER[:2]]
    names = [text.strip() for text in texts if isinstance(text, str)]
    parts = [part for name in names for part in name.split() if len(part) >= _LEAST_NAME]
    return sorted({name for name in (*names, *parts) if name}, key=len, reverse=True)


def _without_names(title: str, names: list[str]) -> str:
    for name in names:
        title = re.sub(rf"(?<!\w){re.escape(name)}(?:['’]s)?(?!\w)", " ", title, flags=re.IGNORECASE)
    title = re.sub(r"\(\s*\)", " ", title)
    return " ".join(title.split()).strip(_EDGES)
