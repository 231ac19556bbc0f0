"""The view beside the panels on the screen: a title, and lines that scroll."""

from __future__ import annotations

from collections.abc import Hashable
from contextlib import suppress
from functools import partial
from time import monotonic
from typing import TYPE_CHECKING, ClassVar

from rich.style import Style
from textual.binding import Binding, BindingType
from textual.geometry import clamp
from textual.message import Message
from textual.worker import get_current_worker

from tui.bench.aside_text import Role
from tui.bench.aside_work import Stopped, Task
from tui.bench.asides import aside_lines, aside_task, asides
from tui.charts.cell_widget import LookWidget
from tui.charts.cells import Row, cells, fitted
from tui.charts.look import ChartLook

if TYPE_CHECKING:
    from tui.bench.state import BenchState

_EVERYTHING = 100_000
_GLANCE = 0.1
"""Seconds of work between two words of its progress."""


class AsidePane(LookWidget, can_focus=True):
    """A view of the job; only the cells that changed are sent to the terminal again.

    | Class | Description |
    | :- | :- |
    | `aside--title`, `aside--heading` | What the view is, and its parts. |
    | `aside--quiet`, `aside--strong` | What matters least and most. |
    | `aside--caution`, `aside--stale` | A caution, and the word that it is of an older answer. |
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        f"aside--{role.name.lower()}" for role in Role if role not in (Role.BASE, Role.SETUP)
    }
    DEFAULT_CSS = """
    AsidePane {
        height: 1fr;
        display: none;
        & > .aside--title { text-style: bold; }
        & > .aside--heading { color: $text-secondary; text-style: bold; }
        & > .aside--quiet { color: $text-muted; }
        & > .aside--strong { text-style: bold; }
        & > .aside--caution { color: $text-warning; }
        & > .aside--stale { color: $text-warning; text-style: bold; }
        &:focus > .aside--title { text-style: bold reverse; }
    }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "scroll_by(-1)", "Line up", show=False),
        Binding("down", "scroll_by(1)", "Line down", show=False),
        Binding("pageup", "scroll_pages(-1)", "Page up", show=False),
        Binding("pagedown,space", "scroll_pages(1)", "Page down", show=False),
        Binding("home", f"scroll_by(-{_EVERYTHING})", "Start", show=False),
        Binding("end", f"scroll_by({_EVERYTHING})", "End", show=False),
    ]

    class Told(Message):
        """Work beside the screen has come so far; with what was `found` when it is done."""

        def __init__(self, key: Hashable, share: float, found: object = None) -> None:
            """Keep what it is about."""
            super().__init__()
            self.key, self.share, self.found = key, share, found

    def __init__(self, look: ChartLook, *, id: str | None = None) -> None:
        """Start empty."""
        super().__init__(look, id=id)
        self._state: BenchState | None = None
        self._lines: list[Row] = []
        self._first = 0
        self._asked: Hashable = None

    def show(self, state: BenchState) -> None:
        """Show the view that the state asks for; another view starts at its top."""
        if self._state is None or self._state.aside != state.aside:
            self._first = 0
        self._state = state
        self._work(state)
        self.redraw()

    def rest(self) -> None:
        """Stop what is worked out for a view that is no longer shown."""
        if self._asked is not None:
            self._asked = None
            self.workers.cancel_node(self)

    def _work(self, state: BenchState) -> None:
        """Have worked out what the view asks for, unless that is known or under way already."""
        task = aside_task(state)
        if task is None:
            self.rest()
        elif task.key not in (state.worked.key, self._asked):
            self._asked = task.key
            self.run_worker(partial(self._run, task), thread=True, exclusive=True)

    def _run(self, task: Task) -> None:
        """Work something out, away from the screen; progress is told where it takes longer than a glance."""
        worker, last = get_current_worker(), monotonic()

        def told(share: float) -> None:
            nonlocal last
            if worker.is_cancelled:
                raise Stopped
            if monotonic() - last > _GLANCE:
                last = monotonic()
                self.post_message(self.Told(task.key, share))

        with suppress(Stopped):
            found = task.work(told)
            if not worker.is_cancelled:
                self.post_message(self.Told(task.key, 1.0, found))

    def redraw(self) -> None:
        """Work out the lines."""
        state, (width, height) = self._state, self.size
        if state is None or not state.aside:
            return
        self._lines = aside_lines(state, width, self._look)
        room = max(height - 1, 0)
        self._first = clamp(self._first, 0, max(len(self._lines) - room, 0))
        shown = [self._title(state, room), *self._lines[self._first : self._first + room]]
        shown += [[] for _ in range(height - len(shown))]
        self.put([fitted(line, width, self._look.glyphs.ellipsis) for line in shown[:height]])

    def _title(self, state: BenchState, room: int) -> Row:
        aside = asides()[state.aside]
        line = cells(aside.title, Role.TITLE)
        if state.stale and not aside.as_typed:
            line += cells("  STALE: of the last good answer", Role.STALE)
        if len(self._lines) > room > 0:
            last = min(self._first + room, len(self._lines))
            part = f"{self._first + 1} to {last} of {len(self._lines)}"
            whole = len(line) + len(part) + 8 <= self.size.width
            line += cells(f"  lines {part}" if whole else f"  {part}", Role.QUIET)
        return line

    def action_scroll_by(self, lines: int) -> None:
        """Scroll by so many lines."""
        self._first += lines
        self.redraw()

    def action_scroll_pages(self, pages: int) -> None:
        """Scroll by so many screens, one line kept in sight."""
        self.action_scroll_by(pages * max(self.size.height - 2, 1))

    def style_of(self, role: int) -> Style:
        """Return the style of a role; that of a setup is its line's."""
        return self.setup_style(role - Role.SETUP) if role >= Role.SETUP else super().style_of(role)

    def class_of(self, role: int) -> str:
        """Return the component class of a role."""
        return f"aside--{Role(role).name.lower()}"
