"""From a key to what it does on the records screen."""

from __future__ import annotations

from tui.records.actions import ACTIONS, IN_LINE, Action
from tui.records.listing import Page
from tui.records.state import RecordsState, quiet, typed

_BY_KEY: dict[tuple[Page, str], Action] = {}
for _action in ACTIONS:
    for _page in _action.pages:
        for _key in _action.keys:
            _BY_KEY[_page, _key] = _action
_NAMED = {action.id: action for action in ACTIONS}


def action_for(state: RecordsState, key: str, character: str | None) -> Action | None:
    """Return what a key does on the page of a state, None where it does nothing or is typed."""
    return _BY_KEY.get((state.page, key)) or _BY_KEY.get((state.page, character or key))


def is_typed(state: RecordsState, key: str, character: str | None) -> bool:
    """Return whether a key goes into the search: whatever can be seen and is no action."""
    return bool(character) and str(character).isprintable() and action_for(state, key, character) is None


def pressed(state: RecordsState, key: str, character: str | None) -> RecordsState:
    """Return the state after a key; of keys that only the screen can act on, the same."""
    state = quiet(state)
    if is_typed(state, key, character):
        return typed(state, character or "")
    action = action_for(state, key, character)
    return state if action is None or action.step is None else action.step(state)


def key_line(state: RecordsState) -> list[Action]:
    """Return the actions for the key line in its order."""
    named = (_NAMED[id] for id in IN_LINE)
    return [
        action
        for action in named
        if state.page in action.pages and action.when(state) and (state.lines or not action.on_line)
    ]
