"""A job whose every value is sound, and how a job as typed becomes one."""

from __future__ import annotations

from dataclasses import dataclass

from tui.jobs.faults import JobFault, UnusableJob
from tui.jobs.field_words import shown
from tui.jobs.fields import Section
from tui.jobs.findings import Findings
from tui.jobs.job import Job
from tui.jobs.kinds import read_leverage
from tui.jobs.schema import AMBIENT, TARGET, TOP
from tui.jobs.sections import check_format, read_frame, read_load, read_section, table_at
from tui.jobs.setup_sections import read_setups
from tui.jobs.slips import Spelling, spelled


@dataclass(frozen=True, slots=True)
class Reading:
    """The values of a job: SI floats, pressures still gauge [Pa].

    `ride` is None where the job asks about no other air than the shop's.
    """

    load: Section
    frame: Section
    leverage: Section
    target: Section
    ambient: Section
    ride: Section | None
    setups: tuple[Section, ...]
    spelling: Spelling


def read(job: Job) -> Reading:
    """Read a job as typed; raise `UnusableJob` with all its faults if it has any."""
    reading, faults = look(job)
    if faults:
        raise UnusableJob(faults)
    return reading


def look(job: Job) -> tuple[Reading, tuple[JobFault, ...]]:
    """Return what is sound in a job and every fault of the rest."""
    spelling = spelled(job.tree)
    top, found = spelling.tree, Findings(spelling)
    found.unknown_keys(top, TOP, ())
    check_format(top.get("format"), found)
    title = top.get("title", "")
    if not isinstance(title, str):
        found.fault(("title",), f"{shown(title)} cannot be used", "text is accepted")
    frame = table_at(top, "frame", found)
    reading = Reading(
        load=read_load(table_at(top, "load", found), found),
        frame=read_frame(frame, found),
        leverage={} if frame is None else read_leverage(frame.get("leverage"), found),
        target=read_section(table_at(top, "target", found), TARGET, ("target",), found),
        ambient=read_section(table_at(top, "ambient", found), AMBIENT, ("ambient",), found),
        ride=read_section(table_at(top, "ride", found), AMBIENT, ("ride",), found) if "ride" in top else None,
        setups=read_setups(top.get("setup"), found),
        spelling=spelling,
    )
    return reading, tuple(found.faults)
