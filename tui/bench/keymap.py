"""Keys for chart and table, the job's file and the program."""

from __future__ import annotations

from collections.abc import Callable

from tui.bench import edit
from tui.bench import edit as move
from tui.bench import edit as setups
from tui.bench import edit as state_question
from tui.bench import state as view
from tui.bench.actions import (
    Action,
    Group,
    Step,
    When,
    always,
    at_field,
    between_pairs,
    on_solvable,
    resting,
    typing,
)
from tui.bench.edit import confirmed_here, kind_selected, question
from tui.bench.state import BenchState, chart_again, map_asked, quiet, sweep_asked, view_switched
from tui.job.fields import Amount


def _bench_by(step: Callable[[BenchState, int], BenchState], amount: int) -> Step:
    return lambda state: step(state, amount)


CHART = Group(
    "Chart and table",
    (
        Action(
            "view",
            ("v",),
            "chart",
            "The next view of the chart; of a sweep or a map the next figure.",
            _bench_by(view.chart_turned, 1),
            line=7,
        ),
        Action(
            "view_back", ("V",), "chart", "The view, or the figure, before.", _bench_by(view.chart_turned, -1)
        ),
        Action(
            "slow",
            ("f",),
            "slow",
            "Lay the slow curve past sag over the riding curve.",
            view.slow_switched,
            line=10,
        ),
        Action(
            "read_back",
            ("h",),
            "read",
            "Read the chart one step back.",
            _bench_by(view.cursor_moved, -1),
            line=11,
        ),
        Action(
            "read_on", ("l",), "read", "Read the chart one step on.", _bench_by(view.cursor_moved, 1), line=11
        ),
        Action(
            "read_far_back", ("H",), "read", "Ten steps back.", _bench_by(view.cursor_moved, -view.COARSE)
        ),
        Action("read_far_on", ("L",), "read", "Ten steps on.", _bench_by(view.cursor_moved, view.COARSE)),
        Action(
            "read_sag",
            ("g",),
            "at sag",
            "Read the chart where the selected setup settles.",
            view.cursor_at_sag,
        ),
        Action("table", ("t",), "table", "To the table of figures and back.", line=9),
        Action(
            "units",
            ("m",),
            "units",
            "Units of the figures: usual, metric, imperial.",
            view.units_turned,
            line=15,
        ),
    ),
)
JOB = Group(
    "Job and program",
    (
        Action("open", ("o",), "open", "Open a job file.", line=16),
        Action(
            "records",
            ("O",),
            "records",
            "What was saved: find it, open it, compare it, take it for the next rider.",
            line=5,
        ),
        Action(
            "save",
            ("ctrl+s", "w"),
            "save",
            "Save the job where it lives: its file, or the shop's records as their next revision.",
            line=4,
        ),
        Action("save_note", ("N",), "note", "Save the job into the records with a note on what was done."),
        Action("save_as", ("W",), "to a file", "Save the job to a file, or to another one."),
        Action(
            "import",
            ("I",),
            "leverage file",
            "Leverage from a table in a CSV file: wheel travel, shock stroke or ratio, two of them.",
            line=18,
        ),
        Action("help", ("?", "f1"), "keys", "Every key and what it does.", line=3),
        Action(
            "mouse",
            ("f9",),
            "mouse",
            "Give the mouse back to the terminal, to select text, or take it again.",
        ),
        Action(
            "lines", ("f8",), "lines", "Draw the chart with the next kind of character, down to plain ASCII."
        ),
        Action("theme", ("f10",), "colours", "The next set of colours."),
        Action("suspend", ("ctrl+z",), "to shell", "Put the program aside; fg brings it back.", when=always),
        Action("quit", ("q", "ctrl+q", "ctrl+c"), "quit", "Leave; asks if something is not saved.", line=4),
    ),
)


_TEN = 10
_FAR = 999


def _fields_by(step: Callable[[BenchState, int], BenchState], amount: int) -> Step:
    return lambda state: step(state, amount)


def _on_field(
    id: str, keys: str, label: str, meaning: str, step: Step, line: int = 0, when: When = resting
) -> Action:
    return Action(id, tuple(keys.split()), label, meaning, step, True, line, when)


def _nudge(id: str, keys: str, meaning: str, times: int) -> Action:
    return _on_field(id, keys, "nudge", meaning, _fields_by(state_question.nudged_or_asked, times), 2)


