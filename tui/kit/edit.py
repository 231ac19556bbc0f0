"""A value being typed: its text, its caret, and the effect of typing keys."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field, replace
from typing import Protocol, TypeVar

from physics.frozen import dataclass
from tui.job.job import History
from tui.job.tree import clean
from tui.kit.keymap import Action, Group, Keymap, Noted, by, group

LONGEST = 200
"""Maximum number of characters of a typed value."""
STARTS_NUMBER = tuple("0123456789.,")
"""Characters that start a number typed over a value."""
_FAR = 999


@dataclass(frozen=True, slots=True)
class Edit:
    """A value being typed: the text so far and the caret in it.

    `before` is the text when it was opened, None if it is typed over; `touched` whether it was edited since;
    `asked` the text that a question was asked about.
    """

    text: str
    caret: int
    before: str | None = None
    touched: bool = field(default=False, compare=False)
    asked: str = ""

    @classmethod
    def opened_on(cls, text: str, caret: int | None = None) -> Edit:
        """Return a value opened for editing, the caret at its end by default."""
        return cls(text, len(text) if caret is None else caret, text)

    @property
    def is_asked(self) -> bool:
        """Whether a question about the text as it stands is open."""
        return bool(self.asked) and self.asked == self.text

    def anew(self, kept: str = "") -> Edit:
        """Start the value anew behind what is `kept` of it."""
        return replace(self, text=kept, caret=len(kept), touched=True, asked="")

    def put(self, text: str) -> Edit:
        """Insert text at the caret, as much as fits; while a question is open a number replaces the value."""
        if self.is_asked and text[:1] in STARTS_NUMBER:
            return self.anew().put(text)
        text = clean(text)[: LONGEST - len(self.text)]
        put = self.text[: self.caret] + text + self.text[self.caret :]
        return replace(self, text=put, caret=self.caret + len(text), touched=True)

    def moved(self, steps: int) -> Edit:
        """Move the caret, which goes on with the text that a question was asked about."""
        return replace(self, caret=min(max(self.caret + steps, 0), len(self.text)), asked="")

    def rubbed_out(self) -> Edit:
        """Delete the character before the caret."""
        return self._without(max(self.caret - 1, 0), self.caret)

    def rubbed_out_ahead(self) -> Edit:
        """Delete the character at the caret."""
        return self._without(self.caret, self.caret + 1)

    def emptied(self) -> Edit:
        """Delete the whole text."""
        return replace(self, text="", caret=0, touched=True)

    def _without(self, first: int, end: int) -> Edit:
        return replace(self, text=self.text[:first] + self.text[end:], caret=first, touched=True)


class Editing(Noted, Protocol):
    """State of a screen with typed values and undo."""

    @property
    def edit(self) -> Edit | None:
        """The value that is open."""

    @property
    def takes_text(self) -> bool:
        """Whether text can be typed where the cursor is."""

    @property
    def history(self) -> History:
        """The job and its history."""


State = TypeVar("State", bound=Editing)


def restore(state: State) -> State:
    """Close the value and restore it."""
    return replace(state, edit=None)


def type_text(state: State, text: str) -> State:
    """Insert text at the caret; if no value is open, start typing over the selected one."""
    if state.edit is None and not state.takes_text:
        return replace(state, note="+ and - step through the options.")
    return replace(state, edit=(state.edit or Edit("", 0)).put(text))


def typing_step(state: State, step: Callable[[Edit], Edit]) -> State:
    """Return the state after a typing key; a closed value is opened empty."""
    return type_text(state, "") if state.edit is None else replace(state, edit=step(state.edit))


def move_caret(state: State, steps: int) -> State:
    """Move the caret."""
    return typing_step(state, lambda edit: edit.moved(steps))


def rub_out(state: State) -> State:
    """Delete the character before the caret."""
    return typing_step(state, Edit.rubbed_out)


def rub_out_ahead(state: State) -> State:
    """Delete the character at the caret."""
    return typing_step(state, Edit.rubbed_out_ahead)


def empty_edit(state: State) -> State:
    """Delete the whole text."""
    return typing_step(state, Edit.emptied)


def typing_group(take: Callable[[State], State], meaning: str) -> Group[State]:
    """Return the keys of an open value; `take` accepts it, and `meaning` describes that in the help."""
    return group(
        "While editing a value",
        Action("commit", "enter", "accept", take, 1).means(meaning),
        Action("restore", "escape", "cancel", restore, 2).means("Cancel the edit."),
        Action("caret_left", "left", "left", by(move_caret, -1)).means("Cursor left."),
        Action("caret_right", "right", "right", by(move_caret, 1)).means("Cursor right."),
        Action("caret_first", "home ctrl+a", "first", by(move_caret, -_FAR)).means("Cursor to start."),
        Action("caret_last", "end ctrl+e", "last", by(move_caret, _FAR)).means("Cursor to end."),
        Action("rub_out", "backspace", "delete", rub_out).means("Delete to the left."),
        Action("rub_out_at", "delete", "delete", rub_out_ahead).means("Delete under the cursor."),
        Action("empty", "ctrl+u", "clear", empty_edit).means("Clear the line."),
        typing=True,
        at_cursor=True,
    )


class TypingKeymap(Keymap[State]):
    """Keymap of a screen with typed values."""

    def is_open(self, state: State) -> bool:
        """Return whether a value is open for typing."""
        return state.edit is not None

    def typed(self, state: State, text: str) -> State:
        """Return the state with text typed where the cursor is or into the open value."""
        return type_text(state, text)


def undo(state: State, with_history: Callable[[State, History], State]) -> State:
    """Undo the last edit; text being typed is discarded first."""
    if state.edit is not None:
        return restore(state)
    if not state.history.past:
        return replace(state, note="Nothing to undo.")
    return with_history(state, state.history.undo())


def redo(state: State, with_history: Callable[[State, History], State]) -> State:
    """Redo the last undone edit."""
    if not state.history.future:
        return replace(state, note="Nothing to redo.")
    return with_history(state, state.history.redo())
