"""Figures wanted: the settings that come closest at the target sag, which want is met and which binds."""

from __future__ import annotations

from tui.bench.aside_text import Role, columns, heading, setup_name, told
from tui.bench.state import BenchState
from tui.bench.state_wants import wished_here
from tui.charts.cells import Row
from tui.charts.look import ChartLook
from tui.jobs.match_words import MIND, REASONS, settings_rows
from tui.jobs.wanted import EXAMPLE, binds_text, judged_text
from tui.shop_units import Measure

_KEYS = "D again: type what is wanted. Enter: try it as a new setup. t: panels."
_NOTHING_YET = "Nothing to say yet: put right what is marked in the panels."
_ASK = f"Press D again and type figures with a semicolon between, such as {EXAMPLE}."


def lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the view of the selected setup of the last good answer."""
    rows = told(_KEYS, width, look.glyphs, Role.QUIET)
    if state.good is None:
        return rows + told(_NOTHING_YET, width, look.glyphs)
    answer, units = state.good.answer, state.units
    index = min(state.setup, len(answer.setups) - 1)
    rows += [[], setup_name(answer.setups[index].name, index, look)]
    found = wished_here(state)
    if found is None:
        return rows + told(_ASK, width, look.glyphs)
    if isinstance(found, str):
        return rows + told(REASONS[found], width, look.glyphs)
    sag = units.show(float(answer.target.sag), Measure.FRACTION)
    rows += heading(f"Wanted, at {sag} sag of {answer.target.of}")
    for each in found.judged:
        rows += told(judged_text(each, units), width, look.glyphs)
    rows += told(binds_text(found), width, look.glyphs, Role.STRONG)
    rows += heading("Settings")
    now, outside = answer.setups[index].setup, float(answer.shop.pressure)
    rows += columns([["", "now", "found"], *settings_rows(now, found.setup, units, outside)])
    return rows + [[], *told(MIND, width, look.glyphs, Role.CAUTION)]
