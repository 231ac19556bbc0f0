"""An end of a bike that is still an invented example, and so no part of a customer's job."""

from __future__ import annotations

from tui.jobs.ends import End, has_front
from tui.jobs.job import Job
from tui.jobs.tree import Path, Raw, Table
from tui.jobs.unconfirmed import is_value

_OWN: dict[End, tuple[Path, ...]] = {
    "rear": (("frame",), ("target",), ("setup",), ("measured",)),
    "front": (("front",),),
}
"""The tables that only one end has."""
_RIDER = ("rider_mass", "scale_mass")
_WHOSE = ("customer", "ticket", "bike")


def left_out(job: Job) -> End | None:
    """Return the end that goes on no sheet and in no report: every value of it is still invented.

    That counts from when the job is a customer's: its title or its rider typed, or somebody in its record.
    Of two such ends it is the front.
    """
    if not has_front(job) or not _is_begun(job):
        return None
    if _is_invented(job, "front"):
        return "front"
    return "rear" if _is_invented(job, "rear") else None


def _is_begun(job: Job) -> bool:
    typed = [("title",), *(("load", key) for key in _RIDER)]
    whose = any(job.get(("record", key)) for key in _WHOSE)
    return whose or any(job.get(path) is not None and not job.is_unconfirmed(path) for path in typed)


def _is_invented(job: Job, end: End) -> bool:
    """Return whether an end has values, and nobody has typed or confirmed any of them."""
    values = [path for table in _OWN[end] for path in _values(job.get(table), table)]
    return bool(values) and all(job.is_unconfirmed(path) for path in values)


def _values(raw: Raw, here: Path) -> list[Path]:
    if isinstance(raw, Table):
        found = [(*here, key) for key, inner in raw.items() if is_value(key, inner)]
        return found + [path for key, inner in raw.items() for path in _inside(inner, (*here, key))]
    return [path for index, inner in enumerate(raw or ()) for path in _inside(inner, (*here, index))]


def _inside(raw: Raw, here: Path) -> list[Path]:
    holds_tables = isinstance(raw, tuple) and bool(raw) and isinstance(raw[0], Table)
    return _values(raw, here) if isinstance(raw, Table) or holds_tables else []
