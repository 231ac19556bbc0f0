"""Jobs whose every value counts as typed."""

from tui.job.demo import demo_job
from tui.job.job import Job


def confirmed(job: Job) -> Job:
    """Return the job with no value left to confirm."""
    for path in job.unconfirmed:
        job = job.confirmed(path)
    assert job.unconfirmed == ()
    return job


def confirmed_demo() -> Job:
    """Return the demo job as if a person had typed all of it."""
    return confirmed(demo_job())
