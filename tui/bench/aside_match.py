"""One spring in the place of another: settings found, figures side by side, and where it cannot follow."""

from __future__ import annotations

from physics.answer import SetupAnswer
from physics.match import Match
from tui.bench.aside_text import Role, columns, heading, setup_name, told
from tui.bench.aside_work import Task, Told
from tui.bench.state import BenchState
from tui.bench.state_match import VOLUMES, match_here, pair_here, work_key
from tui.charts.cells import Row, cells
from tui.charts.look import ChartLook
from tui.jobs.match_words import (
    MEANING,
    MIND,
    buyable_text,
    caution_texts,
    close_text,
    figure_rows,
    gap_text,
    on_bound_text,
    reason_text,
    sag_text,
    searched_text,
    settings_rows,
)
from tui.jobs.matching import Offer, matched_job

_KEYS = "Left, right: another target setup. Enter tries it as a new setup. C: {other}. t: panels."
_OTHER = {False: "with volumes and port free too", True: "the chart again"}
_NOTHING_YET = "Nothing to say yet: fix what is marked in the panels."
_ALONE = "There is one setup only: add another spring to set like it, c for a coil, a for air."
_WORKING = "Trying volumes and ports as well ..."


def task(state: BenchState) -> Task | None:
    """Return the work of trying other volumes as well, None where there are no two setups."""
    good, pair, units = state.good, pair_here(state), state.units
    if good is None or pair is None:
        return None

    def work(told: Told) -> object:
        told(0.0)
        return matched_job(good, *pair, units, volumes=True)

    return Task(work_key(state), work)


def lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the view: the selected setup of the last good answer is the target setup."""
    rows = told(_KEYS.format(other=_OTHER[state.aside == VOLUMES]), width, look.glyphs, Role.QUIET)
    pair = pair_here(state)
    if state.good is None or pair is None:
        return rows + told(_NOTHING_YET if state.good is None else _ALONE, width, look.glyphs)
    setups = state.good.answer.setups
    target, using = pair
    rows += [[], cells("Target ", Role.BASE) + setup_name(setups[target].name, target, look)]
    rows += [cells("Set    ", Role.BASE) + setup_name(setups[using].name, using, look)]
    found = match_here(state)
    if found is None:
        return rows + told(_WORKING, width, look.glyphs)
    if isinstance(found, str):
        why = reason_text(found, setups[using].setup, state.good.answer, state.units)
        return rows + told(why, width, look.glyphs, Role.STRONG)
    return rows + _found(state, found, setups[target], setups[using], width, look)


def _found(
    state: BenchState, offer: Offer[Match], target: SetupAnswer, now: SetupAnswer, width: int, look: ChartLook
) -> list[Row]:
    units, found, glyphs = state.units, offer.found, look.glyphs
    outside = float(offer.tried.answer.shop.pressure)
    rows = columns([["", "now", "found"], *settings_rows(now.setup, offer, units, outside)])
    for text in (sag_text(offer.setup, units), close_text(found, units), gap_text(found, units)):
        rows += told(text, width, glyphs, Role.STRONG)
    rows += told(buyable_text(found, units), width, glyphs)
    rows += told(on_bound_text(offer), width, glyphs, Role.STRONG)
    for text in caution_texts(offer, units):
        rows += told(text, width, glyphs, Role.CAUTION)
    rows += told(MIND, width, glyphs, Role.CAUTION)
    rows += heading("Figures as it rides")
    figures = [["", "target", "found", "now"], *figure_rows((target, offer.setup, now), units)]
    # A narrow view has no room for how it stands.
    wide = columns(figures)
    rows += wide if max(map(len, wide)) <= width else columns([row[:-1] for row in figures])
    rows += heading("Searched")
    rows += told(searched_text(offer, units), width, glyphs, Role.QUIET)
    return rows + told(MEANING, width, glyphs, Role.QUIET)
