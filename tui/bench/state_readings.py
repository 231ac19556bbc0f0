"""Readings on the bench: what they say of the selected setup, and taking it over."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.aside_work import Task
from tui.bench.state import BenchState, with_job
from tui.bench.state_edit import undone

if TYPE_CHECKING:
    from physics.faults import Why
    from tui.jobs.answering import JobAnswer
    from tui.readings.finding import Finding
    from tui.readings.kinds import Readings

VIEW = "readings"


def setup_here(state: BenchState) -> int:
    """Return the place of the selected setup in the last good answer."""
    return min(state.setup, len(state.good.answer.setups) - 1) if state.good else 0


def task(state: BenchState) -> Task | None:
    """Return the work on the readings there are, None without readings or without an answer."""
    good, readings, index = state.good, state.readings, setup_here(state)
    if good is None or readings is None:
        return None
    return Task((VIEW, good, index, readings), lambda _told: said_of(good, index, readings))


def said_of(answered: JobAnswer, index: int, readings: Readings) -> Finding | Why:
    """Return what readings say of a setup, or why nothing."""
    from physics.faults import Unfit
    from tui.readings.finding import finding

    try:
        return finding(answered, index, readings)
    except Unfit as unfit:
        return unfit.why


def found_here(state: BenchState) -> Finding | Why | None:
    """Return what the readings say, None while that is being worked out."""
    asked = task(state)
    if asked is None or state.worked.key != asked.key:
        return None
    found: Finding | Why | None = state.worked.found  # type: ignore[assignment]
    return found


def with_readings(state: BenchState, readings: Readings) -> BenchState:
    """Return the state with other readings, its view shown."""
    return replace(state, readings=readings, aside=VIEW)


def readings_taken(state: BenchState) -> BenchState:
    """Take what the readings say into the selected setup; undo takes it back."""
    from physics.faults import Why
    from tui.readings.said import NO_PLACE, taken_words
    from tui.readings.take import taken_into

    if state.readings is None or state.aside != VIEW:
        return replace(state, note="There are no readings to take: R asks for them.")
    if state.stale:
        return replace(state, note="Put right what is marked in the panels first.")
    found = found_here(state)
    if found is None or isinstance(found, Why):
        return replace(state, note="The readings say nothing that can be taken.")
    job = taken_into(state.job, setup_here(state), found, state.units)
    if job is None:
        return replace(state, note=NO_PLACE)
    return replace(with_job(state, job), note=f"{taken_words(found)}; u takes it back.")


KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {"enter": readings_taken, "u": undone}
"""What keys do while the cursor is in the view."""
