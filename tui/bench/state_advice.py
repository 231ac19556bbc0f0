"""After the ride: the complaint, the change looked at, and trying it as a new setup."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.feeling import Feeling
from tui.bench.state_edit import undone
from tui.bench.state_setups import setup_added
from tui.jobs.felt_words import FELT

if TYPE_CHECKING:
    from physics.advise import Advised, Felt
    from tui.bench.state import BenchState


def felt_now(state: BenchState) -> Felt:
    """Return the complaint that is looked at."""
    return tuple(FELT)[state.feeling.felt]


def felt_turned(state: BenchState, steps: int) -> BenchState:
    """Go to another complaint and its best change."""
    return replace(state, feeling=Feeling((state.feeling.felt + steps) % len(FELT)))


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
    other = "front" if state.end == "rear" else "rear"
    theirs = state.known.front if other == "front" else state.known.rear
    last = len(theirs.answer.setups) - 1 if theirs is not None else 0
    return advised(state.good, setup_here(state), felt_now(state), theirs, min(state.other_setup, last))


def setup_here(state: BenchState) -> int:
    """Return the place of the selected setup in the last good answer."""
    return min(state.setup, len(state.good.answer.setups) - 1) if state.good else 0


def change_tried(state: BenchState) -> BenchState:
    """Add the selected setup with the change as a setup of its own and go to it; undo takes it back."""
    from tui.jobs.advised import with_change

    if state.stale or state.good is None:
        return replace(state, note="Put right what is marked in the panels first: this is of an older job.")
    found = advice_here(state)
    if found is None or not found.changes:
        return replace(state, note="There is no change to try.")
    advice = found.changes[change_here(state, found)]
    outside = float(state.good.answer.shop.pressure)
    table = with_change(state.job.setups[setup_here(state)], advice, state.units, outside)
    tried = setup_added(state, table, "Tried")
    said = f"Tried as {tried.job.setups[-1]['name']}; u takes it back."
    return replace(tried, feeling=Feeling(state.feeling.felt), note=said)


def _by(step: Callable[[BenchState, int], BenchState], steps: int) -> Callable[[BenchState], BenchState]:
    return lambda state: step(state, steps)


KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {
    "up": _by(felt_turned, -1),
    "down": _by(felt_turned, 1),
    "left": _by(change_turned, -1),
    "right": _by(change_turned, 1),
    "enter": change_tried,
    "u": undone,
}
"""What keys do while the cursor is in the view."""
