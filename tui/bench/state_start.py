"""Values to start from where a choice asks for new ones: typed before, or read off the last good answer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from tui.bench.fields_frame import LEVERAGE
from tui.bench.fields_row import Choice, Row
from tui.bench.state import BenchState
from tui.jobs.ends import POSTURE_SHARE, end_of
from tui.jobs.tree import Path, Raw, Table
from tui.jobs.unconfirmed import listed, with_list
from tui.shop_units import METRIC, Measure

if TYPE_CHECKING:
    from physics.answer import Answer
    from physics.arrays import Values

_GRAVITY = 9.80665
_ROWS = 7


def start_values(state: BenchState, row: Row, option: int) -> Mapping[str, Raw]:
    """Return values by key for a way of a choice, those that nobody has typed or confirmed on their list.

    As this way last stood on the bench; else what the last good answer says; else as last typed at all.
    """
    table = row.path[:-1]
    found: dict[str, Raw] = {}
    way: Mapping[str, Raw] = {}
    doubted: set[str] = set()
    for job in (end_of(bike, state.end) for bike in state.history.past):
        before = job.get(table)
        if isinstance(before, Table):
            found |= before
            doubted = (doubted - set(before)) | set(listed(before))
            known = isinstance(row.kind, Choice) and row.kind.chosen(job, row.path) == option
            way = before if known else way
    worked_out = _worked_out(state, table)
    doubted = ((doubted | set(worked_out)) - set(way)) | set(listed(way))
    return with_list({**found, **worked_out, **way}, doubted)


def _worked_out(state: BenchState, table: Path) -> dict[str, Raw]:
    if state.good is None:
        return {}
    if table == ("load",):
        return _load(state)
    return _leverage(state.good.answer) if table == LEVERAGE else {}


def _load(state: BenchState) -> dict[str, Raw]:
    found: dict[str, Raw] = {}
    if state.good is not None:
        # What a scale would show now: the mechanic sees at once how far the real one is off.
        resting = float(state.good.answer.load.ground_reaction) / _GRAVITY
        found["scale_mass"] = METRIC.show(resting, Measure.MASS)
    share = POSTURE_SHARE.get(str(state.job.get(("load", "posture"))))
    if share is not None:
        found["rider_share"] = share
    return found


def _leverage(answer: Answer) -> dict[str, Raw]:
    """Return the leverage of the answer in every way it can be written down."""
    import numpy as np

    frame = answer.frame
    travel = np.linspace(0.0, float(frame.wheel_travel), _ROWS)
    ratio = np.interp(travel, frame.travel, frame.ratio)
    found: dict[str, Raw] = {
        "start": round(float(ratio[0]), 2),
        "middle": round(float(ratio[_ROWS // 2]), 2),
        "end": round(float(ratio[-1]), 2),
        "travel_mm": _millimetres(travel),
        "ratio": tuple(round(float(value), 3) for value in ratio),
    }
    if answer.setups:
        curve = answer.setups[0].curve
        found["stroke_mm"] = _millimetres(np.interp(travel, curve.wheel_travel, curve.stroke))
    return found


def _millimetres(lengths: Values) -> tuple[float, ...]:
    return tuple(round(float(length) * 1000, 1) for length in lengths)
