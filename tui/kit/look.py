"""Characters (UTF-8 or ASCII), colours and line styles of the screen; wrapping of text."""

from __future__ import annotations

import locale
import re
import string
import unicodedata
from collections.abc import Mapping
from itertools import cycle
from textwrap import wrap
from typing import Literal, get_args

from physics.frozen import NamedTuple
from tui.job.tree import clean


class Glyphs(NamedTuple):
    """A set of characters by their purpose.

    `between` separates two remarks on one line, `unconfirmed` marks an unconfirmed value. `cursor` points
    from the axis of a chart at the position read, `level` draws level lines. `thin` draws a tolerance band,
    `thick` its inner half. `shades` are cells of a map from lowest to highest. `spread` draws the axis of a
    chart where seal friction can hold a setup. `edge` draws the edge of the last tenth of the travel in
    themes without background tints. `frame` is the border type of a pane in the framework, `corners` its
    upper corners. `slow_words` describe how the slow curve differs from the riding curve.
    """

    ascii: bool
    up: str
    down: str
    left: str
    right: str
    ellipsis: str
    between: str
    fault: str
    caution: str
    stale: str
    solved: str
    unconfirmed: str
    selected: str
    cursor: str
    level: str
    sag: str
    thin: str
    thick: str
    shades: str
    spread: str
    edge: str
    frame: str
    corners: tuple[str, str]
    slow_words: str


UTF8 = Glyphs(
    ascii=False, up="↑", down="↓", left="←", right="→", ellipsis="…",
    between="·", fault="✗", caution="!", stale="≠", solved="=", unconfirmed="~", selected="›", cursor="↑",
    level="╌", sag="S", thin="─", thick="━", shades="·░▒▓█", spread="═", edge="┊",
    frame="round", corners=("╭", "╮"),
    slow_words="hollow: slow",
)  # fmt: skip
ASCII = Glyphs(
    ascii=True, up="^", down="v", left="<", right=">", ellipsis="~",
    between="-", fault="X", caution="!", stale="?", solved="=", unconfirmed="*", selected=">", cursor="^",
    level="-", sag="S", thin="-", thick="=", shades=".:+*#", spread="=", edge="|",
    frame="ascii", corners=("+", "+"),
    slow_words="small letter: slow",
)  # fmt: skip
CONSOLE = ASCII._replace(thin="─", edge="░", frame="solid", corners=("┌", "┐"))
"""For the Linux console in UTF-8, whose fonts have lines and the light shade besides ASCII."""

LETTERS = string.ascii_uppercase
"""Markers of the lines of a chart in plain ASCII; the slow curve has the small letter."""


def glyphs_for(environ: Mapping[str, str], encoding: str | None = None) -> Glyphs:
    """Return the set that this terminal can show; `encoding` is by default that of the locale."""
    asked = environ.get("SPRINGWRIGHT_ASCII", "") not in ("", "0")
    name = encoding if encoding is not None else locale.getpreferredencoding(False)
    if asked or _is_plain(environ) or name.lower().replace("-", "").replace("_", "") != "utf8":
        return ASCII
    # The Linux console has 512 glyphs: neither braille nor the geometric shapes are among them.
    return CONSOLE if environ.get("TERM") == "linux" else UTF8


def _is_plain(environ: Mapping[str, str]) -> bool:
    """Return whether the locale is "C".

    Then Python switches to UTF-8 and may write that into LC_CTYPE: neither its reported encoding nor that
    variable tells what the terminal can show.
    """
    plain = ("C", "POSIX")
    if environ.get("LC_ALL"):
        return environ["LC_ALL"] in plain
    coerced = environ.get("LC_CTYPE") in (None, "", *plain, "C.UTF-8", "C.utf8", "UTF-8")
    return coerced and environ.get("LANG") in plain


def literal(text: str, glyphs: Glyphs) -> str:
    """Return text without control characters and, on a plain terminal, with the nearest ASCII letters."""
    kept = clean(text)
    if not glyphs.ascii or kept.isascii():
        return kept
    kept = kept.replace("±", "+-").replace("→", "->").replace("×", "x")
    # Decompose first, so that an accented letter keeps its base letter.
    parts = unicodedata.normalize("NFKD", kept)
    plain = "".join(letter for letter in parts if not unicodedata.combining(letter))
    return plain.encode("ascii", "replace").decode("ascii")


LineStyle = Literal["braille", "block", "dot", "ascii"]
LINE_STYLES: tuple[LineStyle, ...] = get_args(LineStyle)

LEAST_LOOKS = 6
"""Number of lines that every theme can distinguish, at least by their markers."""
TOTAL, POSITIVE, NEGATIVE = 100, 101, 102
"""Looks of total, positive and negative chamber; those of setups are below 100."""


class LineLook(NamedTuple):
    """Colour and markers of one line; the slow curve has its own marker."""

    colour: str
    marker: str
    slow_marker: str


class ChartLook(NamedTuple):
    """The looks of all lines and other parts of a chart. Colours are `#rrggbb` or `ansi_…` names.

    `lines` are those of setups, `chambers` total, positive and negative. `shade` and `band` are background
    colours of the last tenth of the travel and of the sag band, empty for no tint.
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
    shade: str = ""
    band: str = ""

    def line(self, look: int) -> LineLook:
        """Return the look of a number; those of setups repeat after the last one."""
        return self.chambers[look - TOTAL] if look >= TOTAL else self.lines[look % len(self.lines)]

    def before(self, look: int) -> int:
        """Return the number of earlier lines with the same colour: they differ by markers and dashes."""
        if look >= TOTAL:
            return [line.colour for line in self.chambers[: look - TOTAL]].count(self.line(look).colour)
        return sum(self.line(other).colour == self.line(look).colour for other in range(look))

    def marker(self, look: int, *, slow: bool = False) -> str:
        """Return the marker of a line."""
        return self.line(look).slow_marker if slow else self.line(look).marker

    def in_ascii(self, glyphs: Glyphs = ASCII) -> ChartLook:
        """Return the same colours with letters for markers and lines of ASCII only, all else in `glyphs`."""
        lines = tuple(map(_lettered, self.lines, cycle(LETTERS)))
        total, positive, negative = map(_lettered, self.chambers, "TPN")
        chambers = (total, positive, negative)
        return self._replace(line_style="ascii", lines=lines, chambers=chambers, glyphs=glyphs)


def _lettered(line: LineLook, letter: str) -> LineLook:
    return LineLook(line.colour, letter, letter.lower())


_NO_BREAK = "\N{NO-BREAK SPACE}"
_MEASURED = re.compile(r"(?<=\d) (?=[^\W\d]|%|: 1\b)|(?<=\d N) (?=s/m)|(?<=\d :) (?=1\b)|(?<=[ \\]~) (?=\S)")


def bound(text: str) -> str:
    """Return a text in which no line breaks between a number and its unit, or behind the mark of a value."""
    return _MEASURED.sub(_NO_BREAK, text)


def unbound(text: str) -> str:
    """Return a line of a `bound` text with ordinary blanks."""
    return text.replace(_NO_BREAK, " ")


def folded(text: str, width: int, indent: str = "", *, most: int | None = None, more: str = "") -> list[str]:
    """Return text wrapped to `width` letters, keeping numbers with their units; no lines for no text.

    Lines after the first are indented; if there are more than `most`, the last one ends with `more`.
    """
    lines = wrap(
        bound(text), width, subsequent_indent=indent, max_lines=most, placeholder=more, break_on_hyphens=False
    )
    return [unbound(line).rstrip() for line in lines]
