"""An invented shop to look around in: riders, bikes and weeks of work that nobody ever had."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from sqlalchemy import Connection

from tui.jobs.demo import demo_job
from tui.jobs.job import Job
from tui.store.demo_visits import BIKES, VISITS, Changes, DemoJob
from tui.store.kept import Revision
from tui.store.saving import Saving, add_job, add_revision, moment
from tui.store.store import Store


def put_in_demo_shop(store: Store, now: datetime) -> int:
    """Put the invented jobs in, the last of them saved a little before `now`; return how many."""
    with store.writing() as connection:
        for told in VISITS:
            _put_in(connection, told, now)
    return len(VISITS)


def _put_in(connection: Connection, told: DemoJob, now: datetime) -> None:
    made: list[Revision] = []
    jobs: list[Job] = []
    for visit in told.visits:
        at = moment(now - timedelta(days=visit.days_ago) + timedelta(minutes=visit.minutes))
        if visit.of is None:
            job = _changed(_first(told), visit.changes)
            made.append(add_job(connection, Saving.of(job, visit.by, visit.note, None, at)))
        else:
            before = made[visit.of - 1]
            job = _changed(jobs[visit.of - 1], visit.changes)
            saving = Saving.of(job, visit.by, visit.note, before.text, at)
            made.append(add_revision(connection, before.job_uid, saving, len(made) + 1, before.number))
        jobs.append(job)


def _first(told: DemoJob) -> Job:
    """Return the job as the bike came in."""
    record = {("record", key): value for key, value in told.record.items() if value}
    job = _changed(demo_job(), [(("title",), told.title), *record.items(), *BIKES[told.bike]])
    kept = tuple(setup for setup in job.setups if setup["name"] not in told.left_out)
    job = job.with_value(("setup",), kept)
    return job if told.has_front else job.without(("front",))


def _changed(job: Job, changes: Iterable[Changes]) -> Job:
    for path, value in changes:
        if path[0] == "setup":
            names = [setup["name"] for setup in job.setups]
            path = ("setup", names.index(path[1]), *path[2:])
        job = job.with_value(path, value)
    return job
