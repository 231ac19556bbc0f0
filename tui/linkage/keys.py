"""From a key to what it does on the linkage screen."""

from __future__ import annotations

from tui.linkage.actions import ACTIONS, IN_LINE, Action
from tui.linkage.state import LinkageState, quiet
from tui.linkage.state_cells import is_number_cell
from tui.linkage.state_edit import typed

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
