"""The list of all actions of the bench: source of its keys, footer, menu, finder and help."""

from __future__ import annotations

from dataclasses import replace

from tui.bench import edit
from tui.bench import state as bench
from tui.bench.edit import confirm_value, question
from tui.bench.state import EVENTS, BenchState, with_cursor
from tui.bench.steps import NAMES, Step, is_field
from tui.job.fields import Amount, Choice, Pair, Words
from tui.job.wheels import has_front, is_fork
from tui.kit.edit import STARTS_NUMBER, TypingKeymap, rub_out, typing_group
from tui.kit.keymap import (
    COPY_ACTS,
    HINT,
    LOOK_ACTS,
    PROGRAM,
    Action,
    Group,
    act,
    by,
    group,
    pressed_name,
    quiet,
)

FIELDS, VIEW = "fields", "view"
"""Pages of the keymap, by the pane with the focus."""
_TEN = 10
_FAR = 999

BenchAction = Action[BenchState]


def on_choice(state: BenchState) -> bool:
    """Whether no value is open and the field is a choice."""
    return state.edit is None and isinstance(state.row.kind, Choice)


def on_solvable(state: BenchState) -> bool:
    """Whether no value is open and the field is a rate or pressure that can be solved."""
    return state.edit is None and isinstance(state.row.kind, Amount) and state.row.kind.solvable


def between_pairs(state: BenchState) -> bool:
    """Whether no value is open and the field belongs to the measured pairs."""
    return state.edit is None or isinstance(state.row.kind, Pair)


def on_new_pair(state: BenchState) -> bool:
    """Whether a new pair is open: taking it starts the next one."""
    row = state.row
    if state.edit is None or state.view != "pairs" or not isinstance(row.kind, Pair):
        return False
    travels = state.job.get(row.path[:-1])
    return row.path[-1] == (len(travels) if isinstance(travels, tuple) else 0)


# --- why something cannot be done now ---------------------------------------------------------


def _no_setup(state: BenchState) -> str:
    return "" if state.job.setups else "the job has no setup"


def _last_setup(state: BenchState) -> str:
    return "" if len(state.job.setups) > 1 else "a job needs at least one setup"


def _one_wheel(state: BenchState) -> str:
    return "" if has_front(state.bike) else "the job has one wheel"


def _not_in_events(state: BenchState) -> str:
    return "" if state.view == EVENTS else "the events view is not shown"


def _no_log(state: BenchState) -> str:
    return "" if state.log.files else "no logged ride has been read"


def _fork_alone(state: BenchState) -> str:
    return "this job is a fork only" if is_fork(state.job) and not has_front(state.bike) else ""


def _nothing_to_undo(state: BenchState) -> str:
    return "" if state.history.past or state.edit else "nothing has changed yet"


def _nothing_to_redo(state: BenchState) -> str:
    return "" if state.history.future else "nothing was undone"


def _not_solvable(state: BenchState) -> str:
    return "" if on_solvable(state) else "the cursor is not on a rate or pressure"


def _help_is_shown(state: BenchState) -> str:
    return "the help is shown: Esc puts it away" if state.helps else ""


# --- moving about -----------------------------------------------------------------------------


def _other_setup(state: BenchState, steps: int) -> BenchState:
    """Select the previous or next setup if the step shows setups."""
    if state.step not in (Step.SPRINGS, Step.COMPARE, Step.RIDE):
        return replace(state, note=f"Up and down move through the fields. {HINT}")
    return bench.next_setup(edit.commit(state), steps)


def _next_step(state: BenchState, steps: int) -> BenchState:
    """Go forward by some steps; text being typed is committed first."""
    state = edit.commit(state)
    return bench.show_step(state, state.step + steps)


def _first_or_last(state: BenchState, row: int) -> BenchState:
    return with_cursor(edit.commit(state), state.panel, row)


