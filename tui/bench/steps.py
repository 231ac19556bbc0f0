"""The steps of a job in working order: the panels of each, and the one table of its views."""

from __future__ import annotations

from collections.abc import Iterator
from enum import IntEnum
from functools import lru_cache

from physics.frozen import NamedTuple
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

_READ = (("Left Right", "read"), ("Up Down", "chart"))
LINES = (("Up Down", "line"), ("Enter", "use it"))
"""Keys of a view with lines that can be taken."""
_SETUP = ("Left Right", "setup")
_MATCH = (("Left Right", "target setup"), ("Up Down", "coil"), ("Enter", "try it"))


class ViewRow(NamedTuple):
    """A view: its id, its name in the strip, what it shows, and further words by which the finder finds it.

    `keys` are those of the footer with what they do. `drawn` names the module of `tui.bench.views` and what
    in it is the `View`, empty for chart and table, which are widgets of their own. In Springs a view with a
    `kind` exists for setups of that kind only.
    """

    id: str
    name: str
    sentence: str
    help: str
    keys: tuple[tuple[str, str], ...] = ()
    drawn: str = ""
    kind: str = ""


_CHART = ViewRow(
    "chart",
    "chart",
    "Force and rate curves of every setup over the travel.",
    "Shaft force, wheel force, wheel rate, spring rate, chamber pressures; sag as a band, the last tenth "
    "of the travel shaded; the slow curve and the riding curve.",
    keys=_READ,
)
_FIGURES = ViewRow(
    "figures",
    "figures",
    "Every figure of every setup, with the difference to the baseline.",
    "Breakaway, support, ramp-up, bottom-out, frequencies, damping, pressures, weight.",
    keys=(("Up Down", "figure"), _SETUP),
)
_SWEEP = ViewRow(
    "sweep",
    "sweep",
    "One figure of every setup over a range of one field.",
    "Solved again at each point. Why one negative spring suits one rider mass only.",
    keys=(("Left Right", "read"), ("< >", "figure"), ("Enter", "use it")),
    drawn="sweep.VIEW",
)
VIEW_TABLE: dict[Step, tuple[ViewRow, ...]] = {
    Step.RIDER: (
        _CHART,
        _SWEEP,
    ),
    Step.FRAME: (
        ViewRow(
            "leverage", "leverage",
            "Leverage ratio over the wheel travel.",
            "Leverage ratio is wheel travel per shock stroke; progression, and what makes travel, stroke "
            "and ratios agree where they do not.",
            keys=_READ[:1], drawn="pages.LEVERAGE_VIEW",
        ),
        ViewRow(
            "pairs", "on the stand",
            "Leverage measured on the stand from travel and stroke.",
            "Raise the axle, measure the shock: pairs of wheel travel and shock stroke, outlier, scatter, "
            "residual of the fitted curve.",
            keys=LINES, drawn="pairs.VIEW",
        ),
    ),
    Step.SPRINGS: (
        _CHART,
        _FIGURES,
        ViewRow(
            "pump", "pump",
            "The pressure to set, the rounds, the gauge after each.",
            "Equalising the chambers: pump, cycle the shock, read the gauge again. Hose volume, gauge "
            "error, how long to sit still before reading sag at the O-ring.",
            drawn="pages.PUMP_VIEW", kind="air",
        ),
        ViewRow(
            "order", "order",
            "Springs to buy with their preload, or spacers to fit.",
            "Nearest rates in stock with preload turns, the rate step, coil bind and free length; each "
            "count of spacers with set pressure and peak pressure.",
            keys=LINES, drawn="pages.ORDER_VIEW",
        ),
        ViewRow(
            "spacers", "spacers",
            "Every count of volume spacers in both chambers, at the target sag.",
            "Set pressure, peak pressure, mid-stroke support and bottom-out for each count of positive and "
            "negative spacers.",
            keys=(("Up Down Left Right", "count"), ("Enter", "fit it")), drawn="documents.SPACERS_VIEW",
            kind="air",
        ),
        ViewRow(
            "wire", "wire",
            "Stress, coil-bind clearance, mass, and the wire to order for the rate.",
            "Buckling, coil bind, surge frequency, stress as wound and pre-set, rate tolerance by grade, "
            "total and active coils, steel and titanium.",
            keys=LINES, drawn="documents.WIRE_VIEW", kind="coil",
        ),
    ),
    Step.COMPARE: (
        ViewRow(
            "verdict", "verdict",
            "How the setups ride, each against the baseline, in words.",
            "Small bumps, corners, ramp-up and big hits: which is firmer, which bottoms less easily.",
            drawn="pages.VERDICT_VIEW",
        ),
        _FIGURES,
        ViewRow(
            "difference", "difference",
            "Wheel force of every setup minus that of the baseline.",
            "Where one setup is firmer or softer than the baseline.",
            keys=_READ[:1],
        ),
        _CHART,
        _SWEEP,
        ViewRow(
            "map", "map",
            "One figure of the selected setup over the ranges of two fields.",
            "Shaded cells over two fields, above max pressure and impossible cells marked.",
            keys=(("Up Down Left Right", "read"), ("< >", "figure"), ("Enter", "use it")),
            drawn="sweep.MAP_VIEW",
        ),
        ViewRow(
            "match", "convert",
            "Another spring matched to the selected setup.",
            "Coil like air, air like coil: the RMS difference of the riding curves, and rates to buy.",
            keys=_MATCH, drawn="match.MATCH_VIEW",
        ),
        ViewRow(
            "match_volumes", "convert, volumes free",
            "Another spring matched with chamber volumes and port free.",
            "Like convert, with chamber volumes and equalising port varied too.",
            keys=_MATCH, drawn="match.VOLUMES_VIEW",
        ),
        ViewRow(
            "wants", "targets",
            "Settings of the selected setup for target figures.",
            "Inequalities such as support_50>=1.7: which are met, which one limits.",
            keys=(("Enter", "try it"),), drawn="match.WANTS_VIEW",
        ),
        ViewRow(
            "tolerance", "tolerance",
            "Spread of sag and bottom-out ratio from the tool errors.",
            "Tool errors of scale, gauge, spring rate and volumes, seal friction, scatter of measured "
            "pairs: the range in nine cases out of ten.",
            drawn="tolerance.VIEW",
        ),
        ViewRow(
            "conditions", "conditions",
            "The selected setup at other temperatures and altitudes.",
            "Cold, warm, high up: gauge reading, sag and breakaway there, and what to pump here.",
            keys=(_SETUP, *LINES), drawn="documents.CONDITIONS_VIEW",
        ),
        ViewRow(
            "balance", "both ends",
            "Rear and front side by side, and what balances them.",
            "Front against rear: which pressure, rate or spacer count matches one end to the other.",
            keys=LINES, drawn="documents.BALANCE_VIEW",
        ),
    ),
    Step.RIDE: (
        ViewRow(
            "advice", "advice",
            "Symptoms, what to change, and the effect of each change.",
            "After the ride: symptoms of the rider, ticked with + and -; changes with side effects, "
            "rebound clicks.",
            keys=(("Up Down", "symptom"), ("+ -", "tick"), ("Left Right", "change"), ("Enter", "try it")),
            drawn="advice.VIEW",
        ),
        ViewRow(
            "readings", "measured",
            "The setup calculated back from spring tester, gauge or sag.",
            "Rate, preload and friction from a tester's file or typed pairs; gauge before and after one "
            "cycling gives the negative volume; sag gives the load. Standard error, residuals.",
            keys=(("Left Right", "spring or shock"), ("Enter", "apply")), drawn="readings.VIEW",
        ),
        ViewRow(
            "events", "events",
            "Every setup through a drop, landing, edge, bumps, compression or road.",
            "Drop, landing, square edge, bump train, compression, random road: travel used, bottom-outs, "
            "rebound, every setup on the same ground.",
            keys=(("Left Right", "choose"), ("+ -", "change"), ("Enter", "edit")), drawn="events.VIEW",
        ),
        ViewRow(
            "logged", "log",
            "A logged ride, next to what is expected of the setup.",
            "A logger's file: dynamic sag, travel histogram, shaft speed, spectrum, airtime, hardest hits, "
            "bottom-outs, two rides compared, the same ground on every setup.",
            keys=(("Left Right", "chart"), ("< >", "change"), ("Enter", "try it")), drawn="logged.VIEW",
        ),
    ),
    Step.HAND_OVER: (
        ViewRow(
            "sheet", "setup sheet",
            "The setup sheet that goes with the bike.",
            "What to set, sag to expect, changes, cautions, spring to order; workings as an appendix.",
            keys=(("Enter", "save it"),), drawn="pages.SHEET_VIEW",
        ),
    ),
}  # fmt: skip
"""The views of each step, in the order of the key that cycles through them."""
VIEWS = {step: tuple(row.id for row in rows) for step, rows in VIEW_TABLE.items()}
"""Their ids."""
VIEW_ROWS = {row.id: row for rows in VIEW_TABLE.values() for row in rows}
"""Every view by id."""
OF_KIND = {id: row.kind for id, row in VIEW_ROWS.items() if row.kind}
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
    label = f"hide these {len(hidden)}" if is_open else f"{len(hidden)} more"
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
