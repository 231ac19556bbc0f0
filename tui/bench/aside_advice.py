"""After the ride: what the rider felt, what to change, and what each change does in numbers."""

from __future__ import annotations

from physics.advise import Advice, Advised
from physics.advise_feel import rebound_change
from tui.bench.aside_text import Role, heading, setup_name, told
from tui.bench.state import BenchState
from tui.bench.state_advice import advice_here, change_here, felt_now, setup_here
from tui.bench.state_ends import alone
from tui.charts.cells import Row, cells
from tui.charts.look import ChartLook
from tui.jobs.advice_words import (
    CAUTIONS,
    NOTHING,
    NOTHING_APART,
    PRACTICE,
    REBOUND,
    UNSETTLED,
    change_text,
    effects,
    rebound_text,
    short_effect,
    unavailable,
)  # fmt: skip
from tui.jobs.felt_words import FELT
from tui.jobs.fork_words import spoken
from tui.shop_units import Measure

_KEYS = "Up, down: what was felt. Left, right: a change. Enter tries it as a new setup."
_NOTHING_YET = "Nothing to say yet: put right what is marked in the panels."
_INDENT = " " * 4


def lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the view of the selected setup of the last good answer."""
    rows = told(_KEYS, width, look.glyphs, Role.QUIET)
    if state.good is None:
        return rows + told(_NOTHING_YET, width, look.glyphs)
    felt, index = felt_now(state), setup_here(state)
    said = FELT[felt]
    name = setup_name(state.good.answer.setups[index].name, index, look)
    felt_line = f"{state.feeling.felt + 1} of {len(FELT)}: {said.label}"
    rows += [
        [],
        name,
        *told(felt_line, width, look.glyphs, Role.STRONG),
        *told(said.means, width, look.glyphs),
    ]
    found = advice_here(state)
    if found is None:
        return rows + told(alone(state), width, look.glyphs)
    rows += _changes(state, found, width, look)
    rows += _rebound(state, width, look)
    return rows + [[], *told(PRACTICE, width, look.glyphs, Role.QUIET)]


def _changes(state: BenchState, found: Advised, width: int, look: ChartLook) -> list[Row]:
    rows = heading("What to change, the best first")
    if not found.settles:
        return rows + told(UNSETTLED, width, look.glyphs)
    here = change_here(state, found)
    for place, advice in enumerate(found.changes):
        rows += _change(state, found, advice, place, place == here, width, look)
    if not found.changes:
        nothing = NOTHING_APART if felt_now(state) == "ends_fight" else NOTHING
        rows += told(spoken(nothing, _at_fork(state)), width, look.glyphs)
    return rows + told(unavailable(found.setup), width, look.glyphs, Role.QUIET)


def _change(
    state: BenchState, found: Advised, advice: Advice, place: int, chosen: bool, width: int, look: ChartLook
) -> list[Row]:
    """Return one change, in full where it is the one that Enter tries."""
    outside = 0.0 if state.good is None else float(state.good.answer.shop.pressure)
    what = f"{'>' if chosen else ' '} {place + 1} {change_text(advice, found.setup, state.units, outside)}"
    if not chosen:
        rows = _hung(f"{what}:", width, look, Role.BASE)
        return rows + _hung(_INDENT + short_effect(advice), width, look, Role.QUIET)
    rows = _hung(what, width, look, Role.STRONG)
    for text in effects(advice, state.units):
        rows += _hung(_INDENT + text, width, look, Role.BASE)
    return rows + _hung(_INDENT + spoken(CAUTIONS[advice.turned], _at_fork(state)), width, look, Role.CAUTION)


def _at_fork(state: BenchState) -> bool:
    return state.good is not None and state.good.answer.frame.fork


def _hung(text: str, width: int, look: ChartLook, role: Role) -> list[Row]:
    """Return text whose further lines hang under the words of the first."""
    lead, words = text[: len(_INDENT)], text[len(_INDENT) :]
    rows = told(words, max(width - len(_INDENT), 10), look.glyphs, role)
    return [cells(_INDENT if place else lead, role) + row for place, row in enumerate(rows)]


def _rebound(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return what the rebound has to do when another setup of the job goes in."""
    assert state.good is not None
    index, setups = setup_here(state), state.good.answer.setups
    here = float(setups[index].riding.critical_damping)
    rows: list[Row] = []
    for other, setup in enumerate(setups):
        there = float(setup.riding.critical_damping)
        text = rebound_text(rebound_change(here, there))
        if other != index and text:
            was, then = state.units.plain(here, Measure.DAMPING), state.units.show(there, Measure.DAMPING)
            rows.append(setup_name(setup.name, other, look))
            rows += _hung(f"{_INDENT}{text}: critical damping {was} to {then}", width, look, Role.BASE)
    if not rows:
        return []
    head = heading("Rebound, when another setup goes in")
    return [*head, *rows, *told(spoken(REBOUND, _at_fork(state)), width, look.glyphs, Role.QUIET)]
