"""The motion of the linkage of a job, or the faults that keep it from moving."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tui.job.faults import JobFault, UnusableJob
from tui.job.job import Job

if TYPE_CHECKING:
    from physics.case import Frame, Linkage
    from physics.linkage import Motion

_CONCERNS = (("frame", "leverage"), ("frame", "stroke"), ("frame", "eye_to_eye"))
"""The parts of a job that a linkage depends on."""


@dataclass(frozen=True, slots=True, eq=False)
class Moved:
    """A linkage in SI and its motion over the stroke, beside the job it is of.

    `faults` do not keep it from moving, but the job from being answered.
    """

    job: Job
    linkage: Linkage
    motion: Motion
    faults: tuple[JobFault, ...] = ()


def move_linkage(job: Job) -> Moved:
    """Move the linkage of a job through the stroke of its shock.

    Raises `UnusableJob` with every fault that keeps it from moving; other faults of the job do not.
    """
    from physics.faults import Refused
    from physics.linkage import eye_faults, move
    from tui.job.fault_words import job_fault

    frame, linkage = drawn_frame(job)
    try:
        motion = move(linkage, float(frame.stroke))
    except Refused as refused:
        raise UnusableJob(tuple(map(job_fault, refused.faults))) from refused
    return Moved(job, linkage, motion, tuple(map(job_fault, eye_faults(linkage, frame.eye_to_eye))))


def drawn_frame(job: Job) -> tuple[Frame, Linkage]:
    """Return the frame of a job and the linkage it is drawn with.

    Raises `UnusableJob` where what was typed is no linkage.
    """
    from physics.case import Linkage
    from tui.job.case import frame_of
    from tui.job.reading import look

    reading, faults = look(job)
    if mine := tuple(fault for fault in faults if fault.path[:2] in _CONCERNS):
        raise UnusableJob(mine)
    frame = frame_of(reading)
    assert isinstance(frame.leverage, Linkage)  # any other kind has a fault at its path
    return frame, frame.leverage
