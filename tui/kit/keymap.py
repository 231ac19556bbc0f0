"""What the keys of a screen do: one list that key presses, the key line, the help and the tests read."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import Field, dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Generic, NamedTuple, Protocol, TypeVar

if TYPE_CHECKING:
    from tui.kit.finder import Finder


class Noted(Protocol):
    """A state of a screen; `note` is the last thing said to the person."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]

    @property
    def note(self) -> str:
        """What was said."""


class Overlaid(Noted, Protocol):
    """A state of a screen with a menu, a finder and a help."""

    @property
    def menu(self) -> str:
        """The name of the shelf of the menu that is open, empty for none."""

    @property
    def finder(self) -> Finder | None:
        """The finder, where it is open."""

    @property
    def helps(self) -> bool:
        """Whether the help stands in the place of a view."""


State = TypeVar("State", bound=Noted)


def quiet(state: State) -> State:
    """Return the state with nothing said: what was said holds until the next key."""
    return replace(state, note="") if state.note else state


def by(step: Callable[[State, int], State], amount: int) -> Callable[[State], State]:
    """Return the step that goes so far."""
    return lambda state: step(state, amount)


@dataclass(frozen=True, slots=True)
class Action(Generic[State]):
    """One thing a key does.

    `spelled` are its keys, a blank between: characters, or names as the framework has them; one without keys
    is found by its `name` or in the menu by its `letter`, there on the `shelves` named and, where there is
    little room, under its `brief` name. `label` stands in
    the key line at place `line` (0: nowhere) in the states that `when` names, `meaning` in the help. `why`
    says why it cannot be done in a state, empty if it can. `step`
    is the change of state; without one the screen acts by `id`. A `typing` action is for an open value only,
    any other one for a state without, unless `when` says more. One that is `at_cursor` is about the field or
    line under the cursor; one that `waits` is done once the newest question of the screen is known.
    `pages` are those of the screen on which it is there, all where none are named. One that `keeps_edit`
    leaves an open value as it is; any other takes it first, and so waits while it is asked about.
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
        """Return the action with what the help says of it."""
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
    """Return something that can be done, under the name that menu and finder show."""
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
"""The shelf of the menu with what belongs to the job as a whole and to the program."""
HINT = "/ finds."


COPY_ACTS: tuple[Action[Any], ...] = (
    act("copy_value", "copy value", "Copy the value under the cursor to the terminal's clipboard.",
        letter="v", shelves=(PROGRAM,)),
    act("copy_line", "copy line", "Copy the line under the cursor to the terminal's clipboard.", letter="l",
        shelves=(PROGRAM,)),
    act("copy_view", "copy view", "Copy the view to the terminal's clipboard.", letter="w",
        shelves=(PROGRAM,)),
)  # fmt: skip
"""What is copied on a screen that has values, lines and views."""
LOOK_ACTS: tuple[Action[Any], ...] = (
    act("theme", "theme", "Next colour theme.", letter="t", shelves=(PROGRAM,), keys="f10", keeps_edit=True),
    act("lines", "chart style", "Next chart style, down to plain ASCII.", letter="c", shelves=(PROGRAM,),
        keys="f8", keeps_edit=True),
    act("mouse", "mouse on, off", "Mouse to the terminal (select text) or back to the program.",
        brief="mouse", letter="m", shelves=(PROGRAM,), keys="f9", keeps_edit=True),
)  # fmt: skip
"""What is done about the look of the whole program, on any screen."""


class Group(NamedTuple, Generic[State]):
    """Actions that belong together in the help."""

    title: str
    actions: tuple[Action[State], ...]


def group(title: str, *actions: Action[State], typing: bool = False, at_cursor: bool = False) -> Group[State]:
    """Return a group; what is said of it holds for every action in it that does not say otherwise."""
    return Group(
        title,
        tuple(
            replace(one, typing=typing, at_cursor=at_cursor if one.at_cursor is None else one.at_cursor)
            for one in actions
        ),
    )


class Keymap(Generic[State]):
    """All actions of a screen in the order of the help, found by key; a subclass says how one types."""

    def __init__(self, groups: Sequence[Group[State]], pages: Sequence[Hashable] = (None,)) -> None:
        """Make the list; `pages` are those that an action without any is on."""
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
        """Give actions other keys, by their ids: those that a person wants."""
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
        """Return the state in which a question about the open value has to be answered first, if any."""
        return None

    def holds(self, action: Action[State], state: State) -> bool:
        """Return whether an action can be done in a state."""
        return action.when(state) if action.when else self.is_open(state) == action.typing

    def is_typed(self, state: State, character: str | None) -> bool:
        """Return whether a character goes into a value: nearly any while one is open, else what opens it."""
        if not character or not character.isprintable():
            return False
        if not self.is_open(state):
            return self.starts_typing(state, character)
        action = self.at_rest(state, character)
        return action is None or not self.holds(action, state)

    def at_rest(self, state: State, key: str) -> Action[State] | None:
        """Return what a key does with no value open."""
        return self._by_key.get((False, self.page(state), key))

    def action_for(self, state: State, key: str, character: str | None) -> Action[State] | None:
        """Return what a key does in this state, None if it does nothing or is typed."""
        if self.is_typed(state, character):
            return None
        if self.is_open(state):
            return self._by_key.get((True, self.page(state), key)) or self.at_rest(state, key)
        return self.at_rest(state, character or key) or self.at_rest(state, key)

    def pressed(self, state: State, key: str, character: str | None) -> State:
        """Return the state after a key; of keys that only the screen can act on, the same."""
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
        """Return what is said of a key that does nothing here."""
        return f"{pressed_name(key, character)} does nothing here. {HINT}"

    def shelf(self, name: Hashable) -> list[Action[State]]:
        """Return what the menu has on a shelf, a letter each."""
        return [action for action in self.actions if name in action.shelves]

    def reason(self, action: Action[State], state: State) -> str:
        """Return why an action cannot be done now, empty if it can."""
        return action.why(state) if action.why else ""

    def key_line(self, state: State) -> list[Action[State]]:
        """Return the actions for the key line in this state, the most wanted first.

        Of each only the keys that are not typed into the value here; one without any is not named.
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
"""Keys that stand on a keyboard in other letters than in the framework."""


def key_name(key: str) -> str:
    """Return a key as it stands on a keyboard: `ctrl+s` is "Ctrl+S"."""
    *held, last = key.split("+") if len(key) > 1 else [key]
    name = _NAMES.get(last, last)
    name = name.capitalize() if len(name) > 1 and name == name.lower() else name
    if held and len(name) == 1:
        name = name.upper()
    return "+".join([*(part.capitalize() for part in held), name])


def pressed_name(key: str, character: str | None) -> str:
    """Return the name of a key that was pressed: the character it types, where that can be seen."""
    return key_name(character if character and character.isprintable() and character != " " else key)


def key_text(action: Action[Any]) -> str:
    """Return the way to an action by keys: its key, or Space and its letter in the menu."""
    if action.keys:
        return key_name(action.keys[0])
    return f"Space {action.letter}" if PROGRAM not in action.shelves else f"Space Space {action.letter}"
