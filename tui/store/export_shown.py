"""The columns of an export that are for a person to read: whose job it is, and what was measured."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from tui.jobs.faults import UnusableJob
from tui.jobs.job import Job, parse
from tui.jobs.schema import MEASURED, RIDDEN
from tui.jobs.tree import Table
from tui.store.content import Content, Row

_WHEELS = {"": (), "front ": ("front",)}
_IN_JOB = {
    "rider mass": ("load", "rider_mass"),
    **{
        f"{wheel}{key.replace('_', ' ')} measured": (*at, "measured", key)
        for wheel, at in _WHEELS.items()
        for key in MEASURED
    },
    **{f"ride {key}": ("ridden", key) for key in RIDDEN},
}
"""What a revision is read for in a spreadsheet, and where it stands in its job."""
_WHOSE = ("title", "customer", "ticket", "bike")
SHOWN_COLUMNS: dict[str, tuple[str, ...]] = {
    "customer": (),
    "bike": ("customer", "ticket"),
    "part": (),
    "job": (*_WHOSE, "hardware", "latest", "versions", "saved_at", "saved_by"),
    "revision": (*_WHOSE, *_IN_JOB),
    "fitting": ("title", "part"),
}
"""What is shown beside the rows of each table."""
Shown = Mapping[str, object]


def shown_columns(content: Content) -> dict[str, Callable[[Row], Shown]]:
    """Return for each table what finds the values shown beside a row of it, by the name of the column."""
    customers = {row["uid"]: row for row in content["customer"]}
    bikes = {row["uid"]: row for row in content["bike"]}
    jobs = {row["uid"]: row for row in content["job"]}
    revisions = {row["uid"]: row for row in content["revision"]}
    parts = {row["digest"]: row for row in content["part"]}

    def of_bike(bike: Row) -> Shown:
        owner = customers[bike["customer"]]
        return {"customer": owner["name"], "ticket": owner["ticket"]}

    def of_job(job: Row) -> Shown:
        bike = bikes[job["bike"]]
        return {**job, **of_bike(bike), "bike": bike["name"]}

    def of_revision(revision: Row) -> Shown:
        return {**of_job(jobs[revision["job"]]), **_in(revision["text"])}

    def of_fitting(fitting: Row) -> Shown:
        job = jobs[revisions[fitting["revision"]]["job"]]
        return {"title": job["title"], "part": parts[fitting["part"]]["name"]}

    return {
        "customer": lambda _row: {},
        "part": lambda _row: {},
        "bike": of_bike,
        "job": of_job,
        "revision": of_revision,
        "fitting": of_fitting,
    }


def _in(text: str) -> Shown:
    """Return what is typed in a job, nothing of one whose text is damaged."""
    try:
        job = parse(text)
    except UnusableJob:
        job = Job(Table({}))
    return {name: _plain(job.get(path)) for name, path in _IN_JOB.items()}


def _plain(raw: object) -> object:
    if isinstance(raw, tuple):
        return ", ".join(word for word in raw if isinstance(word, str))
    return raw if isinstance(raw, str | int | float) else ""
