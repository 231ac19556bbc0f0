"""Tolerance: where sag and the end of the travel may really lie, drawn and in words, for every setup."""

from __future__ import annotations

from physics.case import Case
from physics.tolerance import Spread, tolerance
from tui.bench.aside_bands import drawn_bands
from tui.bench.aside_text import Role, heading, setup_name, told
from tui.bench.state import BenchState
from tui.charts.cells import Row
from tui.charts.look import ChartLook
from tui.jobs.fork_words import spoken
from tui.jobs.tolerance_words import band_text, beyond_text, blamed, error_texts
from tui.shop_units import ABSENT, Measure, ShopUnits

_SAYS = (
    "The spring stays set as it is; what is known has the errors listed below. Nine cases in ten lie along "
    "the line, half of them where it is thick."
)
_UNIFORM = "Each is uniform within its ± unless said otherwise. Set them in the last rows of the rider panel."
_DO = (
    "Read the ring on the shaft with the rider on board: that is where this bike is. A better tool pays "
    "where it heads the list."
)


def lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the view of every setup of the last good answer."""
    if state.good is None:
        return told("Nothing to say yet: put right what is marked in the panels.", width, look.glyphs)
    answer, units = state.good.answer, state.units
    spreads = [tolerance(state.good.case, index) for index in range(len(answer.setups))]
    names, fork = [setup.name for setup in answer.setups], answer.frame.fork
    of = spoken(answer.target.of, fork)
    rows = told(_SAYS, width, look.glyphs, Role.QUIET)
    rows += heading(f"Sag, {units.unit(Measure.FRACTION)} of {of}")
    sags, ends = [spread.sag for spread in spreads], [spread.bottom_ratio for spread in spreads]
    rows += drawn_bands(names, sags, width, look, (Measure.FRACTION, units), float(answer.target.sag))
    rows += heading("At full travel, times the load")
    rows += drawn_bands(names, ends, width, look, (Measure.RATIO, units))
    rows += heading("In words")
    for index, spread in enumerate(spreads):
        rows.append(setup_name(names[index], index, look))
        for text in _words(spread, of, units):
            rows += told(text, width, look.glyphs)
    rows += heading("Errors") + _errors(state.good.case, units, width, look)
    return rows + [[], *told(spoken(_DO, fork), width, look.glyphs)]


def _errors(case: Case, units: ShopUnits, width: int, look: ChartLook) -> list[Row]:
    """Return what each error that any setup has is taken to be."""
    said = [*error_texts(case, range(len(case.setups)), units), _UNIFORM]
    return [row for text in said for row in told(text, width, look.glyphs)]


def _words(spread: Spread, of: str, units: ShopUnits) -> list[str]:
    sag = band_text(spread.sag, Measure.FRACTION, units)
    middle = units.show(float(spread.sag.middle), Measure.FRACTION)
    said = [beyond_text(spread, units)]
    if sag != ABSENT:
        travel = band_text(spread.sag_wheel, Measure.TRAVEL, units)
        half = "" if middle == ABSENT else f", as often below {middle} as above"
        said.append(f"Sag {sag} of {of}{half}; at the wheel {travel}.")
    end = band_text(spread.bottom_ratio, Measure.RATIO, units)
    if end != ABSENT:
        said.append(f"At full travel {end} times the load.")
    if each := blamed(spread, units):
        said.append(f"Sag from each error alone: {each}.")
    return [text for text in said if text] or ["No setting reaches the target: there is nothing to scatter."]
