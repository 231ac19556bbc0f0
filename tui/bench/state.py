"""All that the bench is: job, history, cursor, open value, answer, faults and view, and what moves it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from tui.charts.views import ChartView, at_sag, moved
from tui.job.answer import JobAnswer, answer_job
from tui.job.faults import JobFault, UnusableJob
from tui.job.fields import Amount, Choice, Field, input_at
from tui.job.job import History, Job, still_on_bike
from tui.job.panels import FIRST_SETUP, RIDER_MASS, Panel, panels
from tui.job.tree import TreePath
from tui.job.typed import SOLVE, written
from tui.job.wheels import Wheel, faults_of, has_front, left_out, wheel_job, with_wheel_job
from tui.kit.edit import Edit
from tui.kit.work import NOTHING_WORKED, Worked
from tui.shop_units import USUAL, ShopUnits, following

if TYPE_CHECKING:
    from physics.answer import SetupAnswer
    from physics.case import Case
    from physics.inputs import Input
    from physics.wants import Want
    from tui.tables.source import Readings

SWEEP, MAP = "sweep", "map"


class SweepChoice(NamedTuple):
    """What is swept: over which input, in a map against which second one, and which figure it shows.

    At first that is the starting force under riders of every weight.
    """

    over: str = ""
    against: str = ""
    figure: str = "starting_shaft"


def switch_sweep(state: BenchState) -> BenchState:
    """Show the sweep over the field under the cursor; on the same field again, close it."""
    return _with_choice(state, SWEEP, over=input_at(state.row.path) or state.sweep.over)


def switch_map(state: BenchState) -> BenchState:
    """Show the map of the sweep's input against the field under the cursor, or close it."""
    return _with_choice(state, MAP, against=input_at(state.row.path) or state.sweep.against)


def _with_choice(state: BenchState, view: str, **changed: str) -> BenchState:
    choice = state.sweep._replace(**changed)
    if (state.view, state.sweep) == (view, choice):
        return replace(state, view="")
    return replace(state, view=view, sweep=choice)


def next_figure(state: BenchState, steps: int) -> BenchState:
    """Show the next figure that one of the setups has."""
    names, before = figures_here(state), state.sweep.figure
    here = names.index(before) if before in names else 0
    return replace(state, sweep=state.sweep._replace(figure=names[(here + steps) % len(names)]))


def figures_here(state: BenchState) -> tuple[str, ...]:
    """Return the names of the figures that at least one setup of the last valid answer can have."""
    from tui.job.figures import SWEPT, figure_named  # the first frame needs no figures

    setups = () if state.answer is None else state.answer.answer.setups
    kinds = {setup.kind for setup in setups} or {"coil", "air"}
    rides = any(setup.ride is not None for setup in setups)
    return tuple(
        name
        for name in SWEPT
        if kinds.intersection(figure_named(name).kinds) and (rides or not name.startswith("ride_"))
    )


def solved_case(state: BenchState) -> Case | None:
    """Return the last valid case with every rate and pressure as solved, the selected setup first."""
    if state.answer is None:
        return None
    setups = [setup.setup for setup in state.answer.answer.setups]
    index = min(state.setup, len(setups) - 1)
    return replace(state.answer.case, setups=(setups[index], *setups[:index], *setups[index + 1 :]))


def chosen_input(case: Case, wanted: Sequence[str], but: str = "") -> Input:
    """Return the first of the wanted inputs that a case has, else the first it has at all; never `but`."""
    from physics.inputs import inputs_of

    there = {one.name: one for one in inputs_of(case) if one.name != but}
    return next((there[name] for name in wanted if name in there), next(iter(there.values())))


class Complaint(NamedTuple):
    """The place of a symptom in `SYMPTOMS` and that of the change that is looked at."""

    symptom: int = 0
    change: int = 0


LEFT_OUT = "The example {} is left off sheet and report; e then F6 takes it off the job."
"""Said when a job becomes a customer's while one wheel is still an invented example."""


