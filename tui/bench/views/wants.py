"""Figures wanted of the selected setup: asked for, and the settings found tried as a new setup."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.edit import setup_added, undone
from tui.bench.state import BenchState
from tui.kit.cells import CellRow
from tui.kit.document import Role
from tui.kit.dressing import columns, heading, setup_name, told
from tui.kit.look import ChartLook
from tui.shop_units import Measure
from tui.subjects.match import (
    EXAMPLE,
    MIND,
    binds_text,
    caution_texts,
    judged_text,
    on_bound_text,
    reason_text,
    sag_text,
    searched_text,
    settings_rows,
)

if TYPE_CHECKING:
    from physics.faults import Reason
    from physics.wants import Want, Wished
    from tui.bench.state import BenchState
    from tui.subjects.match import Offer

WANTS = "wants"


def with_wants(state: BenchState, wants: tuple[Want, ...]) -> BenchState:
    """Return the state with other figures wanted, their view shown."""
    return replace(state, wants=wants, view=WANTS)


def wished_here(state: BenchState) -> Offer[Wished] | Reason | None:
    """Return what is offered, why nothing is, or None where nothing is wanted or answered yet."""
    from tui.subjects.match import wished_job  # the physics loads after the first frame

    if state.answer is None or not state.wants:
        return None
    index = min(state.setup, len(state.answer.answer.setups) - 1)
    return wished_job(state.answer, index, state.wants, state.units)


def wish_tried(state: BenchState) -> BenchState:
    """Add what is offered as a setup of its own and go to it; undo removes it."""
    if state.is_outdated or state.answer is None:
        return replace(state, note="Put right what is marked in the panels first: this is of an older job.")
    found = wished_here(state)
    if found is None or isinstance(found, str):
        return replace(state, note="There is nothing to try yet.")
    typed = state.job.setups[state.setup]
    tried = setup_added(state, {**found.table, "name": f"{typed.get('name', 'setup')} as wanted"}, "Tried")
    return replace(tried, note=f"Added as {tried.job.setups[-1]['name']}; u undoes it.")


KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {"enter": wish_tried, "u": undone}


_KEYS = "D again: type what is wanted. Enter: try it as a new setup. t: panels."
_NOTHING_YET = "Nothing to say yet: fix what is marked in the panels."
_ASK = f"Press D again and type figures with a semicolon between, such as {EXAMPLE}."


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view of the selected setup of the last good answer."""
    glyphs = look.glyphs
    rows = told(_KEYS, width, glyphs, Role.QUIET)
    if state.answer is None:
        return rows + told(_NOTHING_YET, width, glyphs)
    answer, units = state.answer.answer, state.units
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
