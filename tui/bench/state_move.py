"""Moving the cursor over the panels."""

from __future__ import annotations

from tui.bench.state import BenchState, placed
from tui.bench.state_edit import committed

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
