"""What is asked on the way into the records: whose job it is, what was done, which of two goes on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from tui.bench.dialogs import Question, Reply
from tui.bench.dialogs_prompt import Prompt
from tui.glyphs import Glyphs
from tui.jobs.clean import brief

if TYPE_CHECKING:
    from tui.store.kept import Revision


class NotePrompt(Prompt[str]):
    """Ask what was done; the job is saved with it."""

    def __init__(self, glyphs: Glyphs) -> None:
        """Ask with an empty line."""
        super().__init__(
            "Save into the records with a note", "What was done, or what to look at next time", "", glyphs
        )

    def problem(self, text: str) -> str:
        """Take any text, and none too."""
        return ""

    def taken(self, text: str) -> str:
        """Return the note."""
        return text.strip()


class WhosePrompt(Prompt[tuple[str, str]]):
    """Ask whose job it is: the key of the record that a name or a ticket number goes to, and the text."""

    def __init__(self, glyphs: Glyphs) -> None:
        """Ask with an empty line."""
        hint = "A customer's name or a ticket number; what begins with a digit or # is a number"
        super().__init__("Whose job is it?", hint, "", glyphs)

    def problem(self, text: str) -> str:
        """Refuse an empty line: the job could not be found again by it."""
        return "" if text.strip() else "A name or a number is enough, and one of them is needed."

    def taken(self, text: str) -> tuple[str, str]:
        """Return the key and the text."""
        whose = text.strip()
        return ("ticket" if whose[0].isdecimal() or whose[0] == "#" else "customer", whose)


COMPARE, MINE, THEIRS = "compare", "mine", "theirs"
"""Replies to the question below; Escape leaves both side by side."""


def ask_versions(
    mine: Revision, theirs: Revision, differences: Sequence[str], moment: str, glyphs: Glyphs
) -> Question:
    """Tell of a revision that was saved in between, at `moment`, and ask which of the two goes on."""
    note = f': "{brief(theirs.note)}"' if theirs.note else ""
    text = (
        f"{brief(theirs.saved_by)} saved revision {theirs.number}, {moment}{note}.",
        f"Yours is kept beside it as revision {mine.number}. Nothing was written over.",
        *differences,
    )
    replies = (
        Reply("c", "compare both on the bench", COMPARE),
        Reply("m", f"mine goes on; revision {theirs.number} stays in the history", MINE),
        Reply("t", f"theirs goes on; revision {mine.number} stays in the history", THEIRS),
    )
    return Question("Somebody else saved this job too", text, replies, "leave both side by side", glyphs)
