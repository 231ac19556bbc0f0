"""Figures wanted: the settings that come closest at the target sag, which want is met and which binds."""

from __future__ import annotations

from tui.bench.aside_text import Role, columns, heading, setup_name, told
from tui.bench.state import BenchState
from tui.bench.state_wants import wished_here
from tui.charts.cells import Row
from tui.charts.look import ChartLook
from tui.jobs.match_words import (
    MIND,
    caution_texts,
    on_bound_text,
    reason_text,
    sag_text,
    searched_text,
    settings_rows,
)
from tui.jobs.wanted import EXAMPLE, binds_text, judged_text
from tui.shop_units import Measure

_KEYS = "D again: type what is wanted. Enter: try it as a new setup. t: panels."
_NOTHING_YET = "Nothing to say yet: fix what is marked in the panels."
_ASK = f"Press D again and type figures with a semicolon between, such as {EXAMPLE}."


def lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the view of the selected setup of the last good answer."""
    glyphs = look.glyphs
    rows = told(_KEYS, width, glyphs, Role.QUIET)
    if state.good is None:
        return rows + told(_NOTHING_YET, width, glyphs)
    answer, units = state.good.answer, state.units
    index = min(state.setup, len(answer.setups) - 1)
    rows += [[], setup_name(answer.setups[index].name, index, look)]
    offer = wished_here(state)
    if offer is None:
        return rows + told(_ASK, width, glyphs)
    now, outside = answer.setups[index].setup, float(answer.shop.pressure)
    if isinstance(offer, str):
        return rows + told(reason_text(offer, now, answer, units), width, glyphs, Role.STRONG)
    sag = units.show(float(answer.target.sag), Measure.FRACTION)
    rows += columns([["", "now", "found"], *settings_rows(now, offer, units, outside)])
    rows += told(sag_text(offer.setup, units), width, glyphs)
    rows += heading(f"Wanted, at {sag} sag of {answer.target.of}")
    for each in offer.found.judged:
        rows += told(judged_text(each, units), width, glyphs)
    rows += told(binds_text(offer.found), width, glyphs, Role.STRONG)
    rows += told(on_bound_text(offer), width, glyphs, Role.STRONG)
    for text in (*caution_texts(offer, units), MIND):
        rows += told(text, width, glyphs, Role.CAUTION)
    rows += heading("Searched")
    return rows + told(searched_text(offer, units), width, glyphs, Role.QUIET)
