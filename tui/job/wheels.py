"""The two wheels of a bike in one job: each as a one-wheel job, and edits of it merged back.

Without a `[front]` table a job has one wheel, and its "rear" is the job itself. With one, the top level is
the rear wheel and also has the data of rider and bike that both wheels share.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import replace
from decimal import Decimal
from functools import cache, lru_cache
from typing import Literal

from tui.job.faults import FRONT_TABLES, JobFault, Spelling
from tui.job.job import UNCONFIRMED, Job, is_value, listed
from tui.job.tree import Raw, Tree, TreePath, leaves, look_up

Wheel = Literal["rear", "front"]
WHEELS: tuple[Wheel, ...] = ("rear", "front")
SHARED_LOAD = ("rider_mass", "bike_mass", "posture", "geometry")
"""Keys of `[load]` that count for both wheels."""
_SHARES = ("rider_share", "bike_share")
_NOTHING = Tree({})

POSTURE_SHARE: Mapping[Raw, float] = {"standing": 0.62, "seated": 0.67}
"""Fraction of the rider on the rear wheel by posture: common practice, no source."""


def has_front(job: Job) -> bool:
    """Return whether a job has a front wheel as well as a rear one."""
    return isinstance(job.tree.get("front"), Tree)


@lru_cache(maxsize=64)
def wheel_job(job: Job, wheel: Wheel) -> Job:
    """Return one wheel as a one-wheel job; the rear of a job without a front is the job itself.

    The front of such a job has only the shared data.
    """
    if wheel == "front":
        return Job(front_tree(job.tree))
    return job.without(("front",)) if "front" in job.tree else job


def front_tree(tree: Tree) -> Tree:
    """Return the tree of the front wheel as a job of its own, from that of the whole bike."""
    front = _table(tree, "front")
    shared = {key: raw for key, raw in tree.items() if key not in (*FRONT_TABLES, "front")}
    own = {key: front[key] for key in FRONT_TABLES if key in front}
    if isinstance(own.get("load", _NOTHING), Tree):
        is_fork = look_up(own, ("frame", "leverage", "kind")) == "fork"
        own["load"] = Tree(_front_load(_table(tree, "load"), _table(own, "load"), is_fork))
    return Tree(shared | own)


def _front_load(rear: Tree, own: Tree, is_fork: bool) -> dict[str, Raw]:
    """Return the front's load: its own keys, else those of the rear, with fractions as their complements."""
    if "scale_mass" in rear or "scale_mass" in own:
        return dict(own)
    found: dict[str, Raw] = {key: rear[key] for key in SHARED_LOAD if key in rear}
    geometry = found.get("geometry")
    if isinstance(geometry, Tree):
        found["geometry"] = Tree({**geometry, "wheel": "front"})
    found |= {key: _rest(rear[key]) for key in _SHARES if key in rear}
    doubted = list(listed(rear))
    if "rider_share" in own:
        found.pop("posture", None)
    elif not is_fork and (share := POSTURE_SHARE.get(found.get("posture"))) is not None:
        # In a one-wheel job of a front without a fork, the posture would mean the rear's fraction.
        del found["posture"]
        found["rider_share"] = _rest(share)
        doubted += ["rider_share"] if "posture" in doubted else []
    doubted = [key for key in doubted if key in found and key not in own]
    if not doubted or (UNCONFIRMED in own and not isinstance(own[UNCONFIRMED], tuple)):
        return found | dict(own)
    return {**found, **own, UNCONFIRMED: (*doubted, *own.get(UNCONFIRMED, ()))}


def _rest(share: Raw) -> Raw:
    """Return the complement of a fraction; other values unchanged, so that their fault is reported."""
    from physics.units import Dimension, UnitFault, parse  # the first frame need not wait for it

    try:
        value = parse(share, Dimension.FRACTION)[0] if isinstance(share, str) else share
    except UnitFault:
        return share
    is_share = isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= 1
    return float(1 - Decimal(repr(value))) if is_share else share


