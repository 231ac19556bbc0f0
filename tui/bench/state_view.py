"""What is shown how: chart view, slow curve, units of the shop, the place where the chart is read."""

from __future__ import annotations

from dataclasses import replace

from tui.bench.fields import FIRST_SETUP
from tui.bench.state import BenchState, answered, opened, placed
from tui.bench.state_sweep import MAP, SWEEP, figure_turned
from tui.charts.cursor import at_sag, moved
from tui.charts.views import ChartView
from tui.jobs.history import History
from tui.shop_units import ShopUnits, following

COARSE = 10
"""Cursor steps of the far keys."""

_VIEWS = tuple(ChartView)


def view_turned(state: BenchState, steps: int) -> BenchState:
    """Go some views on in the round; of a sweep or a map, some figures."""
    if state.aside in (SWEEP, MAP):
        return figure_turned(state, steps)
    view = _VIEWS[(_VIEWS.index(state.view) + steps) % len(_VIEWS)]
    return replace(state, view=view)


def slow_switched(state: BenchState) -> BenchState:
    """Lay the slow curve past sag over the riding curve, or take it off."""
    return replace(state, slow=not state.slow)


def units_turned(state: BenchState) -> BenchState:
    """Go to the next habit of units; what was typed keeps its own."""
    units = following(state.units)
    return replace(state, units=units, note=f"Figures in {units.name} units; what was typed keeps its own.")


def setup_selected(state: BenchState, index: int) -> BenchState:
    """Select a setup: its panel is the one shown, at the row that was selected there last."""
    panel = FIRST_SETUP + min(max(index, 0), len(state.job.setups) - 1)
    return placed(state, panel, state.rows[panel]) if state.job.setups else state


def cursor_moved(state: BenchState, steps: int) -> BenchState:
    """Walk along the travel by hundredths of it."""
    return replace(state, cursor=moved(state.cursor, steps))


def cursor_at_sag(state: BenchState) -> BenchState:
    """Go to where the selected setup settles."""
    place = None if state.good is None else at_sag(state.good.answer, state.setup)
    if place is None:
        return replace(state, note="The selected setup has no sag point.")
    return replace(state, cursor=place)


def fresh(history: History, units: ShopUnits, note: str = "") -> BenchState:
    """Return the bench with another job on it, answered and read where it settles."""
    return replace(cursor_at_sag(answered(opened(history, units))), note=note)


def aside_switched(state: BenchState, id: str) -> BenchState:
    """Show a view in the place of chart and table, or take it away."""
    return replace(state, aside="" if state.aside == id else id)


def chart_again(state: BenchState) -> BenchState:
    """Take the view away, whichever it is."""
    return replace(state, aside="")
