"""Chart and table, beside the panels. They load numpy and the plotting, so the first frame goes before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Vertical

from tui.charts.look import ChartLook
from tui.jobs.unconfirmed import unconfirmed_setups

if TYPE_CHECKING:
    from tui.bench.aside_pane import AsidePane
    from tui.bench.state import BenchState
    from tui.bench.table import FigureTable
    from tui.charts.widget import ChartPanel


NO_CURVES = "No curves yet: put right what is marked in the panels."


class Right(Vertical):
    """The place of chart and table, empty until it is filled."""

    def __init__(self, look: ChartLook, *, id: str | None = None) -> None:
        """Start empty."""
        super().__init__(id=id)
        self._look = look
        self._chart: ChartPanel | None = None
        self._table: FigureTable | None = None
        self._aside: AsidePane | None = None

    def fill(self) -> None:
        """Put chart and table in their place."""
        from tui.bench.table import FigureTable
        from tui.charts.widget import ChartPanel

        self._chart = ChartPanel(self._look, id="chart")
        self._table = FigureTable(self._look, id="table")
        self.mount(self._chart, self._table)

    def show(self, state: BenchState) -> None:
        """Show the last good answer of a state, or the view that it asks for."""
        if state.aside:
            self._show_aside(state)
            return
        if self._aside is not None:
            self._aside.rest()
        answer = state.good.answer if state.good else None
        if self._table is not None:
            doubted = unconfirmed_setups(state.good.job) if state.good else frozenset[int]()
            self._table.show(
                answer, state.units, stale=state.stale, selected=state.setup, unconfirmed=doubted
            )
        if self._chart is None:
            return
        if answer is None:
            self._chart.say(NO_CURVES)
        else:
            self._chart.show(
                answer,
                state.view,
                state.units,
                selected_setup=state.setup,
                slow=state.slow,
                stale=state.stale,
                cursor=state.cursor,
            )

    def _show_aside(self, state: BenchState) -> None:
        """Show the view beside the panels; the first one that is asked for brings the widget."""
        if self._chart is None:
            return
        if self._aside is None:
            from tui.bench.aside_pane import AsidePane

            self._aside = AsidePane(self._look, id="aside")
            self.mount(self._aside)
        self._aside.show(state)

    @property
    def figure(self) -> str:
        """The key of the figure under the cursor of the table, empty where there is none."""
        return self._table.row_key if self._table is not None and self._table.has_focus else ""

    @property
    def has_cursor(self) -> bool:
        """Whether the cursor is in the table, or in the view that has its place."""
        return any(part is not None and part.has_focus for part in (self._table, self._aside))

    def go_to_table(self, state: BenchState) -> None:
        """Put the cursor in the table, or in the view that has its place."""
        part = self._aside if state.aside else self._table
        if part is not None:
            part.focus()

    def restyle(self, look: ChartLook) -> None:
        """Take other colours and markers."""
        self._look = look
        for part in (self._chart, self._table, self._aside):
            if part is not None:
                part.look = look