_HERE = tuple(Step)
STEPS: Group[BenchState] = group(
    "Moving",
    act("next", "next step", "Next step of the work.", by(_next_step, 1), keys="tab", label="step",
        line=7),
    act("back", "previous step", "Previous step of the work.", by(_next_step, -1), keys="shift+tab"),
    act(
        "view_back", "previous view", "Previous view of this step; it gets the focus.",
        by(bench.turn_view, -1), keys="[", label="views", line=6,
    ),
    act(
        "view_on", "next view", "Next view of this step; it gets the focus.", by(bench.turn_view, 1),
        keys="]", label="views", line=6,
    ),
    act("pane", "other pane", "To the view that is shown, or back to the fields.", bench.other_pane,
        keys="f6", letter="v", shelves=_HERE),
    act("leave_view", "one step back", "Back from help or view to the fields.", bench.step_back,
        keys="escape", label="fields", line=1, pages=(VIEW,)),
    act("leave_zoom", "both panes", "Back from the zoomed pane to both panes.", bench.step_back,
        keys="escape", pages=(FIELDS,)),
    act("zoom", "zoom", "Zoom this pane to the whole screen, or show both panes again.", bench.switch_zoom,
        keys="z", line=13),
    act("up", "field above", "Field up.", by(edit.move_by_rows, -1), keys="up", pages=(FIELDS,)),
    act("down", "field below", "Field down.", by(edit.move_by_rows, 1), keys="down", pages=(FIELDS,)),
    act("left", "previous setup", "Previous setup.", by(_other_setup, -1), keys="left",
        pages=(FIELDS,)),
    act("right", "next setup", "Next setup.", by(_other_setup, 1), keys="right",
        pages=(FIELDS,)),
    act("page_up", "ten fields up", "Ten fields up.", by(edit.move_by_rows, -edit.PAGE), keys="pageup",
        pages=(FIELDS,)),
    act("page_down", "ten fields down", "Ten fields down.", by(edit.move_by_rows, edit.PAGE), keys="pagedown",
        pages=(FIELDS,)),
    act("first", "first field", "First field of the step.", by(_first_or_last, 0), keys="home",
        pages=(FIELDS,)),
    act("last", "last field", "Last field of the step.", by(_first_or_last, _FAR), keys="end",
        pages=(FIELDS,)),
)  # fmt: skip
_SETUPS = (Step.SPRINGS, Step.COMPARE)
VALUES: Group[BenchState] = group(
    "Values: digits type over a number, letters into an empty text",
    act("edit", "edit", "Edit the value, Enter again accepts it; on a choice, the list of its options.",
        edit.open_edit, keys="enter f2", line=2, pages=(FIELDS,)),
    act("confirm", "confirm as it stands",
        "Confirm an unverified value: its mark and its line on the sheet are removed.",
        confirm_value, brief="confirm", letter="y", shelves=_HERE),
    act("more", "one step up", "One step up: 1 kg, 1 psi, 5 lbf/in, 1 %, 1 mm.", by(edit.nudge_or_ask, 1),
        keys="+ =", label="nudge", line=10, pages=(FIELDS,)),
    act("less", "one step down",
        "One step down. Where negatives are allowed, - types a minus and _ steps down.",
        by(edit.nudge_or_ask, -1), keys="- _", label="nudge", line=10, pages=(FIELDS,)),
    act("much_more", "ten steps up", "Ten steps up.", by(edit.nudge_or_ask, _TEN), keys=">",
        label="ten steps", line=14, pages=(FIELDS,)),
    act("much_less", "ten steps down", "Ten steps down.", by(edit.nudge_or_ask, -_TEN), keys="<",
        label="ten steps", line=14, pages=(FIELDS,)),
    act("solve", "solved or typed",
        "Solve rate or pressure for the target sag, or keep the solved value as typed.",
        edit.switch_solved, keys="s", label="solve", line=1, when=on_solvable, why=_not_solvable,
        pages=(FIELDS,)),
    act("blank", "clear and type", "Clear the field and type.", rub_out, keys="backspace",
        pages=(FIELDS,)),
    act("clear", "remove value", "Remove the value; a rate or pressure is solved again.", edit.clear_value,
        keys="delete", pages=(FIELDS,)),
    act("undo", "undo", "Undo the last change.", edit.undo, keys="u", line=11, why=_nothing_to_undo),
    act("redo", "redo", "Redo the change that was undone.", edit.redo, keys="ctrl+r",
        why=_nothing_to_redo),
)  # fmt: skip
TYPING: Group[BenchState] = typing_group(
    edit.take_value, "Accept; moving to another field does it too. An unlikely value is asked about first."
)
SETUPS: Group[BenchState] = group(
    "Setups",
    act("coil", "add a coil", "Add a coil typical for the size of the shock, to type over.", edit.add_coil,
        brief="add coil", letter="c", shelves=_SETUPS),
    act("air", "add an air spring",
        "Add an air spring typical for the size of shock or fork, to type over.",
        edit.add_air, brief="add air", letter="a", shelves=_SETUPS),
    act("copy", "copy this setup", "Copy the selected setup.", edit.copy_setup,
        brief="copy setup", letter="d", shelves=_SETUPS, why=_no_setup),
    act("rename", "rename this setup", "Rename the selected setup.", edit.rename_setup,
        brief="rename setup", letter="r", shelves=_SETUPS, why=_no_setup),
    act("remove", "remove this setup", "Remove the selected setup; u undoes it.", edit.remove_setup,
        brief="remove setup", letter="x", shelves=_SETUPS, why=_last_setup),
    act("end", "other wheel", "Front or rear; a job without a front gets a typical fork.",
        edit.show_other_wheel, letter="e", shelves=_HERE, why=_fork_alone),
    act("end_off", "remove this wheel", "Remove the wheel on screen from the job; u undoes it.",
        edit.remove_wheel, letter="k", shelves=(Step.FRAME,), why=_one_wheel),
)  # fmt: skip


