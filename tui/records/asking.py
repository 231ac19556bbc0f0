"""What the records screen asks before it does something that not everybody may want."""

from __future__ import annotations

from collections.abc import Sequence

from tui.bench.dialogs import Question, Reply
from tui.glyphs import Glyphs

YES = "yes"
"""The one reply of these questions; Escape is None."""


def tell(title: str, text: Sequence[str], glyphs: Glyphs) -> Question:
    """Tell something that is longer than a line; there is nothing to choose."""
    return Question(title, text, (), "go on", glyphs)


def ask_purge(count: int, glyphs: Glyphs) -> Question:
    """Ask, for the first time, whether the deleted jobs are to be erased."""
    text = (
        f"{_jobs(count)} with every revision, customers and bikes that no other job has among them.",
        "A backup of the records is made first. As long as they are only deleted they take no harm:",
        "they can stay as they are and be put back at any time.",
    )
    replies = (Reply("e", f"erase {_jobs(count, small=True)} for good", YES),)
    return Question("Erase the deleted jobs?", text, replies, "keep them", glyphs)


def ask_purge_again(count: int, glyphs: Glyphs) -> Question:
    """Ask for the second time, by another key."""
    text = (f"{_jobs(count)} will be gone. There is no undo.",)
    replies = (Reply("y", "yes, make the backup and erase them", YES),)
    return Question(f"Really erase {_jobs(count, small=True)} for good?", text, replies, "keep them", glyphs)


def ask_settle(goes_on: int, others: Sequence[int], glyphs: Glyphs) -> Question:
    """Ask whether one of the versions side by side goes on."""
    left = f"revision{'s' if len(others) > 1 else ''} {' and '.join(map(str, others))}"
    text = (f"What is saved next follows revision {goes_on}; {left} can still be opened from the timeline.",)
    replies = (Reply("g", f"let revision {goes_on} go on", YES),)
    return Question("Which version goes on?", text, replies, "leave them side by side", glyphs)


def _jobs(count: int, *, small: bool = False) -> str:
    if count == 1:
        return "1 job" if small else "1 deleted job"
    return f"{count} jobs" if small else f"{count} deleted jobs"
