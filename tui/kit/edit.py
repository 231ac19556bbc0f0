"""A value being typed: the text so far, the caret in it, and what the typing keys do to them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Protocol, TypeVar

from tui.job.job import History
from tui.job.tree import clean
from tui.kit.keymap import Noted

LONGEST = 200
"""Most characters a value can be typed with."""


@dataclass(frozen=True, slots=True)
class Edit:
    """A value being typed: the text so far and the caret in it.

    `before` is what stood there when it was opened, None where it is typed over; `touched` whether anything
    was typed or rubbed out since; `asked` the text that a question was asked about.
    """

    text: str
    caret: int
    before: str | None = None
    touched: bool = field(default=False, compare=False)
    asked: str = ""

    @classmethod
    def opened_on(cls, text: str) -> Edit:
        """Return a value opened as it stands, the caret behind it."""
        return cls(text, len(text), text)

    def put(self, text: str) -> Edit:
        """Put text in at the caret, as much of it as there is room for."""
        text = clean(text)[: LONGEST - len(self.text)]
        put = self.text[: self.caret] + text + self.text[self.caret :]
        return replace(self, text=put, caret=self.caret + len(text), touched=True)

    def moved(self, steps: int) -> Edit:
        """Move the caret."""
        return replace(self, caret=min(max(self.caret + steps, 0), len(self.text)))

    def rubbed_out(self) -> Edit:
        """Take out the character before the caret."""
        return self._without(max(self.caret - 1, 0), self.caret)

    def rubbed_out_ahead(self) -> Edit:
        """Take out the character at the caret."""
        return self._without(self.caret, self.caret + 1)

    def emptied(self) -> Edit:
        """Take out all that is typed."""
        return replace(self, text="", caret=0, touched=True)

    def _without(self, first: int, end: int) -> Edit:
        return replace(self, text=self.text[:first] + self.text[end:], caret=first, touched=True)


class Editing(Noted, Protocol):
    """A state of a screen on which values are typed, and edits undone."""

    @property
    def edit(self) -> Edit | None:
        """The value that is open."""

    @property
    def history(self) -> History:
        """The job and what it was."""


State = TypeVar("State", bound=Editing)


def restore(state: State) -> State:
    """Leave the value as it was before it was opened."""
    return replace(state, edit=None)


def type_text(state: State, text: str, *, is_typed: bool) -> State:
    """Put text in at the caret; with nothing open start a new value, if it is one that `is_typed`."""
    if state.edit is None and not is_typed:
        return replace(state, note="Enter, + and - go through the ways there are.")
    return replace(state, edit=(state.edit or Edit("", 0)).put(text))


def typing_step(
    typed: Callable[[State, str], State], step: Callable[[Edit], Edit]
) -> Callable[[State], State]:
    """Return what a typing key does to a state: a closed value is opened with nothing in it."""
    return lambda state: typed(state, "") if state.edit is None else replace(state, edit=step(state.edit))


def undo(state: State, with_history: Callable[[State, History], State]) -> State:
    """Take the last edit back; what is being typed goes first."""
    if state.edit is not None:
        return restore(state)
    if not state.history.past:
        return replace(state, note="Nothing to undo.")
    return with_history(state, state.history.undo())


def redo(state: State, with_history: Callable[[State, History], State]) -> State:
    """Do the last undone edit again."""
    if not state.history.future:
        return replace(state, note="Nothing to do again.")
    return with_history(state, state.history.redo())
