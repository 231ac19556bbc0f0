"""The cursor in a sweep or a map: its position, moving it, and the values to take from it."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

import numpy as np

from physics.case import Case
from physics.sweep import Swept
from tui.bench.state import MAP, BenchState, chosen_input, solved_case
from tui.bench.views.here import seat_here
from tui.kit.document import Take
from tui.subjects import sweep as subject

POINTS = 71
_MAP_STEPS = (2, 4)
"""Grid steps of a map per key press: about a cell of its drawing."""
_SUGGESTED = ("positive_volume", "preload", "sag")
"""Default inputs for the vertical axis of a map."""


def swept_here(state: BenchState) -> Swept | None:
    """Return the sweep of every setup of the last valid answer."""
    known = solved_case(state)
    if state.answer is None or known is None:
        return None
    one = chosen_input(known, [state.sweep.over])
    return subject.swept_over(state.answer, one.name, one.reach(known), POINTS, state.sweep.figure)


def map_asked(state: BenchState) -> subject.MapAsked | None:
    """Return the requested map of the selected setup."""
    known, seat = solved_case(state), seat_here(state)
    if seat is None or known is None:
        return None
    case = replace(seat.there.case, setups=seat.there.case.setups[seat.place : seat.place + 1])
    known = replace(known, setups=known.setups[:1])
    over = chosen_input(known, [state.sweep.over])
    against = chosen_input(known, (state.sweep.against, *_SUGGESTED), but=over.name)
    return subject.MapAsked(case, known, over, against, state.sweep.figure)


def map_key(state: BenchState) -> tuple[object, ...] | None:
    """Return the key that identifies a map, None if there is none."""
    asked = map_asked(state)
    if asked is None or state.answer is None:
        return None
    return (state.answer.job, state.setup, asked.over.name, asked.against.name, asked.figure)


def map_found(state: BenchState) -> Swept | None:
    """Return the map that is shown, None before it is calculated."""
    key = map_key(state)
    return cast(Swept, state.worked.found) if key is not None and state.worked.key == key else None


def _found(state: BenchState) -> Swept | None:
    return map_found(state) if state.view == MAP else swept_here(state)


def cell_read(state: BenchState, found: Swept) -> tuple[int, ...] | None:
    """Return the position of the cursor, None while it is at the job's present values."""
    if state.cell is None:
        return None
    return tuple(
        min(max(at, 0), axis.numbers.size - 1) for at, axis in zip(state.cell, found.axes, strict=False)
    )


def _now(found: Swept, known: Case) -> tuple[int, ...]:
    """Return the position in a sweep or map nearest to the job's present values."""
    return tuple(
        int(np.argmin(np.abs(axis.numbers - np.nan_to_num(subject.number_now(axis.input, known)))))
        for axis in found.axes
    )


def move_read(state: BenchState, across: int = 0, up: int = 0) -> BenchState:
    """Move the cursor; the first move starts at the job's present values."""
    found, known = _found(state), solved_case(state)
    if found is None or known is None:
        return state
    here, steps = cell_read(state, found) or _now(found, known), (across, up)
    if state.view == MAP:
        steps = (across * _MAP_STEPS[0], up * _MAP_STEPS[1])
    there = [
        min(max(at + step, 0), axis.numbers.size - 1)
        for at, step, axis in zip(here, steps, found.axes, strict=False)
    ]
    return replace(state, cell=(there[0], there[1] if len(there) > 1 else 0))


def place_takes(state: BenchState) -> tuple[Take, ...]:
    """Return the values at the cursor as lines to take, none at the job's present values."""
    found, known, seat = _found(state), solved_case(state), seat_here(state)
    if found is None or known is None or seat is None or (place := cell_read(state, found)) is None:
        return ()
    asked = seat.there.job, seat.place, known
    return (subject.place_take(found, place, state.sweep.figure, asked, state.units),)
