"""The steps of a job in working order: the panels of each, and its views."""

from __future__ import annotations

from collections.abc import Iterator
from enum import IntEnum
from functools import lru_cache
from typing import NamedTuple

from tui.job.fields import TITLE, Field, Words
from tui.job.job import Job
from tui.job.panels import Panel, panels
from tui.job.tree import TreePath
from tui.job.wheels import Wheel, has_front, wheel_job


class Step(IntEnum):
    """A step, numbered in the order of the work."""

    RIDER = 0
    FRAME = 1
    SPRINGS = 2
    COMPARE = 3
    RIDE = 4
    HAND_OVER = 5


NAMES: dict[Step, str] = {
    Step.RIDER: "Rider",
    Step.FRAME: "Frame",
    Step.SPRINGS: "Springs",
    Step.COMPARE: "Compare",
    Step.RIDE: "Ride",
    Step.HAND_OVER: "Hand over",
}

VIEWS: dict[Step, tuple[str, ...]] = {
    Step.RIDER: ("chart", "sweep"),
    Step.FRAME: ("leverage", "pairs"),
    Step.SPRINGS: ("chart", "figures", "pump", "order", "spacers", "wire"),
    Step.COMPARE: (
        "verdict",
        "figures",
        "difference",
        "chart",
        "sweep",
        "map",
        "match",
        "match_volumes",
        "wants",
        "tolerance",
        "conditions",
        "balance",
    ),
    Step.RIDE: ("advice", "readings", "events", "logged"),
    Step.HAND_OVER: ("sheet",),
}
"""Ids of the views of each step, in the order of the key that cycles through them."""
OF_KIND = {"pump": "air", "spacers": "air", "wire": "coil"}
"""Views that exist for one kind of setup only."""

MORE: TreePath = ("more",)
"""Path of the row that unfolds a panel; not a path of the job file."""
NOTHING: TreePath = ("none",)
"""Path of the placeholder row for a job without a setup; not a path of the job file."""
_BEFORE = 2
"""Number of panels before those of the setups."""
NO_SETUP = "on Springs, Space, then c, adds a coil; Space, then a, an air spring."
"""How to add a spring, for messages on jobs without one."""
_NO_SETUP = Panel(
    "no setup",
    (
        Field(
            "no setup yet",
            NOTHING,
            Words(),
            f"No spring yet: {NO_SETUP}",
        ),
    ),
)

_REST: dict[Step, frozenset[str]] = {
    Step.RIDER: frozenset(
        ("ambient.temperature", "ambient.altitude", "ride.temperature", "ride.altitude")
        + tuple(f"tolerance.{key}" for key in ("scale", "share", "gauge", "rate", "volume"))
    ),
    Step.FRAME: frozenset(("frame.eye_to_eye", "frame.name")),
    Step.SPRINGS: frozenset(
        f"setup.{key}"
        for key in (
            *("max_preload_turns", "mass", "free_length", "solid_length", "rated_stroke", "ladder_step"),
            *("ladder_lbf_per_in", "wire", "wire_diameter", "inner_diameter", "outer_diameter"),
            *("mean_diameter", "total_coils", "active_coils", "ends", "material", "grade"),
            *("rod", "gas_pressure", "gas_volume", "bumper_length", "bumper_force", "lower_leg_volume"),
            *("stanchion_diameter", "shock", "hose_volume", "positive_spacer_volume", "bore", "body"),
            *("negative_spacer_volume", "port_length", "port_area", "time_constant"),
        )
    ),
    Step.RIDE: frozenset(
        (
            *("measured.scale", "measured.tyre", "damper.rebound_knee", "damper.compression_knee"),
            *("damper.rebound_high", "damper.compression_high", "damper.by", "damper.speed_m_per_s"),
            *("tyre.stiffness", "tyre.damping", "tyre.radius"),
        )
    ),
}
"""Fields that are folded by default; paths of setups without the index."""
_RIDDEN = ("measured", "ridden", "damper", "tyre")
"""The tables of the ride."""
_COMPARED = ("rate", "pressure", "preload", "preload_turns", "positive_spacers")
"""Fields shown for every setup in Compare."""


