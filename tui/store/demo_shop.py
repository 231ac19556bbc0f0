"""What was done in the invented shop: every rider, bike, frame, shock and figure is made up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection

from tui.job.demo import demo_job
from tui.job.job import Job
from tui.job.tree import Raw, TreePath
from tui.store.kept import Revision
from tui.store.saving import Saving, add_job, add_revision, moment
from tui.store.store import Store

Changes = tuple[TreePath, Raw]
"""A value and where in the job it goes; a setup of the rear is told by its name."""
_MO, _ANA = "Mo (invented)", "Ana (invented)"


@dataclass(frozen=True, slots=True)
class Visit:
    """A save of a job: how long ago, by whom, its note, and what `changes` in revision `of`, if any."""

    days_ago: int
    by: str
    note: str
    changes: tuple[Changes, ...] = ()
    of: int | None = None
    minutes: int = 0


@dataclass(frozen=True, slots=True)
class DemoJob:
    """A job of the shop: whose bike, in which form it came, and every visit; `left_out` are setups."""

    title: str
    record: Mapping[str, str]
    bike: str
    visits: tuple[Visit, ...]
    left_out: tuple[str, ...] = ()
    has_front: bool = True


_AIR, _COIL = ("setup", "air"), ("setup", "coil")
_FORK_NAME: Changes = (("front", "setup", 0, "shock"), "Fork 160 (invented)")
BIKES: dict[str, tuple[Changes, ...]] = {
    "trail": (
        (("frame", "name"), "Trail frame 148 (invented)"),
        ((*_COIL, "shock"), "Coil 60 (invented)"),
        ((*_AIR, "shock"), "Air can 60 (invented)"),
        _FORK_NAME,
    ),
    "long": (
        (("frame", "name"), "Long frame 166 (invented)"),
        (("frame", "wheel_travel"), "166 mm"),
        (("frame", "stroke"), "65 mm"),
        (("frame", "leverage", "start"), 2.92),
        (("frame", "leverage", "middle"), 2.55),
        (("frame", "leverage", "end"), 2.25),
        (("load", "bike_mass"), "16.4 kg"),
        ((*_COIL, "shock"), "Coil 65 (invented)"),
        ((*_COIL, "rated_stroke"), "70 mm"),
        ((*_COIL, "solid_length"), "78 mm"),
        ((*_AIR, "shock"), "Air can 65 (invented)"),
        _FORK_NAME,
    ),
    "hire": (
        (("frame", "name"), "Hire frame 130 (invented)"),
        (("frame", "wheel_travel"), "130 mm"),
        (("frame", "stroke"), "50 mm"),
        (("frame", "leverage", "start"), 2.85),
        (("frame", "leverage", "middle"), 2.60),
        (("frame", "leverage", "end"), 2.38),
        (("target", "sag"), "27 %"),
        ((*_AIR, "shock"), "Air can 50 (invented)"),
        ((*_COIL, "shock"), "Coil 50 (invented)"),
        (("front", "setup", 0, "shock"), "Fork 160, hire (invented)"),
    ),
}
"""What makes the bike of the bench's own demo job another one."""

_IDA = {"customer": "Ida Fern (invented)", "bike": "green trail bike"}
_OTTO = {"customer": "Otto Birch (invented)", "ticket": "T-1031", "bike": "long black one"}
_LENA = {"customer": "Lena Moss (invented)", "bike": "blue trail bike"}
_KARIM = {"customer": "Karim Reed (invented)", "ticket": "T-1044", "bike": "long orange one"}
_HIRE = {"customer": "Hedge Hire (invented)"}


def _rider(mass: str) -> Changes:
    return (("load", "rider_mass"), mass)


def _measured(setup: str, **values: Raw) -> tuple[Changes, ...]:
    return ((("measured",), {"setup": setup, **values}),)


def _front(**values: Raw) -> tuple[Changes, ...]:
    return ((("front", "measured"), {"setup": "fork", **values}),)


def _rode(words: str, symptom: str = "") -> tuple[Changes, ...]:
    return ((("ridden",), {**({"symptom": symptom} if symptom else {}), "words": words}),)


