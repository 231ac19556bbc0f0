"""The views that take the place of chart and table while the panels stay: which there are, and their text."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Hashable, Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from functools import cache, partial
from importlib import import_module
from time import monotonic

from textual.message import Message
from textual.worker import get_current_worker

from tui.bench.state import LOGGED, BenchState
from tui.bench.steps import NO_SETUP, VIEW_ROWS
from tui.bench.views.here import View
from tui.kit.cells import CellRow, cells, text_of
from tui.kit.dressing import told as dressed_text
from tui.kit.roles import Role
from tui.kit.scrolling import ScrolledLines
from tui.kit.work import Stopped, Task, Worked, in_thread

Step = Callable[[BenchState], BenchState]


class _Views(Mapping[str, View]):
    """Views by id, each loaded from its module on first use: those of rides bring physics of their own."""

    def __init__(self, drawn: Mapping[str, str]) -> None:
        self._drawn, self._made = drawn, dict[str, View]()

    def __getitem__(self, id: str) -> View:
        if id not in self._made:
            module, _, name = self._drawn[id].partition(".")
            self._made[id] = getattr(import_module(f"tui.bench.views.{module}"), name)
        return self._made[id]

    def __contains__(self, id: object) -> bool:
        return id in self._drawn

    def __iter__(self) -> Iterator[str]:
        return iter(self._drawn)

    def __len__(self) -> int:
        return len(self._drawn)


@cache
def views() -> Mapping[str, View]:
    """Return every view in lines by id, and the help."""
    return _Views({HELP: "help.VIEW"} | {id: row.drawn for id, row in VIEW_ROWS.items() if row.drawn})


HELP = "help"
"""The help, shown instead of the view."""


def shown_view(state: BenchState) -> str:
    """Return the id of the view shown: the help, or the view of the step."""
    return HELP if state.helps else state.view


def view_keys(state: BenchState) -> Mapping[str, Step]:
    """Return the keys of the view when it has the focus."""
    from tui.bench.views.takes import take_keys

    view = views().get(shown_view(state))
    if view is None:
        return {}
    return {**view.keys, **view.now_keys(state), **take_keys(state), **_work_keys(state)}


def is_worked_on(state: BenchState) -> bool:
    """Return whether a task of the view is running."""
    task = view_task(state)
    return task is not None and task.key not in (state.worked.key, state.worked.stopped)


def is_stopped(state: BenchState) -> bool:
    """Return whether the task of the view was stopped by hand."""
    task = view_task(state)
    return task is not None and task.key == state.worked.stopped != state.worked.key


def _work_keys(state: BenchState) -> Mapping[str, Step]:
    """Return the keys that stop or continue the task of the view."""
    if is_worked_on(state):
        return {"escape": _stop}
    return {"enter": _go_on} if is_stopped(state) else {}


def _stop(state: BenchState) -> BenchState:
    task = view_task(state)
    if task is None:
        return state
    return replace(
        state, worked=replace(state.worked, stopped=task.key), note="Stopped. Enter continues, Esc goes back."
    )


def _go_on(state: BenchState) -> BenchState:
    return replace(state, worked=replace(state.worked, stopped=None))


def has_take(state: BenchState) -> bool:
    """Return whether the view has something that Enter takes now."""
    from tui.bench.views.takes import OFFERS, can_take

    view = views().get(shown_view(state))
    if view is not None and shown_view(state) in OFFERS:
        return can_take(state)
    keys = {} if view is None else {**view.keys, **view.now_keys(state), **view.acts(state)}
    return view is not None and "enter" in keys and view.has_take(state)


def view_acts(state: BenchState) -> Mapping[str, str]:
    """Return the ids of the actions of keys in the view when it has the focus."""
    view = views().get(shown_view(state))
    return view.acts(state) if view else {}


def view_task(state: BenchState) -> Task | None:
    """Return the background task of the view, None without one."""
    view = views().get(shown_view(state))
    return view.task(state) if view and view.task else None


def worked_on(state: BenchState, key: Hashable, share: float, found: object) -> BenchState:
    """Return the state with the progress or result of a view's task; unchanged for an outdated task."""
    task = view_task(state)
    if task is None or task.key != key:
        return state
    return replace(state, worked=state.worked.towards(key, share) if found is None else Worked(key, found))


OLD = "OLD: last valid result"
"""Label on results of the last valid job while the present one is invalid."""


