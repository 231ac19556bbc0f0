"""Measuring on the stand: from one pair of travel and stroke to the next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tui.bench.fields_frame import LEVERAGE
from tui.bench.fields_pairs import pair_at
from tui.bench.fields_row import Choice, Pair
from tui.bench.fields_text import in_si, is_number
from tui.bench.fields_typed import typed_into
from tui.bench.state import BenchState, selected, with_job
from tui.bench.state_edit import committed, typed
from tui.jobs.ends import end_of
from tui.jobs.job import Job
from tui.jobs.tree import Path, Raw, Table
from tui.shop_units import Measure

VIEW = "pairs"
_KIND: Path = (*LEVERAGE, "kind")
_MEASURED = "measured"
_COLUMNS: tuple[Path, ...] = ((*LEVERAGE, "travel_mm"), (*LEVERAGE, "stroke_mm"))
_LONGEST = 600.0
_FIRST: dict[str, Raw] = {"travel_mm": (0.0,), "stroke_mm": (0.0,)}


def measuring(state: BenchState) -> BenchState:
    """Show the view of the pairs; asked again, take the pair that is open and start the next one.

    The travel of the next pair is typed already.
    """
    if state.aside != VIEW:
        return replace(state, aside=VIEW)
    if state.edit is not None and not all(map(is_number, _open_pair(state))):
        return replace(state, note="Type the stroke behind the travel first; then z takes the pair.")
    state = committed(state)
    fresh = not measured(state.job)
    state = _taking_pairs(state) if fresh else state
    travels, _ = columns(state.job)
    here = selected(state, (*LEVERAGE, "travel_mm", len(travels)))
    following = next_of(state.job)
    if following is None:
        return replace(here, note="The pairs reach the end of the travel; one more takes both its numbers.")
    note = "Leverage comes from pairs now; u takes that back." if fresh else ""
    return replace(typed(here, f"{following:g} "), note=note)


def measured(job: Job) -> bool:
    """Return whether the leverage of a job comes from pairs."""
    return job.get(_KIND) == _MEASURED


def _taking_pairs(state: BenchState) -> BenchState:
    """Return the state with pairs for its leverage: those it had before, else full extension alone."""
    there = selected(state, _KIND)
    choice = there.row.kind
    if not isinstance(choice, Choice):
        return state
    option = next(index for index, way in enumerate(choice.options) if way.stored == _MEASURED)
    return with_job(there, choice.select(there.job, _KIND, option, _before(state)))


def _before(state: BenchState) -> Mapping[str, Raw]:
    for bike in reversed(state.history.past):
        leverage = end_of(bike, state.end).get(LEVERAGE)
        if isinstance(leverage, Table) and leverage.get("kind") == _MEASURED:
            return leverage
    return _FIRST


def _open_pair(state: BenchState) -> tuple[Raw | None, ...]:
    """Return the two numbers of the pair that is open, as far as they are typed."""
    kind = state.row.kind
    return pair_at(as_it_is_typed(state), state.row.path, kind) if isinstance(kind, Pair) else ()


def as_it_is_typed(state: BenchState) -> Job:
    """Return the job with the pair that is being typed already in it."""
    if state.edit is None or not isinstance(state.row.kind, Pair):
        return state.job
    return typed_into(state.job, state.row, state.edit.text, state.units)


def columns(job: Job) -> tuple[tuple[Raw, ...], tuple[Raw, ...]]:
    """Return travels and strokes [mm] as they stand in a job, whatever stands there."""
    found = (job.get((*LEVERAGE, key)) if measured(job) else None for key in _FIRST)
    travel, stroke = (column if isinstance(column, tuple) else () for column in found)
    return travel, stroke


def pairs_missing(state: BenchState) -> int:
    """Return how many pairs a list that is being entered still lacks, 0 where nothing or more is wrong."""
    if not measured(state.job) or not {fault.path for fault in state.faults} <= set(_COLUMNS):
        return 0
    from physics.pairs import FEWEST  # where there are faults it is loaded already

    travel, stroke = columns(state.job)
    whole = len(travel) == len(stroke) and all(map(is_length, (*travel, *stroke)))
    return FEWEST - len(travel) if whole and 0 < len(travel) < FEWEST else 0


def is_length(raw: Raw) -> bool:
    """Return whether a raw value is a travel or a stroke [mm] that a pair may have."""
    return is_number(raw) and 0 <= raw <= _LONGEST


def next_of(job: Job) -> float | None:
    """Return the travel [mm] to read next, None at the end of the travel or where that is not known."""
    import numpy as np  # it is there by now, and the first frame did not wait for it

    from physics.pairs import next_travel

    whole = in_si(str(job.get(("frame", "wheel_travel")) or ""), Measure.TRAVEL)
    if whole is None or not whole > 0:
        return None
    travels = np.array([travel for travel in columns(job)[0] if is_length(travel)], dtype=np.float64)
    following = next_travel(travels / 1000, whole)
    return None if following is None else round(following * 1000, 1)
