"""After the ride: the symptoms, the change looked at, and trying it as a new setup."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.feeling import Feeling
from tui.bench.state import with_job
from tui.bench.state_edit import undone
from tui.bench.state_setups import setup_added
from tui.jobs.symptom_words import SYMPTOMS, symptoms_of, words_of
from tui.jobs.tree import Path

if TYPE_CHECKING:
    from physics.advise import Advised, Symptom
    from tui.bench.state import BenchState
    from tui.jobs.advised import SagMeasured

_PATH: Path = ("ridden", "symptom")


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
    from tui.jobs.advised import advised  # the physics loads after the first frame

    if state.good is None or state.known is None:
        return None
    theirs = state.known.at("front" if state.end == "rear" else "rear") if state.known.front else None
    last = len(theirs.answer.setups) - 1 if theirs is not None else 0
    other = min(state.other_setup, last)
    return advised(state.good, setup_here(state), asked(state), state.units, theirs, other)


def measured_here(state: BenchState) -> SagMeasured | None:
    """Return what a measured sag outside of its band says of the selected setup."""
    from tui.jobs.advised import sag_measured

    return None if state.good is None else sag_measured(state.good, setup_here(state))


def setup_here(state: BenchState) -> int:
    """Return the place of the selected setup in the last good answer."""
    return min(state.setup, len(state.good.answer.setups) - 1) if state.good else 0


def change_tried(state: BenchState) -> BenchState:
    """Add the selected setup with the change as a setup of its own and go to it; undo takes it back."""
    from tui.jobs.advised import with_change

    if state.stale or state.good is None:
        return replace(state, note="Fix what is marked in the panels first: this is of an older job.")
    found = advice_here(state)
    if found is None or not found.changes:
        return replace(state, note="There is no change to try.")
    advice, index = found.changes[change_here(state, found)], setup_here(state)
    outside = float(state.good.answer.shop.pressure)
    # What is promised was read off the very text that is typed here.
    table = with_change(state.good.job.setups[index], found.setup, advice, state.units, outside)
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
