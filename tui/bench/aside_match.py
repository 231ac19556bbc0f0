"""One spring in the place of another: settings found, figures side by side, and where it cannot follow."""

from __future__ import annotations

from collections.abc import Sequence

from physics.answer import SetupAnswer
from physics.match import Match
from tui.bench.aside_text import Role, columns, heading, setup_name, told
from tui.bench.aside_work import Task, Told
from tui.bench.state import BenchState
from tui.bench.state_match import CANS, match_here, pair_here, work_key
from tui.charts.cells import Row, cells
from tui.charts.look import ChartLook
from tui.jobs.match_words import (
    FIGURES,
    MEANING,
    MIND,
    REASONS,
    buyable_text,
    close_text,
    gap_text,
    settings_rows,
)
from tui.jobs.matching import answered_setup, matched_job
from tui.shop_units import ShopUnits

_KEYS = "Left, right: another goal. Enter tries it as a new setup. C: {other}. t: panels."
_OTHER = {False: "with other volumes and port too", True: "the chart again"}
_NOTHING_YET = "Nothing to say yet: put right what is marked in the panels."
_ALONE = "There is one setup only: add another spring to set like it, c for a coil, a for air."
_WORKING = "Trying volumes and ports as well ..."


def task(state: BenchState) -> Task | None:
    """Return the work of trying other cans as well, None where there are no two setups."""
    good, pair = state.good, pair_here(state)
    if good is None or pair is None:
        return None

    def work(told: Told) -> object:
        told(0.0)
        return matched_job(good, *pair, cans=True)

    return Task(work_key(state), work)


def lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the view: the selected setup of the last good answer is the goal."""
    cans = state.aside == CANS
    rows = told(_KEYS.format(other=_OTHER[cans]), width, look.glyphs, Role.QUIET)
    pair = pair_here(state)
    if state.good is None or pair is None:
        return rows + told(_NOTHING_YET if state.good is None else _ALONE, width, look.glyphs)
    setups = state.good.answer.setups
    goal, using = pair
    rows += [[], cells("Goal ", Role.BASE) + setup_name(setups[goal].name, goal, look)]
    rows += [cells("With ", Role.BASE) + setup_name(setups[using].name, using, look)]
    found = match_here(state)
    if found is None:
        return rows + told(_WORKING, width, look.glyphs)
    if isinstance(found, str):
        return rows + told(REASONS[found], width, look.glyphs)
    return rows + _found(state, found, setups[goal], setups[using], width, look)


def _found(
    state: BenchState, found: Match, goal: SetupAnswer, now: SetupAnswer, width: int, look: ChartLook
) -> list[Row]:
    assert state.good is not None
    units, outside = state.units, float(state.good.answer.shop.pressure)
    rows: list[Row] = []
    for text in (close_text(found, units), gap_text(found, units)):
        rows += told(text, width, look.glyphs, Role.STRONG)
    rows += told(buyable_text(found, units), width, look.glyphs)
    rows += heading("Settings")
    rows += columns([["", "now", "found"], *settings_rows(now.setup, found.setup, units, outside)])
    rows += heading("Figures")
    then = answered_setup(state.good.case, found.setup)
    rows += columns([["", "goal", "found", "now"], *_figures((goal, then, now), units)])
    rows += [[], *told(MIND, width, look.glyphs, Role.CAUTION)]
    return rows + told(MEANING, width, look.glyphs, Role.QUIET)


def _figures(setups: Sequence[SetupAnswer], units: ShopUnits) -> list[list[str]]:
    return [
        [label, *(units.show(float(getattr(setup.figures, name)), measure) for setup in setups)]
        for name, label, measure in FIGURES
    ]
