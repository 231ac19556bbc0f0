"""Frames and shocks in a job: what is bought and stays, apart from what is set on it."""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Column, ColumnElement, Connection, Table, delete, func, select, update

from tui.job.clean import clean
from tui.job.files import toml_text
from tui.job.job import Job, tidy
from tui.job.tree import Raw, Tree, thaw
from tui.job.wheels import WHEELS, Wheel, has_front, wheel_job
from tui.store import schema as tables
from tui.store.kept import Revision, folded, words_of
from tui.store.reading import revision_of

FRAME = "frame"
_SET = {
    "coil": ("name", "rate", "stages", "preload", "preload_turns"),
    "air": ("name", "pressure", "positive_spacers", "negative_spacers", "negative_pressure"),
}
"""Keys of a setup that a mechanic sets or orders; the rest is the shock."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A part with a name, and where in the job it is."""

    place: str
    kind: str
    name: str
    tree: Tree

    @property
    def digest(self) -> str:
        """What tells its content from any other."""
        told = json.dumps([self.kind, thaw(self.tree)], sort_keys=True, default=str)
        return hashlib.sha256(told.encode()).hexdigest()


def fitted_parts(job: Job) -> tuple[Fitted, ...]:
    """Return the frames and shocks of a job that were given a name."""
    wheels: tuple[Wheel, ...] = WHEELS if has_front(job) else ("rear",)
    return tuple(part for end in wheels for part in _at_end(job, end))


def _at_end(job: Job, end: Wheel) -> Iterator[Fitted]:
    before = "front." if end == "front" else ""
    wheel = wheel_job(job, end)
    frame = wheel.tree.get("frame")
    if isinstance(frame, Tree) and (name := _name(frame, "name")):
        yield Fitted(f"{before}frame", FRAME, name, frame)
    for index, setup in enumerate(wheel.setups):
        kind = setup.get("kind")
        if kind in _SET and (name := _name(setup, "shock")):
            yield Fitted(f"{before}setup.{index}", str(kind), name, hardware_of(setup))


def hardware_of(setup: Mapping[str, Raw]) -> Tree:
    """Return a setup without what is set on it."""
    left = _SET.get(str(setup.get("kind")), ())
    return tidy({key: raw for key, raw in setup.items() if key not in left})


def _name(table: Mapping[str, Raw], key: str) -> str:
    name = table.get(key)
    return name.strip() if isinstance(name, str) else ""


@dataclass(frozen=True, slots=True)
class Saving:
    """What is to be saved: a job as the text of its file, by whom, on what, and under which id.

    The id is given before anything is written: should the line to a server break before it answers, the same
    is tried again under it, and what is there already is not saved twice.
    """

    job: Job
    text: str
    by: str
    note: str
    uid: str
    at: str

    @classmethod
    def of(cls, job: Job, by: str, note: str, before: str | None, at: str | None = None) -> Saving:
        """Return a job to be saved as of now or `at` some time; comments of the text `before` stay in it."""
        return cls(job, toml_text(job, before), clean(by), clean(note), new_uid(), at or now())

    def says_the_same(self, other: Saving) -> bool:
        """Return whether another try would save the same, whenever it is made."""
        return (self.text, self.by, self.note) == (other.text, other.by, other.note)


def new_uid() -> str:
    """Return an id that nobody else gives."""
    return uuid.uuid4().hex


def now() -> str:
    """Return this moment as the records write it."""
    return moment(datetime.now(UTC))


def moment(at: datetime) -> str:
    """Return a time as the records write it: UTC to the microsecond, in the order of the alphabet."""
    return f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%S.%fZ}"


def add_job(connection: Connection, saving: Saving) -> Revision:
    """Begin a job with its first revision."""
    uid = new_uid()
    row = {"uid": uid, "latest": 1, "versions": 1, **_newest(connection, saving)}
    connection.execute(tables.job.insert(), row)
    return add_revision(connection, uid, saving, number=1, parent=None)


def add_revision(
    connection: Connection, job: str, saving: Saving, number: int, parent: int | None
) -> Revision:
    """Add a revision to a job that is there, and show the job as it has it."""
    made = Revision(saving.uid, job, number, parent, None, saving.at, saving.by, saving.note, saving.text)
    connection.execute(tables.revision.insert(), row_of(made))
    add_parts(connection, saving.uid, fitted_parts(saving.job), saving.at)
    refresh(connection, job, saving, number)
    return made


def refresh(connection: Connection, job: str, saving: Saving, number: int) -> None:
    """Show a job as its newest revision has it."""
    found = tables.revision.c
    said = connection.execute(select(found.note, found.saved_by).where(found.job == job)).all()
    also = (text for row in said for text in row)
    values = {
        **_newest(connection, saving, also),
        "latest": number,
        "versions": len(open_ends(connection, job)),
    }
    connection.execute(update(tables.job).where(tables.job.c.uid == job).values(values))


def _newest(connection: Connection, saving: Saving, said: Iterable[str] = ()) -> dict[str, str | None]:
    return {
        "bike": bike_of(connection, saving.job),
        **shown_by(saving.job, said),
        "saved_at": saving.at,
        "saved_by": saving.by,
        "deleted_at": None,
    }


def shown_by(newest: Job, said: Iterable[str]) -> dict[str, str]:
    """Return how lists show and find a job by its newest state and what was `said` of any of them."""
    names = dict.fromkeys(part.name for part in fitted_parts(newest))
    return {"title": newest.title, "hardware": ", ".join(names), "words": words_of(newest.tree, said)}


