"""The views that take the place of chart and table while the panels stay: which there are, and their text."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import cache, partial
from time import monotonic
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.geometry import clamp
from textual.message import Message
from textual.worker import get_current_worker

from tui.bench.state import BenchState
from tui.kit.cells import CellRow, cells, fitted
from tui.kit.look import ChartLook
from tui.kit.roles import Role, classes_of
from tui.kit.widget import LookWidget
from tui.kit.work import Stopped, Task, Worked

Step = Callable[[BenchState], BenchState]
Draw = Callable[[BenchState, int, ChartLook], list[CellRow]]
"""Makes the lines of a view, as many as there are, for a width in cells."""


@dataclass(frozen=True, slots=True)
class View:
    """A view: its title, and where its lines come from.

    `as_typed` marks one of the job as it stands, answered or not: it is never stale. `task` is what it has
    worked out beside the screen, `keys` what keys do while the cursor is in it: one that has some gets the
    cursor when it is asked for.
    """

    title: str
    draw: Draw
    as_typed: bool = False
    task: Callable[[BenchState], Task | None] | None = None
    keys: Mapping[str, Step] = field(default_factory=dict)


@cache
def views() -> Mapping[str, View]:
    """Return every view by the id that the state knows it by; they load when the first is looked at."""
    from tui.bench.views import advice, documents, match, pairs, readings, sweep, tolerance

    alike = View("One spring like another", match.lines, keys=match.KEYS)
    return {
        "advice": View("After the ride", advice.lines, keys=advice.KEYS),
        "balance": View("Both ends", documents.balance_lines),
        "pairs": View("Measured on the stand", pairs.lines, as_typed=True),
        "conditions": View("Set here, ride there", documents.conditions_lines),
        "tolerance": View("How far off it may be", tolerance.lines),
        "wire": View("The coil as wire", documents.wire_lines),
        "match": alike,
        "match_volumes": replace(alike, title="Like another, volumes free", task=match.task),
        "readings": View("Backwards from readings", readings.lines, task=readings.task, keys=readings.KEYS),
        "wants": View("Figures wanted", match.wants_lines, keys=match.WANTS_KEYS),
        "sweep": View("Sweep", sweep.lines),
        "map": View("Map", sweep.map_lines, task=sweep.task),
        "spacers": View("Spacers on both sides", documents.spacer_lines),
    }


def view_keys(state: BenchState) -> Mapping[str, Step]:
    """Return what keys do in the view that is shown, the cursor in it."""
    view = views().get(state.view)
    return view.keys if view else {}


def view_task(state: BenchState) -> Task | None:
    """Return what the view that is shown has worked out beside the screen, None where it has nothing."""
    view = views().get(state.view)
    return view.task(state) if view and view.task else None


def worked_on(state: BenchState, key: Hashable, share: float, found: object) -> BenchState:
    """Return the state with the progress of a view's work, or what was found; of other work, the same."""
    task = view_task(state)
    if task is None or task.key != key:
        return state
    return replace(state, worked=state.worked.towards(key, share) if found is None else Worked(key, found))


_EVERYTHING = 100_000
_GLANCE = 0.1
"""Seconds of work between two words of its progress."""


class ViewPane(LookWidget, can_focus=True):
    """A view of the job; only the cells that changed are sent to the terminal again."""

    COMPONENT_CLASSES: ClassVar[set[str]] = classes_of(
        (Role.TITLE, Role.HEADING, Role.QUIET, Role.STRONG, Role.CAUTION, Role.WARNING)
    )
    DEFAULT_CSS = (
        "ViewPane { height: 1fr; display: none; &:focus > .cell--title { text-style: bold reverse; } }"
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "scroll_by(-1)", "Line up", show=False),
        Binding("down", "scroll_by(1)", "Line down", show=False),
        Binding("pageup", "scroll_pages(-1)", "Page up", show=False),
        Binding("pagedown,space", "scroll_pages(1)", "Page down", show=False),
        Binding("home", f"scroll_by(-{_EVERYTHING})", "Start", show=False),
        Binding("end", f"scroll_by({_EVERYTHING})", "End", show=False),
    ]

    @dataclass
    class Told(Message):
        """Work beside the screen has come so far; with what was `found` when it is done."""

        key: Hashable
        share: float
        found: object = None

    _state: BenchState | None = None
    _lines: Sequence[CellRow] = ()
    _first = 0
    _asked: Hashable = None

    def show(self, state: BenchState) -> None:
        """Show the view that the state asks for; another view starts at its top."""
        if self._state is None or self._state.view != state.view:
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
        task = view_task(state)
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
        if state is None or not state.view:
            return
        self._lines = views()[state.view].draw(state, width, self._look)
        room = max(height - 1, 0)
        self._first = clamp(self._first, 0, max(len(self._lines) - room, 0))
        shown = [self._title(state, room), *self._lines[self._first : self._first + room]]
        shown += [[] for _ in range(height - len(shown))]
        self.put([fitted(line, width, self._look.glyphs.ellipsis) for line in shown[:height]])

    def _title(self, state: BenchState, room: int) -> CellRow:
        view = views()[state.view]
        line = cells(view.title, Role.TITLE)
        if state.is_outdated and not view.as_typed:
            line += cells("  STALE: of the last good answer", Role.WARNING)
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
