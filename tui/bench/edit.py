"""State transitions of the bench for its keys: move, type, nudge, undo, add and remove setups and wheels."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import partial
from typing import Literal

from physics.limits import STANDARD_GRAVITY
from tui.bench.cells import caution_at, meaning_at, step_of
from tui.bench.state import (
    MATCHES,
    BenchState,
    at_wheel,
    cursor_to_sag,
    is_solved,
    leaving,
    select_field,
    select_setup,
    show_setup,
    solved_text,
    switch_rest,
    with_answer,
    with_cursor,
    with_history,
    with_job,
)
from tui.bench.steps import MORE, NAMES, Step, is_field, setup_of_row
from tui.job import typed
from tui.job.answer import JobAnswer
from tui.job.fields import Amount, Bare, Choice, Field, Pair, Share, Words, field_at
from tui.job.job import MOST_SETUPS, ON_BIKE, History, Job, listed, setup_on_bike, with_list
from tui.job.panels import LEVERAGE, unconfirmed_at
from tui.job.quantities import (
    ON_SCALE,
    doubt_at,
    fraction_unseen,
    in_si,
    is_fraction,
    is_number,
    number,
    split,
    whole_mass,
)
from tui.job.tree import Raw, Tree, TreePath, brief
from tui.job.wheels import POSTURE_SHARE, WHEELS, Wheel, has_front, is_fork, wheel_job
from tui.kit import edit as kit_edit
from tui.kit.edit import STARTS_NUMBER, Edit
from tui.kit.keymap import quiet
from tui.shop_units import METRIC, Measure

Kind = Literal["coil", "air"]
_ROWS = 7
_FAR = 999


def start_values(state: BenchState, row: Field, option: int) -> Mapping[str, Raw]:
    """Return start values by key for an option of a choice, unverified ones listed as such.

    The values are those that this option had last, else those of the last valid answer, else the last typed.
    """
    table = row.path[:-1]
    found, way, worked_out = dict[str, Raw](), Tree({}), dict[str, Raw]()
    doubted: set[str] = set()
    for job in (wheel_job(bike, state.wheel) for bike in state.history.past):
        before = job.get(table)
        if isinstance(before, Tree):
            found |= before
            doubted = (doubted - set(before)) | set(listed(before))
            known = isinstance(row.kind, Choice) and row.kind.chosen(job, row.path) == option
            way = before if known else way
    if state.answer is not None and table == ("load",):
        # The reading expected now, so that the mechanic sees how far the real scale is off.
        resting = float(state.answer.answer.load.ground_reaction) / STANDARD_GRAVITY
        worked_out["scale_mass"] = METRIC.show(resting, Measure.MASS)
        if (share := POSTURE_SHARE.get(str(state.job.get(("load", "posture"))))) is not None:
            worked_out["rider_share"] = share
    elif state.answer is not None and table == LEVERAGE:
        worked_out = _leverage(state.answer)
    doubted = ((doubted | set(worked_out)) - set(way)) | set(listed(way))
    if row.path[-1] == "preload_by":
        same, is_doubted = _same_preload(state.job, table)
        return with_list(found | same, doubted | set(same) if is_doubted else doubted - set(same))
    return with_list({**found, **worked_out, **way}, doubted)


def _same_preload(job: Job, table: TreePath) -> tuple[dict[str, Raw], bool]:
    """Return the preload of a coil as length and in turns, and whether it depends on an unverified value.

    Empty without a preload or a thread pitch.
    """
    pitch = in_si(job.get((*table, "thread_pitch")), Measure.TRAVEL)
    turns, length = job.get((*table, "preload_turns")), in_si(job.get((*table, "preload")), Measure.TRAVEL)
    if not pitch:
        return {}, False
    if length is None and is_number(turns):
        length = float(turns) * pitch
    if length is None:
        return {}, False
    is_doubted = any(
        job.is_unconfirmed((*table, key)) for key in ("thread_pitch", "preload", "preload_turns")
    )
    return {
        "preload": f"{round(length * 1e3, 3):g} mm",
        "preload_turns": round(length / pitch, 2),
    }, is_doubted


def _leverage(known: JobAnswer) -> dict[str, Raw]:
    """Return the leverage of the answer in every form the job file allows."""
    import numpy as np

    def millimetres(lengths: Iterable[float]) -> tuple[float, ...]:
        return tuple(round(float(length) * 1000, 1) for length in lengths)

    frame, setups = known.answer.frame, known.answer.setups
    travel = np.linspace(0.0, float(frame.wheel_travel), _ROWS)
    ratio = np.interp(travel, frame.travel, frame.ratio)
    found: dict[str, Raw] = {
        "start": round(float(ratio[0]), 2),
        "middle": round(float(ratio[_ROWS // 2]), 2),
        "end": round(float(ratio[-1]), 2),
        "travel_mm": millimetres(travel),
        "ratio": tuple(round(float(value), 3) for value in ratio),
    }
    if setups:
        curve = setups[0].curve
        found["stroke_mm"] = millimetres(np.interp(travel, curve.wheel_travel, curve.stroke))
    return found


_MIDDLE: TreePath = (*LEVERAGE, "middle")
_ENDS: tuple[TreePath, ...] = ((*LEVERAGE, "start"), (*LEVERAGE, "end"))
DROPPED = "The unverified ratio at middle, {}, is removed; u undoes both."


def confirm_value(state: BenchState) -> BenchState:
    """Confirm the value of the selected row as it is; on a row with nothing to confirm it says so."""
    row, job = state.row, state.job
    there = unconfirmed_at(job, row)
    if not there:
        also = "Enter lists its options" if isinstance(row.kind, Choice) else "digits type over it"
        return replace(state, note=f"{row.label}: nothing to confirm here; {also}.")
    for path in there:
        job = job.confirmed(path)
    what = "all pairs" if isinstance(row.kind, Pair) else row.label
    after = with_job(quiet(state), job)
    return after if after.note else replace(after, note=f"{what}: confirmed as it stands; u undoes it.")


def show_wheel(state: BenchState, wheel: Wheel) -> BenchState:
    """Go to a wheel, to the setup that was selected there last, and read the chart at its sag."""
    moved = at_wheel(replace(state, other_setup=state.setup), state.history, wheel)
    return replace(cursor_to_sag(select_setup(moved, state.other_setup)), note="")


def one_wheel_text(state: BenchState) -> str:
    """Say what is missing where a job has one wheel, and how to add it."""
    if is_fork(state.job):
        return "This job is a fork only: open the job of the rear and add the front there."
    return "This job has one wheel. Space, then e, adds a typical fork to type over."


def remove_wheel(state: BenchState) -> BenchState:
    """Remove the wheel on the bench from the bike; the other one is then the job."""
    state = commit(state)
    if not has_front(state.bike):
        return replace(state, note="This job has one wheel, which cannot be removed.")
    left = wheel_job(state.bike, "rear" if state.wheel == "front" else "front")
    kept = replace(state, setup=state.other_setup, other_setup=0)
    moved = cursor_to_sag(at_wheel(kept, state.history.then(left), "rear"))
    return replace(moved, note=f"The {state.wheel} wheel is removed; u undoes it.")


_FORK = "150 mm"
"""Travel of the example fork for a bike without one. Common practice, no source."""


def with_invented_front(bike: Job) -> Job:
    """Return a bike with an example fork of typical size added, marked as unconfirmed."""
    from tui.subjects.new_job import NewEnd, typed_size, with_front  # it knows sizes, which load numpy

    bike = with_front(bike, NewEnd(("air",), typed_size(_FORK, "front")))
    if bike.get(("load", "scale_mass")) is None:
        return bike
    # A scale under the rear wheel does not give the load on the front.
    return bike.with_invented(("front", "load", "scale_mass"), "38 kg")


# --- typing ----------------------------------------------------------------------------------


def option_with(state: BenchState, letter: str) -> int | None:
    """Return the next option of a choice that begins with a letter, None if none does."""
    row = state.row
    if not isinstance(row.kind, Choice):
        return None
    now = row.kind.chosen(state.job, row.path)
    return _option_after(row.kind, -1 if now is None else now, letter)


def _option_after(kind: Choice, here: int, letter: str) -> int | None:
    """Return the next option after `here` that starts with a letter, wrapping around; None without one."""
    words = [option.word.casefold() for option in kind.options]
    order = [(here + 1 + place) % len(words) for place in range(len(words))]
    return next((place for place in order if words[place].startswith(letter.casefold())), None)


def type_or_pick(state: BenchState, text: str) -> BenchState:
    """Type text over the value or into the open one; on a choice a letter picks an option."""
    if not is_field(state.row):
        return replace(state, note=_NO_FIELD if state.row.path == MORE else state.row.meaning)
    if state.edit is None and isinstance(state.row.kind, Choice) and text[:1].isdigit():
        return replace(state, note=PICKS.format(state.row.full_label))
    option = option_with(state, text) if state.edit is None and len(text) == 1 else None
    if option is None:
        return kit_edit.type_text(_second_anew(state, text), text)
    after = pick_option(state, option)
    unchanged = after.job == state.job and not after.note
    return (
        replace(after, note=f"{state.row.label}: no other option begins with {text}.") if unchanged else after
    )


def _second_anew(state: BenchState, text: str) -> BenchState:
    """Return the state with the open pair that is asked about cut to its first number, where one is typed."""
    edit = state.edit
    if edit is None or not edit.is_asked or not isinstance(state.row.kind, Pair):
        return state
    first, *second = edit.text.split()
    is_anew = bool(second) and text[:1] in STARTS_NUMBER
    return replace(state, edit=edit.anew(f"{first} ")) if is_anew else state


def pick_option(state: BenchState, option: int) -> BenchState:
    """Take an option of the choice under the cursor."""
    row = state.row
    assert isinstance(row.kind, Choice)
    starts = start_values(state, row, option)
    after = with_job(state, row.kind.select(state.job, row.path, option, starts))
    if row.path != ON_BIKE:
        return after
    # Feedback on the ride is about the setup that was on the bike.
    shown = select_setup(after, setup_on_bike(after.job))
    return replace(shown, note=shown.note or _moved_readings(state.job, after.job))


_OF_SETUP: tuple[TreePath, ...] = (
    *(("measured", key) for key in ("sag", "gauge", "rebound_clicks", "compression_clicks")),
    ("ridden", "symptom"),
)
"""What was read or felt with one setup on the bike."""


def _moved_readings(before: Job, after: Job) -> str:
    """Say which readings are of another setup from now on, empty without any or without a change."""
    was, now = (job.setups[setup_on_bike(job)].get("name") for job in (before, after))
    told = [field.label for path in _OF_SETUP if after.get(path) and (field := field_at(path)) is not None]
    if was == now or not told:
        return ""
    what = " and ".join(filter(None, (", ".join(told[:-1]), told[-1]))).capitalize()
    counts = "count" if len(told) > 1 else "counts"
    return f"{what} now {counts} for {brief(str(now))}, not {brief(str(was))}; u undoes it."


PICKS = "{} takes no number: Enter lists its options, a first letter picks one."
_NO_FIELD = "Enter shows the other fields."


def open_edit(state: BenchState) -> BenchState:
    """Open the value for editing, the caret after its number; for a choice, open its list of options."""
    row = state.row
    if row.path == MORE:
        return switch_rest(state)
    if not is_field(row):
        return replace(state, note=row.meaning)
    if isinstance(row.kind, Choice):
        return replace(state, option=row.kind.chosen(state.job, row.path) or 0)
    text = edit_text(state, row)
    parts = split(text) if isinstance(row.kind, Amount | Share | Bare) else None
    return replace(state, edit=Edit.opened_on(text, None if parts is None else len(parts[0])))


_STEPS_IN_LIST: Mapping[str, int] = {
    **dict.fromkeys(("left", "up", "minus", "-", "_"), -1),
    **dict.fromkeys(("right", "down", "plus", "+", "="), 1),
    **dict.fromkeys(("home", "pageup"), -_FAR),
    **dict.fromkeys(("end", "pagedown"), _FAR),
}
"""Steps of a key in the list of options; the arrows wrap around, Home and End do not."""


def is_of_list(key: str, character: str | None) -> bool:
    """Return whether a key belongs to the open list of options; any other key closes it and acts normally."""
    return key in ("enter", "escape", *_STEPS_IN_LIST) or bool(character and character.isalnum())


def pick_from_list(state: BenchState, option: int) -> BenchState:
    """Take an option of the open list; taking the present option confirms it.

    The cursor then goes on as after a value.
    """
    row, closed = state.row, replace(state, option=None)
    assert isinstance(row.kind, Choice)
    if row.kind.chosen(state.job, row.path) != option:
        return _gone_on(state, pick_option(closed, option))
    return _gone_on(state, confirm_value(closed) if unconfirmed_at(state.job, row) else closed)


def list_pressed(state: BenchState, key: str, character: str | None) -> BenchState:
    """Return the state after a key of the open list: arrows and letters pick, Enter takes, Esc leaves."""
    kind, here = state.row.kind, state.option
    assert isinstance(kind, Choice)
    assert here is not None
    last = len(kind.options) - 1
    match key:
        case "escape":
            return replace(state, option=None)
        case "enter":
            return pick_from_list(state, here)
        case _ if abs(_STEPS_IN_LIST.get(key, 0)) == _FAR:
            return replace(state, option=0 if _STEPS_IN_LIST[key] < 0 else last)
        case _ if key in _STEPS_IN_LIST:
            return replace(state, option=(here + _STEPS_IN_LIST[key]) % (last + 1))
    picked = _option_after(kind, here, character or key)
    if picked is None:
        return replace(state, note=f"No option begins with {character}.")
    return replace(state, option=picked)


def commit(state: BenchState) -> BenchState:
    """Put the typed text into the job, valid or not; a valid value opened but unchanged is not an edit."""
    if state.edit is None:
        return state
    edit, closed = state.edit, replace(state, edit=None)
    faulty = any(fault.path == state.row.path for fault in state.faults)
    retyped = edit.touched and bool(unconfirmed_at(state.job, state.row))
    if edit.text == edit.before and not faulty and not retyped:
        return closed
    after = _with_typed(closed, typed.typed_into(closed.job, closed.row, edit.text, closed.units))
    return after if after.note else replace(after, note=_text_replaced(state.job, after.job, state.row))


def _text_replaced(before: Job, after: Job, row: Field) -> str:
    """Say what a name or a note was before another one was typed; empty for any other value."""
    was, now = before.get(row.path), after.get(row.path)
    if not isinstance(row.kind, Words) or not was or was == now:
        return ""
    if not now:  # where text is expected u is a letter of it
        return f"{row.full_label}: {brief(str(was))} is removed; u on any other field undoes it."
    return f"{row.full_label}: {brief(str(was))} \N{RIGHTWARDS ARROW} {brief(str(now))}; u undoes it."


def _with_typed(state: BenchState, job: Job) -> BenchState:
    """Return the state after the selected value was typed or nudged, with contradicting values removed."""
    if state.row.path not in _ENDS or not job.is_unconfirmed(_MIDDLE):
        return with_job(state, job)
    # An example ratio at half travel would bend the curve of typed end ratios.
    return replace(with_job(state, job.without(_MIDDLE)), note=DROPPED.format(job.get(_MIDDLE)))


def edit_text(state: BenchState, row: Field) -> str:
    """Return the value of a row as it opens for editing: the solved one where it is solved."""
    if is_solved(state.job, row):
        return solved_text(state, row) or ""
    return typed.field_text(state.job, row)


def nudge(state: BenchState, times: int) -> BenchState:
    """Change the value by steps, or a choice through its options; never to an invalid value."""
    row = state.row
    if row.path == MORE:
        return switch_rest(state)
    option = typed.next_option(state.job, row, 1 if times > 0 else -1)
    if option is not None and isinstance(row.kind, Choice):
        return pick_option(state, option)
    job = typed.nudged(_with_solved_typed(state, row), row, times)
    if job is None:
        return replace(state, note=f"{row.label}: cannot step that way.")
    moved = _with_typed(state, job)
    worse = [fault for fault in moved.faults if fault.path == row.path]
    if worse and not any(fault.path == row.path for fault in state.faults):
        return replace(state, note=f"{row.label}: no further, {worse[0].accepted}.")
    return moved


def switch_solved(state: BenchState) -> BenchState:
    """Turn a typed value into a solved one, or keep the solved value as typed."""
    row = state.row
    if not isinstance(row.kind, Amount) or not row.kind.solvable:
        return replace(state, note="Only a spring rate and an air pressure can be solved.")
    if not is_solved(state.job, row):
        return with_job(state, state.job.with_value(row.path, typed.SOLVE))
    if solved_text(state, row) is None:
        return replace(state, note="No solved value to keep yet: type one.")
    return with_job(state, _with_solved_typed(state, row))


def clear_value(state: BenchState) -> BenchState:
    """Take the value out of the job; a rate or pressure is solved instead."""
    row = state.row
    match row.kind:
        case _ if not is_field(row):
            return replace(state, note=_NO_FIELD if row.path == MORE else row.meaning)
        case Choice():
            return replace(state, note=f"{row.label}: one option is always set; Enter lists them.")
        case Pair() as pair:
            job = typed.without_pair(state.job, row.path, pair)
        case Amount(solvable=True):
            job = state.job.with_value(row.path, typed.SOLVE)
        case _:
            job = state.job.taken_out(row.path)
    return (
        replace(state, note=f"{row.label}: no value to remove.") if job == state.job else with_job(state, job)
    )


def _with_solved_typed(state: BenchState, row: Field) -> Job:
    """Return the job with a solved value as if it had been typed."""
    text = solved_text(state, row) if is_solved(state.job, row) else None
    return state.job if text is None else state.job.with_value(row.path, text)


def _shown_on(before: BenchState, history: History, *, done: str) -> BenchState:
    """Return the state on another job of its history, the cursor on the first row that differs.

    If only the other wheel differs, it is shown unless the change was made from the present one; if the row
    is in another step, that step gets the focus. A view with the focus keeps it and its step: only the setup
    that differs is selected. The note names the difference, and the wheel or step now shown.
    """
    from tui.subjects.differences import Side, between  # the first frame has nothing to undo

    after = _on_difference(before, history)
    after = after if after.step is before.step else replace(after, in_view=False)
    changes = between(Side(before.bike, before.bike), Side(after.bike, after.bike))
    more = f" and {len(changes) - 1} more" if len(changes) > 1 else ""
    told = f"{done}: {changes[0]}{more}." if changes else f"{done}."
    places = [f"at the {after.wheel}"] if after.wheel != before.wheel else []
    places += [f"on {NAMES[after.step]}"] if after.step is not before.step else []
    moved = f" Now {', '.join(places)}." if places else ""
    return replace(after, note=f"{told}{moved}")


def _on_difference(before: BenchState, history: History) -> BenchState:
    after = with_history(leaving(before), history)
    if len(after.job.setups) < len(before.job.setups):
        # Undoing an added setup selects the setup that was selected before.
        was = next((setup for job, setup, _ in reversed(before.left) if job == history.job), after.setup)
        after = select_setup(after, was)
    changed = [end for end in WHEELS if wheel_job(before.bike, end) != wheel_job(after.bike, end)]
    if changed and after.wheel not in changed and has_front(after.bike):
        made_at = next((wheel for job, _, wheel in reversed(before.left) if job == history.job), None)
        is_undone = len(history.future) > len(before.history.future)
        if is_undone and made_at == after.wheel:
            return after
        after = show_wheel(after, changed[0])
    before = replace(before, wheel=after.wheel)
    # Rows of setups also appear in Compare: look in the present step first.
    order = sorted(range(len(after.panels)), key=lambda index: after.panels[index].step is not after.step)
    for index in order:
        panel, paths = after.panels[index], _paths_of_like(before, after, index)
        for row in (*panel.rows, *panel.hidden):
            changed_here = row.path not in paths or _seen(before.job, row) != _seen(after.job, row)
            if row.path == MORE or not changed_here:
                continue
            if after.in_view:
                return after if panel.setup is None else select_setup(after, panel.setup)
            place = panel.index_of(row.path)
            return select_field(after, row.path) if place is None else with_cursor(after, index, place)
    return after


def _paths_of_like(before: BenchState, after: BenchState, index: int) -> set[TreePath]:
    """Return the paths of the earlier panel with the same step and setup as a later one."""
    panel = after.panels[index]
    like = (one for one in before.panels if (one.step, one.setup) == (panel.step, panel.setup))
    return {row.path for one in like for row in (*one.rows, *one.hidden)}


def _seen(job: Job, row: Field) -> tuple[str, bool]:
    """Return what a row shows: its value, and whether nobody has confirmed it."""
    return typed.field_text(job, row), bool(unconfirmed_at(job, row))


undo = partial(kit_edit.undo, with_history=partial(_shown_on, done="Undone"))
redo = partial(kit_edit.redo, with_history=partial(_shown_on, done="Redone"))


def question(state: BenchState) -> BenchState | None:
    """Return the state with a question about the open value, None if there is none."""
    edit = state.edit
    if edit is None or edit.text == edit.before or isinstance(state.row.kind, Choice):
        return None
    refused = _fraction(state, edit.text)
    if refused:
        return replace(state, note=f"{refused}.")
    told = _unlikely(state, edit.text)
    return replace(state, edit=replace(edit, asked=edit.text), note=told) if told else None


def take_value(state: BenchState) -> BenchState:
    """Take the open value; an unlikely one is questioned first and taken when entered again.

    Taking an unverified value confirms it, and the cursor goes on.
    """
    edit = state.edit
    asked = None if edit is not None and edit.asked == edit.text else question(state)
    if edit is None or asked is not None:
        return asked or state
    after = commit(state)
    if edit.text == edit.before and unconfirmed_at(after.job, after.row):
        after = confirm_value(after)
    return _gone_on(state, after)


def _gone_on(before: BenchState, after: BenchState) -> BenchState:
    """Move on from a value just taken: down to the next missing or unverified one, else to the next field.

    The cursor stays within step and setup, and on an invalid value. The note has the answer or caution of the
    value left, and where values remain to be typed once none are left below. Before the first result the
    next missing value comes after the last unverified one, on another step only once this one is complete;
    the note names the step.
    """
    row = after.row
    if row.path != before.row.path or _is_faulty(after, row):
        return after
    told = [after.note or _said_of(after, row)]
    panel, here = after.panels[after.panel], after.rows[after.panel]
    below = [
        one
        for one in (*panel.rows[here + 1 :], *panel.hidden)
        if is_field(one) and setup_of_row(one) == setup_of_row(row)
    ]
    to_type = next((one for one in below if _is_to_type(after, one)), None)
    following = to_type or next((one for one in below if one in panel.rows), None)
    if to_type is None and _is_to_type(before, row):
        needed = _next_needed(after) if after.bike_answer is None else None
        if needed is not None:
            moved = select_field(after, needed)
            if moved.step is not after.step:
                left = f"{NAMES[after.step]} is complete."
                told.append(f"{left} Now on {NAMES[moved.step]}: {moved.row.full_label}.")
            return replace(moved, note=" ".join(filter(None, told)))
        told.append(_left_to_type(after))
    elif following is None and after.step is Step.HAND_OVER and not told[0]:
        told.append(_HANDED_OVER)
    moved = after
    if following is not None:
        # Where setups are compared their rows stand twice.
        place = panel.index_of(following.path)
        if place is None:
            moved = select_field(after, following.path)
        else:
            moved = with_cursor(after, after.panel, place)
    return replace(moved, note=" ".join(filter(None, told)))


_HANDED_OVER = "Space, then p, saves the setup sheet; Ctrl+S saves the job."


def _next_needed(state: BenchState) -> TreePath | None:
    """Return the next value at this wheel without which there is no result, in the order of the screen.

    While the step has values to type it is one of the step, None if those there are only unverified.
    """
    panels, at = state.panels, state.panel
    shown = [(panel.step, row) for panel in panels[:at] for row in (*panel.rows, *panel.hidden)]
    past = len(shown) + state.rows[at] + 1
    shown += [(panel.step, row) for panel in panels[at:] for row in (*panel.rows, *panel.hidden)]
    ordered = [(step, row) for step, row in (*shown[past:], *shown[:past]) if is_field(row)]
    on_step = [row for step, row in ordered if step is state.step]
    is_left = any(_is_to_type(state, row) for row in on_step)
    wanted = on_step if is_left else [row for _, row in ordered]
    return next((row.path for row in wanted if _is_faulty(state, row)), None)


def _is_faulty(state: BenchState, row: Field) -> bool:
    """Return whether a value is missing or cannot be used."""
    if not state.faults:
        return False
    from tui.subjects.new_job import (
        is_faulty,  # it knows sizes of springs, which the first frame does not need
    )

    return is_faulty(row, {fault.path for fault in state.faults})


def _is_to_type(state: BenchState, row: Field) -> bool:
    """Return whether a value is missing, cannot be used, or was never typed nor confirmed."""
    return bool(unconfirmed_at(state.job, row)) or _is_faulty(state, row)


def _said_of(state: BenchState, row: Field) -> str:
    """Return what is told at a field of its value: how it compares, and what to take care of."""
    told = " ".join(filter(None, (meaning_at(state, row)[0], caution_at(state, row))))
    return f"{row.full_label}: {told}" if told else ""


def _left_to_type(state: BenchState) -> str:
    """Say where on the bike values are still to type, once there are none below on the step."""
    from tui.subjects.new_job import missing  # it knows sizes of springs, which the first frame does not need

    found = missing(state.bike, state.bike_faults)
    here = [one for one in found if one.wheel == state.wheel]
    steps = [step_of(state, one.path) for one in here]
    if state.step in steps:
        field = field_at(here[steps.index(state.step)].path)
        return f"Still to type on {NAMES[state.step]}: {field.full_label}." if field else ""
    if steps:
        elsewhere = f"{steps.count(steps[0])} on {NAMES[steps[0]]}"
    else:
        elsewhere = f"{len(found)} at the {found[0].wheel}" if found else ""
    if not elsewhere and state.step is Step.HAND_OVER:
        return f"{NAMES[state.step]} is complete. {_HANDED_OVER}"
    return f"{NAMES[state.step]} is complete.{f' Still to type: {elsewhere}.' if elsewhere else ''}"


def nudge_or_ask(state: BenchState, times: int) -> BenchState:
    """Move the value by steps; say so where a step makes it unlikely."""
    after = nudge(state, times)
    path, whole = state.row.path, _whole_mass(state)
    doubt = doubt_at(after.job, path, whole)
    if doubt is None or after.job == state.job or doubt_at(state.job, path, whole) is not None:
        return after
    return replace(after, note=f"{doubt.question(state.units)} u undoes it.")


def _whole_mass(state: BenchState) -> float | None:
    """Return the last typed mass of rider and bike [kg], None if it was never typed.

    A load given by a scale reading has no such masses.
    """
    if state.row.path not in ON_SCALE:
        return None
    jobs = (wheel_job(bike, state.wheel) for bike in (state.bike, *reversed(state.history.past)))
    return next((whole for job in jobs if (whole := whole_mass(job)) is not None), None)


def _fraction(state: BenchState, text: str) -> str:
    """Return the percentage to suggest for a bare fraction in a field for shares, else empty."""
    kind = state.row.kind
    if not isinstance(kind, Amount | Share) or not is_fraction(text):
        return ""
    if kind.small if isinstance(kind, Share) else not kind.share_of:
        return ""  # no share is taken
    length = ""
    if typed.unit_taken(state.job, state.row, text, state.units) == "in":
        length = f"{text.strip()} in"
    elif kind.share_of and (whole := typed.whole_of(state.job, kind.share_of)) is not None:
        length = f"{float(number(text.strip())) * whole / 1e-3:.3g} mm"
    return fraction_unseen(text, length)


def _unlikely(state: BenchState, text: str) -> str:
    """Return the question about a value that is unlikely, empty if there is none."""
    from tui.job.reading import look

    job, path = typed.typed_into(state.job, state.row, text, state.units), state.row.path
    if isinstance(state.row.kind, Pair):
        return _unlikely_pair(job, path)
    doubt = doubt_at(job, path, _whole_mass(state))
    # A fault is shown at its field, so no question is needed.
    if doubt is None or any(fault.path == path for fault in look(job)[1]):
        return ""
    before = typed.field_text(state.job, state.row)
    leaves = f"Esc leaves {before}" if before else "Esc leaves it empty"
    return f"{doubt.question(state.units)} Enter again accepts it, {leaves}."


def _unlikely_pair(job: Job, path: TreePath) -> str:
    from tui.subjects.leverage import pair_doubt  # the first frame needs none of it

    asked = pair_doubt(job, path[-1]) if isinstance(path[-1], int) else ""
    return f"{asked} Enter again takes it." if asked else ""


def add_coil(state: BenchState) -> BenchState:
    """Add a coil that suits the shock's size and go to it."""
    return _add_typical(commit(state), "coil")


