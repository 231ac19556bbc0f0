"""Content of a field: its value, its origin (typed, solved, usual, absent), and its faults."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from math import isclose
from typing import TYPE_CHECKING

from physics.frozen import NamedTuple
from tui.bench.state import BenchState, answered_setup, is_solved, solved_text
from tui.bench.steps import MORE, Step, panel_of
from tui.job.faults import JobFault
from tui.job.fields import Amount, Choice, Field, Pair
from tui.job.job import setup_on_bike
from tui.job.panels import LEVERAGE, unconfirmed_at
from tui.job.quantities import doubts, in_si, number, split
from tui.job.tree import TreePath
from tui.job.typed import field_text
from tui.shop_units import ABSENT, Measure

if TYPE_CHECKING:
    from tui.subjects.measurements import MeasuredRow


class Look(Enum):
    """Origin of a value."""

    TYPED = "typed"
    SOLVED = "solved"
    USUAL = "usual"
    ABSENT = "absent"
    CHOICE = "choice"


class Cell(NamedTuple):
    """The value of a row as text, its origin, and the same in the shop's unit if that differs.

    `unconfirmed`: the value is in the job but nobody has typed or confirmed it.
    """

    text: str
    look: Look
    in_shop_units: str = ""
    unconfirmed: bool = False


def cell_of(state: BenchState, row: Field) -> Cell:
    """Return what a row shows."""
    if is_solved(state.job, row):
        return Cell(solved_text(state, row) or "no solution", Look.SOLVED)
    text = field_text(state.job, row)
    doubted = bool(unconfirmed_at(state.job, row))
    if isinstance(row.kind, Choice):
        return Cell(text, Look.CHOICE, unconfirmed=doubted)
    if not text and row.path == ("frame", "wheel_travel") and state.answer is not None and row.usual:
        travel = float(state.answer.answer.frame.wheel_travel)
        return Cell(state.units.show(travel, Measure.TRAVEL), Look.SOLVED)
    if not text:
        return Cell(row.usual, Look.USUAL if row.usual else Look.ABSENT)
    parts, in_shop_units = split(text), ""
    if isinstance(row.kind, Amount) and parts is not None and parts[1] != state.units.unit(row.kind.measure):
        si = in_si(text, row.kind.measure)
        # A unit in another spelling, such as C, is the shop's: the number says so.
        is_same = si is not None and isclose(state.units.scale(si, row.kind.measure), float(number(parts[0])))
        in_shop_units = "" if si is None or is_same else state.units.show(si, row.kind.measure)
    return Cell(text, Look.TYPED, in_shop_units, doubted)


_COLUMNS = {(*LEVERAGE, "travel_mm"), (*LEVERAGE, "stroke_mm")}


def pairs_missing(state: BenchState) -> int:
    """Return the number of pairs missing from a list being entered, 0 if complete or otherwise faulty."""
    if not state.faults or not {fault.path for fault in state.faults} <= _COLUMNS:
        return 0
    from tui.subjects.leverage import has_pairs, pairs_lacking  # what is at fault comes after the first frame

    return pairs_lacking(state.job) if has_pairs(state.job) else 0


def faults_by_row(state: BenchState) -> Mapping[tuple[int, int], tuple[JobFault, ...]]:
    """Return the faults of the job by panel and row; a fault of no row goes to the nearest one."""
    found: dict[tuple[int, int], tuple[JobFault, ...]] = {}
    if not state.faults:
        return found
    if pairs_missing(state) or all(fault.is_unfinished for fault in state.faults):
        return found  # a list that is being entered is no fault yet: the results line says what it lacks
    for fault in state.faults:
        place = _place_of(state, fault.path)
        told = found.get(place, ())
        # Both numbers of a pair may have the same fault: say it once.
        if (fault.what, fault.accepted) not in ((one.what, one.accepted) for one in told):
            found[place] = (*told, fault)
    return found


def _place_of(state: BenchState, path: TreePath) -> tuple[int, int]:
    """Return panel and row of the field that a path names, or of the nearest one."""
    count = len(state.job.setups)
    match path:
        case ("measured" | "ridden", *_):
            step = Step.RIDE
        case ("record" | "title", *_):
            step = Step.HAND_OVER
        case ("frame", *_):
            step = Step.FRAME
        case ("setup", int() as index, *_) if index < count:
            return _nearest(state, panel_of(Step.SPRINGS, index, count), path)
        case ("setup",) if not count:
            step = Step.SPRINGS
        case _:
            step = Step.RIDER
    return _nearest(state, panel_of(step, state.setup, count), path)


def _nearest(state: BenchState, panel: int, path: TreePath) -> tuple[int, int]:
    """Return a panel and the row whose path is most similar to this one, `MORE` if that row is hidden."""
    shown = state.panels[panel]
    shared = [_shared(row, path) for row in shown.rows]
    folded = max((_shared(row, path) for row in shown.hidden), default=0)
    nearest = shown.index_of(MORE) if folded > max(shared) else None
    return panel, shared.index(max(shared)) if nearest is None else nearest


def step_of(state: BenchState, path: TreePath) -> Step:
    """Return the step with the field that a path names."""
    return state.panels[_place_of(state, path)[0]].step


def _shared(row: Field, path: TreePath) -> int:
    """Return the number of leading steps that a path shares with the row's (two paths for a number pair)."""
    owns = [row.path]
    if isinstance(row.kind, Pair):
        owns = [(*row.path[:-2], key, row.kind.place) for key in row.kind.keys]
    alike = ([a == b for a, b in zip(own, path, strict=False)] for own in owns)
    return max([*steps, False].index(False) for steps in alike)