def with_wheel_job(job: Job, wheel: Wheel, edited: Job) -> Job:
    """Return the job of the bike with one wheel as `edited`: only differences are written to it."""
    if wheel == "rear":
        return _with_front(job, edited) if "front" in job.tree else edited
    before = wheel_job(job, wheel)
    for path in _differences(before.tree, edited.tree):
        if not _stays_at_the_rear(path, edited):
            job = _written(job, _path_of(job, path), edited.get(path))
    return _with_load_list(job, listed(_table(before.tree, "load")), _table(edited.tree, "load"))


def _with_load_list(job: Job, before: Collection[str], load: Tree) -> Job:
    """Return the job with its lists updated for values of the front's load, each where it is stored."""
    after = listed(load)
    for key in [key for key in before if key in load and key not in after]:
        own: TreePath = ("front", "load", key)
        if job.get(own) is not None:
            job = job.confirmed(own)
        else:
            # A fraction that the front takes over is stored at the rear, possibly as a posture.
            job = job.confirmed(("load", key if job.get(("load", key)) is not None else "posture"))
    for key in [key for key in after if key not in before]:
        path = _path_of(job, ("load", key))
        if (raw := job.get(path)) is not None:
            job = job.with_invented(path, raw)
    return job


def _with_front(job: Job, rear: Job) -> Job:
    """Return a changed rear with the front of `job`, whose load must not change.

    A scale reading at the rear does not give the load on the front: shared values become the front's own.
    """
    load: TreePath = ("front", "load")
    bike = rear.with_value(("front",), job.tree["front"])
    weighed = [at.get(("load", "scale_mass")) is not None for at in (job, rear)]
    if weighed == [False, True]:
        return bike.with_value(load, wheel_job(job, "front").tree["load"])
    if weighed == [True, False]:
        for key in SHARED_LOAD:
            bike = bike.without((*load, key))
        for key in _SHARES:
            shared = bike.without((*load, key))
            same = wheel_job(shared, "front").get(("load", key)) == bike.get((*load, key))
            bike = shared if same else bike
    return bike


def _stays_at_the_rear(path: TreePath, edited: Job) -> bool:
    """Return whether the front lacks a shared value because it has an alternative of its own."""
    shared = path[0] == "load" and path[1:] in [(key,) for key in SHARED_LOAD]
    own = ("scale_mass", "rider_share") if path == ("load", "posture") else ("scale_mass",)
    replaced = any(edited.get(("load", key)) is not None for key in own)
    return shared and replaced and edited.get(path) is None


def _written(job: Job, path: TreePath, raw: Raw | None) -> Job:
    if path == ("load", "posture") and raw is not None:
        # A posture gives the fractions of both wheels.
        job = job.without(("load", "rider_share"))
    if path == ("load", "geometry") and isinstance(raw, Tree):
        raw = Tree({key: value for key, value in raw.items() if key != "wheel"})
    return job.without(path) if raw is None else job.with_value(path, raw)


def _differences(before: Tree, after: Tree) -> list[TreePath]:
    """Return the paths where two one-wheel jobs differ: by table, in the load by key."""
    found: list[TreePath] = []
    for key in dict.fromkeys((*before, *after)):
        old, new = before.get(key), after.get(key)
        if key == "load" and isinstance(old, Tree) and isinstance(new, Tree):
            keys = (key for key in dict.fromkeys((*old, *new)) if key != UNCONFIRMED)
            found += [("load", k) for k in keys if old.get(k) != new.get(k)]
        elif old != new:
            found.append((key,))
    return found


def _path_of(job: Job, path: TreePath) -> TreePath:
    """Return the path in the job of the bike for `path` in the one-wheel job of the front."""
    weighed = job.get(("load", "scale_mass")) is not None
    shared = path[0] == "load" and len(path) > 1 and path[1] in SHARED_LOAD and not weighed
    return path if shared or path[0] not in FRONT_TABLES else ("front", *path)


def faults_of(job: Job, wheel: Wheel, faults: tuple[JobFault, ...]) -> tuple[JobFault, ...]:
    """Return the faults of one wheel, with the paths of its one-wheel job."""
    if wheel == "rear":
        return tuple(fault for fault in faults if fault.path[:1] != ("front",))
    return tuple(
        replace(fault, path=fault.path[1:]) if fault.path[:1] == ("front",) else fault
        for fault in faults
        if not fault.path or fault.path[0] == "front" or _path_of(job, fault.path) == fault.path
    )


