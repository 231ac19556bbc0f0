"""What a field shows: its value, whether it is typed, solved, usual or absent, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from typing import NamedTuple

from tui.bench.fields import FIRST_SETUP, unconfirmed_at
from tui.bench.fields_row import Amount, Choice, Pair, Panel, Row
from tui.bench.fields_text import in_si, split
from tui.bench.fields_typed import shown
from tui.bench.state import BenchState
from tui.bench.state_solved import is_solved, solved_text
from tui.jobs.faults import JobFault
from tui.jobs.tree import Path
from tui.shop_units import Measure


class Look(Enum):
    """How a value came to be."""

    TYPED = "typed"
    SOLVED = "solved"
    USUAL = "usual"
    ABSENT = "absent"
    CHOICE = "choice"


class Cell(NamedTuple):
    """The value of a row as text, how it came to be, and the same in the shop's unit where that differs.

    `unconfirmed` is a value in the job that nobody has typed or confirmed.
    """

    text: str
    look: Look
    in_shop_units: str = ""
    unconfirmed: bool = False


def cell_of(state: BenchState, row: Row) -> Cell:
    """Return what a row shows."""
    if is_solved(state.job, row):
        return Cell(solved_text(state, row) or "not found", Look.SOLVED)
    text = shown(state.job, row)
    doubted = bool(unconfirmed_at(state.job, row))
    if isinstance(row.kind, Choice):
        return Cell(text, Look.CHOICE, unconfirmed=doubted)
    if not text and row.path == ("frame", "wheel_travel") and state.good is not None and row.usual:
        travel = float(state.good.answer.frame.wheel_travel)
        return Cell(state.units.show(travel, Measure.TRAVEL), Look.SOLVED)
    if not text:
        return Cell(row.usual, Look.USUAL) if row.usual else Cell("", Look.ABSENT)
    return Cell(text, Look.TYPED, _in_shop_units(state, row, text), doubted)


def _in_shop_units(state: BenchState, row: Row, text: str) -> str:
    parts = split(text)
    if not isinstance(row.kind, Amount) or parts is None or parts[1] == state.units.unit(row.kind.measure):
        return ""
    si = in_si(text, row.kind.measure)
    return "" if si is None else state.units.show(si, row.kind.measure)


def faults_by_row(state: BenchState) -> Mapping[tuple[int, int], tuple[JobFault, ...]]:
    """Return the faults of the job by panel and row: each at the row it names, or the nearest to it."""
    found: dict[tuple[int, int], tuple[JobFault, ...]] = {}
    if not state.faults:
        return found
    from tui.bench.state_pairs import pairs_missing  # what is at fault comes after the first frame

    if pairs_missing(state):
        return found  # a list that is being entered is no fault yet: the results line says what it lacks
    for fault in state.faults:
        place = _place_of(state, fault.path)
        told = found.get(place, ())
        # Both numbers of a pair may lack the same: said once.
        if (fault.what, fault.accepted) not in ((one.what, one.accepted) for one in told):
            found[place] = (*told, fault)
    return found


def _place_of(state: BenchState, path: Path) -> tuple[int, int]:
    panel = _panel_of(path, len(state.panels) - 1)
    return panel, _nearest(state.panels[panel], path)


def _panel_of(path: Path, record: int) -> int:
    """Return the panel a path belongs to; `record` is the last one."""
    match path:
        case ("record" | "measured" | "ridden", *_):
            return record
        case ("frame", *_):
            return 1
        case ("setup", int() as index, *_) if FIRST_SETUP + index < record:
            return FIRST_SETUP + index
        case _:
            return 0


def _nearest(panel: Panel, path: Path) -> int:
    shared = [max(_shared(own, path) for own in _paths(row)) for row in panel.rows]
    return shared.index(max(shared))


def _paths(row: Row) -> tuple[Path, ...]:
    """Return every path that a row holds: one, or those of both numbers of a pair."""
    if not isinstance(row.kind, Pair):
        return (row.path,)
    return tuple((*row.path[:-2], key, row.kind.place) for key in row.kind.keys)


def _shared(one: Path, other: Path) -> int:
    count = 0
    for a, b in zip(one, other, strict=False):
        if a != b:
            break
        count += 1
    return count
