"""Minimal repainting: a model of the terminal's content, and the shortest output that changes it.

The framework repaints changed spans from the left edge of their widget, and whole widgets whose style or
position may have changed. Over ssh these bytes are what a person waits for. So every cell sent is remembered,
only different cells are sent again, and only differences in style.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from functools import cache, lru_cache
from itertools import groupby
from weakref import WeakKeyDictionary

from rich.cells import cell_len
from rich.color import Color, ColorSystem
from rich.console import Console
from rich.style import Style
from textual._compositor import ChopsUpdate, Compositor, LayoutUpdate
from textual.strip import Strip

from physics.frozen import NamedTuple

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
"""Codes that switch text attributes other than colours on and off, by name."""
_OFF = dict(_MARKS.values())
_ON_BLANKS = frozenset((4, 7, 9, 21, 53))
"""Attributes visible on a blank."""
_WORTH_A_JUMP = 5
"""Number of unchanged cells up to which it is cheaper to send them again than to move the cursor."""
_WORTH_ERASING = 10
"""Number of blanks up to which it is cheaper to send them than to erase and move the cursor."""


class Pen(NamedTuple):
    """Style of writing: codes of colours and attributes; `front` None means any foreground."""

    front: str | None = "39"
    back: str = "49"
    marks: frozenset[int] = frozenset()


PLAIN = Pen()
"""The initial style of a terminal."""
_Cell = tuple[str, Pen]
"""A character and its pen; empty for the second half of a wide one."""


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
    """Return the pen of a blank, whose foreground colour does not matter."""
    return pen if pen.marks & _ON_BLANKS else Pen(None, pen.back)


@lru_cache(maxsize=4096)
def turned(before: Pen, after: Pen) -> tuple[str, Pen]:
    """Return the sequence that changes the style to `after`, and the resulting style."""
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
    """The content of one terminal, cell by cell; None for unknown cells."""

    def __init__(self) -> None:
        self._rows: dict[int, list[_Cell | None]] = {}

    def forget(self) -> None:
        """Forget the content: another program wrote on the terminal, or its size changed."""
        self._rows.clear()

    def sent(
        self, spans: Iterator[tuple[int, int, Strip]], system: ColorSystem, *, erases: bool = False
    ) -> str:
        """Return the output that shows strips at their rows and columns; it is assumed to be sent.

        Cells of one style are sent together, since each change of style costs a sequence. With `erases`,
        blanks are erased if that is shorter.
        """
        looks: dict[Pen, list[_Run]] = {}
        for y, x, strip in spans:
            wanted = _cells(strip, system)
            row = self._rows.setdefault(y, [])
            row += [None] * (x + len(wanted) - len(row))
            for first, end in _runs(row[x : x + len(wanted)], wanted):
                for start, pen, cells in _of_one_pen(wanted, first, end):
                    looks.setdefault(pen, []).append(_Run(y, x + start, cells, len(row)))
            row[x : x + len(wanted)] = wanted
        writer = _Writer(erases)
        for pen in sorted(looks, key=_order):
            for run in looks[pen]:
                writer.write(run)
        return writer.ended()


class _Run(NamedTuple):
    """Adjacent cells of one style."""

    y: int
    x: int
    cells: list[_Cell]
    room: int
    """Known width of its line [cells]."""


class _Writer:
    """Writes output and tracks pen and cursor."""

    def __init__(self, erases: bool) -> None:
        self._told: list[str] = []
        self._erases = erases
        self._pen = PLAIN
        self._at: tuple[int, int] | None = None

    def write(self, run: _Run) -> None:
        """Write cells at their position."""
        y, x = run.y, run.x
        for is_blank, cells in _pieces(run.cells):
            self._go(y, x)
            # Blanks accept any pen with their background, so one style change serves the whole piece.
            self._turn(next((pen for _, pen in cells if pen.front is not None), cells[0][1]))
            if is_blank and self._erases:
                self._told.append(f"\x1b[{len(cells)}X")
            else:
                self._told += [text for text, _ in cells]
                # At the last column the cursor stops, and terminals disagree on the width of some characters.
                is_sure = x + len(cells) < run.room and all(text for text, _ in cells)
                self._at = (y, x + len(cells)) if is_sure else None
            x += len(cells)

    def _go(self, y: int, x: int) -> None:
        if self._at != (y, x):
            self._told.append(moved(self._at, y, x))
            self._at = (y, x)

    def _turn(self, pen: Pen) -> None:
        codes, self._pen = turned(self._pen, pen)
        self._told.append(codes)

    def ended(self) -> str:
        """Return the output, ending with the initial pen."""
        return "".join(self._told) + ("" if self._pen == PLAIN else "\x1b[0m")


def moved(at: tuple[int, int] | None, y: int, x: int) -> str:
    """Return the shortest sequence that moves the cursor, relative if its position is known."""
    ways = [f"\x1b[{y + 1};{x + 1}H"]
    if at is not None and at[0] == y:
        ways += [f"\x1b[{x + 1}G", _across(x - at[1])]
    elif at is not None and y > at[0]:
        down = y - at[0]
        ways.append(f"\x1b[{down if down > 1 else ''}B{_across(x - at[1])}")
    return min(ways, key=len)


def _across(steps: int) -> str:
    if steps == 0:
        return ""
    count = abs(steps)
    far = f"\x1b[{count if count > 1 else ''}{'C' if steps > 0 else 'D'}"
    return far if steps > 0 or count > len(far) else "\b" * count


def _order(pen: Pen) -> tuple[str, list[int], str]:
    return pen.back, sorted(pen.marks), pen.front or ""


def _of_one_pen(cells: list[_Cell], first: int, end: int) -> Iterator[tuple[int, Pen, list[_Cell]]]:
    """Yield the parts of a run with one style and their first column; blanks join their neighbours."""
    start, pen = first, cells[first][1]
    alike = pen
    for place in range(first + 1, end):
        here = cells[place][1]
        if here is pen or here is alike:
            continue
        alike = here
        if here == pen or _suits(here, pen):
            continue
        if not _suits(pen, here):
            yield start, pen, cells[start:place]
            start = place
        pen = here
    yield start, pen, cells[start:end]


def _suits(blank: Pen, pen: Pen) -> bool:
    """Return whether a blank can be written with a pen."""
    return blank.front is None and blank.back == pen.back and not pen.marks & _ON_BLANKS


def _pieces(cells: list[_Cell]) -> Iterator[tuple[bool, list[_Cell]]]:
    """Yield cells in pieces: long runs of plain blanks, and the cells between them."""
    if len(cells) <= _WORTH_ERASING:
        yield False, cells
        return
    held: list[_Cell] = []
    for is_plain, piece in groupby(cells, _is_plain):
        part = list(piece)
        if not is_plain or len(part) <= _WORTH_ERASING:
            held += part
            continue
        if held:
            yield False, held
            held = []
        yield True, part
    if held:
        yield False, held


def _is_plain(cell: _Cell) -> bool:
    return cell[0] == " " and cell[1].front is None


def _cells(strip: Strip, system: ColorSystem) -> list[_Cell]:
    found: list[_Cell] = []
    for text, style, control in strip:
        if control:
            continue
        pen = pen_of(style, system)
        blank = _blank(pen)
        if text.isascii():
            found += [(letter, blank if letter == " " else pen) for letter in text]
        else:
            found += _wide(text, pen, blank)
    return found


def _wide(text: str, pen: Pen, blank: Pen) -> Iterator[_Cell]:
    """Yield the cells of text with wide and zero-width characters."""
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
    """Yield start and end of each run of cells to send; close runs are merged."""
    if before == after:
        return
    if not any(before):
        yield 0, len(after)
        return
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
"""Content of the terminal of each console."""


def painted(console: Console) -> Painted:
    """Return the content of a console's terminal."""
    return _PAINTED.setdefault(console, Painted())


