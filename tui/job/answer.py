"""A job as typed and its answer: the only entry point for commands, screen and tests."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from physics.frozen import dataclass
from tui.job.job import Job
from tui.job.wheels import WHEELS, Wheel, wheel_job

if TYPE_CHECKING:
    from physics.answer import Answer
    from physics.case import Case
    from tui.job.reading import Reading


@dataclass(frozen=True, slots=True, eq=False)
class JobAnswer:
    """An answer together with its job, so that they are never mixed up.

    `case` is the job in SI, for views that compute more. For a bike with two wheels `case` and `answer` are
    those of the rear; `rear` and `front` have those of each wheel with the job of that wheel alone.
    """

    job: Job
    case: Case
    answer: Answer
    rear: JobAnswer | None = None
    front: JobAnswer | None = None

    def at(self, wheel: Wheel) -> JobAnswer | None:
        """Return the answer for one wheel, None if the bike does not have it."""
        return self.front if wheel == "front" else self.rear or self


def answer_job(job: Job, *, spacers: bool = False, before: JobAnswer | None = None) -> JobAnswer:
    """Answer a job, with `spacers` including the volume-spacer tables (too slow for every key).

    A wheel unchanged since `before` is not computed again. Raises `UnusableJob` with every fault of both
    wheels, in words and with paths of the job file.
    """
    from tui.job.case import physical_faults
    from tui.job.faults import UnusableJob
    from tui.job.reading import look

    reading, faults = look(job)
    if faults:
        raise UnusableJob(faults + physical_faults(reading))
    found: list[JobAnswer] = []
    for end, wheel in zip(WHEELS, reading.wheels, strict=False):
        alone = wheel_job(job, end)
        known = None if before is None or spacers else before.at(end)
        try:
            same = known is not None and known.job == alone
            found.append(known if known and same else _answered(alone, wheel, spacers=spacers))
        except UnusableJob as unusable:
            faults += unusable.faults
    if faults:
        raise UnusableJob(faults)
    return replace(found[0], job=job, rear=found[0], front=found[1]) if found[1:] else found[0]


def _answered(job: Job, wheel: Reading, *, spacers: bool) -> JobAnswer:
    from physics.bench import answer  # the physics loads numpy, which --help must not wait for
    from physics.faults import Refused
    from tui.job.case import case_of
    from tui.job.fault_words import job_faults
    from tui.job.faults import UnusableJob

    try:
        case = case_of(wheel)
        return JobAnswer(job, case, answer(case, spacers=spacers))
    except Refused as refused:
        raise UnusableJob(job_faults(refused.faults, wheel.spelling)) from refused
