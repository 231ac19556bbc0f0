"""What sessions of the fault tests do, each in its own process."""

from __future__ import annotations

import os
import signal
from itertools import count
from random import Random
from typing import Any

from sqlalchemy import event

from tests.tui.store.jobs import job_for, weighing
from tests.tui.store.sessions import Line
from tui.job.job import Job
from tui.store.address import StoreAddress
from tui.store.kept import KeptLog, RecordLink, Saved
from tui.store.opening import open_store
from tui.store.schema import STEPS
from tui.store.store import Store
from tui.store.trouble import StoreTrouble


def job_of(note: str) -> Job:
    """Return the job that is saved under a note: invented, and of many kinds and lengths."""
    random = Random(note)
    job = job_for(f"Rider {random.randrange(30)} (invented)", random.choice(("", "green", "red")))
    job = job.with_value(("frame", "name"), f"frame {random.randrange(4)} (invented)")
    job = job.with_value(("setup", 1, "shock"), f"can {random.randrange(4)} (invented)")
    words = " ".join(f"w{random.randrange(10_000)}" for _ in range(random.choice((1, 10, 600))))
    return weighing(job.with_value(("ridden", "words"), words), f"{random.randrange(400, 1300) / 10} kg")


def told_of(note: str, saved: Saved, seen: int = 0) -> tuple[Any, ...]:
    """Return what a session tells of a save that is done."""
    meanwhile = None if saved.meanwhile is None else saved.meanwhile.number
    return ("saved", note, saved.entry.job, saved.revision.number, seen, meanwhile)


def keep_saving(line: Line, place: StoreAddress, name: str) -> None:
    """Save without end, each with a log, telling before and after; every few saves a new job is begun."""
    random, entry = Random(name), None
    store = open_store(place)
    line.send(("open", store.told, store.read_only))
    for number in count():
        note = f"{name}.{number}"
        line.send(("begun", note))
        log = KeptLog(f"{note}.csv", note.encode(), "{}")
        saved = store.save(job_of(note), "Mo", note=note, entry=entry, logs=[log])
        line.send(told_of(note, saved))
        entry = None if random.random() < 0.3 else saved.entry


def die_while_saving(line: Line, place: StoreAddress, note: str, at: int, entry: RecordLink | None) -> None:
    """Kill itself at one of the moments of a save: around a statement, or around the end of the change."""
    store = open_store(place)
    moments = count()

    def moment(*_: object, **__: object) -> None:
        if next(moments) == at:
            os.kill(os.getpid(), signal.SIGKILL)

    for name in ("before_cursor_execute", "after_cursor_execute", "begin", "commit"):
        event.listen(store.engine, name, moment)
    saved = store.save(job_of(note), "Mo", note=note, entry=entry)
    line.send(told_of(note, saved))
    moment()
    line.send(("through",))


def save_some(line: Line, place: StoreAddress, name: str, times: int, entry: RecordLink | None) -> None:
    """Save a few times on from an entry or a new job, at the same moment as others."""
    store = open_store(place)
    line.send(("ready",))
    line.recv()
    for number in range(times):
        note = f"{name}.{number}"
        seen = 0 if entry is None else entry.seen
        saved = store.save(job_of(note), name, note=note, entry=entry)
        line.send(told_of(note, saved, seen))
        entry = saved.entry
    store.close()


def open_and_save(line: Line, place: StoreAddress, name: str) -> None:
    """Open records, which others open at the same moment, and save one job."""
    line.send(("ready",))
    line.recv()
    store = open_store(place, STEPS)
    line.send(("open", store.told, store.read_only))
    line.send(told_of(name, store.save(job_of(name), "Mo", note=name)))
    store.close()


def save_through_breaks(line: Line, place: StoreAddress, name: str) -> None:
    """Save until told to stop, over a line that breaks; tell of each save whether it was acknowledged."""
    store, entry = None, None
    for number in count():
        if line.poll():
            break
        note = f"{name}.{number}"
        line.send(("begun", note))
        try:
            store = store or open_store(place)
            saved = store.save(job_of(note), "Mo", note=note, entry=entry)
        except StoreTrouble as trouble:
            line.send(("refused", note, str(trouble)))
        else:
            line.send(told_of(note, saved))
            entry = saved.entry
    line.send(("over",))


def hold_a_change(line: Line, place: StoreAddress) -> None:
    """Begin a change and never end it."""
    store = open_store(place)
    with store.writing():
        line.send(("holding",))
        line.recv()


def as_nobody(line: Line, place: StoreAddress, note: str) -> None:
    """Read, search and try to save as a user who owns nothing; tell what came of it."""
    if os.geteuid() == 0:
        os.setgid(65534)
        os.setuid(65534)
    try:
        _read_and_try(line, open_store(place), note)
    except StoreTrouble as trouble:
        line.send(("refused", str(trouble)))


def _read_and_try(line: Line, store: Store, note: str) -> None:
    while True:
        found = tuple(job.uid for job in store.find().entries)
        kept = tuple(revision.note for uid in found for revision in store.revisions(uid))
        line.send(("read", store.read_only, store.told, sorted(kept)))
        if line.recv() != "again":
            break
    try:
        line.send(told_of(note, store.save(job_of(note), "Mo", note=note)))
    except StoreTrouble as trouble:
        line.send(("refused", str(trouble)))
    store.close()
