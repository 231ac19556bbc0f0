"""Frames and shocks in a job: what is bought and stays, apart from what is set on it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tui.jobs.ends import ENDS, End, end_of, has_front
from tui.jobs.job import Job
from tui.jobs.tree import Raw, Table, thaw
from tui.jobs.unconfirmed import tidy

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
    tree: Table

    @property
    def digest(self) -> str:
        """What tells its content from any other."""
        told = json.dumps([self.kind, thaw(self.tree)], sort_keys=True, default=str)
        return hashlib.sha256(told.encode()).hexdigest()


def fitted_parts(job: Job) -> tuple[Fitted, ...]:
    """Return the frames and shocks of a job that were given a name."""
    wheels: tuple[End, ...] = ENDS if has_front(job) else ("rear",)
    return tuple(part for end in wheels for part in _at_end(job, end))


def _at_end(job: Job, end: End) -> Iterator[Fitted]:
    before = "front." if end == "front" else ""
    wheel = end_of(job, end)
    frame = wheel.tree.get("frame")
    if isinstance(frame, Table) and (name := _name(frame, "name")):
        yield Fitted(f"{before}frame", FRAME, name, frame)
    for index, setup in enumerate(wheel.setups):
        kind = setup.get("kind")
        if kind in _SET and (name := _name(setup, "shock")):
            yield Fitted(f"{before}setup.{index}", str(kind), name, hardware_of(setup))


def hardware_of(setup: Mapping[str, Raw]) -> Table:
    """Return a setup without what is set on it."""
    left = _SET.get(str(setup.get("kind")), ())
    return tidy({key: raw for key, raw in setup.items() if key not in left})


def _name(table: Mapping[str, Raw], key: str) -> str:
    name = table.get(key)
    return name.strip() if isinstance(name, str) else ""