def add_air(state: BenchState) -> BenchState:
    """Add an air spring that suits the size of the shock or fork and go to it."""
    return _add_typical(commit(state), "air")


def _add_typical(state: BenchState, kind: Kind) -> BenchState:
    from tui.subjects.new_job import new_setup  # it knows sizes, which load numpy

    return _matched_to_target(state, add_setup(state, new_setup(state.job, kind), "Typical setup"))


def copy_setup(state: BenchState) -> BenchState:
    """Add a copy of the selected setup and go to it."""
    state = commit(state)
    if not state.job.setups:
        return replace(state, note="No setup to copy: add a coil or an air spring.")
    return _matched_to_target(state, add_setup(state, state.job.setups[state.setup], "Copy"))


ASK_AGAIN = "This is the setup to be removed: do it again to remove it."
"""Message before removing a setup that was not shown."""


def remove_setup(state: BenchState) -> BenchState:
    """Remove the selected setup; undo restores it."""
    state = commit(state)
    count, index = len(state.job.setups), state.setup
    if count and state.step not in (Step.SPRINGS, Step.COMPARE):
        return replace(show_setup(state, index), in_view=False, note=ASK_AGAIN)
    if count < 2:
        return replace(state, note="The last setup cannot be removed.")
    gone = next(place for place, panel in enumerate(state.panels) if panel.setup == index)
    name = state.panels[gone].title
    rows = (*state.rows[:gone], *state.rows[gone + 1 :])
    changed = with_job(state, state.job.without_setup(index))
    # Compare has fewer rows now.
    rows = tuple(min(row, len(panel.rows) - 1) for row, panel in zip(rows, changed.panels, strict=True))
    moved = _moved_readings(state.job, changed.job)
    note = f"{name} is removed. {moved}" if moved else f"{name} is removed; u undoes it."
    return select_setup(replace(changed, rows=rows, note=note), min(index, count - 2))


