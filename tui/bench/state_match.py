"""One spring in the place of another: shown, with volumes free as well, and tried as a new setup."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.state_edit import undone
from tui.bench.state_setups import setup_added
from tui.bench.state_view import setup_selected

if TYPE_CHECKING:
    from physics.faults import Reason
    from physics.match import Match
    from tui.bench.state import BenchState
    from tui.jobs.matching import Offer

VIEW, VOLUMES = "match", "match_volumes"
"""The view, and the same with volumes and port free as well."""


def match_asked(state: BenchState) -> BenchState:
    """Show the view; asked again with volumes free as well, and then the chart."""
    following = {VIEW: VOLUMES, VOLUMES: ""}
    return replace(state, aside=following.get(state.aside, VIEW))


def pair_here(state: BenchState) -> tuple[int, int] | None:
    """Return the target setup, the selected one, and the setup to be set, None where there are no two."""
    from tui.jobs.matching import other_kind  # the physics loads after the first frame

    if state.good is None:
        return None
    target = min(state.setup, len(state.good.answer.setups) - 1)
    using = other_kind(state.good, target)
    return None if using is None else (target, using)


def match_here(state: BenchState) -> Offer[Match] | Reason | None:
    """Return what is offered, why nothing is, or None while it is worked out or where there are no two."""
    from tui.jobs.matching import matched_job

    pair = pair_here(state)
    if pair is None or state.good is None:
        return None
    if state.aside == VOLUMES:
        key = work_key(state)
        return state.worked.found if state.worked.key == key else None  # type: ignore[return-value]
    return matched_job(state.good, *pair, state.units)


def work_key(state: BenchState) -> tuple[object, ...]:
    """Return what the work beside the screen is about."""
    return (VOLUMES, state.good.job if state.good else None, pair_here(state), state.units.name)


def match_tried(state: BenchState) -> BenchState:
    """Add what is offered as a setup of its own and go to it, the chart shown; undo removes it."""
    if state.stale or state.good is None:
        return replace(state, note="Put right what is marked in the panels first: this is of an older job.")
    found, pair = match_here(state), pair_here(state)
    if pair is None or found is None or isinstance(found, str):
        return replace(state, note="There is nothing to try yet.")
    target, using = (state.job.setups[place] for place in pair)
    named = {**found.table, "name": f"{using.get('name', 'setup')} as {target.get('name', 'setup')}"}
    tried = setup_added(state, named, "Tried")
    # The view would be of the new setup and what is like it, which nobody asked for.
    return replace(tried, aside="", note=f"Added as {tried.job.setups[-1]['name']}; u undoes it.")


def _target_turned(steps: int) -> Callable[[BenchState], BenchState]:
    return lambda state: setup_selected(state, (state.setup + steps) % max(len(state.job.setups), 1))


KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {
    "left": _target_turned(-1),
    "right": _target_turned(1),
    "enter": match_tried,
    "u": undone,
}
"""What keys do while the cursor is in the view."""