_WELL = ("within", "unknown")
_SAG = ("measured", "sag")


def meaning_at(state: BenchState, row: Field) -> tuple[str, str]:
    """Return the result that belongs to a row, empty for none, and the meaning of the row.

    For a measured value the result is the comparison with the expected one, or the expected value if nothing
    is typed; if the measured value is out of range, no meaning is shown.
    """
    found = _measured_at(state, row)
    if found is None:
        return _expected_sag(state) if row.path == _SAG else _preload_at(state, row), row.meaning
    from tui.subjects.measurements import compared_text

    return f"{compared_text(found, state.units)}.", row.meaning if found.verdict in _WELL else ""


def _preload_at(state: BenchState, row: Field) -> str:
    """Return the preload of a coil in turns where it is typed as a length, and the other way round."""
    if row.path[0] != "setup" or row.path[-1] not in ("preload", "preload_turns"):
        return ""
    if state.answer is None or state.is_outdated:
        return ""
    found = answered_setup(state, row.path[1])
    if found is None or found.coil is None:
        return ""
    if row.path[-1] == "preload_turns":
        return f"{state.units.show(found.coil.preload, Measure.TRAVEL)}."
    from tui.subjects.ordering import NO_PITCH  # its physics comes after the first frame

    turns = state.units.show(found.coil.preload_turns, Measure.TURNS)
    return NO_PITCH if turns == ABSENT else f"{turns}."


def _expected_sag(state: BenchState) -> str:
    """Return the sag to expect on the bike if none has been measured."""
    good = state.answer
    if good is None or state.is_outdated or state.job.get(_SAG) is not None or not good.answer.setups:
        return ""
    from tui.subjects.pumping import expect_text

    of = str(state.job.get(("measured", "of")) or good.case.target.of)
    return expect_text(good.answer.setups[setup_on_bike(good.job)], of, state.units)


def look_first_at(state: BenchState, row: Field) -> str:
    """Return what to check first for a measured value out of range, empty if it is in range."""
    found = _measured_at(state, row)
    if found is None or state.answer is None or (found.verdict in _WELL and not found.over_label):
        return ""
    from tui.subjects.measurements import look_first

    said = look_first(found)
    # A sag typed among the readings is taken as the target counts it.
    if found.key != "sag" or found.of != state.answer.case.target.of:
        return said
    return f"{said} To find the load: Space r, type sag {state.units.show(found.measured, found.measure)}."