VIEWS: Group[BenchState] = group(
    "Views",
    act("sweep", "sweep over this field", "Sweep the field under the cursor for all setups.",
        bench.sweep_field, brief="sweep field", letter="w",
        shelves=(Step.RIDER, Step.FRAME, Step.SPRINGS, Step.COMPARE)),
    act("map", "map over two fields",
        "Map the selected setup: swept field on x, field under the cursor on y.",
        bench.map_field, brief="map", letter="m",
        shelves=(Step.RIDER, Step.FRAME, Step.SPRINGS, Step.COMPARE)),
    act("slow", "slow curve on, off", "Show the slow curve past sag over the riding curve.",
        bench.switch_slow, brief="slow curve", letter="f", shelves=_SETUPS),
    act("read_sag", "read chart at sag", "Chart cursor to the selected setup's sag.",
        bench.cursor_to_sag, brief="read at sag", letter="g", shelves=_SETUPS),
    act("pair", "measure the next pair", "Accept the open pair and start the next one.",
        letter="p", shelves=(Step.FRAME,), when=between_pairs),
    act("wants", "type target figures", "Type target figures; the closest settings are shown.",
        brief="target figures", letter="t", shelves=(Step.COMPARE,), why=_no_setup),
    act("readings", "enter measured values",
        "Spring tester, gauge before and after, or a sag: calculate the setup from them.",
        brief="measured", letter="r", shelves=(Step.RIDE,), why=_no_setup),
    act("event_enter", "type event value",
        "Type the value under the cursor in events; on a choice, the next option.",
        brief="event value", letter="t", shelves=(Step.RIDE,), why=_not_in_events),
    act("take_rebound", "use the rebound found",
        "Use the rebound at which the setup just returns to sag between bumps.",
        brief="returning rebound", letter="b", shelves=(Step.RIDE,), why=_not_in_events),
    act("damper_table", "damper from a file", "Damper from a damper tester's file: shaft speed and force.",
        brief="damper file", letter="d", shelves=(Step.RIDE,)),
    act("replay", "replay the event", "Replay the ride through the event, slowed down; again stops it.",
        brief="replay", letter="p", shelves=(Step.RIDE,), why=_not_in_events),
    act("event_shows", "travel or force", "Show travel, wheel force, tyre force or small waves.",
        letter="f", shelves=(Step.RIDE,), why=_not_in_events),
    act("log", "read a logged ride", "Read a logger's table of time and travel.",
        brief="read log", letter="l", shelves=(Step.RIDE,), why=_no_setup),
    act("log_beside", "compare a second ride", "Compare a second logged ride with the first.",
        brief="second log", letter="s", shelves=(Step.RIDE,), why=_no_log),
    act("log_off", "remove the log", "Remove the logged rides from the view; their files are unchanged.",
        bench.without_log, brief="remove log", letter="w", shelves=(Step.RIDE,), why=_no_log),
    act("log_on_sheet", "logged ride on sheet",
        "Put the first logged ride on the setup sheet, or remove it.",
        letter="o", shelves=(Step.HAND_OVER,), why=_no_log),
    act("linkage", "linkage drawing",
        "Leverage from pivot points: type them, move the linkage, use its curve.",
        letter="l", shelves=(Step.FRAME,)),
    act("import", "leverage from a file", "Leverage from a table: two of wheel travel, shock stroke, ratio.",
        letter="i", shelves=(Step.FRAME,)),
    act("sheet_save", "save the setup sheet", "Save the setup sheet as text, Markdown or a page to print.",
        letter="p", shelves=(Step.HAND_OVER,)),
)  # fmt: skip
JOB: Group[BenchState] = group(
    "Job and program",
    act("find", "find", "Find anything by a few letters: acts, views, fields, figures, setups.",
        keys="/ ctrl+p", line=4),
    act("menu", "menu", "What can be done here, a letter each; Space again: job and program.",
        keys="space", line=5),
    act("help", "help", "What this field and this view are, and the keys.", keys="? f1", line=9,
        keeps_edit=True),
    act("save", "save", "Save to the job's own file, or as a new revision in the records.",
        keys="ctrl+s", line=8),
    act("save_note", "save with a note", "Save to the records with a note on what was done.",
        brief="save with note", letter="n", shelves=(PROGRAM, Step.HAND_OVER)),
    act("save_as", "save to a file", "Save to a file, or under another name.", brief="save to file",
        letter="f", shelves=(PROGRAM, Step.HAND_OVER)),
    act("new", "new job", "New job for a customer: wheels, springs, size, then the missing values.",
        letter="j", shelves=(PROGRAM,)),
    act("open", "open a job file", "Open a job file.", brief="open file", letter="o", shelves=(PROGRAM,)),
    act("records", "records", "Saved jobs: find, open, compare, reuse for the next rider.",
        letter="r", shelves=(PROGRAM, Step.HAND_OVER)),
    *COPY_ACTS,
    act("export", "export view", "Save the chart as SVG, PNG, PDF or CSV, a table as CSV.", brief="export",
        letter="e", shelves=(PROGRAM,), why=_help_is_shown),
    act("copy_or_quit", "copy selected or quit", "Copy what the mouse has selected; without any, quit.",
        keys="ctrl+c"),
    act("units", "units", "Units of the figures: usual, metric, imperial.", bench.next_units, letter="u",
        shelves=(PROGRAM,)),
    *LOOK_ACTS,
    act("suspend", "to the shell", "Suspend; fg resumes.", keys="ctrl+z", brief="shell", letter="z",
        shelves=(PROGRAM,), keeps_edit=True),
    act("quit", "quit", "Quit; asks if something is not saved.", keys="q ctrl+q", letter="q",
        shelves=(PROGRAM,), line=12),
)  # fmt: skip


