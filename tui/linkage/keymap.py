"""What the keys of the linkage screen do: the one list that key presses, key line, help and tests read."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from tui.kit.edit import Edit
from tui.linkage import state as acts
from tui.linkage import state as edit
from tui.linkage.state import LinkageState, is_number_cell, quiet, typed

Step = Callable[[LinkageState], LinkageState]
_TEN = 10
_FAR = 999


class Action(NamedTuple):
    """One thing a key does; without a `step` the screen acts by `id`.

    A `typing` action is for an open value only. `label` stands in the key line.
    """

    id: str
    keys: tuple[str, ...]
    label: str
    meaning: str
    step: Step | None = None
    typing: bool = False


class Group(NamedTuple):
    """Actions that belong together in the help."""

    title: str
    actions: tuple[Action, ...]


def _key(id: str, keys: str, label: str, meaning: str, step: Step | None = None) -> Action:
    return Action(id, tuple(keys.split()), label, meaning, step)


def _typing(id: str, keys: str, label: str, meaning: str, step: Step) -> Action:
    return Action(id, tuple(keys.split()), label, meaning, step, typing=True)


def _by(step: Callable[[LinkageState, int], LinkageState], amount: int) -> Step:
    return lambda state: step(state, amount)


def _caret(steps: int) -> Step:
    return edit.edited(lambda text: text.moved(steps))


MOVING = Group(
    "Moving",
    (
        _key("up", "up", "row", "The row above.", _by(edit.by_rows, -1)),
        _key("down", "down", "row", "The row below.", _by(edit.by_rows, 1)),
        _key("left", "left", "cell", "The cell to the left.", _by(edit.by_columns, -1)),
        _key("right", "right", "cell", "The cell to the right.", _by(edit.by_columns, 1)),
        _key("next", "tab", "table", "The next table, round to the first.", _by(edit.by_parts, 1)),
        _key("back", "shift+tab", "table", "The table before.", _by(edit.by_parts, -1)),
        _key("page_up", "pageup", "page", "Ten rows up.", _by(edit.by_rows, -_TEN)),
        _key("page_down", "pagedown", "page", "Ten rows down.", _by(edit.by_rows, _TEN)),
        _key("first", "home", "first", "The first row of all.", _by(edit.by_rows, -_FAR)),
        _key("last", "end", "last", "The last row of all.", _by(edit.by_rows, _FAR)),
    ),
)
VALUES = Group(
    "Values: digits type over a coordinate",
    (
        _key("edit", "enter f2", "edit", "Open the cell, or go to the next way it has.", edit.opened_edit),
        _key("rename", "r", "rename", "Give the selected point another name.", edit.renaming),
        _key("more", "+ = space", "nudge", "One mm or pixel up, or the next way.", _by(edit.nudge, 1)),
        _key("less", "_ -", "nudge", "One down; on a number - starts typing, _ nudges.", _by(edit.nudge, -1)),
        _key("much_more", ">", "nudge", "Ten up.", _by(edit.nudge, _TEN)),
        _key("much_less", "<", "nudge", "Ten down.", _by(edit.nudge, -_TEN)),
        _key("blank", "backspace", "type", "Start typing from nothing.", edit.edited(Edit.emptied)),
        _key("undo", "u", "undo", "Take the last change back.", edit.undone),
        _key("redo", "ctrl+r", "redo", "Do the change again that was taken back.", edit.redone),
    ),
)
TYPING = Group(
    "While a value is open",
    (
        _typing(
            "commit", "enter", "take it", "Take what is typed; a moving key does it too.", edit.committed
        ),
        _typing("restore", "escape", "as it was", "Leave the value as it was.", edit.restored),
        _typing("caret_left", "left", "left", "One character to the left.", _caret(-1)),
        _typing("caret_right", "right", "right", "One character to the right.", _caret(1)),
        _typing("caret_first", "home ctrl+a", "first", "To the first character.", _caret(-_FAR)),
        _typing("caret_last", "end ctrl+e", "last", "Behind the last character.", _caret(_FAR)),
        _typing("rub_out", "backspace", "rub out", "The character before.", edit.edited(Edit.rubbed_out)),
        _typing("rub_out_at", "delete", "rub out", "This one.", edit.edited(Edit.rubbed_out_ahead)),
        _typing("empty", "ctrl+u", "empty", "Rub out everything.", edit.edited(Edit.emptied)),
    ),
)
BUILDING = Group(
    "Points and bars",
    (
        _key("examples", "e", "examples", "Start again from an invented linkage of another build."),
        _key("point", "p", "point", "Put in a point beside the selected one.", acts.point_added),
        _key("bar", "b", "bar", "Put in a bar from the selected point.", acts.bar_added),
        _key("remove", "x delete", "remove", "Take out the selected point or bar.", acts.removed),
        _key("fix", "f", "fix", "Fix the selected point to the frame, or let it go.", acts.fixed_switched),
        _key("axle", "w", "axle", "The wheel's axle is at the selected point.", acts.axle_here),
        _key("eye", "s", "shock eye", "An eye of the shock is at the selected point.", acts.eye_here),
        _key("units", "m", "mm/px", "Points in mm, or in pixels of a side photo.", acts.units_switched),
        _key("level", "v", "level", "Two points that lie level turn a tilted photo.", acts.level_switched),
    ),
)
READING = Group(
    "The drawing",
    (
        _key("cycle", "c", "cycle", "A tenth of the stroke on, from its end back to the start.", acts.cycled),
        _key("read_back", "h", "step", "A hundredth of the stroke back.", _by(acts.cursor_moved, -1)),
        _key("read_on", "l", "step", "A hundredth of the stroke on.", _by(acts.cursor_moved, 1)),
        _key("read_far_back", "H", "step", "A tenth back.", _by(acts.cursor_moved, -_TEN)),
        _key("read_far_on", "L", "step", "A tenth on.", _by(acts.cursor_moved, _TEN)),
    ),
)
LEAVING = Group(
    "Done",
    (
        _key(
            "adopt", "a ctrl+s", "adopt", "Take this linkage into the job; undo on the bench takes it back."
        ),
        _key("leave", "escape q ctrl+q ctrl+c", "back", "Back to the bench; asks if there are changes."),
        _key("help", "? f1", "keys", "Every key and what it does."),
        _key("suspend", "ctrl+z", "to shell", "Put the program aside; fg brings it back."),
    ),
)
GROUPS = (MOVING, VALUES, TYPING, BUILDING, READING, LEAVING)
"""All actions, in the order of the help."""

ACTIONS: tuple[Action, ...] = tuple(action for group in GROUPS for action in group.actions)

IN_LINE = (
    "commit", "restore", "adopt", "leave", "help", "cycle", "examples", "point", "bar", "edit", "more",
    "next", "remove", "fix", "axle", "eye", "units", "level", "read_back", "read_on", "undo", "rename",
)  # fmt: skip
"""The actions that the key line names, the most wanted first."""


_WHILE_TYPING = {key: action for action in ACTIONS if action.typing for key in action.keys}
_AT_REST = {key: action for action in ACTIONS if not action.typing for key in action.keys}
_STARTS_TYPING = frozenset("0123456789.,-")


def is_typed(state: LinkageState, character: str | None) -> bool:
    """Return whether a character goes into the value: any while one is open, else the start of a number."""
    if character is None or not character.isprintable():
        return False
    return state.edit is not None or (character in _STARTS_TYPING and is_number_cell(state))


def action_for(state: LinkageState, key: str, character: str | None) -> Action | None:
    """Return what a key does in this state, None where it does nothing or is typed."""
    if is_typed(state, character):
        return None
    if state.edit is not None:
        return _WHILE_TYPING.get(key) or _AT_REST.get(key)
    return _AT_REST.get(character or key) or _AT_REST.get(key)


def pressed(state: LinkageState, key: str, character: str | None) -> LinkageState:
    """Return the state after a key; of keys that only the screen can act on, the same."""
    state = quiet(state)
    if is_typed(state, character):
        return typed(state, character or "")
    action = action_for(state, key, character)
    return state if action is None or action.step is None else action.step(state)


def key_line(state: LinkageState) -> list[Action]:
    """Return the actions for the key line, the most wanted first."""
    typing = state.edit is not None
    named = {action.id: action for action in ACTIONS if action.typing == typing}
    return [named[id] for id in IN_LINE if id in named]
