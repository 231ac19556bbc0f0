"""Points and bars put in and taken out, what a point is, mm or pixels, and where the stroke is read."""

from __future__ import annotations

from dataclasses import replace

from tui.jobs.faults import UnusableJob
from tui.linkage import sketch_edit as change
from tui.linkage.examples import Example
from tui.linkage.moving import drawn_frame
from tui.linkage.state import NAME, STEPS, LinkageState, Part, eye_to_eye, placed, with_changed
from tui.linkage.state_edit import committed

_CYCLE = STEPS // 10


# --- points and bars -------------------------------------------------------------------------


def point_added(state: LinkageState) -> LinkageState:
    """Put in a moving point beside the selected one, and go to it."""
    state = committed(state)
    beside = state.row if state.part is Part.POINTS and state.sketch.points else None
    changed = with_changed(state, change.point_added(state.sketch, beside))
    return placed(changed, Part.POINTS, len(changed.sketch.points) - 1, NAME)


def bar_added(state: LinkageState) -> LinkageState:
    """Put in a bar from the selected point to the next one, and go to its other end."""
    state = committed(state)
    names = state.sketch.names
    if len(names) < 2:
        return replace(state, note="A bar needs two points: p puts one in.")
    first = names[state.row] if state.part is Part.POINTS else names[0]
    bar = change.free_bar(state.sketch, first)
    if bar is None:
        return replace(state, note=f"{first} has a bar to every other point already.")
    changed = with_changed(state, change.bar_added(state.sketch, bar))
    return placed(changed, Part.BARS, len(changed.sketch.bars) - 1, 1)


def removed(state: LinkageState) -> LinkageState:
    """Take out the selected point with its bars, or the selected bar."""
    state = committed(state)
    if state.part is Part.POINTS and state.sketch.points:
        return with_changed(state, change.point_removed(state.sketch, state.row))
    if state.part is Part.BARS and state.sketch.bars:
        return with_changed(state, change.bar_removed(state.sketch, state.row))
    return replace(state, note="Only points and bars can be taken out.")


def example_taken(state: LinkageState, example: Example) -> LinkageState:
    """Start again from an invented example; undo brings back what was there."""
    sketch = example.sketch(eye_to_eye(state.start))
    fresh = replace(with_changed(committed(state), sketch, invented=True), invented=sketch, cursor=0)
    return replace(placed(fresh, Part.POINTS, 0, state.column), note=f"Invented example: {example.title}.")


# --- what a point is -------------------------------------------------------------------------


def fixed_switched(state: LinkageState) -> LinkageState:
    """Fix the selected point to the frame, or let it go."""
    return _at_point(state, change.fixed_switched)


def axle_here(state: LinkageState) -> LinkageState:
    """Make the selected point the axle."""
    return _at_point(state, change.axle_at)


def eye_here(state: LinkageState) -> LinkageState:
    """Make the selected point an eye of the shock."""
    return _at_point(state, change.eye_at)


def _at_point(state: LinkageState, step: change.AtPoint) -> LinkageState:
    state = committed(state)
    if state.part is not Part.POINTS or not state.sketch.points:
        return replace(state, note="Select a point for that: Tab goes to the points.")
    return with_changed(state, step(state.sketch, state.row))


# --- mm or pixels ----------------------------------------------------------------------------


def units_switched(state: LinkageState) -> LinkageState:
    """Go from mm to pixels of a side photo, or back to mm by its known length."""
    state = committed(state)
    if state.sketch.known is None:
        told = "Pixels now, y down. Type the points as read off the photo, and the length you know."
        return replace(with_changed(state, change.in_pixels(state.sketch)), note=told)
    try:
        _frame, linkage = drawn_frame(state.job)
    except UnusableJob:
        return replace(state, note="The scale is not known yet: put right what is marked first.")
    places = dict(zip(linkage.names, linkage.places, strict=True))
    return replace(
        with_changed(state, change.in_millimetres(state.sketch, places)), note="Millimetres now, y up."
    )


def level_switched(state: LinkageState) -> LinkageState:
    """Name two points that lie level, which turns a tilted picture, or go without them again."""
    state = committed(state)
    if len(state.sketch.names) < 2:
        return replace(state, note="Level needs two points: p puts one in.")
    if state.sketch.level is not None:
        told = "The picture stands as typed again."
        return replace(with_changed(state, change.level_switched(state.sketch, None)), note=told)
    beside = state.row if state.part is Part.POINTS else None
    changed = with_changed(state, change.level_switched(state.sketch, beside))
    told = "Two points that lie level: Enter goes to the next one."
    return replace(placed(changed, Part.LEVEL, 0, 1), note=told)


# --- where the stroke is read ----------------------------------------------------------------


def cursor_moved(state: LinkageState, steps: int) -> LinkageState:
    """Read further along the stroke, stopping at its ends."""
    return replace(state, cursor=min(max(state.cursor + steps, 0), STEPS))


def cycled(state: LinkageState) -> LinkageState:
    """Go a tenth of the stroke further; from full stroke back to full extension."""
    if state.cursor >= STEPS:
        return replace(state, cursor=0)
    return replace(state, cursor=min(state.cursor - state.cursor % _CYCLE + _CYCLE, STEPS))
