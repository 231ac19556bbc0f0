"""Lines that scroll while they have the focus, with a position indicator."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.geometry import clamp
from textual.widget import Widget

from tui.kit.cells import CellRow, cells, fitted
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.kit.widget import LookWidget

_PLACE = len(" 999/999 ↑↓")
"""Maximum width of the position indicator [cells]."""
_EVERYTHING = 100_000


class ScrolledLines(LookWidget, can_focus=True):
    """Scrolling lines; repaints only changed cells."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "scroll_by(-1)", "Line up", show=False),
        Binding("down", "scroll_by(1)", "Line down", show=False),
        Binding("pageup", "scroll_pages(-1)", "Page up", show=False),
        Binding("pagedown", "scroll_pages(1)", "Page down", show=False),
        Binding("home", f"scroll_by(-{_EVERYTHING})", "Start", show=False),
        Binding("end", f"scroll_by({_EVERYTHING})", "End", show=False),
    ]

    first = 0
    """Index of the first line shown."""
    _lines: Sequence[CellRow] = ()
    _above = 0

    @property
    def count(self) -> int:
        """Total number of lines."""
        return len(self._lines) + self._above

    def put_lines(self, lines: Sequence[CellRow], above: Sequence[CellRow] = ()) -> None:
        """Show lines, below fixed lines `above`."""
        (width, height), ellipsis = self.size, self._look.glyphs.ellipsis
        if lines and not lines[0]:
            lines = lines[1:]  # the gap above a first heading is above nothing
        self._lines, self._above = lines, len(above)
        room = max(height - len(above), 0)
        if len(lines) > room and len(lines[-1]) > width - _PLACE:
            # The position indicator must not cover the end of the last line.
            lines = [*lines, []]
        last = max(len(lines) - room, 0)
        self.first = clamp(self.first, 0, last)
        shown = [*above, *lines[self.first : self.first + room]]
        shown += [[] for _ in range(height - len(shown))]
        if last and shown:
            seen = self.first + room
            if room > 1 and len(shown[-1]) > width - _PLACE:
                # A number cut by it would be another number: the line comes with the next one down.
                shown[-1], seen = [], seen - 1
            if seen < len(lines):
                seen -= _without_last_heading(shown, len(above) + 1, len(above) + seen - self.first)
            shown[-1] = _with_place(shown[-1], self.first, seen, len(lines), width, self._look)
        self.put([fitted(line, width, ellipsis) for line in shown[:height]])

    def action_scroll_by(self, lines: int) -> None:
        """Scroll by some lines."""
        self.first += lines
        self.redraw()

    def action_scroll_pages(self, pages: int) -> None:
        """Scroll by some pages, keeping one line visible."""
        self.action_scroll_by(pages * max(self.size.height - 2, 1))


def _without_last_heading(shown: list[CellRow], start: int, end: int) -> int:
    """Blank a heading with nothing below it at the end of `shown[start:end]`; return the number of lines."""
    first = end
    for place in range(end - 1, start - 1, -1):
        roles = {role for letter, role in shown[place] if letter != " "}
        if roles - {Role.HEADING}:
            break
        first = place if roles else first
    shown[first:end] = [[] for _ in range(first, end)]
    return end - first


def _with_place(line: CellRow, first: int, seen: int, count: int, width: int, look: ChartLook) -> CellRow:
    """Return the last line with the position indicator, which shows that there is more."""
    glyphs = look.glyphs
    ways = f"{glyphs.up if first else ' '}{glyphs.down if seen < count else ' '}"
    told = cells(f" {seen}/{count} {ways}", Role.KEY)
    return fitted(line, max(width - len(told), 0), glyphs.ellipsis) + told


DrawAll = Callable[[int, ChartLook], list[CellRow]]
"""Returns all lines for a width."""


class ScrolledText(ScrolledLines):
    """Lines drawn by a function."""

    DEFAULT_CSS = "ScrolledText { height: 1fr; }"

    def __init__(self, look: ChartLook, *, id: str | None = None) -> None:
        super().__init__(look, id=id)
        self._draw: DrawAll = lambda width, look: []

    def show(self, draw: DrawAll) -> None:
        """Show what `draw` returns, keeping the scroll position."""
        self._draw = draw
        self.redraw()

    def take_focus_of(self, part: Widget, draw: DrawAll | None) -> None:
        """Show what `draw` returns from its first line, and take the focus for scrolling.

        Without `draw`, give the focus back to `part`.
        """
        if draw is None:
            if not part.has_focus:
                part.focus(scroll_visible=False)
            return
        if not self.has_focus:
            self.first = 0
            self.focus(scroll_visible=False)
        self.show(draw)

    def redraw(self) -> None:
        """Draw for the present size and look."""
        if self.size.width:
            self.put_lines(self._draw(self.size.width, self._look))
