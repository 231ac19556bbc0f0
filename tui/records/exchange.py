"""Putting data of the records on the bench: revisions, a job for the next rider, frames and shocks."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from tui.bench.edit import add_setup, commit, show_wheel
from tui.bench.files import compare_on_bench, if_not_needed, open_revision, put_on_bench
from tui.bench.screen import BenchScreen
from tui.bench.state import BenchState, select_field, select_setup, with_job
from tui.job.job import UNCONFIRMED, Job, listed, with_list
from tui.job.tree import Raw, Tree, TreePath
from tui.job.wheels import Wheel, has_front, is_fork
from tui.store.kept import Part, Revision

if TYPE_CHECKING:
    from tui.store.store import Store

_SCALE: TreePath = ("load", "scale_mass")
_OF_RIDER: tuple[TreePath, ...] = (
    ("record", "customer"), ("record", "ticket"), ("measured",), ("front", "measured"), ("ridden",),
)  # fmt: skip
_RIDER: tuple[TreePath, ...] = (("load", "rider_mass"), _SCALE, ("front", *_SCALE))
_EDGES = " ,;:-/–—|·"
_LEAST_NAME = 3
"""Minimum length of a part of a name to be removed from a title by itself."""


def for_next_rider(job: Job) -> Job:
    """Return the job without customer, measurements and feedback, with the same frame and setups.

    The mass of the last rider is kept as an unconfirmed start value.
    """
    title = _title_without_rider(job)
    for path in _OF_RIDER:
        job = job.without(path)
    if job.get(("record",)) == Tree({}):
        job = job.without(("record",))
    for path in _RIDER:
        raw = job.get(path)
        job = job if raw is None else job.with_invented(path, raw)
    if title == job.title:
        return job
    return job.with_value(("title",), title) if title else job.without(("title",))


def _title_without_rider(job: Job) -> str:
    """Return the title without the customer's name, its parts, and the ticket, the longest first."""
    texts = [job.get(path) for path in _OF_RIDER[:2]]
    names = [text.strip() for text in texts if isinstance(text, str)]
    parts = [part for name in names for part in name.split() if len(part) >= _LEAST_NAME]
    title = job.title
    for name in sorted({name for name in (*names, *parts) if name}, key=len, reverse=True):
        title = re.sub(rf"(?<!\w){re.escape(name)}(?:['’]s)?(?!\w)", " ", title, flags=re.IGNORECASE)
    return " ".join(re.sub(r"\(\s*\)", " ", title).split()).strip(_EDGES)


_ASKED: Mapping[str, Mapping[str, Raw]] = {"coil": {"rate": "solve"}, "air": {"pressure": "solve"}}
_OWN_PRESSURE = "150 psi"
"""Example pressure for a negative chamber with its own valve, as on the bench."""


def take_frame(state: BenchState, part: Part) -> BenchState:
    """Put a frame into the job: a fork at the front if there is one, anything else at the rear."""
    state = commit(state)
    of_fork = is_fork(Job(Tree({"frame": part.tree})))
    wheel: Wheel = "front" if of_fork and has_front(state.bike) else "rear"
    state = state if state.wheel == wheel else show_wheel(state, wheel)
    job = state.job.with_value(("frame",), part.tree)
    after = select_field(with_job(state, job), ("frame", "wheel_travel"))
    return replace(after, note=f"{part.name} is in the job; u undoes it.")


def take_shock(state: BenchState, part: Part) -> BenchState:
    """Put a shock into the selected setup, keeping its settings, or into a new one if its kind differs."""
    from tui.store.saving import hardware_of  # the database comes with it, which is open by now

    state = commit(state)
    setups = state.job.setups
    setup = setups[state.setup] if state.setup < len(setups) else Tree({})
    if setup.get("kind") != part.kind:
        fresh = {"name": part.name, **_fitting(part, _ASKED.get(part.kind, {}))}
        after = add_setup(state, fresh, "New setup")
        if after.job == state.job:
            return after
        return replace(after, note=_taken(f"{part.name} is a new setup", after))
    hardware = hardware_of(setup)
    settings = {key: raw for key, raw in setup.items() if key not in hardware}
    changed = {"name": setup.get("name", part.name), **_fitting(part, settings, listed(setup))}
    after = with_job(state, state.job.with_value(("setup", state.setup), changed))
    note = _taken(f"{part.name} is in the setup {changed['name']}", after, settings)
    return replace(select_setup(after, state.setup), note=note)


def _taken(what: str, after: BenchState, settings: Collection[str] = ()) -> str:
    """Return the message of what was taken; a pressure that is only a start value is mentioned first."""
    told = f"{what}; u undoes it."
    if "negative_pressure" in settings or "negative_pressure" not in after.job.setups[after.setup]:
        return told
    return f"Set the negative pressure: {_OWN_PRESSURE} is only a start. {told}"


def _fitting(part: Part, settings: Mapping[str, Raw], doubted: Collection[str] = ()) -> Tree:
    """Return a shock with the settings that fit it; `doubted` are the unverified ones of them.

    Unconfirmed values of shock and settings stay unconfirmed.
    """
    set_on_it = {key: raw for key, raw in settings.items() if key not in ("name", UNCONFIRMED)}
    found = {**part.tree, **set_on_it}
    doubted = (set(listed(part.tree)) - set(set_on_it)) | (set(doubted) & set(set_on_it))
    if part.tree.get("negative") != "separate":
        found.pop("negative_pressure", None)
    elif part.kind == "air" and "negative_pressure" not in found:
        doubted.add("negative_pressure")
        found = {"negative_pressure": _OWN_PRESSURE, **found}
    if "thread_pitch" not in found:
        found.pop("preload_turns", None)
    return with_list(found, doubted)


def open_saved(store: Store, revision: Revision, screen: BenchScreen) -> None:
    """Open a revision, after saving or discarding present changes."""
    if_not_needed(screen, partial(open_revision, screen, store, revision))


def begin_job(job: Job, screen: BenchScreen) -> None:
    """Open a new job for the next rider, with the cursor on the rider's mass."""

    def put() -> None:
        note = "New job for the next rider, not saved yet: type the rider mass."
        put_on_bench(screen, for_next_rider(job), note)
        if job.get(_SCALE) is not None:
            screen.take(select_field(screen.state, _SCALE))

    if_not_needed(screen, put)


def compare(one: Revision, other: Revision, screen: BenchScreen) -> None:
    """Compare two revisions on the bench as setups side by side."""
    compare_on_bench(screen, one, other)


def take(part: Part, screen: BenchScreen) -> None:
    """Use a part in the job on the bench; undo reverts it."""
    screen.take((take_frame if part.kind == "frame" else take_shock)(screen.commit(), part))