def row_of(revision: Revision) -> dict[str, str | int | None]:
    """Return a revision as its row."""
    names = [column.name for column in tables.revision.columns]
    values = {**vars(revision), "job": revision.job_uid}
    return {name: values[name] for name in names}


def open_ends(connection: Connection, job: str) -> tuple[int, ...]:
    """Return the numbers of the revisions of a job that nobody went on from and none was chosen over."""
    found = tables.revision.c
    asked = select(found.number, found.parent, found.settles).where(found.job == job)
    return ends_of([tuple(row) for row in connection.execute(asked)])


def ends_of(revisions: Sequence[tuple[int, int | None, int | None]]) -> tuple[int, ...]:
    """Return the open ends of revisions given as number, parent and what they settle."""
    gone_on = {number for _, *left in revisions for number in left}
    return tuple(sorted(number for number, *_ in revisions if number not in gone_on))


def settle(connection: Connection, job: str, goes_on: int, over: int) -> None:
    """Note that one revision was chosen over another; the newest choice counts.

    A revision has room for one other. What it was chosen over after that is noted at that one in turn.
    """
    found = tables.revision.c
    _note_settled(connection, job, found.settles == goes_on, None)
    rows = connection.execute(select(found.number, found.settles).where(found.job == job))
    settles: dict[int, int | None] = {row.number: row.settles for row in rows}
    place, seen = goes_on, {goes_on}
    while (other := settles.get(place)) is not None and other != over and other not in seen:
        seen.add(other)
        place = other
    _note_settled(connection, job, found.number == place, over)


def _note_settled(connection: Connection, job: str, which: ColumnElement[bool], over: int | None) -> None:
    chosen = update(tables.revision).where(tables.revision.c.job == job, which)
    connection.execute(chosen.values(settles=over))


def bike_of(connection: Connection, job: Job) -> str:
    """Return the bike of a job, made with its customer where it is new."""
    customer = _found_or_made(
        connection, tables.customer, name=_recorded(job, "customer"), ticket=_recorded(job, "ticket")
    )
    return _found_or_made(connection, tables.bike, customer=customer, name=_recorded(job, "bike"))


def _recorded(job: Job, key: str) -> str:
    value = job.get(("record", key))
    return value.strip() if isinstance(value, str) else ""


def _found_or_made(connection: Connection, table: Table, **values: str) -> str:
    same = [table.c[key] == value for key, value in values.items()]
    uid = connection.execute(select(table.c.uid).where(*same)).scalar_one_or_none()
    if uid is None:
        uid = new_uid()
        connection.execute(table.insert(), {"uid": uid, **values})
    return str(uid)


def add_parts(connection: Connection, revision: str, parts: tuple[Fitted, ...], at: str) -> None:
    """Note which parts a revision has; a part that is new is kept, a hidden one comes back."""
    for part in parts:
        known = tables.part.c.digest == part.digest
        if connection.execute(select(func.count()).select_from(tables.part).where(known)).scalar_one():
            connection.execute(update(tables.part).where(known).values(hidden_at=None))
        else:
            connection.execute(tables.part.insert(), _part_row(part, at))
        row = {"revision": revision, "place": part.place, "part": part.digest}
        connection.execute(tables.fitting.insert(), row)


def _part_row(part: Fitted, at: str) -> dict[str, str | None]:
    return {
        "digest": part.digest,
        "kind": part.kind,
        "name": part.name,
        "text": toml_text(Job(part.tree), None),
        "words": folded(part.name),
        "first_at": at,
        "hidden_at": None,
    }


def revision_with(connection: Connection, uid: str) -> Revision | None:
    """Return the revision of an id, None where it never arrived."""
    row = connection.execute(select(tables.revision).where(tables.revision.c.uid == uid)).one_or_none()
    return None if row is None else revision_of(row)


_job, _revision, _fitting = tables.job.c, tables.revision.c, tables.fitting.c


def mark_job(connection: Connection, uid: str, deleted_at: str | None) -> None:
    """Take a job out of the lists, or with None put it back."""
    connection.execute(update(tables.job).where(_job.uid == uid).values(deleted_at=deleted_at))


def mark_part(connection: Connection, digest: str, hidden_at: str | None) -> None:
    """Take a part out of the lists, or with None put it back; jobs that have it keep it."""
    connection.execute(update(tables.part).where(tables.part.c.digest == digest).values(hidden_at=hidden_at))


def count_deleted(connection: Connection) -> int:
    """Return how many jobs a purge would erase."""
    gone = select(func.count()).select_from(tables.job).where(_job.deleted_at.is_not(None))
    return int(connection.execute(gone).scalar_one())


def purge(connection: Connection) -> int:
    """Erase the deleted jobs for good, with what no other job has; return how many."""
    gone = select(_job.uid).where(_job.deleted_at.is_not(None))
    revisions = select(_revision.uid).where(_revision.job.in_(gone))
    connection.execute(delete(tables.fitting).where(_fitting.revision.in_(revisions)))
    connection.execute(delete(tables.revision).where(_revision.job.in_(gone)))
    erased = connection.execute(delete(tables.job).where(_job.deleted_at.is_not(None))).rowcount
    _drop_unused(connection, tables.part, "digest", _fitting.part)
    _drop_unused(connection, tables.bike, "uid", _job.bike)
    _drop_unused(connection, tables.customer, "uid", tables.bike.c.customer)
    return int(erased)


def _drop_unused(connection: Connection, table: Table, key: str, used: Column[str]) -> None:
    connection.execute(delete(table).where(table.c[key].not_in(select(used))))