class BenchKeymap(TypingKeymap[BenchState]):
    """The keys of the bench: digits type over the number under the cursor, letters into an empty text.

    So do the letters of a word that the number can be.
    """

    def page(self, state: BenchState) -> str:
        """Return which pane has the focus."""
        return VIEW if state.view_has_focus else FIELDS

    def starts_typing(self, state: BenchState, character: str) -> bool:
        """Return whether a character starts a value, or picks an option of a choice."""
        if self.page(state) == VIEW:
            return False
        kind = state.row.kind
        if isinstance(kind, Words):
            # A name that stands is not typed over: its letters are keys, and one of them would replace it.
            return character.isalnum() and is_field(state.row) and not state.job.get(state.row.path)
        if isinstance(kind, Choice):
            return character.isdigit() or edit.option_with(state, character) is not None
        if not isinstance(kind, Amount):
            return character in STARTS_NUMBER
        # The key of an act that is for this field, such as s for a solved value, does what the word says.
        action = self.at_rest(state, character)
        is_act = action is not None and action.when is not None and action.when(state)
        is_word = not is_act and any(word.startswith(character.casefold()) for word in kind.words)
        return is_word or character in STARTS_NUMBER or (character == "-" and kind.signed)

    def typed(self, state: BenchState, text: str) -> BenchState:
        """Return the state with text typed over the field or into the open value, or an option picked."""
        return edit.type_or_pick(state, text)

    def asked(self, state: BenchState) -> BenchState | None:
        """Return the state with a question about an unlikely value, None if the open one can be taken."""
        return question(state)

    def action_for(self, state: BenchState, key: str, character: str | None) -> BenchAction | None:
        """Return the action of a key; keys of the open list of options have none."""
        is_of_list = state.option is not None and edit.is_of_list(key, character)
        return None if is_of_list else super().action_for(state, key, character)

    def pressed(self, state: BenchState, key: str, character: str | None) -> BenchState:
        """Return the state after a key; a key that is not for the open list of options closes it first."""
        if state.option is not None:
            if edit.is_of_list(key, character):
                return edit.list_pressed(quiet(state), key, character)
            state = replace(state, option=None)
        return super().pressed(state, key, character)

    def idle(self, state: BenchState, key: str, character: str | None) -> str:
        """Return the message for a key that does nothing here."""
        other = FIELDS if self.page(state) == VIEW else VIEW
        elsewhere = self._by_key.get((False, other, character or key)) or self._by_key.get(
            (False, other, key)
        )
        name = pressed_name(key, character)
        is_text = other == VIEW and isinstance(state.row.kind, Words) and is_field(state.row)
        if is_text and character and character.isalnum():
            return f"{state.row.full_label}: Enter edits the text, Backspace clears it."
        if elsewhere is not None and other == FIELDS:
            return f"{name} is for the fields: Esc goes back to them."
        if elsewhere is not None:
            return f"{name} is for the view: Space, then v, goes there."
        return super().idle(state, key, character)


KEYMAP = BenchKeymap((STEPS, VALUES, TYPING, SETUPS, VIEWS, JOB), (FIELDS, VIEW))


def where_of(action: BenchAction) -> str:
    """Return the steps that an action belongs to, in words."""
    steps = [NAMES[step] for step in action.shelves if isinstance(step, Step)]
    return "" if not steps or len(steps) == len(Step) else ", ".join(steps)
