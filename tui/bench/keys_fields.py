"""Keys that move over the fields and change their values."""

from __future__ import annotations

from collections.abc import Callable

from tui.bench import state_edit as edit
from tui.bench import state_move as move
from tui.bench import state_question
from tui.bench import state_setups as setups
from tui.bench.keys_action import Action, Group, Step, When, at_field, on_solvable, resting, typing
from tui.bench.state import BenchState
from tui.bench.state_confirm import confirmed_here

_TEN = 10
_FAR = 999


def _by(step: Callable[[BenchState, int], BenchState], amount: int) -> Step:
    return lambda state: step(state, amount)


def _on_field(
    id: str, keys: str, label: str, meaning: str, step: Step, line: int = 0, when: When = resting
) -> Action:
    return Action(id, tuple(keys.split()), label, meaning, step, True, line, when)


def _nudge(id: str, keys: str, meaning: str, times: int) -> Action:
    return _on_field(id, keys, "nudge", meaning, _by(state_question.nudged, times), 2)


MOVING = Group(
    "Moving",
    (
        _on_field("up", "up", "field", "The field above.", _by(move.by_rows, -1)),
        _on_field("down", "down", "field", "The field below.", _by(move.by_rows, 1)),
        _on_field("left", "left", "panel", "The panel before.", _by(move.by_panels, -1)),
        _on_field("right", "right", "panel", "The panel after.", _by(move.by_panels, 1)),
        _on_field("next", "tab", "panel", "The next panel, round to the first.", _by(move.by_panels, 1), 6),
        _on_field(
            "back", "shift+tab", "panel", "The panel before, round to the last.", _by(move.by_panels, -1)
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
        _on_field("page_up", "pageup", "page", "Ten fields up.", _by(move.by_rows, -move.PAGE)),
        _on_field("page_down", "pagedown", "page", "Ten fields down.", _by(move.by_rows, move.PAGE)),
        _on_field("first", "home", "first", "The first field of the panel.", _by(move.by_rows, -_FAR)),
        _on_field("last", "end", "last", "The last field of the panel.", _by(move.by_rows, _FAR)),
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
            "caret_left", "left", "left", "One character to the left.", _by(edit.caret_moved, -1), 0, typing
        ),
        _on_field(
            "caret_right",
            "right",
            "right",
            "One character to the right.",
            _by(edit.caret_moved, 1),
            0,
            typing,
        ),
        _on_field(
            "caret_first",
            "home ctrl+a",
            "first",
            "To the first character.",
            _by(edit.caret_moved, -_FAR),
            0,
            typing,
        ),
        _on_field(
            "caret_last",
            "end ctrl+e",
            "last",
            "Behind the last character.",
            _by(edit.caret_moved, _FAR),
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
