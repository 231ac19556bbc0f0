"""What a job asks for, written as it was answered: the rate or pressure that was on the bike."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.bench.fields_typed import SOLVE, written
from tui.jobs.answering import answer_job
from tui.jobs.ends import ENDS, End, end_of, has_front
from tui.jobs.faults import UnusableJob
from tui.jobs.job import Job

if TYPE_CHECKING:
    from tui.jobs.answering import JobAnswer
    from tui.shop_units import ShopUnits

ASKED = ("rate", "pressure")
"""Keys of a setup that may be asked for instead of given."""


def solved_typed(job: Job, units: ShopUnits) -> Job:
    """Return the job with what it asks for as typed values; as it is where it has no answer."""
    setups = (setup for end in ends(job) for setup in end_of(job, end).setups)
    if not any(setup.get(key) == SOLVE for setup in setups for key in ASKED):
        return job
    try:
        answered = answer_job(job)
    except UnusableJob:
        return job
    for end in ends(job):
        job = _typed_at(job, end, answered.at(end), units)
    return job


def ends(job: Job) -> tuple[End, ...]:
    """Return the ends that a job has."""
    return ENDS if has_front(job) else ENDS[:1]


def _typed_at(job: Job, end: End, answered: JobAnswer | None, units: ShopUnits) -> Job:
    if answered is None:
        return job
    before = () if end == "rear" else ("front",)
    ambient = float(answered.answer.shop.pressure)
    for place, found in enumerate(answered.answer.setups):
        text = written(found, ambient, units)
        for key in ASKED:
            path = (*before, "setup", place, key)
            if text is not None and job.get(path) == SOLVE:
                job = job.with_value(path, text)
    return job
