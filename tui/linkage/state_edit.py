"""Moving over the tables, typing, nudges, choices and undo on the linkage screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from tui.bench.edit import Edit
from tui.linkage.sketch import Sketch
from tui.linkage.state import (
    COLUMNS,
    NAME,
    LinkageState,
    Part,
    placed,
    with_changed,
    with_history,
)
from tui.linkage.state_cells import (
    is_choice_cell,
    is_number_cell,
    nudged,
    shown,
    spot_of,
    turned,
    with_typed,
)

# --- moving ----------------------------------------------------------------------------------


def by_rows(state: LinkageState, steps: int) -> LinkageState:
    """Move the cursor up or down; past the end of a table it goes on in the next one."""
    state = committed(state)
    tables: list[Part] = [part for part in state.parts if part is not Part.DRAWING and state.rows(part)]
    places = [(part, row) for part in tables for row in range(state.rows(part))]
    if (state.part, state.row) not in places:
        return state
    index = min(max(places.index((state.part, state.row)) + steps, 0), len(places) - 1)
    part, row = places[index]
    return placed(state, part, row, state.column)


def by_columns(state: LinkageState, steps: int) -> LinkageState:
    """Move the cursor to the left or right in its row, stopping at the ends."""
    state = committed(state)
    return placed(state, state.part, state.row, min(max(state.column + steps, 0), COLUMNS[state.part] - 1))


def by_parts(state: LinkageState, steps: int) -> LinkageState:
    """Go to the next part in the round."""
    state = committed(state)
    parts = state.parts
    return placed(state, parts[(parts.index(state.part) + steps) % len(parts)], 0, state.column)


# --- typing ----------------------------------------------------------------------------------


def typed(state: LinkageState, text: str) -> LinkageState:
    """Put text in at the caret; with nothing open it starts typing over the value."""
    if state.edit is None and (is_choice_cell(state) or not _has_cell(state)):
        return replace(state, note="Enter, + and - go through the ways there are.")
    return replace(state, edit=(state.edit or Edit("", 0)).put(text))


def opened_edit(state: LinkageState) -> LinkageState:
    """Open the value for editing; a choice goes to its next way instead."""
    if not _has_cell(state):
        return state
    if is_choice_cell(state):
        return with_changed(state, turned(state, 1))
    return replace(state, edit=Edit.opened_on(shown(state.sketch, spot_of(state))))


def renaming(state: LinkageState) -> LinkageState:
    """Open the name of the selected point."""
    if state.part is not Part.POINTS or not _has_cell(state):
        return replace(state, note="Only points have names: Tab goes to them.")
    return opened_edit(replace(state, column=NAME))


def edited(step: Callable[[Edit], Edit]) -> Callable[[LinkageState], LinkageState]:
    """Return what a typing key does to a state: a closed value is opened with nothing in it."""

    def stepped(state: LinkageState) -> LinkageState:
        return typed(state, "") if state.edit is None else replace(state, edit=step(state.edit))

    return stepped


def restored(state: LinkageState) -> LinkageState:
    """Leave the value as it was before it was opened."""
    return replace(state, edit=None)


def committed(state: LinkageState) -> LinkageState:
    """Take what is typed into the linkage, usable or not; a name that cannot be stays as it was."""
    if state.edit is None:
        return state
    edit, closed = state.edit, replace(state, edit=None)
    if edit.text == edit.before:
        return closed
    return _taken(closed, with_typed(closed, edit.text))


def _taken(state: LinkageState, sketch: Sketch | str) -> LinkageState:
    if isinstance(sketch, str):
        return replace(state, note=sketch)
    return with_changed(state, sketch)


# --- one key ---------------------------------------------------------------------------------


def nudge(state: LinkageState, steps: int) -> LinkageState:
    """Move a number by mm or pixels, or a choice to its next way."""
    if not _has_cell(state):
        return state
    if is_choice_cell(state):
        return with_changed(state, turned(state, 1 if steps > 0 else -1))
    sketch = nudged(state, steps) if is_number_cell(state) else None
    if sketch is None:
        return replace(state, note="No number to move here: Enter opens it.")
    return with_changed(state, sketch)


def undone(state: LinkageState) -> LinkageState:
    """Take the last edit back; what is being typed goes first."""
    if state.edit is not None:
        return restored(state)
    if not state.history.past:
        return replace(state, note="Nothing to undo.")
    return with_history(state, state.history.undo())


def redone(state: LinkageState) -> LinkageState:
    """Do the last undone edit again."""
    if not state.history.future:
        return replace(state, note="Nothing to do again.")
    return with_history(state, state.history.redo())


def _has_cell(state: LinkageState) -> bool:
    return state.part is not Part.DRAWING and state.row < state.rows(state.part)
