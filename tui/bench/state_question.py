"""Questions about what is typed into a field: a number that is unlikely, a fraction that may be a share."""

from __future__ import annotations

from dataclasses import replace

from tui.bare_numbers import fraction_unseen, is_fraction
from tui.bench.fields_row import Amount, Choice, Row, Share
from tui.bench.fields_text import number
from tui.bench.fields_typed import shown, typed_into, unit_taken
from tui.bench.state import BenchState
from tui.bench.state_edit import committed, nudge


def question(state: BenchState) -> BenchState | None:
    """Return the state that asks about the open value, None where it can be taken as it is."""
    edit = state.edit
    if edit is None or edit.text == edit.before or isinstance(state.row.kind, Choice):
        return None
    refused = _fraction(state, edit.text)
    if refused:
        return replace(state, note=f"{refused}.")
    told = _unlikely(state, edit.text)
    return replace(state, edit=replace(edit, asked=edit.text), note=told) if told else None


def taken(state: BenchState) -> BenchState:
    """Take the open value; one that is unlikely is asked about first, and taken when it is entered again."""
    asked = question(state)
    if asked is None or (state.edit is not None and state.edit.asked == state.edit.text):
        return committed(state)
    return asked


def nudged(state: BenchState, times: int) -> BenchState:
    """Move the value by steps; a step to where it is unlikely says so."""
    from tui.jobs.likely import doubt_at  # the first frame has nothing to doubt

    after = nudge(state, times)
    path = state.row.path
    doubt = doubt_at(after.job, path)
    if doubt is None or after.job == state.job or doubt_at(state.job, path) is not None:
        return after
    return replace(after, note=f"{doubt.value(state.units)} for {doubt.likely.what}? u undoes it.")


def _fraction(state: BenchState, text: str) -> str:
    """Return what to write in place of a fraction where a share is taken, empty for another number."""
    row = state.row
    if not is_fraction(text) or not _takes_share(row):
        return ""
    return fraction_unseen(text, _length(state, row, text))


def _takes_share(row: Row) -> bool:
    match row.kind:
        case Share(small=small):
            return not small
        case Amount(share_of=share_of):
            return bool(share_of)
    return False


def _length(state: BenchState, row: Row, text: str) -> str:
    """Return the length that a fraction may be instead, empty where no length is taken."""
    from tui.bench.fields_shares import whole_of  # only a fraction asks for it

    share_of = row.kind.share_of if isinstance(row.kind, Amount | Share) else ""
    unit = unit_taken(state.job, row, text, state.units)
    if unit == "in":
        return f"{text.strip()} in"
    whole = whole_of(state.job, share_of) if share_of else None
    return "" if whole is None else f"{float(number(text.strip())) * whole / 1e-3:.3g} mm"


def _unlikely(state: BenchState, text: str) -> str:
    from tui.jobs.likely import doubt_at
    from tui.jobs.reading import look

    path = state.row.path
    job = typed_into(state.job, state.row, text, state.units)
    doubt = doubt_at(job, path)
    # What cannot be used is told at its field, and needs no question.
    if doubt is None or any(fault.path == path for fault in look(job)[1]):
        return ""
    before = shown(state.job, state.row)
    leaves = f"Esc leaves {before}" if before else "Esc leaves it out"
    return f"{doubt.value(state.units)} for {doubt.likely.what}? Enter again takes it, {leaves}."
