"""A job as typed and its answer: the one door that the command, the screen and the tests go through."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tui.jobs.job import Job

if TYPE_CHECKING:
    from physics.answer import Answer
    from physics.case import Case


@dataclass(frozen=True, slots=True, eq=False)
class JobAnswer:
    """An answer beside the job it answers, so that neither is ever shown with another's.

    `case` is the same job in SI, for the views that ask more of it.
    """

    job: Job
    case: Case
    answer: Answer


def answer_job(job: Job, *, spacers: bool = False) -> JobAnswer:
    """Answer a job, with `spacers` also what each count of volume spacers does: no key waits for that.

    Raises `UnusableJob` with every fault in it, in words and at the job file's paths.
    """
    from physics.bench import answer  # the physics loads numpy, which --help must not wait for
    from physics.faults import Refused
    from tui.jobs.case_of import case_of
    from tui.jobs.fault_words import job_faults
    from tui.jobs.faults import UnusableJob
    from tui.jobs.physical import physical_faults
    from tui.jobs.reading import look

    reading, faults = look(job)
    if faults:
        raise UnusableJob(faults + physical_faults(reading))
    try:
        case = case_of(reading)
        return JobAnswer(job, case, answer(case, spacers=spacers))
    except Refused as refused:
        raise UnusableJob(job_faults(refused)) from refused
