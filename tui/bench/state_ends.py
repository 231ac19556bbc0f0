"""Which end of the bike is on the bench."""

from __future__ import annotations

from dataclasses import replace

from tui.bench.state import BenchState, at_end
from tui.bench.state_view import cursor_at_sag, setup_selected
from tui.jobs.demo import demo_front
from tui.jobs.ends import ENDS, End, end_of, has_front
from tui.jobs.job import Job


def turned(state: BenchState, end: End) -> BenchState:
    """Go to the other end, to the setup that was selected there last, and read the chart at its sag."""
    moved = at_end(replace(state, other_setup=state.setup), state.history, end)
    last = max(len(moved.job.setups) - 1, 0)
    there = replace(moved, setup=min(state.other_setup, last))
    on_setup = moved.panels[moved.panel].setup is not None
    return replace(cursor_at_sag(setup_selected(there, there.setup) if on_setup else there), note="")


def at_changed_end(before: BenchState, after: BenchState) -> BenchState:
    """Return `after` at the other end where only that one differs from `before`."""
    changed = [end for end in ENDS if end_of(before.bike, end) != end_of(after.bike, end)]
    if after.end in changed or not changed or not has_front(after.bike):
        return after
    return turned(after, changed[0])


_ONE_WHEEL = "This job has one wheel: there is no end to take off."


def alone(state: BenchState) -> str:
    """Say what is missing where a job has one wheel, and how to come by it."""
    if state.job.get(("frame", "leverage", "kind")) == "fork":
        return "This job is a fork alone, the rear wheel is missing: open the rear's job and press e there."
    return "This job has one wheel. Press e to put an invented front beside it and type its own values over."


def end_removed(state: BenchState) -> BenchState:
    """Take the end on the bench off the bike; the other one is then the job."""
    if not has_front(state.bike):
        return replace(state, note=_ONE_WHEEL)
    gone = state.end
    other: End = "rear" if gone == "front" else "front"
    left = end_of(state.bike, other)
    kept = replace(state, setup=state.other_setup, other_setup=0)
    moved = cursor_at_sag(at_end(kept, state.history.then(left), "rear"))
    return replace(moved, note=f"The {gone} wheel is off the job; u puts it back.")


def with_invented_front(bike: Job) -> Job:
    """Return a bike with an invented front."""
    bike = bike.with_value(("front",), demo_front())
    if bike.get(("load", "scale_mass")) is None:
        return bike
    # A scale under the rear wheel says nothing of what the front carries.
    return bike.with_invented(("front", "load", "scale_mass"), "38 kg")
