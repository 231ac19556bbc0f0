"""Rate and pressure where they are solved: found in the last good answer, written in the shop's units."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.bench.fields_row import Amount, Row
from tui.bench.fields_typed import SOLVE, written
from tui.bench.state import BenchState
from tui.jobs.job import Job

if TYPE_CHECKING:
    from physics.answer import SetupAnswer


def is_solved(job: Job, row: Row) -> bool:
    """Return whether the job asks for this value instead of giving it."""
    return isinstance(row.kind, Amount) and row.kind.solvable and job.get(row.path) == SOLVE


def solved_text(state: BenchState, row: Row) -> str | None:
    """Return the solved value in the shop's units, None where there is none."""
    found = answered_setup(state, row.path[1])
    if found is None or state.good is None:
        return None
    return written(found, float(state.good.answer.shop.pressure), state.units)


def answered_setup(state: BenchState, index: int | str) -> SetupAnswer | None:
    """Return the answer to a setup of the job; that of an older job is known by name and kind."""
    if state.good is None or not isinstance(index, int):
        return None
    setups = state.good.answer.setups
    if not state.stale:
        return setups[index]
    wanted = state.job.setups[index]
    same = (s for s in setups if s.name == wanted.get("name") and s.kind == wanted.get("kind"))
    return next(same, None)
