"""Wanted figures asked for in one line."""

from __future__ import annotations

from physics.wants import Want
from tui.bench.dialogs_prompt import Prompt
from tui.glyphs import Glyphs
from tui.jobs.wanted import EXAMPLE, UnusableWant, wants_of


class WantsPrompt(Prompt[tuple[Want, ...]]):
    """A prompt for figures; what cannot be wanted is told below the line."""

    def __init__(self, glyphs: Glyphs) -> None:
        """Ask."""
        hint = f"Figures at the target sag, a semicolon between: {EXAMPLE}"
        super().__init__("Wanted of the selected setup", hint, "", glyphs)

    def problem(self, text: str) -> str:
        """Return what cannot be wanted, empty where all can."""
        try:
            return "" if wants_of(text) else f"Nothing is asked for yet: {EXAMPLE}"
        except UnusableWant as unusable:
            return f"{unusable.what}; {unusable.accepted}."

    def taken(self, text: str) -> tuple[Want, ...]:
        """Return what is wanted."""
        return wants_of(text)
