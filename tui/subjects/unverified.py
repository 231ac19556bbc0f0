"""Values of a job that nobody has typed or confirmed, by the names of the bench: for sheet and report."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from tui.job.faults import dotted
from tui.job.fields import Amount, Field, Pair
from tui.job.job import Job
from tui.job.panels import panels, unconfirmed_at
from tui.job.quantities import in_si, plain, split
from tui.job.tree import TreePath, brief
from tui.job.typed import field_text
from tui.job.wheels import WHEELS, Wheel, has_front, left_out, wheel_job
from tui.shop_units import ShopUnits

_OF_RIDER: dict[str | int, str] = {"load": "load", "target": "target"}
"""Parts of the rider panel that each wheel has of its own."""


class Unverified(NamedTuple):
    """One value: where it stands in the file, the part of the bench it belongs to, its label and its text."""

    path: TreePath
    part: str
    label: str
    value: str


def unverified(job: Job, units: ShopUnits | None = None) -> tuple[Unverified, ...]:
    """Return every unconfirmed value of a job but those of an end that is left out, in the bench's order.

    Values are told as they stand in the job, or in `units`.
    """
    out = left_out(job)
    wanted = [path for path in job.unconfirmed if _end_of(path) != out or _is_shared(path)]
    found: dict[TreePath, Unverified] = {}
    for end in WHEELS if has_front(job) else WHEELS[:1]:
        for one in _at_end(job, end, units):
            if one.path in wanted:
                found.setdefault(one.path, one)
    for path in wanted:
        # A value of the file that the bench has no row for.
        found.setdefault(path, Unverified(path, "file", dotted(path), brief(plain(job.get(path)))))
    return tuple(found.values())


def _end_of(path: TreePath) -> Wheel:
    return "front" if path[0] == "front" else "rear"


def _is_shared(path: TreePath) -> bool:
    return path[0] not in ("front", "frame", "target", "setup")


def _at_end(job: Job, wheel: Wheel, units: ShopUnits | None) -> Iterator[Unverified]:
    alone = wheel_job(job, wheel)
    lead = f"{wheel} " if has_front(job) else ""
    for panel in panels(alone, wheel if has_front(job) else None):
        for row in panel.rows:
            for path in unconfirmed_at(alone, row):
                whole = (
                    ("front", *path) if wheel == "front" and job.get(("front", *path)) is not None else path
                )
                whole = _listed_at(job, whole)
                part = panel.title if _is_shared(whole) else f"{lead}{_OF_RIDER.get(path[0], panel.title)}"
                yield Unverified(whole, brief(part), row.full_label, _value(alone, row, path, units))


def _listed_at(job: Job, path: TreePath) -> TreePath:
    """Return the path that is on a list: that of the value itself, or of what holds it."""
    listed = job.unconfirmed
    return next((path[:depth] for depth in range(len(path), 0, -1) if path[:depth] in listed), path)


def _value(alone: Job, row: Field, path: TreePath, units: ShopUnits | None) -> str:
    raw = alone.get(path)
    if isinstance(row.kind, Pair) and isinstance(raw, tuple):
        return f"{len(raw)} pairs"
    if path != row.path:
        return f"{len(raw)} points" if raw is not None else ""
    typed = brief(field_text(alone, row))
    return typed if units is None else in_units(typed, row, units) or typed


def in_units(typed: str, row: Field, units: ShopUnits) -> str:
    """Return an amount as the shop writes it, empty where it is typed like that or is no amount."""
    if not isinstance(row.kind, Amount):
        return ""
    parts, si = split(typed), in_si(typed, row.kind.measure)
    if parts is None or si is None or parts[1] == units.unit(row.kind.measure):
        return ""
    return units.show(si, row.kind.measure)


def counted(count: int) -> str:
    """Say how many values there are and what that means."""
    if count == 1:
        return "1 value is unverified: nobody has typed or confirmed it."
    return f"{count} values are unverified: nobody has typed or confirmed them."


def by_part(values: Sequence[Unverified]) -> Iterator[tuple[str, str]]:
    """Yield each part of the bench with its values as one text."""
    told: dict[str, list[str]] = {}
    for value in values:
        told.setdefault(value.part, []).append(f"{value.label} {value.value}")
    yield from ((part, "; ".join(each)) for part, each in told.items())


def left_out_text(job: Job) -> str:
    """Say which end is left out and why, empty where none is."""
    end = left_out(job)
    if end is None:
        return ""
    return (
        f"The {end} wheel is left out: it is still the invented example, no value of it typed or confirmed."
    )
