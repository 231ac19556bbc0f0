"""The actions of a screen and their keys: one list for key presses, footer, help and tests."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import Field, replace
from typing import TYPE_CHECKING, Any, ClassVar, Generic, NamedTuple, Protocol, TypeVar

from physics.frozen import dataclass

if TYPE_CHECKING:
    from tui.kit.finder import Finder


class Noted(Protocol):
    """State of a screen; `note` is the last message."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]

    @property
    def note(self) -> str:
        """The message."""


class Overlaid(Noted, Protocol):
    """State of a screen with menu, finder and help."""

    @property
    def menu(self) -> str:
        """The name of the shelf of the menu that is open, empty for none."""

    @property
    def finder(self) -> Finder | None:
        """The finder, where it is open."""

    @property
    def helps(self) -> bool:
        """Whether the help is shown instead of the view."""


State = TypeVar("State", bound=Noted)


def quiet(state: State) -> State:
    """Return the state without a message: a message lasts until the next key."""
    return replace(state, note="") if state.note else state


def by(step: Callable[[State, int], State], amount: int) -> Callable[[State], State]:
    """Return a step by a fixed amount."""
    return lambda state: step(state, amount)


@dataclass(frozen=True, slots=True)
class Action(Generic[State]):
    """One action of a screen.

    `spelled` are its keys separated by blanks: characters, or names of the framework. It is also found by
    `name` in the finder, and by `letter` in the menu on `shelves`, there under its `brief` name if space is
    short. `label` is shown in the footer at position `line` (0: not at all) in states for which `when` is
    true; `meaning` is shown in the help. `why` returns why it is not available in a state, empty if it is.

    `step` is the change of state; without it the screen does a command by `id`. A `typing` action is for an
    open value only, any other for states without, unless `when` says otherwise. `at_cursor`: it acts on the
    field or line under the cursor. `waits`: it is done once the screen's latest query is answered. `pages`
    are the pages of the keymap that have it, by default all. `keeps_edit`: it leaves an open value alone; any
    other action commits it first, and so waits while a question about it is open.
    """

    id: str
    spelled: str
    label: str
    step: Callable[[State], State] | None = None
    line: int = 0
    when: Callable[[State], bool] | None = None
    typing: bool = False
    at_cursor: bool | None = None
    waits: bool = False
    pages: tuple[Hashable, ...] = ()
    keeps_edit: bool = False
    meaning: str = ""
    name: str = ""
    brief: str = ""
    letter: str = ""
    shelves: tuple[Hashable, ...] = ()
    why: Callable[[State], str] | None = None

    def means(self, meaning: str) -> Action[State]:
        """Return the action with another meaning for the help."""
        return replace(self, meaning=meaning)

    @property
    def keys(self) -> tuple[str, ...]:
        """Its keys one by one."""
        return tuple(self.spelled.split())


def act(
    id: str,
    name: str,
    meaning: str,
    step: Callable[[State], State] | None = None,
    *,
    keys: str = "",
    brief: str = "",
    letter: str = "",
    shelves: tuple[Hashable, ...] = (),
    label: str = "",
    line: int = 0,
    pages: tuple[Hashable, ...] = (),
    when: Callable[[State], bool] | None = None,
    why: Callable[[State], str] | None = None,
    at_cursor: bool | None = None,
    waits: bool = False,
    keeps_edit: bool = False,
) -> Action[State]:
    """Return an action with its name for menu and finder."""
    return Action(
        id,
        keys,
        label or name,
        step,
        line,
        when,
        at_cursor=at_cursor,
        waits=waits,
        pages=pages,
        keeps_edit=keeps_edit,
        meaning=meaning,
        name=name,
        brief=brief or name,
        letter=letter,
        shelves=shelves,
        why=why,
    )


PROGRAM = "program"
"""The shelf of the menu for the whole job and the program."""
HINT = "/ finds."


COPY_ACTS: tuple[Action[Any], ...] = (
    act("copy_value", "copy value", "Copy the value under the cursor to the terminal's clipboard.",
        letter="v", shelves=(PROGRAM,)),
    act("copy_line", "copy line", "Copy the line under the cursor to the terminal's clipboard.", letter="l",
        shelves=(PROGRAM,)),
    act("copy_view", "copy view", "Copy the view to the terminal's clipboard.", letter="w",
        shelves=(PROGRAM,)),
)  # fmt: skip
"""Actions for copying on screens with values, lines and views."""
LOOK_ACTS: tuple[Action[Any], ...] = (
    act("theme", "theme", "Next colour theme.", letter="t", shelves=(PROGRAM,), keys="f10", keeps_edit=True),
    act("lines", "chart style", "Next chart style, down to plain ASCII.", letter="c", shelves=(PROGRAM,),
        keys="f8", keeps_edit=True),
    act("mouse", "mouse on, off", "Mouse to the terminal (select text) or back to the program.",
        brief="mouse", letter="m", shelves=(PROGRAM,), keys="f9", keeps_edit=True),
)  # fmt: skip
"""Actions for the look of the program, on all screens."""


class Group(NamedTuple, Generic[State]):
    """Actions that belong together in the help."""

    title: str
    actions: tuple[Action[State], ...]


def group(title: str, *actions: Action[State], typing: bool = False, at_cursor: bool = False) -> Group[State]:
    """Return a group; its flags are added to those of every action in it."""
    return Group(
        title,
        tuple(
            replace(one, typing=typing, at_cursor=at_cursor if one.at_cursor is None else one.at_cursor)
            for one in actions
        ),
    )


