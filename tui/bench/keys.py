"""Every key of the bench: the one list that key presses, key line, help and tests read.

Digits and decimal signs start typing, so letters are free as commands. Only keys that survive ssh and
tmux are here: letters, signs, F1 to F10, ctrl and a letter, arrows, Tab, Enter and the page keys.
"""

from __future__ import annotations

from tui.bench import state_edit as edit
from tui.bench.fields_row import Amount
from tui.bench.keys_action import Action, typing
from tui.bench.keys_bench import CHART, JOB
from tui.bench.keys_fields import MOVING, SETUPS, TYPING, VALUES
from tui.bench.keys_views import VIEWS
from tui.bench.state import BenchState, quiet
from tui.bench.state_question import question

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