VISITS: tuple[DemoJob, ...] = (
    DemoJob(
        "First setup, green trail bike (invented)", _IDA, "trail", (
            Visit(61, _MO, "came in as bought", (_rider("68 kg"),)),
            Visit(61, _MO, "set, sag measured on the bike", (
                *_measured("air", sag="43 mm", of="travel", gauge="180 psi", tyre="1.6 bar"),
                *_front(sag="33 mm", of="travel", gauge="60 psi", rebound_clicks=8, tyre="1.5 bar"),
            ), of=1, minutes=50),
            Visit(54, _ANA, "back after a week of riding", (
                *_rode("sinks into the middle on steep rock steps", "wallows"),
                ((*_AIR, "positive_spacers"), 2),
            ), of=2),
        ), left_out=("coil",),
    ),
    DemoJob(
        "Coil instead of air, green trail bike (invented)", _IDA, "trail", (
            Visit(33, _ANA, "asks what a coil would be like", (_rider("68 kg"),)),
            Visit(31, _ANA, "coil fitted", (
                *_measured("coil", sag="42 mm", of="travel", rebound_clicks=11, compression_clicks=6),
            ), of=1),
            Visit(19, _ANA, "likes it", (*_rode("quiet over roots, never bottomed"),), of=2),
        ),
    ),
    DemoJob(
        "Season start, long black one (invented)", _OTTO, "long", (
            Visit(75, _MO, "seals new, oil new", (_rider("94 kg"),)),
            Visit(74, _MO, "measured", (
                *_measured("air", sag="49 mm", of="travel", gauge="250 psi", rebound_clicks=6, tyre="26 psi"),
            ), of=1),
            Visit(60, _MO, "one more spacer after the ride", (
                *_rode("bangs on the stop off the drop behind the quarry", "blows-through"),
                ((*_AIR, "positive_spacers"), 3),
            ), of=2),
        ), left_out=("coil",),
    ),
    DemoJob(
        "Two ways for the drop, long black one (invented)", _OTTO, "long", (
            Visit(12, _MO, "start of the talk", (_rider("94 kg"),)),
            Visit(12, _MO, "Mo's way: volume", (((*_AIR, "positive_spacers"), 4),), of=1, minutes=40),
            Visit(12, _ANA, "Ana's way: less sag", ((("target", "sag"), "26 %"),), of=1, minutes=45),
        ), left_out=("coil",),
    ),
    DemoJob(
        "Softer for a light rider, blue trail bike (invented)", _LENA, "trail", (
            Visit(47, _ANA, "rides seated a lot", (_rider("52 kg"), (("load", "posture"), "seated"))),
            Visit(46, _ANA, "measured standing again", (
                (("load", "posture"), "standing"),
                *_measured("air", sag="41 mm", of="travel", gauge="140 psi", rebound_clicks=12),
                *_front(sag="35 mm", of="travel", gauge="45 psi", rebound_clicks=11),
            ), of=1),
        ), left_out=("coil",),
    ),
    DemoJob(
        "Harsh off the top, blue trail bike (invented)", _LENA, "trail", (
            Visit(26, _ANA, "seals dry, serviced", (
                _rider("52 kg"),
                ((*_AIR, "friction"), "45 N"),
                *_rode("small stones come straight through", "harsh-off-top"),
            )),
            Visit(24, _ANA, "after the service", (
                ((*_AIR, "friction"), "24 N"),
                *_rode("much better"),
            ), of=1),
        ), left_out=("coil",),
    ),
    DemoJob(
        "Coil for the park, long orange one (invented)", _KARIM, "long", (
            Visit(40, _MO, "coil wanted for the park", (_rider("81 kg"),)),
            Visit(38, _MO, "next rate up tried", (
                *_measured("coil", sag="46 mm", of="travel", rebound_clicks=5, compression_clicks=9),
            ), of=1),
        ), left_out=("air",),
    ),
    DemoJob(
        "After the park, long orange one (invented)", _KARIM, "long", (
            Visit(8, _MO, "front and rear do not agree", (
                _rider("81 kg"),
                *_measured("coil", sag="47 mm", of="travel", rebound_clicks=7),
                *_front(sag="25 mm", of="travel", gauge="84 psi", rebound_clicks=9, scale="38.5 kg"),
                *_rode("pitches forward in berms", "unbalanced"),
            )),
        ), left_out=("air",),
    ),
    DemoJob(
        "Hire bike 7, size M (invented)", {**_HIRE, "bike": "hire bike 7"}, "hire", (
            Visit(29, _ANA, "for a rider of middle weight", (_rider("75 kg"),)),
            Visit(15, _ANA, "checked between two hires", (
                *_measured("air", sag="35 mm", of="travel", gauge="243 psi", tyre="1.8 bar"),
            ), of=1),
        ), left_out=("coil",),
    ),
    DemoJob(
        "Hire bike 9, size L (invented)", {**_HIRE, "bike": "hire bike 9"}, "hire", (
            Visit(29, _ANA, "for a heavier rider", (_rider("92 kg"),), minutes=30),
        ), left_out=("coil",),
    ),
    DemoJob(
        "Rear only, left at the counter (invented)", {"ticket": "T-1052 (invented)"}, "trail", (
            Visit(5, _MO, "no name given, calls on Friday", (_rider("88 kg"),)),
        ), has_front=False,
    ),
    DemoJob(
        "Before the race, green trail bike (invented)", _IDA, "trail", (
            Visit(3, _ANA, "a little firmer", (_rider("69 kg"), (("target", "sag"), "27 %"))),
            Visit(1, _MO, "measured the day before", (
                *_measured("coil", sag="40 mm", of="travel", rebound_clicks=10, compression_clicks=8),
                *_front(sag="31 mm", of="travel", gauge="60 psi", rebound_clicks=8, tyre="1.5 bar"),
            ), of=1),
        ), left_out=("air",),
    ),
)  # fmt: skip
"""The jobs; one has two revisions side by side, of two people who worked on it at once."""


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
