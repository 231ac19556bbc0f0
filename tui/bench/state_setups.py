"""The list of setups: add, duplicate, rename, remove."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tui.bench.fields import FIRST_SETUP, NEW_AIR, NEW_COIL
from tui.bench.state import BenchState, placed, selected, with_job
from tui.bench.state_edit import committed, opened_edit
from tui.bench.state_view import setup_selected
from tui.jobs.demo import demo_front
from tui.jobs.tree import Raw


def coil_added(state: BenchState) -> BenchState:
    """Add an invented coil and go to it."""
    return setup_added(committed(state), NEW_COIL, "An invented setup")


def air_added(state: BenchState) -> BenchState:
    """Add an invented air setup and go to it."""
    state = committed(state)
    is_fork = state.job.get(("frame", "leverage", "kind")) == "fork"
    return setup_added(state, demo_front()["setup"][0] if is_fork else NEW_AIR, "An invented setup")


def duplicated(state: BenchState) -> BenchState:
    """Add a copy of the selected setup and go to it."""
    state = committed(state)
    if not state.job.setups:
        return replace(state, note="No setup to copy: add a coil or an air spring.")
    copied = state.job.setups[state.setup]
    return setup_added(state, copied, "A copy")


def removed(state: BenchState) -> BenchState:
    """Remove the setup whose panel is shown, and none from another panel; undo brings it back."""
    state = committed(state)
    count = len(state.job.setups)
    panel = state.panels[state.panel]
    if panel.setup is None:
        return replace(state, note="This removes a setup: go to the one to remove first.")
    if count < 2:
        return replace(state, note="The last setup stays: there would be nothing to answer.")
    rows = (*state.rows[: state.panel], *state.rows[state.panel + 1 :])
    changed = with_job(state, state.job.without_setup(panel.setup))
    changed = replace(changed, rows=rows, note=f"{panel.title} is removed; u undoes it.")
    return setup_selected(changed, min(panel.setup, count - 2))


def kind_selected(state: BenchState, kind: str) -> BenchState:
    """Return the state with a setup of a kind selected: the one that is, else the first, if there is any.

    The cursor leaves the panel of another setup, and no other panel.
    """
    index = setup_of_kind(state, kind)
    if index is None or index == state.setup:
        return state
    on_setup = state.panels[state.panel].setup is not None
    return setup_selected(state, index) if on_setup else replace(state, setup=index)


def renamed(state: BenchState) -> BenchState:
    """Open the name of the selected setup for typing."""
    state = committed(state)
    return opened_edit(selected(state, ("setup", state.setup, "name")))


def setup_of_kind(state: BenchState, kind: str) -> int | None:
    """Return the selected setup of the answer if it is of a kind, else the first that is."""
    kinds = [setup.kind for setup in state.good.answer.setups] if state.good else []
    if kinds[state.setup : state.setup + 1] == [kind]:
        return state.setup
    return kinds.index(kind) if kind in kinds else None


def setup_added(state: BenchState, fresh: Mapping[str, Raw], what: str) -> BenchState:
    """Add a setup behind all others: those keep their place, and with it their marker in the chart."""
    job = state.job.with_setup(None, {**fresh, "name": state.job.free_name(str(fresh.get("name", "setup")))})
    shown = placed(with_job(state, job), FIRST_SETUP + len(job.setups) - 1, 0)
    return replace(shown, note=f"{what}, {shown.panels[shown.panel].title}: type its own values over.")
