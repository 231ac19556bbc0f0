"""Helpers of the views: the selected setup of the last answer, and trying a setup."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tui.bench.edit import add_setup
from tui.bench.state import BenchState, show_step
from tui.job.job import Job
from tui.job.tree import Raw
from tui.subjects.asked import Seat

NOTHING_YET = "No results yet: fix the marked fields first."
OTHER_SETUP = "Left and Right in the fields choose another setup"
FIX_FIRST = "Fix the marked fields first: these results are OLD."


def seat_here(state: BenchState) -> Seat | None:
    """Return the selected setup of the last answer, None before there is one."""
    if state.answer is None:
        return None
    return Seat(state.wheel, state.answer, min(state.setup, len(state.answer.answer.setups) - 1))


def selected_name(state: BenchState) -> str:
    """Return the name of the selected setup as typed, also before there is an answer."""
    setups = state.job.setups
    return str(setups[min(state.setup, len(setups) - 1)].get("name", "")) if setups else ""


def setup_tried(state: BenchState, table: Mapping[str, Raw], said: str, job: Job | None = None) -> BenchState:
    """Return the state with a setup added and selected in the same view; the note is `said` and its name.

    It is added to the `job` of the wheel if one is given, in one edit.
    """
    tried = add_setup(state, table, "Tried", job)
    if tried.job == state.job:
        return tried
    if tried.step is not state.step:
        tried = replace(show_step(tried, state.step), in_view=state.in_view)
    return replace(tried, note=f"{said} {tried.job.setups[-1]['name']}; u undoes it.")
