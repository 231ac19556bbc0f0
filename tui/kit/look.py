"""How a chart looks: colours, markers and what its lines are made of."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, get_args

from tui.kit.glyphs import ASCII, LETTERS, UTF8, Glyphs

LineStyle = Literal["braille", "block", "dot", "ascii"]
LINE_STYLES: tuple[LineStyle, ...] = get_args(LineStyle)

LEAST_LOOKS = 6
"""Lines that every theme can tell apart, by their markers at the least."""
TOTAL, POSITIVE, NEGATIVE = 100, 101, 102
"""Looks of the chambers of an air spring and of both together; those of setups count from 0 to below them."""


@dataclass(frozen=True, slots=True)
class LineLook:
    """Colour and markers of one line; the slow curve has a marker of its own."""

    colour: str
    marker: str
    slow_marker: str


@dataclass(frozen=True, slots=True)
class ChartLook:
    """The looks of all lines and of what stands around them. Colours are `#rrggbb` or `ansi_…` names.

    `lines` are those of setups, `chambers` total, positive and negative.
    """

    line_style: LineStyle
    lines: tuple[LineLook, ...]
    chambers: tuple[LineLook, LineLook, LineLook]
    axis: str
    level: str
    sag: str
    cursor: str
    stale: str
    glyphs: Glyphs = UTF8

    def line(self, look: int) -> LineLook:
        """Return the look of that number; the round of the setups starts again after the last one."""
        return self.chambers[look - TOTAL] if look >= TOTAL else self.lines[look % len(self.lines)]

    def before(self, look: int) -> int:
        """Return how many lines of a lower number have the same colour: they differ by markers and dashes."""
        if look >= TOTAL:
            return [line.colour for line in self.chambers[: look - TOTAL]].count(self.line(look).colour)
        return sum(self.line(other).colour == self.line(look).colour for other in range(look))

    def marker(self, look: int, *, slow: bool = False) -> str:
        """Return the marker of a line."""
        line = self.line(look)
        return line.slow_marker if slow else line.marker

    def in_ascii(self) -> ChartLook:
        """Return the same colours with letters for markers and lines of ASCII only."""
        lines = tuple(
            _lettered(line, LETTERS[number % len(LETTERS)]) for number, line in enumerate(self.lines)
        )
        total, positive, negative = map(_lettered, self.chambers, "TPN")
        chambers = (total, positive, negative)
        return replace(self, line_style="ascii", lines=lines, chambers=chambers, glyphs=ASCII)


def _lettered(line: LineLook, letter: str) -> LineLook:
    return LineLook(line.colour, letter, letter.lower())
