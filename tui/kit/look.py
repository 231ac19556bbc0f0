"""What the screen is drawn with: characters, UTF-8 or plain ASCII, colours, line styles; text in lines."""

from __future__ import annotations

import locale
import re
import string
import unicodedata
from collections.abc import Mapping
from itertools import cycle
from textwrap import wrap
from typing import Literal, NamedTuple, get_args

from tui.job.tree import clean


class Glyphs(NamedTuple):
    """One set of characters, each under what it stands for on the screen.

    `between` stands between two remarks on one line, `unconfirmed` before a value that nobody has typed or
    confirmed. `cursor` points from the axis of a chart at the place that is read, `level` makes up its level
    lines. `thin` makes up a line from end to end of a band, `thick` the same where half of the band is.
    `shades` are cells of a map from the least to the most. `spread` makes up the axis of a chart where seal
    friction can hold a setup, `speck` stands in the free cells of what a theme without tints shades, in one
    of so many as `speck_every` says; `frame` is the border around a pane in the framework's words, `corners`
    are the upper ones of it. `slow_words` say how the slow curve is told from the riding one.
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
    speck: str
    speck_every: int
    frame: str
    corners: tuple[str, str]
    slow_words: str


UTF8 = Glyphs(
    ascii=False, up="↑", down="↓", left="←", right="→", ellipsis="…",
    between="·", fault="✗", caution="!", stale="≠", solved="=", unconfirmed="~", selected="›", cursor="↑",
    level="╌", sag="S", thin="─", thick="━", shades="·░▒▓█", spread="═", speck="╱",
    speck_every=3, frame="round", corners=("╭", "╮"),
    slow_words="hollow: slow",
)  # fmt: skip
ASCII = Glyphs(
    ascii=True, up="^", down="v", left="<", right=">", ellipsis="~",
    between="-", fault="X", caution="!", stale="?", solved="=", unconfirmed="*", selected=">", cursor="^",
    level="-", sag="S", thin="-", thick="=", shades=".:+*#", spread="=", speck="/",
    speck_every=2, frame="ascii", corners=("+", "+"),
    slow_words="small letter: slow",
)  # fmt: skip
CONSOLE = ASCII._replace(thin="─", speck="░", speck_every=1, frame="solid", corners=("┌", "┐"))
"""For the Linux console in UTF-8: its fonts have lines and the light shade besides ASCII."""

LETTERS = string.ascii_uppercase
"""Markers of the lines of a chart in plain ASCII; the slow curve has the small letter."""


def glyphs_for(environ: Mapping[str, str], encoding: str | None = None) -> Glyphs:
    """Return the set this terminal can show; `encoding` is the locale's unless given."""
    asked = environ.get("SPRINGWRIGHT_ASCII", "") not in ("", "0")
    name = encoding if encoding is not None else locale.getpreferredencoding(False)
    if asked or _is_plain(environ) or name.lower().replace("-", "").replace("_", "") != "utf8":
        return ASCII
    # The Linux console has 512 glyphs: neither braille nor the geometric shapes are among them.
    return CONSOLE if environ.get("TERM") == "linux" else UTF8


def _is_plain(environ: Mapping[str, str]) -> bool:
    """Return whether the locale asked for is the plain one.

    For "C" Python itself goes over to UTF-8, and where it may it writes that into LC_CTYPE: neither the
    encoding it reports nor that variable says what the terminal can show then.
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
    # Taken apart first, so that an accented letter keeps its letter.
    parts = unicodedata.normalize("NFKD", kept)
    plain = "".join(letter for letter in parts if not unicodedata.combining(letter))
    return plain.encode("ascii", "replace").decode("ascii")


LineStyle = Literal["braille", "block", "dot", "ascii"]
LINE_STYLES: tuple[LineStyle, ...] = get_args(LineStyle)

LEAST_LOOKS = 6
"""Lines that every theme can tell apart, by their markers at the least."""
TOTAL, POSITIVE, NEGATIVE = 100, 101, 102
"""Looks of the chambers of an air spring and of both together; those of setups count from 0 to below them."""


class LineLook(NamedTuple):
    """Colour and markers of one line; the slow curve has a marker of its own."""

    colour: str
    marker: str
    slow_marker: str


class ChartLook(NamedTuple):
    """The looks of all lines and of what stands around them. Colours are `#rrggbb` or `ansi_…` names.

    `lines` are those of setups, `chambers` total, positive and negative. `shade` and `band` are what stands
    behind the last tenth of the travel and behind the sag, empty if the background stays as it is.
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
        """Return the look of that number; the round of the setups starts again after the last one."""
        return self.chambers[look - TOTAL] if look >= TOTAL else self.lines[look % len(self.lines)]

    def before(self, look: int) -> int:
        """Return how many lines of a lower number have the same colour: they differ by markers and dashes."""
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
_MEASURED = re.compile(r"(?<=\d) (?=[^\W\d]|%|: 1\b)|(?<=\d N) (?=s/m)|(?<=\d :) (?=1\b)")


def bound(text: str) -> str:
    """Return a text in which no line ends between a number and its unit."""
    return _MEASURED.sub(_NO_BREAK, text)


def unbound(text: str) -> str:
    """Return a line of a text that was `bound`, with ordinary blanks."""
    return text.replace(_NO_BREAK, " ")


def folded(text: str, width: int, indent: str = "", *, most: int | None = None, more: str = "") -> list[str]:
    """Return text in lines of at most `width` letters, no number without its unit; none for no text.

    Lines after the first are indented; of more than `most` the last one ends in `more`.
    """
    lines = wrap(
        bound(text), width, subsequent_indent=indent, max_lines=most, placeholder=more, break_on_hyphens=False
    )
    return [unbound(line).rstrip() for line in lines]
