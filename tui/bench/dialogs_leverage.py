"""A leverage table asked for by its file, and shown before it is taken into the job."""

from __future__ import annotations

from functools import partial

from tui.bench.dialogs import Question, Reply
from tui.bench.dialogs_complete import as_path
from tui.bench.dialogs_path import CompletingPrompt, no_file
from tui.bench.dialogs_tables import TABLES, FoundPrompt
from tui.glyphs import Glyphs
from tui.jobs.job import Job
from tui.readings.kinds import UnusableReadings
from tui.readings.leverage_file import LeverageRead, leverage_in
from tui.readings.leverage_said import changes, kept_words, understood
from tui.readings.questions import Open, Told, attempt
from tui.readings.source import text_of_file
from tui.readings.table import table_of

TAKE = "take"
"""Result of the question below; Escape is None."""
_LABELS = {"wheel_travel": "wheel travel", "stroke": "shock stroke"}


class LeveragePrompt(
    FoundPrompt[LeverageRead | Open[LeverageRead]], CompletingPrompt[LeverageRead | Open[LeverageRead]]
):
    """A prompt for the file of a leverage table; what is wrong with the file is told below the line."""

    ENDINGS = TABLES
    NO_NAMES = "No folder or file of a table begins like this."

    def __init__(self, text: str, glyphs: Glyphs) -> None:
        """Ask, starting from a folder."""
        hint = "A file with two columns of wheel travel, shock stroke and leverage ratio, as CSV or text"
        super().__init__("Leverage from a table", hint, text, glyphs)

    def find(self, text: str) -> LeverageRead | Open[LeverageRead]:
        """Return the leverage in the file, or what the file leaves open."""
        path = as_path(text)
        if refusal := no_file(path, text):
            raise UnusableReadings(refusal)
        return attempt(partial(leverage_in, table_of(text_of_file(path), path.name)), Told())


def ask_to_take(job: Job, read: LeverageRead, glyphs: Glyphs) -> Question:
    """Show what was found in a file and what of the frame changes with it: `TAKE`."""
    changed = [
        f"The {_LABELS[key]} of the frame becomes {text}; it is {job.get(('frame', key)) or 'empty'} now"
        for key, text in changes(job, read).items()
    ]
    lines = [f"{line}." for line in (understood(read), kept_words(read), *changed) if line]
    replies = (Reply("t", "take it into the job; u takes all of it back", TAKE),)
    return Question(f"Leverage from {read.name}", lines, replies, "leave the job as it is", glyphs)
