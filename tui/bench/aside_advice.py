"""After the ride: what the rider felt, what to change, and what each change does in numbers."""

from __future__ import annotations

from physics.advise import Advice, Advised, rebound_change
from tui.bench.aside_text import Role, heading, setup_name, told
from tui.bench.state import BenchState
from tui.bench.state_advice import (
    advice_here,
    asked,
    change_here,
    measured_here,
    setup_here,
    symptom_now,
    ticked,
)
from tui.bench.state_ends import alone
from tui.charts.cells import Row, cells
from tui.charts.look import ChartLook
from tui.jobs.advice_words import (
    NOTHING,
    NOTHING_APART,
    PRACTICE,
    REBOUND,
    cautions_text,
    change_text,
    effects,
    left_out,
    rebound_text,
    sag_first,
    short_effect,
    unavailable,
    unsettled,
)
from tui.jobs.advised import cautions_of, with_change
from tui.jobs.fork_words import spoken
from tui.jobs.symptom_words import SYMPTOMS
from tui.shop_units import Measure

_KEYS = "Up, down: what was felt, Space ticks it. Left, right: a change, Enter tries it."
_NOTHING_YET = "Nothing to say yet: fix what is marked in the panels."
_INDENT = " " * 4


def lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the view of the selected setup of the last good answer."""
    rows = told(_KEYS, width, look.glyphs, Role.QUIET)
    if state.good is None:
        return rows + told(_NOTHING_YET, width, look.glyphs)
    index = setup_here(state)
    rows += [[], setup_name(state.good.answer.setups[index].name, index, look), *_felt(state, width, look)]
    found = advice_here(state)
    if found is None:
        return rows + told(alone(state), width, look.glyphs)
    if "unbalanced" in asked(state) and state.known is not None and state.known.front is None:
        rows += told(alone(state), width, look.glyphs)
    rows += _changes(state, found, width, look)
    rows += _rebound(state, width, look)
    return rows + [[], *told(spoken(PRACTICE, _at_fork(state)), width, look.glyphs, Role.QUIET)]


def _felt(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the symptom looked at, and all that are ticked."""
    here, those = symptom_now(state), ticked(state)
    mark = "x" if here in those else " "
    line = f"[{mark}] {state.feeling.symptom + 1} of {len(SYMPTOMS)}: {SYMPTOMS[here].label}"
    rows = told(line, width, look.glyphs, Role.STRONG)
    rows += told(SYMPTOMS[here].means, width, look.glyphs)
    if those and those != (here,):
        all_of_them = ", ".join(SYMPTOMS[one].label for one in those)
        rows += told(f"Ticked, and changes are for: {all_of_them}.", width, look.glyphs, Role.STRONG)
    return rows


def _changes(state: BenchState, found: Advised, width: int, look: ChartLook) -> list[Row]:
    rows = heading("What to change, the best first")
    for text in sag_first(found, measured_here(state), state.units, _outside(state), listed=True):
        rows += told(spoken(text, _at_fork(state)), width, look.glyphs, Role.CAUTION)
    if not found.settles:
        rows += told(unsettled(found), width, look.glyphs)
    here = change_here(state, found)
    for place, advice in enumerate(found.changes):
        rows += _change(state, found, advice, place, place == here, width, look)
    if not found.settles:
        return rows
    if not any(not advice.first for advice in found.changes):
        nothing = NOTHING_APART if asked(state) == ("unbalanced",) else NOTHING
        rows += told(spoken(nothing, _at_fork(state)), width, look.glyphs)
    rows += told(spoken(left_out(found), _at_fork(state)), width, look.glyphs, Role.QUIET)
    return rows + told(unavailable(found.setup), width, look.glyphs, Role.QUIET)


def _change(
    state: BenchState, found: Advised, advice: Advice, place: int, chosen: bool, width: int, look: ChartLook
) -> list[Row]:
    """Return one change, in full where it is the one that Enter tries."""
    outside, fork = _outside(state), _at_fork(state)
    what = f"{'>' if chosen else ' '} {place + 1} {change_text(advice, found.setup, state.units, outside)}"
    if not chosen:
        rows = _hung(f"{what}:", width, look, Role.BASE)
        return rows + _hung(
            _INDENT + spoken(short_effect(advice, found.target), fork), width, look, Role.QUIET
        )
    rows = _hung(what, width, look, Role.STRONG)
    for text in effects(advice, found.target, state.units):
        rows += _hung(_INDENT + spoken(text, fork), width, look, Role.BASE)
    assert state.good is not None
    before = state.good.job.setups[setup_here(state)]
    typed = with_change(before, found.setup, advice, state.units, outside)
    for text in cautions_text(advice, cautions_of(state.good, advice), state.units, outside, fork, typed):
        rows += _hung(_INDENT + text, width, look, Role.CAUTION)
    return rows


def _outside(state: BenchState) -> float:
    return 0.0 if state.good is None else float(state.good.answer.shop.pressure)


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
