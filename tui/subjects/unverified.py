"""Values of a job that nobody has typed or confirmed, named as on the bench: for sheet and report."""

from __future__ import annotations

from collections.abc import Iterator

from physics.frozen import NamedTuple
from tui.job.answer import JobAnswer
from tui.job.faults import dotted
from tui.job.fields import Amount, Field, Pair
from tui.job.job import Job
from tui.job.panels import panels, unconfirmed_at
from tui.job.quantities import in_si, plain, split
from tui.job.tree import TreePath, brief
from tui.job.typed import field_text
from tui.job.wheels import WHEELS, Wheel, has_front, left_out, wheel_job
from tui.kit.document import Block, Document, Labelled, Paragraph, Table
from tui.kit.roles import Role
from tui.shop_units import ShopUnits

_OF_RIDER: dict[str | int, str] = {"load": "load", "target": "target"}
"""Parts of the rider panel that exist once per wheel."""


class Unverified(NamedTuple):
    """One value: its place in the file, its part of the bench, its label and its text."""

    path: TreePath
    part: str
    label: str
    value: str


def unverified(job: Job, units: ShopUnits | None = None) -> tuple[Unverified, ...]:
    """Return every unconfirmed value of a job except those of an excluded end, in the bench's order.

    Values are written as in the job, or in `units`.
    """
    out, found = left_out(job), dict[TreePath, Unverified]()
    ends = ((path, "front" if path[0] == "front" else "rear") for path in job.unconfirmed)
    wanted = [path for path, end in ends if end != out or _is_shared(path)]
    for end in WHEELS if has_front(job) else WHEELS[:1]:
        for one in _at_end(job, end, units):
            if one.path in wanted:
                found.setdefault(one.path, one)
    for path in wanted:
        # A value in the file without a row on the bench.
        found.setdefault(path, Unverified(path, "file", dotted(path), brief(plain(job.get(path)))))
    return tuple(found.values())


def _is_shared(path: TreePath) -> bool:
    return path[0] not in ("front", "frame", "target", "setup")


def _at_end(job: Job, wheel: Wheel, units: ShopUnits | None) -> Iterator[Unverified]:
    alone, listed, both = wheel_job(job, wheel), job.unconfirmed, has_front(job)
    rows = ((panel, row) for panel in panels(alone, wheel if both else None) for row in panel.rows)
    for panel, row in rows:
        for path in unconfirmed_at(alone, row):
            own = wheel == "front" and job.get(("front", *path)) is not None
            whole: TreePath = ("front", *path) if own else path
            # The list names the value itself, or the table that holds it.
            depths = range(len(whole), 0, -1)
            whole = next((whole[:depth] for depth in depths if whole[:depth] in listed), whole)
            of_wheel = f"{wheel if both else ''} {_OF_RIDER.get(path[0], panel.title)}".lstrip()
            part = panel.title if _is_shared(whole) else of_wheel
            yield Unverified(whole, brief(part), row.full_label, _value(alone, row, path, units))


def _value(alone: Job, row: Field, path: TreePath, units: ShopUnits | None) -> str:
    raw = alone.get(path)
    if isinstance(row.kind, Pair) and isinstance(raw, tuple):
        return f"{len(raw)} pairs"
    if path != row.path:
        return f"{len(raw)} points" if raw is not None else ""
    typed = brief(field_text(alone, row))
    return typed if units is None else in_units(typed, row, units) or typed


def in_units(typed: str, row: Field, units: ShopUnits) -> str:
    """Return a quantity in the shop's units, empty if typed that way already or not a quantity."""
    if not isinstance(row.kind, Amount):
        return ""
    parts, si = split(typed), in_si(typed, row.kind.measure)
    if parts is None or si is None or parts[1] == units.unit(row.kind.measure):
        return ""
    return units.show(si, row.kind.measure)


def counted(count: int) -> str:
    """Return the number of unverified values and what it means."""
    if count == 1:
        return "1 value is unverified: nobody has typed or confirmed it."
    return f"{count} values are unverified: nobody has typed or confirmed them."


def ends_told(answered: JobAnswer) -> list[tuple[Wheel, JobAnswer]]:
    """Return every end of a bike with its answer, except an excluded one."""
    out, ends = left_out(answered.job), ((end, answered.at(end)) for end in WHEELS)
    return [(end, there) for end, there in ends if there is not None and end != out]


def left_out_text(job: Job) -> str:
    """Return which end is excluded and why, empty if none is."""
    why = "is left out: it is still the invented example, no value typed or confirmed"
    return f"The {end} wheel {why}." if (end := left_out(job)) else ""


def document(job: Job, units: ShopUnits) -> Document:
    """Return every unconfirmed value by its part of the bench, and which end is excluded."""
    values, parts, blocks = unverified(job, units), dict[str, list[str]](), list[Block]()
    for value in values:
        parts.setdefault(value.part, []).append(f"{value.label} {value.value}")
    if values:
        them = "them" if len(values) > 1 else "it"
        check = f"Check {them}, type {them} or confirm {them} before this sheet goes out; listed at its end."
        blocks.append(Paragraph(f"{counted(len(values))} {check}", Role.CAUTION, plain="Unverified"))
        lines = tuple(f"  {one.part}: {one.label} {one.value}" for one in values)
        blocks.append(Table((), plain=lines))
    blocks += (Labelled(part, "; ".join(each), plain="") for part, each in parts.items())
    return Document((*blocks, Paragraph(left_out_text(job), plain="")))


def json_object(job: Job) -> list[str]:
    """Return the place in the file of every unconfirmed value."""
    return [dotted(path) for path in job.unconfirmed]
