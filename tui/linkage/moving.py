"""From a job to its linkage in motion, or to the reasons why it has none, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tui.jobs.faults import UnusableJob
from tui.jobs.job import Job

if TYPE_CHECKING:
    from physics.case import Linkage
    from physics.linkage import Motion

_CONCERNS = (("frame", "leverage"), ("frame", "stroke"), ("frame", "eye_to_eye"))
"""The parts of a job that a linkage hangs on."""


@dataclass(frozen=True, slots=True, eq=False)
class Moved:
    """A linkage in SI and its motion over the stroke, beside the job it is of."""

    job: Job
    linkage: Linkage
    motion: Motion


def moved(job: Job) -> Moved:
    """Move the linkage of a job through the stroke of its shock.

    Raises `UnusableJob` with every fault that keeps it from moving; other faults of the job do not.
    """
    from physics.faults import Refused
    from physics.linkage import move
    from tui.jobs.fault_words import job_fault

    linkage, stroke = linkage_of(job)
    try:
        return Moved(job, linkage, move(linkage, stroke))
    except Refused as refused:
        raise UnusableJob(tuple(map(job_fault, refused.faults))) from refused


def linkage_of(job: Job) -> tuple[Linkage, float]:
    """Return the linkage of a job and its stroke [m].

    Raises `UnusableJob` where what was typed is no linkage.
    """
    from physics.case import Linkage
    from tui.jobs.case_of import frame_of
    from tui.jobs.reading import look

    reading, faults = look(job)
    mine = tuple(fault for fault in faults if fault.path[:2] in _CONCERNS)
    if mine:
        raise UnusableJob(mine)
    frame = frame_of(reading)
    assert isinstance(frame.leverage, Linkage)
    return frame.leverage, float(frame.stroke)