MOVING = Group(
    "Moving",
    (
        _on_field("up", "up", "field", "The field above.", _fields_by(move.by_rows, -1)),
        _on_field("down", "down", "field", "The field below.", _fields_by(move.by_rows, 1)),
        _on_field("left", "left", "panel", "The panel before.", _fields_by(move.by_panels, -1)),
        _on_field("right", "right", "panel", "The panel after.", _fields_by(move.by_panels, 1)),
        _on_field(
            "next", "tab", "panel", "The next panel, round to the first.", _fields_by(move.by_panels, 1), 6
        ),
        _on_field(
            "back",
            "shift+tab",
            "panel",
            "The panel before, round to the last.",
            _fields_by(move.by_panels, -1),
        ),
        Action(
            "end",
            ("e",),
            "other end",
            "The other end of the bike; a bike without a front gets an invented one.",
            move.to_other_end,
            line=10,
        ),
        Action(
            "end_off",
            ("f6",),
            "end off",
            "Take the end of the bike on the bench off the job; undo puts it back.",
            move.without_end,
        ),
        _on_field("page_up", "pageup", "page", "Ten fields up.", _fields_by(move.by_rows, -move.PAGE)),
        _on_field("page_down", "pagedown", "page", "Ten fields down.", _fields_by(move.by_rows, move.PAGE)),
        _on_field("first", "home", "first", "The first field of the panel.", _fields_by(move.by_rows, -_FAR)),
        _on_field("last", "end", "last", "The last field of the panel.", _fields_by(move.by_rows, _FAR)),
    ),
)
VALUES = Group(
    "Values: digits type over the field",
    (
        _on_field(
            "edit",
            "enter f2",
            "edit",
            "Open the value for editing; of a choice, go to the next way.",
            edit.opened_edit,
            2,
            at_field,
        ),
        _on_field(
            "confirm",
            "space",
            "confirm",
            "Confirm an unverified value as it stands: mark and line on the sheet go.",
            confirmed_here,
        ),
        _nudge("more", "+ =", "One step up: 1 kg, 1 psi, 5 lbf/in, 1 %, 1 mm.", 1),
        _nudge(
            "less", "- _", "One step down. Where a value may be below zero, - starts typing and _ nudges.", -1
        ),
        _nudge("much_more", ">", "Ten steps up.", _TEN),
        _nudge("much_less", "<", "Ten steps down.", -_TEN),
        _on_field(
            "solve",
            "s",
            "solved/typed",
            "Solve a rate or a pressure, or keep the solved one as typed.",
            edit.solved_or_typed,
            1,
            on_solvable,
        ),
        _on_field("blank", "backspace", "type", "Start typing from nothing.", edit.rubbed_out),
        _on_field(
            "clear",
            "delete",
            "take out",
            "Take the value out; a rate or a pressure is solved again.",
            edit.cleared,
        ),
        _on_field("undo", "u", "undo", "Take the last change back.", edit.undone, 5),
        _on_field("redo", "ctrl+r", "redo", "Do the change again that was taken back.", edit.redone),
    ),
)
TYPING = Group(
    "While a value is open",
    (
        _on_field(
            "commit",
            "enter",
            "take it",
            "Take what is typed; a moving key does it too. An unlikely value is asked about first.",
            state_question.taken,
            1,
            typing,
        ),
        _on_field("restore", "escape", "as it was", "Leave the value as it was.", edit.restored, 2, typing),
        _on_field(
            "caret_left",
            "left",
            "left",
            "One character to the left.",
            _fields_by(edit.caret_moved, -1),
            0,
            typing,
        ),
        _on_field(
            "caret_right",
            "right",
            "right",
            "One character to the right.",
            _fields_by(edit.caret_moved, 1),
            0,
            typing,
        ),
        _on_field(
            "caret_first",
            "home ctrl+a",
            "first",
            "To the first character.",
            _fields_by(edit.caret_moved, -_FAR),
            0,
            typing,
        ),
        _on_field(
            "caret_last",
            "end ctrl+e",
            "last",
            "Behind the last character.",
            _fields_by(edit.caret_moved, _FAR),
            0,
            typing,
        ),
        _on_field(
            "rub_out", "backspace", "rub out", "Rub out the character before.", edit.rubbed_out, 0, typing
        ),
        _on_field(
            "rub_out_at", "delete", "rub out", "Rub out the character here.", edit.rubbed_out_ahead, 0, typing
        ),
        _on_field("empty", "ctrl+u", "empty", "Rub out everything.", edit.emptied, 0, typing),
    ),
)
SETUPS = Group(
    "Setups",
    (
        Action("coil", ("c",), "add coil", "Add an invented coil to type over.", setups.coil_added, line=8),
        Action("air", ("a",), "add air", "Add an invented air setup to type over.", setups.air_added, line=8),
        Action(
            "copy", ("d",), "copy", "Put a copy of the selected setup beside it.", setups.duplicated, line=12
        ),
        Action("rename", ("r",), "rename", "Give the selected setup another name.", setups.renamed, line=14),
        Action("fill", ("p",), "pump", "How to pump the air setup, with what the gauge reads.", line=9),
        Action("order", ("b",), "buy", "What to order for the selected setup: springs or spacers.", line=12),
        Action(
            "remove",
            ("x",),
            "remove",
            "Take the selected setup out; undo brings it back.",
            setups.removed,
            line=13,
        ),
    ),
)


def _switch(id: str) -> Step:
    return lambda state: view_switched(state, id)


def _switch_for(id: str, kind: str) -> Step:
    """Show a view of setups of one kind, such a setup selected, or take it away."""

    def switched(state: BenchState) -> BenchState:
        after = view_switched(state, id)
        return kind_selected(after, kind) if after.view == id else after

    return switched


# Views that know much are loaded when their key is first pressed: the first frame waits for none of them.


def _measuring(state: BenchState) -> BenchState:
    from tui.bench.views.pairs import measuring

    return measuring(state)


