"""The list of setups: add, duplicate, rename, remove."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tui.bench.fields import FIRST_SETUP, NEW_AIR, NEW_COIL
from tui.bench.state import BenchState, placed, selected, with_job
from tui.bench.state_edit import committed, opened_edit
from tui.jobs.job import Job
from tui.jobs.tree import Raw


def coil_added(state: BenchState) -> BenchState:
    """Add an invented coil behind the selected setup and go to it."""
    return _added(state, NEW_COIL)


def air_added(state: BenchState) -> BenchState:
    """Add an invented air setup behind the selected setup and go to it."""
    return _added(state, NEW_AIR)


def duplicated(state: BenchState) -> BenchState:
    """Put a copy of the selected setup behind it and go to the copy."""
    state = committed(state)
    if not state.job.setups:
        return replace(state, note="No setup to copy: add a coil or an air spring.")
    return _grown(state, state.job.duplicate_setup(state.setup), "A copy")


def removed(state: BenchState) -> BenchState:
    """Take the selected setup out; undo brings it back."""
    state = committed(state)
    count = len(state.job.setups)
    if count < 2:
        return replace(state, note="The last setup stays: there would be nothing to answer.")
    name = state.panels[FIRST_SETUP + state.setup].title
    gone = FIRST_SETUP + state.setup
    panel = state.panel - (1 if state.panel > gone or state.panel == gone == count + 1 else 0)
    rows = (*state.rows[:gone], *state.rows[gone + 1 :])
    shown = replace(state, note="", setup=min(state.setup, count - 2))
    changed = with_job(shown, state.job.without_setup(state.setup))
    changed = replace(changed, rows=rows, note=f"{name} is out; undo brings it back.")
    return placed(changed, panel, rows[panel])


def renamed(state: BenchState) -> BenchState:
    """Open the name of the selected setup for typing."""
    state = committed(state)
    return opened_edit(selected(state, ("setup", state.setup, "name")))


def _added(state: BenchState, fresh: Mapping[str, Raw]) -> BenchState:
    state = committed(state)
    name = state.job.free_name(str(fresh["name"]))
    place = min(state.setup + 1, len(state.job.setups))
    return _grown(state, state.job.with_setup(place, {**fresh, "name": name}), "An invented setup")


def _grown(state: BenchState, job: Job, what: str) -> BenchState:
    panel = FIRST_SETUP + min(state.setup + 1, len(job.setups) - 1)
    rows = (*state.rows[:panel], 0, *state.rows[panel:])
    grown = replace(with_job(state, job), rows=rows)
    shown = placed(grown, panel, 0)
    return replace(shown, note=f"{what}, {shown.panels[panel].title}: type its own values over.")
