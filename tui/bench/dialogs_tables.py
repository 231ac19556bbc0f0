"""Tables out of other programs' files: what one leaves open is asked, what is wrong with it told."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Generic

from tui.bench.dialogs import Result
from tui.bench.dialogs_prompt import Prompt
from tui.glyphs import Glyphs
from tui.readings.kinds import UnusableReadings
from tui.readings.questions import Found, Open

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen

TABLES = (".csv", ".txt", ".tsv", ".dat", ".asc")
"""What the names of files with tables end in."""
_TOLD = 3
"""Faults of a file told below the line."""


class FoundPrompt(Prompt[Result]):
    """A prompt for what is to be read or found; why it cannot be is told below the line."""

    _found: Result

    def find(self, text: str) -> Result:
        """Return what the text asks for; raises `UnusableReadings` or `OSError`."""
        raise NotImplementedError

    def problem(self, text: str) -> str:
        """Return why nothing is found, the first few faults of it."""
        try:
            self._found = self.find(text)
        except UnusableReadings as unusable:
            more = len(unusable.lines) - _TOLD
            return "\n".join([*unusable.lines[:_TOLD], *([f"and {more} lines more"] if more > 0 else [])])
        except OSError as error:
            return f"This path cannot be used: {error.strerror}."
        return ""

    def taken(self, _text: str) -> Result:
        """Return what was found."""
        return self._found


class AnswerPrompt(FoundPrompt[Found | Open[Found]], Generic[Found]):
    """A prompt for what a table leaves open; it closes with the table, or with the next question."""

    def __init__(self, open_table: Open[Found], glyphs: Glyphs) -> None:
        """Ask."""
        super().__init__(open_table.question.title, open_table.question.asks, "", glyphs)
        self._open = open_table

    def find(self, text: str) -> Found | Open[Found]:
        """Return the table read with the answer, or what it still leaves open."""
        return self._open.answered(text)


def settle(screen: BenchScreen, found: Found | Open[Found] | None, then: Callable[[Found], None]) -> None:
    """Go on with a table once nothing of it is open any more; not at all where somebody went back."""
    if isinstance(found, Open):
        screen.app.push_screen(
            AnswerPrompt(found, screen.glyphs), lambda answered: settle(screen, answered, then)
        )
    elif found is not None:
        then(found)
