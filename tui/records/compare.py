"""Two saved jobs as one on the bench: the setups of both under the load and on the frame of the newer one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from tui.jobs.ends import End, with_end
from tui.jobs.job import Job
from tui.jobs.tree import Raw, Table
from tui.jobs.unconfirmed import without_lists
from tui.records.differences import Side, at_end, side_of
from tui.records.solved import ends
from tui.shop_units import ShopUnits

_SETTLED_BY = ("load", "frame", "target", "ambient")
"""Tables that a solved rate or pressure follows from."""
_OF_ONE = ("measured", "ridden")
"""Tables that are about the one setup that was ridden."""
_BESIDE = ("setup", "title", "record", *_OF_ONE)


class Named(NamedTuple):
    """A saved job and what tells it from the other one, such as "rev 3"."""

    job: Job
    name: str


class Compared(NamedTuple):
    """The job for the bench, and in words what of the older one it leaves out."""

    job: Job
    left_out: tuple[str, ...]


def compared(older: Named, newer: Named, units: ShopUnits) -> Compared:
    """Return both as setups side by side, the older ones first.

    What the older one had solved under another load, on another frame or for another sag stays what it was.
    """
    before, after = side_of(older.job, units), side_of(newer.job, units)
    job = newer.job
    left_out: list[str] = []
    for end in ends(newer.job):
        job = with_end(job, end, _beside_each_other(before, after, end, (older.name, newer.name)))
        left_out += at_end(before, after, end, _BESIDE)
    title = f"{newer.job.title}: {older.name} against {newer.name}".removeprefix(": ")
    return Compared(_of_both(job).with_value(("title",), title), tuple(left_out))


def _of_both(job: Job) -> Job:
    for path in (*((key,) for key in _OF_ONE), ("front", "measured")):
        job = job.without(path)
    return job


def _beside_each_other(before: Side, after: Side, end: End, names: tuple[str, str]) -> Job:
    """Return one end of the newer job with the setups of both."""
    old, new = before.at(end), after.at(end)
    kept = old.typed if _settling(old.typed) == _settling(new.typed) else old.answered
    # An end that the older job has not, as a front wheel, has nothing to be held against.
    setups = kept.setups if end in ends(before.typed) else ()
    theirs = [without_lists(setup) for setup in new.typed.setups]
    same = [without_lists(setup) for setup in setups if without_lists(setup) in theirs]
    job = new.typed.with_value(("setup",), ())
    for setup in setups:
        job = _with(job, setup, "both" if without_lists(setup) in same else names[0])
    for setup in new.typed.setups:
        job = job if without_lists(setup) in same else _with(job, setup, names[1])
    return job


def _settling(job: Job) -> Mapping[str, Raw]:
    """Return what the solved values of one wheel follow from; a frame's name is none of it."""
    bare = job.without(("frame", "name")).tree
    return {key: without_lists(bare.get(key)) for key in _SETTLED_BY}


def _with(job: Job, setup: Table, whose: str) -> Job:
    name = job.free_name(f"{whose} {setup.get('name', 'setup')}")
    return job.with_setup(None, {**setup, "name": name})