class Keymap(Generic[State]):
    """All actions of a screen in the order of the help, looked up by key; subclasses define typing."""

    def __init__(self, groups: Sequence[Group[State]], pages: Sequence[Hashable] = (None,)) -> None:
        """Make the list; `pages` are those of actions without their own."""
        self.pages = tuple(pages)
        self._index(tuple(groups))

    def _index(self, groups: tuple[Group[State], ...]) -> None:
        self.groups = groups
        self.actions = tuple(action for group in groups for action in group.actions)
        self.named = {action.id: action for action in self.actions}
        self._line = sorted((one for one in self.actions if one.line), key=lambda action: action.line)
        self._by_key = {
            (action.typing, page, key): action
            for action in self.actions
            for page in action.pages or self.pages
            for key in action.keys
        }

    def take_keys(self, keys: Mapping[str, str]) -> None:
        """Replace keys of actions, by id, with a person's own."""
        self._index(
            tuple(
                Group(one.title, tuple(replace(a, spelled=keys.get(a.id, a.spelled)) for a in one.actions))
                for one in self.groups
            )
        )

    def page(self, state: State) -> Hashable:
        """Return the page of the screen that is shown."""
        return None

    def is_open(self, state: State) -> bool:
        """Return whether a value is open for typing."""
        return False

    def starts_typing(self, state: State, character: str) -> bool:
        """Return whether a character opens a value."""
        raise NotImplementedError

    def typed(self, state: State, text: str) -> State:
        """Return the state with text typed."""
        raise NotImplementedError

    def asked(self, state: State) -> State | None:
        """Return the state with a question about the open value that must be answered first, if any."""
        return None

    def holds(self, action: Action[State], state: State) -> bool:
        """Return whether an action applies in a state."""
        return action.when(state) if action.when else self.is_open(state) == action.typing

    def is_typed(self, state: State, character: str | None) -> bool:
        """Return whether a character is typed: most while a value is open, else those that open one."""
        if not character or not character.isprintable():
            return False
        if not self.is_open(state):
            return self.starts_typing(state, character)
        action = self.at_rest(state, character)
        return action is None or not self.holds(action, state)

    def at_rest(self, state: State, key: str) -> Action[State] | None:
        """Return the action of a key with no value open."""
        return self._by_key.get((False, self.page(state), key))

    def action_for(self, state: State, key: str, character: str | None) -> Action[State] | None:
        """Return the action of a key in a state, None if it has none or is typed."""
        if self.is_typed(state, character):
            return None
        if self.is_open(state):
            return self._by_key.get((True, self.page(state), key)) or self.at_rest(state, key)
        return self.at_rest(state, character or key) or self.at_rest(state, key)

    def pressed(self, state: State, key: str, character: str | None) -> State:
        """Return the state after a key; unchanged for commands of the screen."""
        state = quiet(state)
        if self.is_typed(state, character):
            return self.typed(state, character or "")
        action = self.action_for(state, key, character)
        if action is None:
            return replace(state, note=self.idle(state, key, character))
        if action.step is None:
            return state
        asked = None if action.typing else self.asked(state)
        return action.step(state) if asked is None else asked

    def idle(self, state: State, key: str, character: str | None) -> str:
        """Return the message for a key that does nothing here."""
        return f"{pressed_name(key, character)} does nothing here. {HINT}"

    def shelf(self, name: Hashable) -> list[Action[State]]:
        """Return the actions on a shelf of the menu."""
        return [action for action in self.actions if name in action.shelves]

    def reason(self, action: Action[State], state: State) -> str:
        """Return why an action cannot be done now, empty if it can."""
        return action.why(state) if action.why else ""

    def key_line(self, state: State) -> list[Action[State]]:
        """Return the actions for the footer in this state, the most important first.

        Keys that would be typed into a value are left out, and actions without other keys.
        """
        held = (action for action in self._line if self.holds(action, state))
        working = ((action, [key for key in action.keys if not self._goes_in(state, key)]) for action in held)
        return [
            action if len(keys) == len(action.keys) else replace(action, spelled=" ".join(keys))
            for action, keys in working
            if keys or not action.keys
        ]

    def _goes_in(self, state: State, key: str) -> bool:
        """Return whether the character of a key is typed."""
        return len(key) == 1 and self.is_typed(state, key)


_NAMES = {"pageup": "PgUp", "pagedown": "PgDn"}
"""Labels of keys that differ from the framework's names."""


def key_name(key: str) -> str:
    """Return the label of a key: `ctrl+s` is "Ctrl+S"."""
    *held, last = key.split("+") if len(key) > 1 else [key]
    name = _NAMES.get(last, last)
    name = name.capitalize() if len(name) > 1 and name == name.lower() else name
    if held and len(name) == 1:
        name = name.upper()
    return "+".join([*(part.capitalize() for part in held), name])


def pressed_name(key: str, character: str | None) -> str:
    """Return the name of a pressed key: its character, if visible."""
    return key_name(character if character and character.isprintable() and character != " " else key)


def key_text(action: Action[Any]) -> str:
    """Return how to reach an action: its key, or Space and its letter in the menu."""
    if action.keys:
        return key_name(action.keys[0])
    return f"Space {action.letter}" if PROGRAM not in action.shelves else f"Space Space {action.letter}"
