"""A leverage table in words, and written into a job as if it had been typed."""

from __future__ import annotations

from collections.abc import Mapping

from physics.units import Dimension, UnitFault, parse
from tui.jobs.job import Job
from tui.jobs.tree import Raw
from tui.readings.leverage_file import LeverageRead
from tui.readings.roles import RATIO, STROKE

_SAME = 1e-9
"""Lengths [m] that differ by less are one."""


def understood(read: LeverageRead) -> str:
    """Return what was found in a file, in one line."""
    columns = ", ".join(
        f"{column.role.name}{f' [{column.unit}]' if column.unit else ''} in column {column.place + 1}"
        for column in read.found
    )
    start, end = read.ratio
    stroke = "" if read.stroke is None else f", {read.stroke:g} mm of stroke"
    return (
        f"{columns[:1].upper()}{columns[1:]}: "
        f"{read.rows} rows to {read.wheel_travel:g} mm of wheel travel{stroke}, "
        f"ratio {start:.2f} to {end:.2f} : 1"
    )


def kept_words(read: LeverageRead) -> str:
    """Say how the rows of a job differ from those of the file, empty where they do not."""
    if {column.role for column in read.found} == {STROKE, RATIO}:
        more = f", with {read.kept - read.rows} rows added between them" if read.kept > read.rows else ""
        return f"Wheel travel follows from the ratios over the stroke{more}"
    if read.kept < read.rows:
        return f"{read.kept} of the rows are kept, evenly spread: a job takes no more"
    return ""


def frame_of(read: LeverageRead) -> dict[str, Raw]:
    """Return the keys of a frame that the table tells."""
    sizes = {"wheel_travel": read.wheel_travel, "stroke": read.stroke}
    known = {key: f"{size:.10g} mm" for key, size in sizes.items() if size is not None}
    return {**known, "leverage": {"kind": read.kind, **read.columns}}


def changes(job: Job, read: LeverageRead) -> Mapping[str, str]:
    """Return what the table makes of the frame's sizes, by key, those alone that it changes."""
    sizes = {key: text for key, text in frame_of(read).items() if key != "leverage"}
    return {key: text for key, text in sizes.items() if not _is_same(job.get(("frame", key)), text)}


def taken_into(job: Job, read: LeverageRead) -> Job:
    """Return the job with the leverage of a table, and with the sizes of the frame that go with it."""
    for key, text in changes(job, read).items():
        job = job.with_value(("frame", key), text)
    return job.with_value(("frame", "leverage"), frame_of(read)["leverage"])


def _is_same(raw: Raw, text: str) -> bool:
    try:
        lengths = [parse(str(one), Dimension.LENGTH)[0] for one in (raw, text)]
    except UnitFault:
        return False
    return abs(lengths[0] - lengths[1]) < _SAME
