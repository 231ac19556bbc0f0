"""Readings asked for in one line: a tester's file, completed with Tab, or what was read by hand."""

from __future__ import annotations

from tui.bench.dialogs_complete import as_path
from tui.bench.dialogs_path import CompletingPrompt
from tui.glyphs import Glyphs
from tui.readings.asked import readings_asked
from tui.readings.kinds import Readings, UnusableReadings
from tui.readings.typed import FORMS
from tui.shop_units import Measure, ShopUnits

_TOLD = 3


class ReadingsPrompt(CompletingPrompt[Readings]):
    """A prompt for readings; what is wrong is told below the line, of a file its first few faults."""

    ENDINGS = (".csv", ".txt", ".tsv", ".dat", ".asc")
    NO_NAMES = "No folder or file of readings begins like this."

    def __init__(self, units: ShopUnits, glyphs: Glyphs) -> None:
        """Ask; pairs typed by hand are in the units of the shop."""
        self._units = units.unit(Measure.TRAVEL), units.unit(Measure.FORCE)
        hint = f"A file, or typed, {self._units[0]} and {self._units[1]}: {FORMS}"
        super().__init__("Readings", hint, "", glyphs)
        self._found: Readings | None = None

    def problem(self, text: str) -> str:
        """Return why there are no readings in the line, or in the file it names."""
        try:
            self._found = readings_asked(text, self._units, as_path)
        except UnusableReadings as unusable:
            more = len(unusable.lines) - _TOLD
            tail = [f"and {more} lines more"] if more > 0 else []
            return "\n".join([*unusable.lines[:_TOLD], *tail])
        except OSError as error:
            return f"This path cannot be used: {error.strerror}."
        return ""

    def taken(self, _text: str) -> Readings:
        """Return the readings that were found in the line."""
        if self._found is None:
            raise ValueError("no readings were found")
        return self._found