@dataclass(frozen=True)
class BenchState:
    """One moment of the bench.

    `rows` holds the selected row of every panel, so that each is found again where it was left. `bike_answer`
    is the last valid answer, `bike_faults` why there is none for the job as it is now, both of the whole
    bike. `wheel` is the one on the bench: job, panels, answer and faults are those of this wheel alone.
    `cursor` is where the chart is read, a fraction of the wheel travel; `setup` the selected setup, which is
    the one of the panel with the cursor, or the last one that had it; `other_setup` the one selected at the
    other wheel; `note` the last thing said to the person; `view` the one in the place of chart and table,
    `complaint` what was felt on the ride, `sweep` what a sweep or a map shows there, `worked` what a view
    last worked out beside the screen, `readings` what was read off a shock, `wants` the figures wanted of the
    selected setup. What follows from these is worked out once for each state, when first asked for.
    """

    history: History
    rows: tuple[int, ...]
    panel: int = 0
    edit: Edit | None = None
    bike_answer: JobAnswer | None = None
    bike_faults: tuple[JobFault, ...] = ()
    wheel: Wheel = "rear"
    units: ShopUnits = USUAL
    chart: ChartView = ChartView.SHAFT
    slow: bool = False
    cursor: float = 0.0
    setup: int = 0
    other_setup: int = 0
    note: str = ""
    view: str = ""
    complaint: Complaint = field(default_factory=Complaint)
    sweep: SweepChoice = field(default_factory=SweepChoice)
    worked: Worked = NOTHING_WORKED
    readings: Readings | None = None
    wants: tuple[Want, ...] = ()

    @property
    def bike(self) -> Job:
        """The whole job, as typed."""
        return self.history.job

    @cached_property
    def job(self) -> Job:
        """The wheel on the bench as a job of its own; without a front that is the whole job."""
        return wheel_job(self.bike, self.wheel)

    @cached_property
    def answer(self) -> JobAnswer | None:
        """The last valid answer for the wheel on the bench."""
        return self.bike_answer.at(self.wheel) if self.bike_answer else None

    @cached_property
    def faults(self) -> tuple[JobFault, ...]:
        """The faults of the wheel on the bench."""
        return faults_of(self.bike, self.wheel, self.bike_faults)

    @cached_property
    def panels(self) -> tuple[Panel, ...]:
        """The panels of the wheel on the bench."""
        return _panels(self.bike, self.wheel)

    @property
    def row(self) -> Field:
        """The selected row."""
        return self.panels[self.panel].rows[self.rows[self.panel]]

    @property
    def takes_text(self) -> bool:
        """Whether the selected row is typed into, as all are but choices."""
        return not isinstance(self.row.kind, Choice)

    @cached_property
    def is_outdated(self) -> bool:
        """Whether the answer on the screen is that of an older job."""
        return self.answer is not None and self.answer.job != self.job


def open_bench(history: History, units: ShopUnits = USUAL) -> BenchState:
    """Return the bench with a job on it, the rider's mass selected and nothing answered yet."""
    return select_field(BenchState(history, _fitting((), history.job, "rear"), units=units), RIDER_MASS)


def select_field(state: BenchState, path: TreePath) -> BenchState:
    """Return the state with the cursor on the row at `path`; itself where there is no such row."""
    for panel, shown in enumerate(state.panels):
        index = shown.index_of(path)
        if index is not None:
            return with_cursor(state, panel, index)
    return state


def with_cursor(state: BenchState, panel: int, row: int) -> BenchState:
    """Return the state with the cursor on a row, both numbers limited to what there is."""
    panel = min(max(panel, 0), len(state.panels) - 1)
    row = min(max(row, 0), len(state.panels[panel].rows) - 1)
    rows = (*state.rows[:panel], row, *state.rows[panel + 1 :])
    setup = state.panels[panel].setup
    return replace(state, rows=rows, panel=panel, setup=state.setup if setup is None else setup)


def with_job(state: BenchState, job: Job) -> BenchState:
    """Return the state after an edit of the wheel on the bench: in the history, answered, the cursor kept."""
    job = still_on_bike(state.job, job)
    after = with_history(state, state.history.then(with_wheel_job(state.bike, state.wheel, job)))
    out = left_out(after.bike)
    if out is None or out == left_out(state.bike):
        return after
    return replace(after, note=LEFT_OUT.format(out))


def with_history(state: BenchState, history: History) -> BenchState:
    """Return the state on another job of its history, answered, the cursor on the same row if it is there."""
    return at_wheel(state, history, state.wheel if has_front(history.job) else "rear")


def at_wheel(state: BenchState, history: History, wheel: Wheel) -> BenchState:
    """Return the state at a wheel of a job of its history, answered, the cursor kept where possible."""
    path = state.row.path
    record = len(_panels(history.job, wheel)) - 1
    on_record = state.panel == len(state.panels) - 1
    moved = replace(
        state,
        history=history,
        wheel=wheel,
        rows=_fitting(state.rows, history.job, wheel),
        panel=record if on_record else min(state.panel, record - 1),
        setup=min(state.setup, max(len(wheel_job(history.job, wheel).setups) - 1, 0)),
    )
    index = moved.panels[moved.panel].index_of(path)
    return with_answer(with_cursor(moved, moved.panel, moved.rows[moved.panel] if index is None else index))


