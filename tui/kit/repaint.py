"""What the terminal shows, and the least that must be sent for it to show something else.

The framework sends a changed span from the left edge of its widget on, and all of a widget whose style or
place may have changed. Over ssh these bytes are what a person waits for. So each cell that was sent is
remembered, only those that differ are sent again, and of their style only what differs from the one before.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple
from weakref import WeakKeyDictionary

from rich.cells import cell_len
from rich.color import Color, ColorSystem
from rich.console import Console
from rich.style import Style
from textual._compositor import ChopsUpdate, Compositor, LayoutUpdate
from textual.strip import Strip

_MARKS = {
    "bold": (1, 22),
    "dim": (2, 22),
    "italic": (3, 23),
    "underline": (4, 24),
    "underline2": (21, 24),
    "blink": (5, 25),
    "reverse": (7, 27),
    "conceal": (8, 28),
    "strike": (9, 29),
    "overline": (53, 55),
}
"""By their name the codes that switch on and off what is set beside the colours."""
_OFF = dict(_MARKS.values())
_ON_BLANKS = frozenset((4, 7, 9, 21, 53))
"""Marks that are seen on a blank."""
_WORTH_A_JUMP = 5
"""Cells known to be there already that cost less to send again than to jump over."""


class Pen(NamedTuple):
    """How a terminal writes: codes of the colours and of the marks; without a `front` any will do."""

    front: str | None = "39"
    back: str = "49"
    marks: frozenset[int] = frozenset()


PLAIN = Pen()
"""How it writes before anything is said of it."""
_Cell = tuple[str, Pen]
"""A character and its pen; empty under the second half of a wide one."""


@lru_cache(maxsize=1024)
def pen_of(style: Style | None, system: ColorSystem) -> Pen:
    """Return the pen for a style among the colours that a terminal has."""
    if style is None:
        return PLAIN
    marks = frozenset(on for name, (on, _) in _MARKS.items() if getattr(style, name))
    return Pen(_codes(style.color, system, True) or "39", _codes(style.bgcolor, system, False) or "49", marks)


def _codes(colour: Color | None, system: ColorSystem, front: bool) -> str:
    return "" if colour is None else ";".join(colour.downgrade(system).get_ansi_codes(foreground=front))


@lru_cache(maxsize=1024)
def _blank(pen: Pen) -> Pen:
    """Return the pen of a blank, which looks the same in any colour of letters."""
    return pen if pen.marks & _ON_BLANKS else Pen(None, pen.back)


@lru_cache(maxsize=4096)
def turned(before: Pen, after: Pen) -> tuple[str, Pen]:
    """Return what makes a terminal write as `after`, and how it writes then."""
    if after.front is None:
        after = after._replace(front=before.front)
        if not before.marks & _ON_BLANKS:
            after = after._replace(marks=before.marks)
    if after == before:
        return "", after
    told = [";".join(_steps(start, after)) for start in (before, PLAIN)]
    told[1] = f"0;{told[1]}".rstrip(";")
    return f"\x1b[{min(told, key=len)}m", after


def _steps(before: Pen, after: Pen) -> Iterator[str]:
    off = {_OFF[mark] for mark in before.marks - after.marks}
    yield from map(str, sorted(off))
    yield from (str(mark) for mark in sorted(after.marks) if mark not in before.marks or _OFF[mark] in off)
    if after.front != before.front:
        yield str(after.front)
    if after.back != before.back:
        yield after.back


class Painted:
    """What one terminal shows, cell by cell; None where that cannot be known."""

    def __init__(self) -> None:
        self._rows: dict[int, list[_Cell | None]] = {}

    def forget(self) -> None:
        """Count on nothing: somebody else wrote on the terminal, or its size is another one."""
        self._rows.clear()

    def sent(self, spans: Iterator[tuple[int, int, Strip]], system: ColorSystem) -> str:
        """Return what must be sent for strips to stand at their rows and columns; it counts as sent."""
        told: list[str] = []
        pen = PLAIN
        for y, x, strip in spans:
            wanted = list(_cells(strip, system))
            row = self._rows.setdefault(y, [])
            row += [None] * (x + len(wanted) - len(row))
            is_first = True
            for first, end in _runs(row[x : x + len(wanted)], wanted):
                told.append(f"\x1b[{y + 1};{x + first + 1}H" if is_first else f"\x1b[{x + first + 1}G")
                is_first = False
                for text, here in wanted[first:end]:
                    codes, pen = turned(pen, here)
                    told.append(codes + text)
            row[x : x + len(wanted)] = wanted
        if pen != PLAIN:
            told.append("\x1b[0m")
        return "".join(told)


def _cells(strip: Strip, system: ColorSystem) -> Iterator[_Cell]:
    for text, style, control in strip:
        if control:
            continue
        pen = pen_of(style, system)
        blank = _blank(pen)
        if text.isascii():
            yield from ((letter, blank if letter == " " else pen) for letter in text)
        else:
            yield from _wide(text, pen, blank)


def _wide(text: str, pen: Pen, blank: Pen) -> Iterator[_Cell]:
    """Yield the cells of text in which a character may take two of them, or none beside the one before."""
    held = ""
    for letter in text:
        width = cell_len(letter)
        if width == 0:
            held += letter
            continue
        if held:
            yield from _held(held, pen, blank)
        held = letter
    yield from _held(held, pen, blank)


def _held(text: str, pen: Pen, blank: Pen) -> Iterator[_Cell]:
    if text:
        yield text, blank if text == " " else pen
        yield from [("", pen)] * (cell_len(text[0]) - 1)


def _runs(before: list[_Cell | None], after: list[_Cell]) -> Iterator[tuple[int, int]]:
    """Yield the first and the end of each run of cells that must be sent, near runs joined."""
    first = end = -1
    for place, cell in enumerate(after):
        if cell == before[place]:
            continue
        begin, stop = _whole(before, after, place)
        if end >= 0 and begin - end <= _WORTH_A_JUMP:
            end = max(end, stop)
            continue
        if end >= 0:
            yield first, end
        first, end = begin, stop
    if end >= 0:
        yield first, end


def _whole(before: list[_Cell | None], after: list[_Cell], place: int) -> tuple[int, int]:
    # A wide character is sent whole or not at all, and what stood under half of one is sent again.
    first, end = place, place + 1
    while first > 0 and (after[first][0] == "" or _is_half(before[first])):
        first -= 1
    while end < len(after) and (after[end][0] == "" or _is_half(before[end])):
        end += 1
    return first, end


def _is_half(cell: _Cell | None) -> bool:
    return cell is not None and cell[0] == ""


_PAINTED: WeakKeyDictionary[Console, Painted] = WeakKeyDictionary()
"""What the terminal behind each console shows."""


def painted(console: Console) -> Painted:
    """Return what the terminal behind a console shows."""
    return _PAINTED.setdefault(console, Painted())


def _system(console: Console) -> ColorSystem:
    return console._color_system or ColorSystem.TRUECOLOR


class SparingUpdate(ChopsUpdate):
    """Spans of lines, of which the cells are sent that the terminal does not show yet."""

    def render_segments(self, console: Console) -> str:
        """Return what the terminal must be sent."""
        return painted(console).sent(self._parts(), _system(console))

    def _parts(self) -> Iterator[tuple[int, int, Strip]]:
        for y, first, end in self.spans:
            for chop_end, (x, strip) in zip(self.chop_ends[y], self.chops[y].items(), strict=False):
                start, stop = max(first, x), min(end, chop_end)
                if strip is not None and start < stop:
                    yield y, start, strip.crop(start - x, stop - x)


class SparingLayout(LayoutUpdate):
    """All lines, of which the cells are sent that the terminal does not show yet."""

    def render_segments(self, console: Console) -> str:
        """Return what the terminal must be sent."""
        lines = enumerate(self.strips, self.region.y)
        parts = ((y, self.region.x, Strip.join(list(line))) for y, line in lines)
        return painted(console).sent(parts, _system(console))


class SparingCompositor(Compositor):
    """A compositor whose updates are sparing."""

    def render_full_update(self, simplify: bool = False) -> LayoutUpdate:
        """Return the update of the whole screen."""
        update = super().render_full_update(simplify)
        return SparingLayout(update.strips, update.region)

    def render_partial_update(self) -> ChopsUpdate | None:
        """Return the update of all dirty spans, None where there are none."""
        update = super().render_partial_update()
        return update and SparingUpdate(update.chops, update.spans, update.chop_ends)
