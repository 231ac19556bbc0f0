"""A job whose every value is sound, and how a job as typed becomes one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tui.jobs.faults import JobFault, UnusableJob
from tui.jobs.fields import Findings, Section, unknown_keys
from tui.jobs.job import Job
from tui.jobs.schema import AMBIENT, TARGET, TOP
from tui.jobs.sections import check_format, read_frame, read_leverage, read_load, read_section, table_at
from tui.jobs.setup_sections import read_setups
from tui.jobs.tree import Path


@dataclass(frozen=True, slots=True)
class Reading:
    """The values of a job: SI floats, pressures still gauge [Pa].

    `ride` is None where the job asks about no other air than the shop's. `units` holds the unit each
    quantity was typed in, e.g. `units[("setup", 0, "rate")]`.
    """

    title: str
    load: Section
    frame: Section
    leverage: Section
    target: Section
    ambient: Section
    ride: Section | None
    setups: tuple[Section, ...]
    units: Mapping[Path, str]


def read(job: Job) -> Reading:
    """Read a job as typed; raise `UnusableJob` with all its faults if it has any."""
    reading, faults = look(job)
    if faults:
        raise UnusableJob(faults)
    return reading


def look(job: Job) -> tuple[Reading, tuple[JobFault, ...]]:
    """Return what is sound in a job and every fault of the rest."""
    found = Findings()
    top = job.tree
    unknown_keys(top, TOP, (), found)
    check_format(top.get("format"), found)
    if not isinstance(top.get("title", ""), str):
        found.fault(("title",), "not text", "text is accepted")
    frame = table_at(top, "frame", found)
    reading = Reading(
        title=job.title,
        load=read_load(table_at(top, "load", found), found),
        frame=read_frame(frame, found),
        leverage=read_leverage(frame.get("leverage"), found),
        target=read_section(table_at(top, "target", found), TARGET, ("target",), found),
        ambient=read_section(table_at(top, "ambient", found), AMBIENT, ("ambient",), found),
        ride=read_section(table_at(top, "ride", found), AMBIENT, ("ride",), found) if "ride" in top else None,
        setups=read_setups(top.get("setup"), found),
        units=found.units,
    )
    return reading, tuple(found.faults)
