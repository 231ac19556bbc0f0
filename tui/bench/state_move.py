"""Moving the cursor over the panels, and from one end of the bike to the other."""

from __future__ import annotations

from dataclasses import replace

from tui.bench.state import BenchState, answered, placed
from tui.bench.state_edit import committed
from tui.bench.state_ends import alone, end_removed, turned, with_invented_front
from tui.jobs.ends import has_front

_ADDED = "An invented front is added, off the sheet until typed over; u takes it away."
PAGE = 10
"""Rows that a page key goes."""


def by_rows(state: BenchState, steps: int) -> BenchState:
    """Go up or down inside the panel; what is being typed is committed first."""
    state = committed(state)
    return placed(state, state.panel, state.rows[state.panel] + steps)


def to_panel(state: BenchState, panel: int) -> BenchState:
    """Go to a panel, to the row that was selected there last; round at either end."""
    state = committed(state)
    panel %= len(state.panels)
    return placed(state, panel, state.rows[panel])


def by_panels(state: BenchState, steps: int) -> BenchState:
    """Go some panels on."""
    return to_panel(state, state.panel + steps)


def to_row(state: BenchState, panel: int, row: int) -> BenchState:
    """Go to one row, as a click does."""
    return placed(committed(state), panel, row)


def without_end(state: BenchState) -> BenchState:
    """Take the end on the bench off; what is being typed is committed first."""
    return end_removed(committed(state))


def to_other_end(state: BenchState) -> BenchState:
    """Go to the other end of the bike; one that has no front yet gets an invented one."""
    state = committed(state)
    if has_front(state.bike):
        return turned(state, "front" if state.end == "rear" else "rear")
    if state.job.get(("frame", "leverage", "kind")) == "fork":
        return replace(state, note=alone(state))
    grown = replace(state, history=state.history.then(with_invented_front(state.bike)))
    moved = turned(answered(grown), "front")
    return replace(moved, note=_ADDED)