def _match_asked(state: BenchState) -> BenchState:
    from tui.bench.views.match import match_asked

    return match_asked(state)


VIEWS = Group(
    "Views beside the panels",
    (
        Action(
            "pairs",
            ("z",),
            "measure",
            "Leverage measured on the stand: what to read next, how far each pair is off; again for a pair.",
            _measuring,
            line=18,
            when=between_pairs,
        ),
        Action(
            "conditions",
            ("i",),
            "in other air",
            "Set here, ride there: the selected setup colder, warmer and higher up.",
            _switch("conditions"),
            line=17,
        ),
        Action(
            "wire",
            ("y",),
            "wire",
            "The coil as wire: its stress, room and weight, and the wire to order for its rate.",
            _switch_for("wire", "coil"),
            line=18,
        ),
        Action(
            "tolerance",
            ("n",),
            "how sure",
            "How far off sag and the end of the travel may be when scale, gauge, spring and volumes are.",
            _switch("tolerance"),
            line=17,
        ),
        Action(
            "balance",
            ("j",),
            "both ends",
            "Rear and front side by side, and what to change so that they agree.",
            _switch("balance"),
            line=16,
        ),
        Action(
            "advice",
            ("A",),
            "after ride",
            "After the ride: what was felt (Space ticks), what to change and what it does; Enter tries it.",
            _switch("advice"),
            line=16,
        ),
        Action(
            "match",
            ("C",),
            "like another",
            "Set the other spring to ride like the selected one; again with volumes and port free too.",
            _match_asked,
            line=16,
        ),
        Action(
            "wants",
            ("D",),
            "wanted",
            "Settings of the selected setup for figures that are wanted; again to type them.",
            line=18,
        ),
        Action(
            "readings",
            ("R",),
            "readings",
            "Backwards from a tester's file, gauge or sag to the setup: again to enter readings.",
            line=18,
        ),
        Action(
            "linkage",
            ("k",),
            "linkage",
            "Leverage from pivot points: type them, see the linkage move, take its curve into the job.",
            line=18,
        ),
        Action(
            "sweep",
            ("S",),
            "sweep",
            "Every setup over a range of the field under the cursor; S again there takes it away.",
            sweep_asked,
            line=17,
        ),
        Action(
            "map",
            ("M",),
            "map",
            "The selected setup over two ranges: the sweep's, and the field under the cursor upwards.",
            map_asked,
            line=17,
        ),
        Action(
            "spacers",
            ("T",),
            "spacers",
            "Every count of spacers in both chambers of the selected setup, with pressure, middle and end.",
            _switch_for("spacers", "air"),
            line=17,
        ),
        Action(
            "sheet",
            ("P",),
            "setup sheet",
            "The setup sheet that goes with the bike: read it, save it as text, Markdown or a page to print.",
            line=16,
        ),
        Action(
            "chart_again",
            ("escape",),
            "back",
            "Chart and table again in the place of a view.",
            chart_again,
            when=lambda state: resting(state) and bool(state.view),
            line=1,
        ),
    ),
)


GROUPS = (MOVING, VALUES, TYPING, SETUPS, CHART, VIEWS, JOB)
"""All actions, in the order of the help."""

ACTIONS: tuple[Action, ...] = tuple(action for group in GROUPS for action in group.actions)

_WHILE_TYPING = {key: action for action in ACTIONS if action.when is typing for key in action.keys}
_AT_REST = {key: action for action in ACTIONS if action.when is not typing for key in action.keys}
_STARTS_TYPING = frozenset("0123456789.,")


def action_for(state: BenchState, key: str, character: str | None) -> Action | None:
    """Return what a key does in this state, None where it does nothing or is typed."""
    if state.edit is not None:
        # Letters and signs are typed now; what cannot be typed keeps its meaning.
        return _WHILE_TYPING.get(key) or (None if is_typed(state, character) else _AT_REST.get(key))
    if is_typed(state, character):
        return None
    return _AT_REST.get(character or key) or _AT_REST.get(key)


def is_typed(state: BenchState, character: str | None) -> bool:
    """Return whether a character goes into the value: nearly any while one is open, else a number's start."""
    if character is None or not character.isprintable():
        return False
    if state.edit is not None:
        action = _AT_REST.get(character)
        return action is None or not action.when(state)
    signed = isinstance(state.row.kind, Amount) and state.row.kind.signed
    return character in _STARTS_TYPING or (character == "-" and signed)


def pressed(state: BenchState, key: str, character: str | None) -> BenchState:
    """Return the state after a key; of keys that only the screen can act on, the same."""
    state = quiet(state)
    if is_typed(state, character):
        return edit.typed(state, character or "")
    action = action_for(state, key, character)
    if action is None or action.step is None:
        return state
    # Any key but those of typing takes the open value first.
    asked = question(state) if action.when is not typing else None
    return action.step(state) if asked is None else asked


def key_line(state: BenchState) -> list[Action]:
    """Return the actions for the key line in this state, the most wanted first."""
    return sorted((a for a in ACTIONS if a.line and a.when(state)), key=lambda action: action.line)
