"""The bench screen: panels beside chart and table, and the lines around them.

Chart and table load numpy and the plotting, so the first frame goes before them.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.geometry import Size

from tui.bench.edit import commit, move_by_rows, open_edit, question, show_panel, show_row
from tui.bench.grid import FieldGrid
from tui.bench.keymap import KEYMAP
from tui.bench.session import Session
from tui.bench.state import BenchState, cursor_to_sag, select_setup, with_answer
from tui.bench.words import figure_lines, keys_line, meaning_lines, results_line, title_line
from tui.job.job import unconfirmed_setups
from tui.job.wheels import is_fork
from tui.kit.keymap import quiet
from tui.kit.look import ChartLook, Glyphs
from tui.kit.screen import Command, StateScreen
from tui.kit.widget import Lines
from tui.themes import ThemeData

if TYPE_CHECKING:
    from tui.bench.table import FigureTable
    from tui.bench.views.pane import Step, ViewPane
    from tui.charts.widget import ChartPanel
    from tui.job.job import History

NO_CURVES = "No curves yet: put right what is marked in the panels."
_SHOWN = ("answer", "is_outdated", "units", "setup", "chart", "slow", "cursor")
"""What chart and table show of a state."""


class Right(Vertical):
    """The place of chart and table, empty until it is filled."""

    def __init__(self, look: ChartLook, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._look = look
        self._chart: ChartPanel | None = None
        self._table: FigureTable | None = None
        self._view: ViewPane | None = None
        self._shown: BenchState | None = None

    def fill(self) -> None:
        """Put chart and table in their place."""
        from tui.bench.table import FigureTable
        from tui.charts.widget import ChartPanel

        self._chart = ChartPanel(self._look, id="chart")
        self._table = FigureTable(self._look, id="table")
        self.mount(self._chart, self._table)

    def show(self, state: BenchState) -> None:
        """Show the last good answer of a state, or the view that it asks for."""
        if state.view:
            self._shown = None
            if self._chart is not None:
                self._show_view(state)
            return
        before = self._shown
        if before is not None and all(getattr(state, name) is getattr(before, name) for name in _SHOWN):
            return
        if self._view is not None:
            self._view.rest()
        if self._chart is None or self._table is None:
            return
        self._shown = state
        answer, stale = state.answer.answer if state.answer else None, state.is_outdated
        doubted = unconfirmed_setups(state.answer.job) if state.answer else frozenset[int]()
        self._table.show(answer, state.units, stale=stale, selected=state.setup, unconfirmed=doubted)
        if answer is None:
            self._chart.say(NO_CURVES)
        else:
            self._chart.show(
                answer,
                state.chart,
                state.units,
                selected_setup=state.setup,
                slow=state.slow,
                stale=stale,
                cursor=state.cursor,
            )

    def _show_view(self, state: BenchState) -> None:
        """Show the view beside the panels; the first one that is asked for brings the widget."""
        if self._view is None:
            from tui.bench.views.pane import ViewPane

            self._view = ViewPane(self._look, id="view")
            self.mount(self._view)
        self._view.show(state)

    @property
    def figure(self) -> str:
        """The key of the figure under the cursor of the table, empty where there is none."""
        return self._table.row_key if self._table is not None and self._table.has_focus else ""

    @property
    def has_cursor(self) -> bool:
        """Whether the cursor is in the table, or in the view that has its place."""
        return any(part is not None and part.has_focus for part in (self._table, self._view))

    def go_to_table(self, state: BenchState) -> None:
        """Put the cursor in the table, or in the view that has its place."""
        if part := self._view if state.view else self._table:
            part.focus()

    def restyle(self, look: ChartLook) -> None:
        """Take other colours and markers."""
        self._look = look
        for part in (self._chart, self._table, self._view):
            if part is not None:
                part.look = look


_CHART_FROM = 64
_TWO_COLUMNS_FROM = 150
_THREE_COLUMNS_FROM = 230
_BOTH_FROM = 34
_LOW_BELOW = 14


def layout_classes(width: int, height: int, *, table: bool) -> Mapping[str, bool]:
    """Return which classes a size has; `table` asks for the table where there is no room for both."""
    both = width >= _CHART_FROM and height >= _BOTH_FROM
    return {
        "-panels-only": width < _CHART_FROM,
        "-two-columns": _TWO_COLUMNS_FROM <= width < _THREE_COLUMNS_FROM,
        "-three-columns": width >= _THREE_COLUMNS_FROM,
        "-both": both,
        "-low": height < _LOW_BELOW,
        "-table-only": table and not both,
    }


class Commands(NamedTuple):
    """What the screen is handed to do besides changing its state.

    `by_id` of their action, and `begin` what is done once the first answer is shown.
    """

    by_id: Mapping[str, Command]
    begin: Callable[[BenchScreen], None]


class BenchScreen(StateScreen[BenchState, int], inherit_bindings=False):
    """Panels, chart, table and the lines around them. It computes nothing: it shows the state it has."""

    KEYMAP = KEYMAP

    def __init__(
        self,
        state: BenchState,
        session: Session,
        themes: Mapping[str, ThemeData],
        theme: str,
        glyphs: Glyphs,
        commands: Callable[[], Commands],
    ) -> None:
        """Put a job on the bench, dressed in one of the themes; its answer follows the first frame.

        `commands` is called after that frame: files, pages and other screens load with it.
        """
        super().__init__(state, themes[theme].chart(glyphs), {})
        self._all_commands = commands
        self.session = session
        self.themes = themes
        self.table_wanted = False
        self._view = ""
        self._painted = False
        self._started = False
        self.at_work: History | None = None
        """The job with what a screen in front has not handed over yet, None where there is none."""

    @property
    def in_table(self) -> bool:
        """Whether the cursor is in the table of figures."""
        return self.right.has_cursor

    @property
    def grid(self) -> FieldGrid:
        """The panels."""
        return self.query_one(FieldGrid)

    @property
    def right(self) -> Right:
        """Chart and table."""
        return self.query_one(Right)

    def compose(self) -> ComposeResult:
        """Stack title, panels beside chart and table, and the lines below."""
        yield Lines(id="title")
        with Horizontal(id="middle"):
            yield FieldGrid(self.look, id="grid")
            yield Right(self.look, id="right")
        yield from (Lines(id=name) for name in ("meaning", "results", "keys"))

    def on_mount(self) -> None:
        """Show the fields, and answer once they are on the screen: physics and chart load after that."""
        self.lay_out(*self.app.size)
        self.grid.focus()
        self.show()
        self.call_after_refresh(self._first_answer)

    def _screen_resized(self, size: Size) -> None:
        # At start the framework tells one size three times, and paints everything each time.
        if self._painted or size != self._compositor.size:
            super()._screen_resized(size)

    def _compositor_refresh(self) -> None:
        # Nor is anything worth painting before the fields are drawn.
        self._painted = self._painted or self._started or any(grid.rows for grid in self.query(FieldGrid))
        if self._painted:
            super()._compositor_refresh()

    def _first_answer(self) -> None:
        self._started = True
        self.right.fill()
        state = with_answer(self.state)
        # The chart is read where the setup settles; without an answer there is no such place yet.
        self.take(cursor_to_sag(state) if state.answer else state)
        self._all_commands().begin(self)
        if not gc.isenabled():
            # What loading has made stays to the end: it need not be looked through again and again.
            gc.freeze()
            gc.enable()

    def on_unmount(self) -> None:
        """Let go of the draft, however the session ends."""
        self.session.leave_behind()

    def commit(self) -> BenchState:
        """Take what is being typed, so that no key loses it."""
        self.take(commit(self.state))
        return self.state

    def _show_newest(self) -> None:
        self.keep()  # first, so that what a person has seen is safe
        super()._show_newest()

    def keep(self) -> None:
        """Keep the job in the draft, with what a screen in front has not handed over yet."""
        if told := self.session.keep(self.at_work or self.state.history):
            self.state = replace(self.state, note=told)

    def restyle(self, look: ChartLook) -> None:
        """Take other colours and markers."""
        self.look = look
        self.grid.look = look
        self.right.restyle(look)
        self.take(self.state)

    def hang_up(self) -> None:
        """Keep the job as it is, with what is being typed."""
        self.state = commit(self.state)
        self.keep()

    def show(self) -> None:
        """Give every widget what it shows."""
        state, glyphs = self.state, self.glyphs
        entered = state.view != self._view and bool(self._own_keys())
        if state.view != self._view:
            self._view = state.view
            self.set_class(bool(state.view), "-view")
            self.grid.focus()
        self.grid.show(state)
        self.right.show(state)
        if entered:
            self.right.go_to_table(state)
        figure, fork = self.right.figure if self.in_table else "", is_fork(state.job)
        meaning = partial(figure_lines, figure, fork) if figure else partial(meaning_lines, state)
        self.lines("title").show(lambda w, h: title_line(state, self.session, w, glyphs))
        self.lines("meaning").show(lambda w, h: meaning(width=w, height=h, glyphs=glyphs))
        self.lines("results").show(lambda w, h: results_line(state, w, self.look))
        self.lines("keys").show(lambda w, h: keys_line(state, w, glyphs, in_table=self.in_table))

    def _own_keys(self) -> Mapping[str, Step]:
        """Return what keys do in the view that is shown, the cursor in it."""
        if not self.state.view:
            return {}
        from tui.bench.views.pane import view_keys  # views come after the first frame

        return view_keys(self.state)

    def is_for_part(self, key: str) -> bool:
        """Return whether a key moves about in the table or in the view, where that has the cursor."""
        return self.in_table and key in self.active_bindings and key not in self._own_keys()

    @property
    def types_here(self) -> bool:
        """Whether what is typed goes into a field."""
        return not self.in_table

    def press(self, key: str, character: str | None) -> None:
        """Do what the key means where the cursor is."""
        own = self._own_keys().get(key) if self.in_table else None
        action = KEYMAP.action_for(self.state, key, character)
        if own is not None:
            self.take(own(quiet(self.state)))
        elif self.in_table and key in ("escape", "tab", "shift+tab", "enter"):
            self.act("table")
        elif not (self.in_table and (action.at_cursor if action else KEYMAP.is_typed(self.state, character))):
            super().press(key, character)

    def act(self, id: str) -> None:
        """Do what no change of state alone can do."""
        asked = None if KEYMAP.named[id].keeps_edit else question(self.state)
        self.take(asked or quiet(self.state))
        if asked is None:
            self._all_commands().by_id[id](self)

    def on_resize(self, event: events.Resize) -> None:
        """Choose the layout for the size."""
        self.lay_out(event.size.width, event.size.height)

    def lay_out(self, width: int, height: int) -> None:
        """Give the screen the layout for a size in cells."""
        before = self.classes
        for name, wanted in layout_classes(width, height, table=self.table_wanted).items():
            self.set_class(wanted, name, update=False)
        if self.classes != before:  # the framework would go through all its styles once for each class
            self.app.update_styles(self)

    @on(FieldGrid.Clicked)
    def _clicked(self, event: FieldGrid.Clicked) -> None:
        self.grid.focus()
        state = quiet(self.state)
        asked = question(state)
        if asked is not None and (event.panel, event.row) != (state.panel, state.rows[state.panel]):
            self.take(asked)
        elif event.row is None:
            self.take(show_panel(state, event.panel))
        elif (event.panel, event.row) != (state.panel, state.rows[state.panel]):
            self.take(show_row(state, event.panel, event.row))
        elif state.edit is None:
            self.take(open_edit(state))

    def rolled(self, state: BenchState, steps: int) -> BenchState:
        """Return the state with the cursor moved by the wheel of the mouse."""
        return question(state) or move_by_rows(state, steps)

    def on_figure_table_setup_selected(self, event: FigureTable.SetupSelected) -> None:
        """Select the setup that was asked for in the table."""
        self.take(select_setup(self.state, event.index))

    def on_view_pane_told(self, event: ViewPane.Told) -> None:
        """Keep what a view had worked out, unless something newer is asked by now."""
        from tui.bench.views.pane import worked_on

        self.take(worked_on(self.state, event.key, event.share, event.found))

    def on_figure_table_row_selected(self) -> None:
        """Say what the figure means."""
        self.take(self.state)

    def on_descendant_focus(self) -> None:
        """Say what the newly focused part means."""
        if self._started:
            self.take(self.state)
