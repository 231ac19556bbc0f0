"""Changing values: typing over and opening, nudges, choices, solved or typed, undo."""

from __future__ import annotations

from dataclasses import replace

from tui.bench.edit import Edit
from tui.bench.fields import unconfirmed_at
from tui.bench.fields_pairs import without_pair
from tui.bench.fields_row import Amount, Choice, Pair, Panel, Row
from tui.bench.fields_steps import nudged, turned
from tui.bench.fields_typed import SOLVE, shown, typed_into
from tui.bench.state import BenchState, placed, with_history, with_job
from tui.bench.state_confirm import middle_removed, without_invented_middle
from tui.bench.state_ends import at_changed_end
from tui.bench.state_solved import is_solved, solved_text
from tui.bench.state_start import start_values
from tui.jobs.job import Job

# --- typing ----------------------------------------------------------------------------------


def typed(state: BenchState, text: str) -> BenchState:
    """Put text in at the caret; with nothing open it starts typing over the value."""
    if state.edit is None and isinstance(state.row.kind, Choice):
        return replace(state, note="Enter, + and - go through the ways there are.")
    return replace(state, edit=(state.edit or Edit("", 0)).put(text))


def opened_edit(state: BenchState) -> BenchState:
    """Open the value for editing, the caret behind it; a choice goes to its next way instead."""
    if isinstance(state.row.kind, Choice):
        return nudge(state, 1)
    return replace(state, edit=Edit.opened_on(shown_text(state, state.row)))


def caret_moved(state: BenchState, steps: int) -> BenchState:
    """Move the caret."""
    return state if state.edit is None else replace(state, edit=state.edit.moved(steps))


def rubbed_out(state: BenchState) -> BenchState:
    """Take out the character before the caret; a closed value is opened with nothing in it."""
    return typed(state, "") if state.edit is None else replace(state, edit=state.edit.rubbed_out())


def rubbed_out_ahead(state: BenchState) -> BenchState:
    """Take out the character at the caret."""
    return state if state.edit is None else replace(state, edit=state.edit.rubbed_out_ahead())


def emptied(state: BenchState) -> BenchState:
    """Take out all that is typed."""
    return state if state.edit is None else replace(state, edit=state.edit.emptied())


def restored(state: BenchState) -> BenchState:
    """Leave the value as it was before it was opened."""
    return replace(state, edit=None)


def committed(state: BenchState) -> BenchState:
    """Take what is typed into the job, usable or not; a sound value opened and left alone is no edit."""
    if state.edit is None:
        return state
    edit, closed = state.edit, replace(state, edit=None)
    faulty = any(fault.path == state.row.path for fault in state.faults)
    retyped = edit.touched and bool(unconfirmed_at(state.job, state.row))
    if edit.text == edit.before and not faulty and not retyped:
        return closed
    return _with_typed(closed, typed_into(closed.job, closed.row, edit.text, closed.units))


def _with_typed(state: BenchState, job: Job) -> BenchState:
    """Return the state with the selected value typed or nudged, what cannot stay beside it gone."""
    after = without_invented_middle(job, state.row)
    told = middle_removed(state.job, after)
    moved = with_job(state, after)
    return replace(moved, note=told) if told else moved


def shown_text(state: BenchState, row: Row) -> str:
    """Return the value of a row as it opens for editing: the solved one where it is solved."""
    if is_solved(state.job, row):
        return solved_text(state, row) or ""
    return shown(state.job, row)


# --- one key ---------------------------------------------------------------------------------


def nudge(state: BenchState, times: int) -> BenchState:
    """Move the value by steps, or a choice through its ways; never into a value that cannot be used."""
    row = state.row
    option = turned(state.job, row, 1 if times > 0 else -1)
    if option is not None and isinstance(row.kind, Choice):
        starts = start_values(state, row, option)
        return with_job(state, row.kind.select(state.job, row.path, option, starts))
    job = nudged(_with_solved_typed(state, row), row, times)
    if job is None:
        return replace(state, note=f"{row.label}: no step that way from here.")
    moved = _with_typed(state, job)
    worse = [fault for fault in moved.faults if fault.path == row.path]
    if worse and not any(fault.path == row.path for fault in state.faults):
        return replace(state, note=f"{row.label}: no further, {worse[0].accepted}.")
    return moved


def solved_or_typed(state: BenchState) -> BenchState:
    """Turn a typed value into a solved one, or keep the solved value as typed."""
    row = state.row
    if not (isinstance(row.kind, Amount) and row.kind.solvable):
        return replace(state, note="Only a spring rate and an air pressure can be solved.")
    if not is_solved(state.job, row):
        return with_job(state, state.job.with_value(row.path, SOLVE))
    if solved_text(state, row) is None:
        return replace(state, note="There is no solved value to keep yet: type one.")
    return with_job(state, _with_solved_typed(state, row))


def cleared(state: BenchState) -> BenchState:
    """Take the value out of the job; a rate or pressure is solved instead."""
    row = state.row
    match row.kind:
        case Choice():
            return state
        case Pair() as pair:
            job = without_pair(state.job, row.path, pair)
        case Amount(solvable=True):
            job = state.job.with_value(row.path, SOLVE)
        case _:
            job = state.job.taken_out(row.path)
    return with_job(state, job)


def _with_solved_typed(state: BenchState, row: Row) -> Job:
    """Return the job with a solved value as if it had been typed."""
    text = solved_text(state, row) if is_solved(state.job, row) else None
    return state.job if text is None else state.job.with_value(row.path, text)


# --- history ---------------------------------------------------------------------------------


def undone(state: BenchState) -> BenchState:
    """Take the last edit back and show where it was; what is being typed goes first."""
    if state.edit is not None:
        return restored(state)
    if not state.history.past:
        return replace(state, note="Nothing to undo.")
    return _showing_change(state, with_history(state, state.history.undo()))


def redone(state: BenchState) -> BenchState:
    """Do the last undone edit again and show where it is."""
    if not state.history.future:
        return replace(state, note="Nothing to do again.")
    return _showing_change(state, with_history(state, state.history.redo()))


def _showing_change(before: BenchState, after: BenchState) -> BenchState:
    """Return `after` with the cursor on the first row that differs from `before`, at the end that does."""
    after = at_changed_end(before, after)
    before = replace(before, end=after.end)
    for index, panel in enumerate(after.panels):
        old = _panel_before(before, after, index)
        for place, row in enumerate(panel.rows):
            same_row = old is not None and place < len(old.rows) and old.rows[place].path == row.path
            if not same_row or _seen(before.job, row) != _seen(after.job, row):
                return placed(after, index, place)
    return after


def _seen(job: Job, row: Row) -> tuple[str, bool]:
    """Return what a row shows: its value, and whether nobody has confirmed it."""
    return shown(job, row), bool(unconfirmed_at(job, row))


def _panel_before(before: BenchState, after: BenchState, index: int) -> Panel | None:
    """Return what a panel of `after` was: the record stands last on both sides, the setups are counted."""
    if index == len(after.panels) - 1:
        return before.panels[-1]
    return before.panels[index] if index < len(before.panels) - 1 else None