def _measured_at(state: BenchState, row: Field) -> MeasuredRow | None:
    if row.path[:1] != ("measured",) or state.answer is None or state.is_outdated:
        return None
    # The physics loads after the first frame, and only for what was measured.
    if state.job.get(row.path) is None:
        return None
    from tui.subjects.measurements import measured_rows

    return next((found for found in measured_rows(state.answer) if found.key == row.path[1]), None)


_PRELOAD = ("coil_bind", "preload_turns", "rated_stroke", "no_preload")
_WIRE = ("wire_stress", "wire_rate", "wire_not_set")
# fmt: off
_BY_KEY: Mapping[str, tuple[str, ...]] = {
    "pressure": ("over_label", "no_pressure", "beyond_pumps", "sag_gas_range"),
    "max_pressure": ("over_label", "negative_over_label"), "negative_pressure": ("negative_over_label",),
    "negative_volume": ("never_holds", "drawn_in"), "port": ("never_holds", "drawn_in", "port_past_sag"),
    "rate": ("coil_bind", "unsolved", "wire_rate"), "preload": _PRELOAD, "preload_turns": _PRELOAD,
    "free_length": ("too_long_for_shock", "coil_bind", "buckling"), "solid_length": ("coil_bind",),
    "material": _WIRE,
    "wire_diameter": _WIRE, "inner_diameter": _WIRE, "outer_diameter": _WIRE,
    "active_coils": (*_WIRE, "surge"), "total_coils": (*_WIRE, "surge"),
    "rated_stroke": ("rated_stroke",), "max_preload_turns": ("preload_turns",),
    "bumper_length": ("bumper_at_sag",),
}
"""Caution codes by the last key of a field, the most urgent first."""
_LEFT_OUT: Mapping[str, tuple[str, ...]] = {
    "pressure": ("drawn_in",), "rate": ("gas_not_typed", "legs_not_typed"),
    "rod": ("gas_not_typed",), "gas_pressure": ("gas_not_typed",), "gas_volume": ("gas_not_typed",),
    "bumper_length": ("bumper_not_typed",), "bumper_force": ("bumper_not_typed",),
    "lower_leg_volume": ("legs_not_typed",), "stanchion_diameter": ("legs_not_typed",),
}
# fmt: on
"""The same for less pressing ones: what was left out, and a gauge reading at the rest position."""


def caution_at(state: BenchState, row: Field) -> str:
    """Return the most urgent caution for a field, empty without one."""
    caution = look_first_at(state, row) if row.path[0] == "measured" else _of_answer(state, row, _BY_KEY)
    if caution or state.answer is None:
        return caution  # the doubts are calculated after the first answer, not before
    return next((doubt.text(state.units) for doubt in doubts(state.job) if doubt.path == row.path), "")


def left_out_at(state: BenchState, row: Field) -> str:
    """Return what was left out at a field, or how its gauge reads; empty if neither applies."""
    return _of_answer(state, row, _LEFT_OUT)


def _of_answer(state: BenchState, row: Field, by_key: Mapping[str, tuple[str, ...]]) -> str:
    codes = by_key.get(str(row.path[-1]), ()) if row.path[0] == "setup" else ()
    if not codes or state.answer is None or state.is_outdated:
        return ""
    from tui.job.cautions import caution_text  # the first frame has no answer to be cautious about

    answer, found = state.answer.answer, answered_setup(state, row.path[1])
    cautions = {caution.code: caution for caution in found.cautions} if found is not None else {}
    pressing = next((cautions[code] for code in codes if code in cautions), None)
    if pressing is None:
        return ""
    typed = state.job.get(row.path[:2]) or {}
    return caution_text(pressing, state.units, float(answer.shop.pressure), answer.frame.fork, typed)
