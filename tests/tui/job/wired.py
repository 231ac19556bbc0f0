"""The demo job with a wire put to its coil, and what is said of one that cannot be used."""

import pytest

from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob, dotted
from tui.job.job import Job
from tui.job.tree import Raw

WIRE: dict[str, Raw] = {"wire_diameter": "8.4 mm", "inner_diameter": "36 mm", "total_coils": 9.5}


def wired(**keys: Raw) -> Job:
    """Return the demo job, its coil with an invented wire; a key that is None is left out."""
    job = demo_job()
    for key, raw in (WIRE | keys).items():
        path = ("setup", 0, key)
        job = job.without(path) if raw is None else job.with_value(path, raw)
    return job


def faults(job: Job) -> dict[str, str]:
    """Return what is said at each place of a job that cannot be used."""
    with pytest.raises(UnusableJob) as caught:
        answer_job(job)
    return {dotted(fault.path): f"{fault.what}; {fault.accepted}" for fault in caught.value.faults}