def rename_setup(state: BenchState) -> BenchState:
    """Open the name of the selected setup for typing."""
    return open_edit(select_field(commit(state), ("setup", state.setup, "name")))


def add_setup(state: BenchState, fresh: Mapping[str, Raw], what: str, onto: Job | None = None) -> BenchState:
    """Add a setup after all others, which so keep their place and their marker in the chart.

    `onto` is the job of the wheel it is added to, with other changes of the same edit, if not that of the
    state. The job is unchanged if it already has the maximum number.
    """
    if len(state.job.setups) >= MOST_SETUPS:
        return replace(state, note=f"A job holds {MOST_SETUPS} setups at most; remove one first.")
    before = onto or state.job
    job = before.with_setup(None, {**fresh, "name": before.free_name(str(fresh.get("name", "setup")))})
    added, last = with_job(state, job), len(job.setups) - 1
    shown = select_setup(added, last) if added.step is Step.COMPARE else show_setup(added, last)
    return replace(shown, note=f"{what}, {job.setups[last]['name']}: type its own values.")


def _matched_to_target(before: BenchState, after: BenchState) -> BenchState:
    """Return the state with a setup added, the one that others are matched to still selected in its view."""
    if not (before.in_view and before.view in MATCHES and 0 < len(before.job.setups) < len(after.job.setups)):
        return after
    kept = replace(select_setup(after, before.setup), in_view=True)
    like, new = (str(kept.job.setups[place]["name"]) for place in (kept.setup, -1))
    return replace(kept, note=f"{brief(new)} is added, the target still {brief(like)}; u undoes it.")


PAGE = 10
"""Rows per page key."""


def move_by_rows(state: BenchState, steps: int) -> BenchState:
    """Go up or down inside the panel; what is being typed is committed first."""
    state = commit(state)
    return with_cursor(state, state.panel, state.rows[state.panel] + steps)


def show_row(state: BenchState, panel: int, row: int) -> BenchState:
    """Go to one row, as a click does."""
    return with_cursor(commit(state), panel, row)


def show_other_wheel(state: BenchState) -> BenchState:
    """Go to the other wheel of the bike; one that has no front yet gets an invented one."""
    state = commit(state)
    if has_front(state.bike):
        return show_wheel(state, "front" if state.wheel == "rear" else "rear")
    if is_fork(state.job):
        return replace(state, note=one_wheel_text(state))
    grown = replace(state, history=state.history.then(with_invented_front(state.bike)))
    told = "Typical fork added, off the sheet until its values are typed; u undoes it."
    return replace(show_wheel(with_answer(grown), "front"), note=told)
