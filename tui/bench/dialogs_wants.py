"""Wanted figures asked for in one line."""

from __future__ import annotations

from physics.wants import Want
from tui.bench.dialogs_prompt import Prompt
from tui.glyphs import Glyphs
from tui.jobs.wanted import EXAMPLE, UnusableWant, units_text, wants_of
from tui.shop_units import ShopUnits


class WantsPrompt(Prompt[tuple[Want, ...]]):
    """A prompt for figures; what cannot be wanted is told below the line."""

    def __init__(self, units: ShopUnits, glyphs: Glyphs) -> None:
        """Ask; numbers are in the units of the shop."""
        self._units = units
        hint = f"Figures at the target sag, a semicolon between: {EXAMPLE}. Units: {units_text(units)}"
        super().__init__("Wanted of the selected setup", hint, "", glyphs)

    def problem(self, text: str) -> str:
        """Return what cannot be wanted, empty where all can."""
        try:
            return "" if wants_of(text, self._units) else f"Nothing is asked for yet: {EXAMPLE}"
        except UnusableWant as unusable:
            return f"{unusable.what}; {unusable.accepted}."

    def taken(self, text: str) -> tuple[Want, ...]:
        """Return what is wanted."""
        return wants_of(text, self._units)