class StepPanel(NamedTuple):
    """The rows of one step; in Springs, of one setup. `hidden` rows are not shown.

    `setup` is the index of that setup, None for panels of no setup or of all.
    """

    step: Step
    title: str
    rows: tuple[Field, ...]
    setup: int | None = None
    kind: str = ""
    hidden: tuple[Field, ...] = ()

    def index_of(self, path: TreePath) -> int | None:
        """Return the index of the row at `path`."""
        return next((index for index, row in enumerate(self.rows) if row.path == path), None)


def is_field(row: Field) -> bool:
    """Return whether a row is a field of the job, not the unfolding row or the placeholder."""
    return row.path not in (MORE, NOTHING)


def setup_of_row(row: Field) -> int | None:
    """Return the index of the setup that a row belongs to, None without one."""
    return row.path[1] if row.path[0] == "setup" and isinstance(row.path[1], int) else None


def panel_of(step: Step, setup: int, count: int) -> int:
    """Return the index of the panel of a step; `setup` is the selected one of `count`."""
    if step < Step.SPRINGS:
        return int(step)
    if step is Step.SPRINGS:
        return _BEFORE + min(max(setup, 0), max(count - 1, 0))
    return _BEFORE + max(count, 1) + step - Step.COMPARE


def views_of(step: Step, kind: str) -> tuple[str, ...]:
    """Return the ids of the views of a step where the selected setup is of a `kind`."""
    only = OF_KIND if step is Step.SPRINGS else {}
    return tuple(view for view in VIEWS[step] if only.get(view, kind) == kind)


def step_with(view: str, here: Step) -> Step:
    """Return the step that has a view, preferably the present one."""
    return here if view in VIEWS[here] else next(step for step, views in VIEWS.items() if view in views)


@lru_cache(maxsize=32)
def step_panels(
    bike: Job, wheel: Wheel, unfolded: frozenset[Step] = frozenset(), room: int = 0
) -> tuple[StepPanel, ...]:
    """Return the panels of a wheel: rider, frame, every setup, compare, ride and hand over.

    In steps that are not `unfolded`, less used fields are hidden behind one row, unless all fit in `room`
    lines.
    """
    rider, frame, *setups, record = panels(wheel_job(bike, wheel), wheel if has_front(bike) else None)
    ridden = tuple(row for row in record.rows if row.path[0] in _RIDDEN)
    whose = tuple(row for row in record.rows if row not in ridden)
    rider_rows = tuple(row for row in rider.rows if row != TITLE)
    found = [
        _folded(Step.RIDER, rider._replace(rows=rider_rows), unfolded, room),
        _folded(Step.FRAME, frame, unfolded, room),
        *(_folded(Step.SPRINGS, setup, unfolded, room) for setup in setups or [_NO_SETUP]),
        StepPanel(Step.COMPARE, "setups", tuple(_compared(setups)) or _NO_SETUP.rows),
        _folded(Step.RIDE, Panel("ride", ridden), unfolded, room),
        _folded(Step.HAND_OVER, Panel("hand over", (*whose, TITLE)), unfolded, room),
    ]
    return tuple(found)


def _folded(step: Step, panel: Panel, unfolded: frozenset[Step], room: int) -> StepPanel:
    """Return a panel with its less used fields behind one row, or below that row if unfolded.

    Without that row they follow the others where all have room.
    """
    rest = _REST.get(step, frozenset())
    hidden = tuple(row for row in panel.rows if _name_of(row) in rest)
    first = tuple(row for row in panel.rows if row not in hidden)
    if not hidden:
        return StepPanel(step, panel.title, first, panel.setup, panel.kind)
    if sum(1 + bool(row.head) for row in panel.rows) <= room:
        return StepPanel(step, panel.title, (*first, *hidden), panel.setup, panel.kind)
    is_open = step in unfolded
    label = f"{len(hidden)} less" if is_open else f"{len(hidden)} more"
    more = Field(label, MORE, Words(), "Less common fields: Enter shows or hides them.")
    rows = (*first, more, *(hidden if is_open else ()))
    return StepPanel(step, panel.title, rows, panel.setup, panel.kind, () if is_open else hidden)


def _name_of(row: Field) -> str:
    return ".".join(part for part in row.path if isinstance(part, str))


def _compared(setups: list[Panel]) -> Iterator[Field]:
    """Yield the compared fields of each setup, its name as the heading of the first."""
    for setup in setups:
        rows = [row for row in setup.rows if row.path[-1] in _COMPARED]
        for place, row in enumerate(rows):
            yield row._replace(head=setup.title if place == 0 else "")
