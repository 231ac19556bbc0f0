"""The jobs of the invented shop: every rider, bike, frame, shock and figure is made up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from datetime import datetime, timedelta

from sqlalchemy import Connection

from physics.frozen import dataclass
from tui.job.demo import demo_job
from tui.job.job import Job
from tui.job.tree import Raw, TreePath
from tui.store.kept import Revision
from tui.store.saving import Saving, add_job, add_revision, moment
from tui.store.store import Store

Changes = Mapping[str, Raw]
"""Values by their dotted paths in the job; a setup of the rear is named in place of its index."""


@dataclass(frozen=True, slots=True)
class Visit:
    """A save of a job: when, by whom, its note, and `changes` of revision `of`, by default the one before."""

    days_ago: int
    by: str
    note: str
    changes: Changes = field(default_factory=dict)
    of: int | None = None
    minutes: int = 0


@dataclass(frozen=True, slots=True)
class DemoJob:
    """A job of the shop: whose bike, which one, the mass of the rider, all visits, and a setup `left_out`."""

    title: str
    record: Mapping[str, str]
    bike: str
    rider: str
    visits: tuple[Visit, ...]
    left_out: str = ""
    has_front: bool = True


def _rear(setup: str, sag: str, **values: Raw) -> dict[str, Raw]:
    return {"measured": {"setup": setup, "sag": sag, "of": "travel", **values}}


def _fork(sag: str, **values: Raw) -> dict[str, Raw]:
    return {"front.measured": {"setup": "fork", "sag": sag, "of": "travel", **values}}


def _rode(words: str, **symptom: Raw) -> dict[str, Raw]:
    return {"ridden": {**symptom, "words": words}}


BIKES: dict[str, Changes] = {
    "trail": {
        "frame.name": "Trail frame 148 (invented)",
        "setup.coil.shock": "Coil 60 (invented)", "setup.air.shock": "Air can 60 (invented)",
        "front.setup.0.shock": "Fork 160 (invented)",
    },
    "long": {
        "frame.name": "Long frame 166 (invented)", "frame.wheel_travel": "166 mm", "frame.stroke": "65 mm",
        "frame.leverage.start": 2.92, "frame.leverage.middle": 2.55, "frame.leverage.end": 2.25,
        "load.bike_mass": "16.4 kg", "setup.coil.shock": "Coil 65 (invented)",
        "setup.coil.rated_stroke": "70 mm", "setup.coil.solid_length": "78 mm",
        "setup.air.shock": "Air can 65 (invented)", "front.setup.0.shock": "Fork 160 (invented)",
    },
    "hire": {
        "frame.name": "Hire frame 130 (invented)", "frame.wheel_travel": "130 mm", "frame.stroke": "50 mm",
        "frame.leverage.start": 2.85, "frame.leverage.middle": 2.60, "frame.leverage.end": 2.38,
        "target.sag": "27 %", "setup.air.shock": "Air can 50 (invented)",
        "setup.coil.shock": "Coil 50 (invented)", "front.setup.0.shock": "Fork 160, hire (invented)",
    },
}  # fmt: skip
"""How each bike differs from that of the demo job."""

_MO, _ANA = "Mo (invented)", "Ana (invented)"
_IDA = {"customer": "Ida Fern (invented)", "bike": "green trail bike"}
_OTTO = {"customer": "Otto Birch (invented)", "ticket": "T-1031", "bike": "long black one"}
_LENA = {"customer": "Lena Moss (invented)", "bike": "blue trail bike"}
_KARIM = {"customer": "Karim Reed (invented)", "ticket": "T-1044", "bike": "long orange one"}
_HIRE_7 = {"customer": "Hedge Hire (invented)", "bike": "hire bike 7"}
_HIRE_9 = {"customer": "Hedge Hire (invented)", "bike": "hire bike 9"}

VISITS: tuple[DemoJob, ...] = (
    DemoJob("First setup, green trail bike", _IDA, "trail", "68 kg", left_out="coil", visits=(
        Visit(61, _MO, "came in as bought"),
        Visit(
            61, _MO, "set, sag measured on the bike", minutes=50,
            changes=_rear("air", "43 mm", gauge="180 psi", tyre="1.6 bar")
            | _fork("33 mm", gauge="60 psi", rebound_clicks=8, tyre="1.5 bar"),
        ),
        Visit(
            54, _ANA, "back after a week of riding",
            _rode("sinks into the middle on steep rock steps", symptom="wallows")
            | {"setup.air.positive_spacers": 2},
        ),
    )),
    DemoJob("Coil instead of air, green trail bike", _IDA, "trail", "68 kg", visits=(
        Visit(33, _ANA, "asks what a coil would be like"),
        Visit(31, _ANA, "coil fitted", _rear("coil", "42 mm", rebound_clicks=11, compression_clicks=6)),
        Visit(19, _ANA, "likes it", _rode("quiet over roots, never bottomed")),
    )),
    DemoJob("Season start, long black one", _OTTO, "long", "94 kg", left_out="coil", visits=(
        Visit(75, _MO, "seals new, oil new"),
        Visit(74, _MO, "measured", _rear("air", "49 mm", gauge="250 psi", rebound_clicks=6, tyre="26 psi")),
        Visit(
            60, _MO, "one more spacer after the ride",
            _rode("bangs on the stop off the drop behind the quarry", symptom="blows-through")
            | {"setup.air.positive_spacers": 3},
        ),
    )),
    DemoJob("Two ways for the drop, long black one", _OTTO, "long", "94 kg", left_out="coil", visits=(
        Visit(12, _MO, "start of the talk"),
        Visit(12, _MO, "Mo's way: volume", {"setup.air.positive_spacers": 4}, minutes=40),
        Visit(12, _ANA, "Ana's way: less sag", {"target.sag": "26 %"}, of=1, minutes=45),
    )),
    DemoJob("Softer for a light rider, blue trail bike", _LENA, "trail", "52 kg", left_out="coil", visits=(
        Visit(47, _ANA, "rides seated a lot", {"load.posture": "seated"}),
        Visit(
            46, _ANA, "measured standing again",
            {"load.posture": "standing"} | _rear("air", "41 mm", gauge="140 psi", rebound_clicks=12)
            | _fork("35 mm", gauge="45 psi", rebound_clicks=11),
        ),
    )),
    DemoJob("Harsh off the top, blue trail bike", _LENA, "trail", "52 kg", left_out="coil", visits=(
        Visit(
            26, _ANA, "seals dry, serviced",
            {"setup.air.friction": "45 N"}
            | _rode("small stones come straight through", symptom="harsh-off-top"),
        ),
        Visit(24, _ANA, "after the service", {"setup.air.friction": "24 N"} | _rode("much better")),
    )),
    DemoJob("Coil for the park, long orange one", _KARIM, "long", "81 kg", left_out="air", visits=(
        Visit(40, _MO, "coil wanted for the park"),
        Visit(38, _MO, "next rate up tried", _rear("coil", "46 mm", rebound_clicks=5, compression_clicks=9)),
    )),
    DemoJob("After the park, long orange one", _KARIM, "long", "81 kg", left_out="air", visits=(
        Visit(
            8, _MO, "front and rear do not agree",
            _rear("coil", "47 mm", rebound_clicks=7)
            | _fork("25 mm", gauge="84 psi", rebound_clicks=9, scale="38.5 kg")
            | _rode("pitches forward in berms", symptom="unbalanced"),
        ),
    )),
    DemoJob("Hire bike 7, size M", _HIRE_7, "hire", "75 kg", left_out="coil", visits=(
        Visit(29, _ANA, "for a rider of middle weight"),
        Visit(15, _ANA, "checked between two hires", _rear("air", "35 mm", gauge="243 psi", tyre="1.8 bar")),
    )),
    DemoJob("Hire bike 9, size L", _HIRE_9, "hire", "92 kg", left_out="coil", visits=(
        Visit(29, _ANA, "for a heavier rider", minutes=30),
    )),
    DemoJob("Rear only, left at the counter", {"ticket": "T-1052 (invented)"}, "trail", "88 kg", visits=(
        Visit(5, _MO, "no name given, calls on Friday"),
    ), has_front=False),
    DemoJob("Before the race, green trail bike", _IDA, "trail", "69 kg", left_out="air", visits=(
        Visit(3, _ANA, "a little firmer", {"target.sag": "27 %"}),
        Visit(
            1, _MO, "measured the day before",
            _rear("coil", "40 mm", rebound_clicks=10, compression_clicks=8)
            | _fork("31 mm", gauge="60 psi", rebound_clicks=8, tyre="1.5 bar"),
        ),
    )),
)  # fmt: skip
"""The jobs; one of them has conflicting versions, of two people who worked on it at once."""


def put_in_demo_shop(store: Store, now: datetime) -> int:
    """Save the invented jobs, the last of them a little before `now`; return how many."""
    with store.writing() as connection:
        for job in VISITS:
            _save(connection, job, now)
    return len(VISITS)


def _save(connection: Connection, told: DemoJob, now: datetime) -> None:
    record = ((f"record.{key}", value) for key, value in told.record.items())
    own = [("title", f"{told.title} (invented)"), *record, *BIKES[told.bike].items()]
    job = _changed(demo_job(), [*own, ("load.rider_mass", told.rider)])
    job = job.with_value(("setup",), tuple(setup for setup in job.setups if setup["name"] != told.left_out))
    jobs, made = [job if told.has_front else job.without(("front",))], list[Revision]()
    for number, visit in enumerate(told.visits, 1):
        at = moment(now - timedelta(days=visit.days_ago) + timedelta(minutes=visit.minutes))
        parent = number - 1 if visit.of is None else visit.of
        jobs.append(_changed(jobs[parent], visit.changes.items()))
        saving = Saving.of(jobs[-1], visit.by, visit.note, made[parent - 1].text if parent else None, at)
        if parent:
            made.append(add_revision(connection, made[0].job_uid, saving, number, parent))
        else:
            made.append(add_job(connection, saving))


def _changed(job: Job, changes: Iterable[tuple[str, Raw]]) -> Job:
    for dotted, value in changes:
        path: TreePath = tuple(int(key) if key.isdecimal() else key for key in dotted.split("."))
        if path[0] == "setup":
            path = ("setup", [setup["name"] for setup in job.setups].index(path[1]), *path[2:])
        job = job.with_value(path, value)
    return job