_GLANCE = 0.1
"""Time between two progress reports [s]."""


def _is_turned(before: BenchState, state: BenchState) -> bool:
    """Return whether a change of the advice was chosen, be it the only one again."""
    was, now = before.complaint, state.complaint
    return now is not was and now.symptom == was.symptom and before.history is state.history


class ViewPane(ScrolledLines):
    """Widget of a view in lines; repaints only changed cells."""

    DEFAULT_CSS = "ViewPane { height: 1fr; }"

    @dataclasses.dataclass
    class Told(Message):
        """Progress of a background task; with the result `found` when it is done."""

        key: Hashable
        share: float
        found: object = None

    class Counted(Message):
        """The number of lines has changed."""

    _state: BenchState | None = None
    _asked: Hashable = None

    def show(self, state: BenchState) -> None:
        """Show the view of the state; another view starts at the top, another chart of a log is in sight."""
        before, self._state = self._state, state
        if before is None or shown_view(before) != shown_view(state):
            self.first = 0
        elif shown_view(state) == LOGGED and before.log.chart != state.log.chart:
            self._bring_chart(state)
        elif shown_view(state) == "advice" and _is_turned(before, state):
            self._bring_change(state)
        self._work(state)
        self.redraw()

    def _bring_chart(self, state: BenchState) -> None:
        """Scroll to the chart of a log, so that a key that turns it is seen to do so."""
        from tui.bench.views.logged import CHART_ROWS, heading_shown

        (width, height), heading = self.size, heading_shown(state, self._look)
        above, lines = self._drawn(state, width, height)
        room = height - len(above)
        at = next((place for place, line in enumerate(lines) if text_of([line]).strip() == heading), None)
        if at is not None and not self.first <= at <= self.first + room - CHART_ROWS:
            self.first = at

    def _bring_change(self, state: BenchState) -> None:
        """Scroll to the change that is chosen, so that Enter adds none that is out of sight."""
        (width, height), mark = self.size, f"{self._look.glyphs.selected} "
        above, lines = self._drawn(state, width, height)
        room, texts = height - len(above), [text_of([line]) for line in lines]
        at = next((place for place, text in enumerate(texts) if text.startswith(mark)), None)
        if at is None:
            return
        rest = (place for place, text in enumerate(texts) if place > at and not text.startswith("    "))
        end = min(next(rest, len(texts)), at + room)
        if not self.first <= at <= end <= self.first + room:
            self.first = at

    def rest(self) -> None:
        """Stop the task of a view that is no longer shown."""
        if self._asked is not None:
            self._asked = None
            self.workers.cancel_node(self)

    def _work(self, state: BenchState) -> None:
        """Start the task of the view, unless its result is known or it is running already."""
        task = view_task(state)
        if task is None or is_stopped(state):
            self.rest()
        elif task.key not in (state.worked.key, self._asked):
            self._asked = task.key
            in_thread(self, partial(self._run, task), exclusive=True)

    def _run(self, task: Task) -> None:
        """Run a task in a thread; progress is reported if it takes long."""
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

    @property
    def shows(self) -> str:
        """The id of the view that is shown, empty before the first."""
        return shown_view(self._state) if self._state else ""

    def count_at(self, width: int) -> int:
        """Return how many lines there are in a width in cells."""
        if width == self.size.width or self._state is None or shown_view(self._state) not in views():
            return self.count
        return sum(map(len, self._drawn(self._state, width, 0)))

    def redraw(self) -> None:
        """Compute the lines."""
        state, (width, height) = self._state, self.size
        if state is None or shown_view(state) not in views():
            return
        before = self.count
        above, lines = self._drawn(state, width, height)
        self.put_lines(lines, above)
        if self.count != before:
            self.post_message(self.Counted())

    def _drawn(self, state: BenchState, width: int, height: int) -> tuple[list[CellRow], list[CellRow]]:
        """Return the lines that stay above, and those that scroll."""
        view = views()[shown_view(state)]
        above = [cells(OLD, Role.WARNING)] if state.is_outdated and not view.as_typed else []
        if not state.job.setups and not view.as_typed:
            return above, dressed_text(f"No results yet: {NO_SETUP}", width, self._look.glyphs)
        if view.fill is not None:
            return above, view.fill(state, width, self._look, max(height - len(above), 0))
        return above, view.draw(state, width, self._look)
