"""All that the bench is: job and history, cursor, edit, answer, faults, and what is shown how.

Immutable, and free of any screen: a key is a function from one state to the next. Modules beside this
one hold these functions; every one of them that changes the job goes through `with_job`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from tui.bench.aside_work import NOTHING_YET, Worked
from tui.bench.edit import Edit
from tui.bench.feeling import FIRST, Feeling
from tui.bench.fields import RIDER_MASS, panels
from tui.bench.fields_row import Panel, Row
from tui.bench.state_sweep import RIDERS, SweepChoice
from tui.charts.views import ChartView
from tui.jobs.answering import JobAnswer, answer_job
from tui.jobs.ends import End, end_of, faults_of, has_front, with_end
from tui.jobs.faults import JobFault, UnusableJob
from tui.jobs.history import History
from tui.jobs.job import Job
from tui.jobs.left_out import left_out
from tui.jobs.on_bike import still_on_bike
from tui.jobs.tree import Path
from tui.shop_units import USUAL, ShopUnits

if TYPE_CHECKING:
    from physics.wants import Want
    from tui.readings.kinds import Readings


LEFT_OUT = "The example {} is left off sheet and report; e then F6 takes it off the job."
"""Said when a job becomes a customer's with an end that is still an invented example."""


@dataclass(frozen=True, slots=True)
class BenchState:
    """One moment of the bench.

    `rows` holds the selected row of every panel, so that each is found again where it was left. `known`
    is the last answer that could be given, `wrong` why there is none for the job as it stands now, both of
    all the bike. `end` is the one on the bench: job, panels, answer and faults are then those of its wheel
    alone. `cursor` is where the chart is read, a fraction of the wheel travel; `setup` the selected setup,
    which is the one of the panel with the cursor, or the last one that had it; `other_setup` the one selected
    at the other end; `note` the last thing said to the person; `aside` the view in the place of chart and
    table, `feeling` what was felt on the ride, `sweep` what a sweep or a map shows there, `worked` what a
    view last worked out beside the screen, `readings` what was read off a shock, `wants` the figures wanted
    of the selected setup.
    """

    history: History
    rows: tuple[int, ...]
    panel: int = 0
    edit: Edit | None = None
    known: JobAnswer | None = None
    wrong: tuple[JobFault, ...] = ()
    end: End = "rear"
    units: ShopUnits = USUAL
    view: ChartView = ChartView.SHAFT
    slow: bool = False
    cursor: float = 0.0
    setup: int = 0
    other_setup: int = 0
    note: str = ""
    aside: str = ""
    feeling: Feeling = FIRST
    sweep: SweepChoice = RIDERS
    worked: Worked = NOTHING_YET
    readings: Readings | None = None
    wants: tuple[Want, ...] = ()

    @property
    def bike(self) -> Job:
        """The whole job, as typed."""
        return self.history.job

    @property
    def job(self) -> Job:
        """The end on the bench as the job of a single wheel; what a job without a front is altogether."""
        return end_of(self.bike, self.end)

    @property
    def good(self) -> JobAnswer | None:
        """The last answer to the end on the bench."""
        return self.known.at(self.end) if self.known else None

    @property
    def faults(self) -> tuple[JobFault, ...]:
        """What is wrong at the end on the bench."""
        return faults_of(self.bike, self.end, self.wrong)

    @property
    def panels(self) -> tuple[Panel, ...]:
        """The panels of the end on the bench."""
        return _panels(self.bike, self.end)

    @property
    def row(self) -> Row:
        """The selected row."""
        return self.panels[self.panel].rows[self.rows[self.panel]]

    @property
    def stale(self) -> bool:
        """Whether the answer on the screen is that of an older job."""
        return self.good is not None and self.good.job != self.job


def opened(history: History, units: ShopUnits = USUAL) -> BenchState:
    """Return the bench with a job on it, the rider's mass selected and nothing answered yet."""
    return selected(BenchState(history, _fitting((), history.job, "rear"), units=units), RIDER_MASS)


def selected(state: BenchState, path: Path) -> BenchState:
    """Return the state with the cursor on the row at `path`; itself where there is no such row."""
    for panel, shown in enumerate(state.panels):
        index = shown.index_of(path)
        if index is not None:
            return placed(state, panel, index)
    return state


def quiet(state: BenchState) -> BenchState:
    """Return the state with nothing said: what was said holds until the next key."""
    return replace(state, note="") if state.note else state


def placed(state: BenchState, panel: int, row: int) -> BenchState:
    """Return the state with the cursor on a row, both counted into what there is."""
    panel = min(max(panel, 0), len(state.panels) - 1)
    row = min(max(row, 0), len(state.panels[panel].rows) - 1)
    rows = (*state.rows[:panel], row, *state.rows[panel + 1 :])
    setup = state.panels[panel].setup
    return replace(state, rows=rows, panel=panel, setup=state.setup if setup is None else setup)


def with_job(state: BenchState, job: Job) -> BenchState:
    """Return the state after an edit of the end on the bench: in the history, answered, the cursor kept."""
    job = still_on_bike(state.job, job)
    after = with_history(state, state.history.then(with_end(state.bike, state.end, job)))
    out = left_out(after.bike)
    if out is None or out == left_out(state.bike):
        return after
    return replace(after, note=LEFT_OUT.format(out))


def with_history(state: BenchState, history: History) -> BenchState:
    """Return the state on another job of its history, answered, the cursor on the same row if it is there."""
    return at_end(state, history, state.end if has_front(history.job) else "rear")


def at_end(state: BenchState, history: History, end: End) -> BenchState:
    """Return the state at an end of a job of its history, answered, the cursor kept as far as it can be."""
    path = state.row.path
    record = len(_panels(history.job, end)) - 1
    on_record = state.panel == len(state.panels) - 1
    moved = replace(
        state,
        history=history,
        end=end,
        rows=_fitting(state.rows, history.job, end),
        panel=record if on_record else min(state.panel, record - 1),
        setup=min(state.setup, max(len(end_of(history.job, end).setups) - 1, 0)),
    )
    index = moved.panels[moved.panel].index_of(path)
    return answered(placed(moved, moved.panel, moved.rows[moved.panel] if index is None else index))


def answered(state: BenchState) -> BenchState:
    """Return the state with its job answered; if it cannot be, the last good answer stays."""
    if state.known is not None and state.known.job == state.bike:
        return replace(state, wrong=())
    try:
        return replace(state, known=answer_job(state.bike, before=state.known), wrong=())
    except UnusableJob as unusable:
        return replace(state, wrong=unusable.faults)


def _fitting(rows: tuple[int, ...], bike: Job, end: End) -> tuple[int, ...]:
    """Return a selected row for every panel of an end, kept where it still exists; the record is the last."""
    shown = _panels(bike, end)
    kept = [*rows[:-1], *[0] * len(shown)][: len(shown) - 1] + [*rows[-1:], 0][:1]
    return tuple(min(row, len(panel.rows) - 1) for row, panel in zip(kept, shown, strict=True))


def _panels(bike: Job, end: End) -> tuple[Panel, ...]:
    return panels(end_of(bike, end), end if has_front(bike) else None)
