"""After the ride: the symptoms, the change looked at, and trying it as a new setup."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from physics.advise import Advice, Advised, rebound_change
from tui.bench.edit import alone, setup_added, undone
from tui.bench.state import BenchState, Feeling, with_job
from tui.job.choices import SYMPTOMS, symptoms_of, words_of
from tui.job.tree import TreePath
from tui.job.wheels import spoken
from tui.kit.cells import CellRow, cells
from tui.kit.document import Role
from tui.kit.dressing import heading, setup_name, told
from tui.kit.look import ChartLook
from tui.shop_units import Measure
from tui.subjects.advice import (
    NOTHING,
    NOTHING_APART,
    PRACTICE,
    REBOUND,
    cautions_of,
    cautions_text,
    change_text,
    effect_texts,
    left_out,
    rebound_text,
    sag_first,
    short_effect,
    unavailable,
    unsettled,
    with_change,
)

if TYPE_CHECKING:
    from physics.advise import Advised, Symptom
    from tui.bench.state import BenchState
    from tui.subjects.advice import SagMeasured

_PATH: TreePath = ("ridden", "symptom")


def symptom_now(state: BenchState) -> Symptom:
    """Return the symptom that is looked at."""
    return tuple(SYMPTOMS)[state.feeling.symptom]


def ticked(state: BenchState) -> tuple[Symptom, ...]:
    """Return what the job says was felt."""
    return symptoms_of(state.job.get(_PATH))


def asked(state: BenchState) -> tuple[Symptom, ...]:
    """Return the symptoms that changes are wanted for: those ticked, else the one looked at."""
    return ticked(state) or (symptom_now(state),)


def symptom_turned(state: BenchState, steps: int) -> BenchState:
    """Go to another symptom; where none is ticked, to its best change."""
    place = (state.feeling.symptom + steps) % len(SYMPTOMS)
    change = state.feeling.change if ticked(state) else 0
    return replace(state, feeling=Feeling(place, change))


def symptom_ticked(state: BenchState) -> BenchState:
    """Tick the symptom looked at, or take the tick off: the job says then how it rode; undo takes it back."""
    here, before = symptom_now(state), ticked(state)
    after = tuple(one for one in before if one != here) if here in before else (*before, here)
    words = words_of(after)
    job = state.job.taken_out(_PATH) if words is None else state.job.with_value(_PATH, words)
    said = f"{SYMPTOMS[here].label}: {'no longer ticked' if here in before else 'ticked'}; u undoes it."
    return replace(with_job(state, job), feeling=Feeling(state.feeling.symptom), note=said)


def change_turned(state: BenchState, steps: int) -> BenchState:
    """Look at another change of the list."""
    found = advice_here(state)
    if found is None or not found.changes:
        return state
    change = (change_here(state, found) + steps) % len(found.changes)
    return replace(state, feeling=state.feeling._replace(change=change))


def change_here(state: BenchState, found: Advised) -> int:
    """Return the place of the change looked at among those there are."""
    return min(state.feeling.change, max(len(found.changes) - 1, 0))


def advice_here(state: BenchState) -> Advised | None:
    """Return the advice for the selected setup of the last good answer, None where there can be none."""
    from tui.subjects.advice import advised  # the physics loads after the first frame

    if state.answer is None or state.bike_answer is None:
        return None
    theirs = (
        state.bike_answer.at("front" if state.wheel == "rear" else "rear")
        if state.bike_answer.front
        else None
    )
    last = len(theirs.answer.setups) - 1 if theirs is not None else 0
    other = min(state.other_setup, last)
    return advised(state.answer, setup_here(state), asked(state), state.units, theirs, other)


def measured_here(state: BenchState) -> SagMeasured | None:
    """Return what a measured sag outside of its band says of the selected setup."""
    from tui.subjects.advice import sag_measured

    return None if state.answer is None else sag_measured(state.answer, setup_here(state))


def setup_here(state: BenchState) -> int:
    """Return the place of the selected setup in the last good answer."""
    return min(state.setup, len(state.answer.answer.setups) - 1) if state.answer else 0


def change_tried(state: BenchState) -> BenchState:
    """Add the selected setup with the change as a setup of its own and go to it; undo takes it back."""
    from tui.subjects.advice import with_change

    if state.is_outdated or state.answer is None:
        return replace(state, note="Fix what is marked in the panels first: this is of an older job.")
    found = advice_here(state)
    if found is None or not found.changes:
        return replace(state, note="There is no change to try.")
    advice, index = found.changes[change_here(state, found)], setup_here(state)
    outside = float(state.answer.answer.shop.pressure)
    # What is promised was read off the very text that is typed here.
    table = with_change(state.answer.job.setups[index], found.setup, advice, state.units, outside)
    tried = setup_added(state, table, "Tried")
    said = f"Tried as {tried.job.setups[-1]['name']}; u undoes it."
    return replace(tried, feeling=Feeling(state.feeling.symptom), note=said)


def _by(step: Callable[[BenchState, int], BenchState], steps: int) -> Callable[[BenchState], BenchState]:
    return lambda state: step(state, steps)


KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {
    "up": _by(symptom_turned, -1),
    "down": _by(symptom_turned, 1),
    "left": _by(change_turned, -1),
    "right": _by(change_turned, 1),
    "space": symptom_ticked,
    "enter": change_tried,
    "u": undone,
}
"""What keys do while the cursor is in the view."""


_KEYS = "Up, down: what was felt, Space ticks it. Left, right: a change, Enter tries it."
_NOTHING_YET = "Nothing to say yet: fix what is marked in the panels."
_INDENT = " " * 4


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view of the selected setup of the last good answer."""
    rows = told(_KEYS, width, look.glyphs, Role.QUIET)
    if state.answer is None:
        return rows + told(_NOTHING_YET, width, look.glyphs)
    index = setup_here(state)
    rows += [[], setup_name(state.answer.answer.setups[index].name, index, look), *_felt(state, width, look)]
    found = advice_here(state)
    if found is None:
        return rows + told(alone(state), width, look.glyphs)
    if "unbalanced" in asked(state) and state.bike_answer is not None and state.bike_answer.front is None:
        rows += told(alone(state), width, look.glyphs)
    rows += _changes(state, found, width, look)
    rows += _rebound(state, width, look)
    return rows + [[], *told(spoken(PRACTICE, _at_fork(state)), width, look.glyphs, Role.QUIET)]


