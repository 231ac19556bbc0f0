"""What an action is: a thing a key does on the bench, with the words for the key line and the help."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from tui.bench.state import BenchState
from tui.job.fields import Amount, Choice, Pair

Step = Callable[[BenchState], BenchState]
When = Callable[[BenchState], bool]


def always(_state: BenchState) -> bool:
    """Whatever the state."""
    return True


def resting(state: BenchState) -> bool:
    """With no value open."""
    return state.edit is None


def typing(state: BenchState) -> bool:
    """With a value open."""
    return state.edit is not None


def between_pairs(state: BenchState) -> bool:
    """With no value open but a pair of those that are being measured."""
    return resting(state) or (state.view == "pairs" and isinstance(state.row.kind, Pair))


def at_field(state: BenchState) -> bool:
    """On a field, with no value open."""
    return resting(state)


def on_choice(state: BenchState) -> bool:
    """On a field with a few ways to choose from."""
    return resting(state) and isinstance(state.row.kind, Choice)


def on_solvable(state: BenchState) -> bool:
    """On a rate or a pressure that can be solved."""
    return resting(state) and isinstance(state.row.kind, Amount) and state.row.kind.solvable


class Action(NamedTuple):
    """One thing a key does.

    `keys` are characters, or key names as the framework has them. `label` stands in the key line at place
    `line` (0: nowhere) in the states that `when` names, `meaning` in the help. `step` is the change of
    state; without one the screen acts by `id`. `on_field` actions need the cursor in the panels.
    """

    id: str
    keys: tuple[str, ...]
    label: str
    meaning: str
    step: Step | None = None
    on_field: bool = False
    line: int = 0
    when: When = resting


class Group(NamedTuple):
    """Actions that belong together in the help."""

    title: str
    actions: tuple[Action, ...]


_NAMES = {"pageup": "PgUp", "pagedown": "PgDn"}
"""Keys that stand on a keyboard in other letters than in the framework."""


def key_name(key: str) -> str:
    """Return a key as it stands on a keyboard: `ctrl+s` is "Ctrl+S"."""
    *held, last = key.split("+") if len(key) > 1 else [key]
    name = _NAMES.get(last, last)
    name = name.capitalize() if len(name) > 1 and name == name.lower() else name
    if held and len(name) == 1:
        name = name.upper()
    return "+".join([*(part.capitalize() for part in held), name])