@cache
def can_erase() -> bool:
    """Return whether the terminal erases with the current background colour, according to terminfo."""
    try:
        import curses
    except ImportError:  # where there are no such descriptions
        return False
    try:
        curses.setupterm(fd=sys.__stdout__.fileno() if sys.__stdout__ else 1)
    except (OSError, ValueError, curses.error):
        return False
    return curses.tigetflag("bce") == 1 and curses.tigetstr("ech") == b"\x1b[%p1%dX"


def _sent(spans: Iterator[tuple[int, int, Strip]], console: Console) -> str:
    system = console._color_system or ColorSystem.TRUECOLOR
    return painted(console).sent(spans, system, erases=can_erase())


class SparingUpdate(ChopsUpdate):
    """Update of spans that sends only changed cells."""

    def render_segments(self, console: Console) -> str:
        """Return what the terminal must be sent."""
        return _sent(self._parts(), console)

    def _parts(self) -> Iterator[tuple[int, int, Strip]]:
        for y, first, end in self.spans:
            for chop_end, (x, strip) in zip(self.chop_ends[y], self.chops[y].items(), strict=False):
                start, stop = max(first, x), min(end, chop_end)
                if strip is not None and start < stop:
                    yield y, start, strip.crop(start - x, stop - x)


class SparingLayout(LayoutUpdate):
    """Update of all lines that sends only changed cells."""

    def render_segments(self, console: Console) -> str:
        """Return what the terminal must be sent."""
        lines = enumerate(self.strips, self.region.y)
        parts = ((y, self.region.x, Strip.join(list(line))) for y, line in lines)
        return _sent(parts, console)


class SparingCompositor(Compositor):
    """A compositor with minimal updates."""

    def render_full_update(self, simplify: bool = False) -> LayoutUpdate:
        """Return the update of the whole screen."""
        update = super().render_full_update(simplify)
        return SparingLayout(update.strips, update.region)

    def render_partial_update(self) -> ChopsUpdate | None:
        """Return the update of all dirty spans, None if there are none."""
        update = super().render_partial_update()
        return update and SparingUpdate(update.chops, update.spans, update.chop_ends)
