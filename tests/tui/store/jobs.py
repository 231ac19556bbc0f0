"""Invented jobs for the tests of the records."""

from __future__ import annotations

from tui.job.demo import demo_job
from tui.job.job import Job


def job_for(customer: str, bike: str = "", **record: str) -> Job:
    """Return the demo job made out to somebody."""
    job = demo_job().with_value(("title",), f"Job for {customer or 'nobody'} (invented)")
    for key, value in {"customer": customer, "bike": bike, **record}.items():
        if value:
            job = job.with_value(("record", key), value)
    return job


def weighing(job: Job, rider: str) -> Job:
    """Return a job with another rider's mass."""
    return job.with_value(("load", "rider_mass"), rider)
