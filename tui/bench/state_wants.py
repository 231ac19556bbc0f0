"""Figures wanted of the selected setup: asked for, and the settings found tried as a new setup."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.state_edit import undone
from tui.bench.state_setups import setup_added

if TYPE_CHECKING:
    from physics.faults import Reason
    from physics.wants import Want, Wished
    from tui.bench.state import BenchState
    from tui.jobs.matching import Offer

VIEW = "wants"


def with_wants(state: BenchState, wants: tuple[Want, ...]) -> BenchState:
    """Return the state with other figures wanted, their view shown."""
    return replace(state, wants=wants, aside=VIEW)


def wished_here(state: BenchState) -> Offer[Wished] | Reason | None:
    """Return what is offered, why nothing is, or None where nothing is wanted or answered yet."""
    from tui.jobs.wanted import wished_job  # the physics loads after the first frame

    if state.good is None or not state.wants:
        return None
    index = min(state.setup, len(state.good.answer.setups) - 1)
    return wished_job(state.good, index, state.wants, state.units)


def wish_tried(state: BenchState) -> BenchState:
    """Add what is offered as a setup of its own and go to it; undo removes it."""
    if state.stale or state.good is None:
        return replace(state, note="Put right what is marked in the panels first: this is of an older job.")
    found = wished_here(state)
    if found is None or isinstance(found, str):
        return replace(state, note="There is nothing to try yet.")
    typed = state.job.setups[state.setup]
    tried = setup_added(state, {**found.table, "name": f"{typed.get('name', 'setup')} as wanted"}, "Tried")
    return replace(tried, note=f"Added as {tried.job.setups[-1]['name']}; u undoes it.")


KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {"enter": wish_tried, "u": undone}