def _felt(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
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


def _changes(state: BenchState, found: Advised, width: int, look: ChartLook) -> list[CellRow]:
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
) -> list[CellRow]:
    """Return one change, in full where it is the one that Enter tries."""
    outside, fork = _outside(state), _at_fork(state)
    what = f"{'>' if chosen else ' '} {place + 1} {change_text(advice, found.setup, state.units, outside)}"
    if not chosen:
        rows = _hung(f"{what}:", width, look, Role.BASE)
        return rows + _hung(
            _INDENT + spoken(short_effect(advice, found.target), fork), width, look, Role.QUIET
        )
    rows = _hung(what, width, look, Role.STRONG)
    for text in effect_texts(advice, found.target, state.units):
        rows += _hung(_INDENT + spoken(text, fork), width, look, Role.BASE)
    assert state.answer is not None
    before = state.answer.job.setups[setup_here(state)]
    typed = with_change(before, found.setup, advice, state.units, outside)
    for text in cautions_text(advice, cautions_of(state.answer, advice), state.units, outside, fork, typed):
        rows += _hung(_INDENT + text, width, look, Role.CAUTION)
    return rows


def _outside(state: BenchState) -> float:
    return 0.0 if state.answer is None else float(state.answer.answer.shop.pressure)


def _at_fork(state: BenchState) -> bool:
    return state.answer is not None and state.answer.answer.frame.fork


def _hung(text: str, width: int, look: ChartLook, role: Role) -> list[CellRow]:
    """Return text whose further lines hang under the words of the first."""
    lead, words = text[: len(_INDENT)], text[len(_INDENT) :]
    rows = told(words, max(width - len(_INDENT), 10), look.glyphs, role)
    return [cells(_INDENT if place else lead, role) + row for place, row in enumerate(rows)]


def _rebound(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return what the rebound has to do when another setup of the job goes in."""
    assert state.answer is not None
    index, setups = setup_here(state), state.answer.answer.setups
    here = float(setups[index].riding.critical_damping)
    rows: list[CellRow] = []
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