def with_answer(state: BenchState) -> BenchState:
    """Return the state with its job answered; if that fails, the last valid answer stays."""
    if state.bike_answer is not None and state.bike_answer.job == state.bike:
        return replace(state, bike_faults=())
    try:
        return replace(state, bike_answer=answer_job(state.bike, before=state.bike_answer), bike_faults=())
    except UnusableJob as unusable:
        return replace(state, bike_faults=unusable.faults)


def _fitting(rows: tuple[int, ...], bike: Job, wheel: Wheel) -> tuple[int, ...]:
    """Return a selected row for every panel of a wheel, kept where it exists; the record is the last."""
    shown = _panels(bike, wheel)
    kept = [*rows[:-1], *[0] * len(shown)][: len(shown) - 1] + [*rows[-1:], 0][:1]
    return tuple(min(row, len(panel.rows) - 1) for row, panel in zip(kept, shown, strict=True))


def _panels(bike: Job, wheel: Wheel) -> tuple[Panel, ...]:
    return panels(wheel_job(bike, wheel), wheel if has_front(bike) else None)


def next_chart(state: BenchState, steps: int) -> BenchState:
    """Go some charts forward in the cycle; in a sweep or a map, some figures."""
    if state.view in (SWEEP, MAP):
        return next_figure(state, steps)
    charts = tuple(ChartView)
    return replace(state, chart=charts[(charts.index(state.chart) + steps) % len(charts)])


def switch_slow(state: BenchState) -> BenchState:
    """Show the slow curve past sag over the riding curve, or hide it."""
    return replace(state, slow=not state.slow)


def next_units(state: BenchState) -> BenchState:
    """Go to the next system of units; what was typed keeps its own."""
    units = following(state.units)
    return replace(state, units=units, note=f"Figures in {units.name} units; what was typed keeps its own.")


def select_setup(state: BenchState, index: int) -> BenchState:
    """Select a setup: its panel is the one shown, at the row that was selected there last."""
    panel = FIRST_SETUP + min(max(index, 0), len(state.job.setups) - 1)
    return with_cursor(state, panel, state.rows[panel]) if state.job.setups else state


def move_cursor(state: BenchState, steps: int) -> BenchState:
    """Move the reading cursor by hundredths of the travel."""
    return replace(state, cursor=moved(state.cursor, steps))


def cursor_to_sag(state: BenchState) -> BenchState:
    """Move the reading cursor to the sag of the selected setup."""
    place = at_sag(state.answer.answer, state.setup) if state.answer else None
    if place is None:
        return replace(state, note="The selected setup has no sag point.")
    return replace(state, cursor=place)


def open_at_sag(history: History, units: ShopUnits, note: str = "") -> BenchState:
    """Return the bench with another job on it, answered and read at its sag."""
    return replace(cursor_to_sag(with_answer(open_bench(history, units))), note=note)


def switch_view(state: BenchState, id: str) -> BenchState:
    """Show a view in the place of chart and table, or close it."""
    return replace(state, view="" if state.view == id else id)


def close_view(state: BenchState) -> BenchState:
    """Close the view, whichever it is."""
    return replace(state, view="")


def is_solved(job: Job, row: Field) -> bool:
    """Return whether the job asks for this value instead of giving it."""
    return isinstance(row.kind, Amount) and row.kind.solvable and job.get(row.path) == SOLVE


def solved_text(state: BenchState, row: Field) -> str | None:
    """Return the solved value in the shop's units, None where there is none."""
    found = answered_setup(state, row.path[1])
    if found is None or state.answer is None:
        return None
    return written(found, float(state.answer.answer.shop.pressure), state.units)


def answered_setup(state: BenchState, index: int | str) -> SetupAnswer | None:
    """Return the answer to a setup of the job; that of an older job is known by name and kind."""
    if state.answer is None or not isinstance(index, int):
        return None
    setups = state.answer.answer.setups
    if not state.is_outdated:
        return setups[index]
    setup = state.job.setups[index]
    wanted = (setup.get("name"), setup.get("kind"))
    return next((found for found in setups if (found.name, found.kind) == wanted), None)