def front_spelling(whole: Spelling) -> Spelling:
    """Return the front wheel of a job as a tree of its own, with the paths of its parts in the file."""
    tree, own = front_tree(whole.tree), _table(_table(whole.tree, "front"), "load")
    slips: dict[TreePath, TreePath] = {(key,): whole.in_file(("front", key)) for key in FRONT_TABLES}
    if "scale_mass" not in _table(whole.tree, "load"):
        taken = (key for key in (*SHARED_LOAD, *_SHARES) if key not in own)
        slips |= {("load", key): whole.in_file(("load", key)) for key in taken}
    for right, typed in whole.slips.items():
        if right[:1] == ("front",) and len(right) > 1:
            slips[right[1:]] = typed
    return Spelling(tree, slips)


def _table(tree: Mapping[str, Raw], key: str) -> Tree:
    raw = tree.get(key)
    return raw if isinstance(raw, Tree) else _NOTHING


_OWN: dict[Wheel, tuple[TreePath, ...]] = {
    "rear": (("frame",), ("target",), ("setup",), ("damper",), ("tyre",), ("measured",)),
    "front": (("front",),),
}
"""Tables that belong to one wheel only."""
_RIDER = ("rider_mass", "scale_mass")
_WHOSE = ("customer", "ticket", "bike")


@lru_cache(maxsize=8)
def left_out(job: Job) -> Wheel | None:
    """Return the wheel to leave off sheet and report, because all its values are still examples.

    This applies once the job is a customer's: with typed title or rider, or with a customer in its record. Of
    two such wheels it is the front.
    """
    if not has_front(job) or not _is_begun(job):
        return None
    if _is_invented(job, "front"):
        return "front"
    return "rear" if _is_invented(job, "rear") else None


def _is_begun(job: Job) -> bool:
    typed = [("title",), *(("load", key) for key in _RIDER)]
    whose = any(job.get(("record", key)) for key in _WHOSE)
    return whose or any(job.get(path) is not None and not job.is_unconfirmed(path) for path in typed)


def _is_invented(job: Job, wheel: Wheel) -> bool:
    """Return whether a wheel has values, all of them unconfirmed."""
    tables = ((table, job.get(table)) for table in _OWN[wheel])
    values = [
        path
        for table, raw in tables
        for path, value in leaves(raw or (), table)
        if is_value(str(path[-1]), value)
    ]
    return bool(values) and all(job.is_unconfirmed(path) for path in values)


_WORDS = {
    # Terms that stay the same for a fork.
    **{
        word: word
        for word in (
            *("shock pumps", "air shaft", "rated stroke", "stroke printed"),
            *("fast stroke", "slow stroke", "mid-stroke"),
        )
    },
    # Terms that differ for a fork.
    "shock or fork": "fork",
    "sag, % stroke": "sag % fork travel",
    "shock or a fork": "fork",
    "o-ring on the shaft": "O-ring on the stanchion",
    "shock's shaft": "fork",
    "shock's stroke": "fork travel",
    "shock stroke": "fork travel",
    "fork stroke": "fork travel",
    "coil on its shock": "coil in a fork",
    "rub on the shock": "rub in the fork",
    "longer strokes": "longer fork travel",
    "full stroke": "full travel",
    "its stroke": "its travel",
    "the stroke": "the fork travel",
    "shock": "fork",
    "shaft": "fork",
    "stroke": "fork travel",
}


@cache
def _pattern() -> re.Pattern[str]:
    longest_first = sorted(_WORDS, key=len, reverse=True)
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, longest_first))})\b", re.IGNORECASE)


def is_fork(job: Job) -> bool:
    """Return whether the leverage of a job of one wheel is a fork's."""
    return job.get(("frame", "leverage", "kind")) == "fork"


def spoken(text: str, fork: bool) -> str:
    """Return a text of the program in terms of a fork if it is one, else unchanged."""
    return _pattern().sub(_as_said, text) if fork else text


def _as_said(found: re.Match[str]) -> str:
    said, asked = _WORDS[found[0].lower()], found[0]
    if said == asked.lower():
        return asked
    return said[:1].upper() + said[1:] if asked[:1].isupper() else said
