"""Readings asked for in one line: a tester's file, completed with Tab, or what was read by hand."""

from __future__ import annotations

from tui.bench.dialogs_complete import as_path
from tui.bench.dialogs_path import CompletingPrompt
from tui.bench.dialogs_tables import TABLES, FoundPrompt
from tui.glyphs import Glyphs
from tui.readings.asked import readings_asked
from tui.readings.kinds import Readings
from tui.readings.questions import Open
from tui.readings.typed import TypedUnits
from tui.readings.unlikely import unlikely_in
from tui.shop_units import ShopUnits


class ReadingsPrompt(FoundPrompt[Readings | Open[Readings]], CompletingPrompt[Readings | Open[Readings]]):
    """A prompt for readings; what is wrong is told below the line, of a file its first few faults."""

    ENDINGS = TABLES
    NO_NAMES = "No folder or file of readings begins like this."

    def __init__(self, units: ShopUnits, glyphs: Glyphs) -> None:
        """Ask; numbers typed by hand are in the units of the shop."""
        self._units, self._shop = TypedUnits.of(units), units
        hint = f"The path of a file, or {self._units.forms()}"
        super().__init__("Readings", hint, "", glyphs)

    def find(self, text: str) -> Readings | Open[Readings]:
        """Return the readings in the line, or what its file leaves open."""
        return readings_asked(text, self._units, as_path)

    def doubt(self, _text: str) -> str:
        """Ask about a sag or a pressure that is unlikely."""
        if isinstance(self._found, Open):
            return ""
        doubts = unlikely_in(self._found, self._shop)
        return " ".join(f"{doubt.value(self._shop)} for {doubt.likely.what}?" for doubt in doubts)
