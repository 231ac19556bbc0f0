"""The state of the bench (job, step, view, focus, open value, answer, faults) and its transitions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace
from functools import cached_property
from typing import TYPE_CHECKING

from physics.frozen import NamedTuple, dataclass
from tui.bench.steps import (
    OF_KIND,
    VIEWS,
    Step,
    StepPanel,
    is_field,
    panel_of,
    setup_of_row,
    step_panels,
    step_with,
    views_of,
)
from tui.charts.views import ChartView, at_sag, moved
from tui.job.answer import JobAnswer, answer_job
from tui.job.choices import SYMPTOMS, symptoms_of
from tui.job.faults import JobFault, UnusableJob
from tui.job.fields import Amount, Choice, Field, input_at
from tui.job.job import ON_BIKE, History, Job, setup_on_bike, still_on_bike
from tui.job.panels import RIDER_MASS
from tui.job.tree import Tree, TreePath
from tui.job.typed import SOLVE, written
from tui.job.wheels import Wheel, faults_of, has_front, left_out, wheel_job, with_wheel_job
from tui.kit.edit import Edit
from tui.kit.finder import Finder
from tui.kit.work import NOTHING_WORKED, Worked
from tui.shop_units import USUAL, ShopUnits, following

if TYPE_CHECKING:
    from physics.advise import Symptom
    from physics.answer import SetupAnswer
    from physics.case import Case
    from physics.inputs import Input
    from physics.wants import Want
    from tui.store.remembered import JobPlace
    from tui.tables.recorded import LogFile
    from tui.tables.source import Readings

CHART, FIGURES, SWEEP, MAP, LEVERAGE, SPACERS = "chart", "figures", "sweep", "map", "leverage", "spacers"
EVENTS, LOGGED, CONDITIONS, READINGS = "events", "logged", "conditions", "readings"
ADVICE = "advice"
MATCHES = ("match", "match_volumes")
"""Ids of views that other modules of the bench refer to."""
OF_CHART = {LEVERAGE: ChartView.LEVERAGE, "difference": ChartView.DIFFERENCE}
"""Views that show one chart; the view "chart" cycles through all charts."""
_FIRST_VIEWS = tuple(views[0] for views in VIEWS.values())


class EventChoice(NamedTuple):
    """The event in the view of events, and how it is shown.

    `sizes` are those of all events as typed, `knob` the one under the cursor, `shows` the index of the
    quantity in the chart, `at` the time of the readout [s], None for that of deepest travel. `slower` is the
    factor by which the replay is slower than real time, `plays` whether it is running.
    """

    name: str = "drop"
    sizes: Job = Job(Tree({}))
    knob: int = 0
    shows: int = 0
    at: float | None = None
    slower: int = 10
    plays: bool = False
    figure: str = ""
    over: str = ""
    by: str = ""


class LogChoice(NamedTuple):
    """One or two logged rides, and the index of the chart shown.

    `on_sheet`: the first of them is on the setup sheet.
    """

    files: tuple[LogFile, ...] = ()
    chart: int = 0
    on_sheet: bool = False


def with_log(state: BenchState, file: LogFile, *, beside: bool = False) -> BenchState:
    """Return the state with a logged ride in its view, replacing others, or `beside` the first."""
    files = (*state.log.files[:1], file) if beside else (file,)
    is_same = beside and state.log.on_sheet
    return show_view(replace(state, log=LogChoice(files, on_sheet=is_same)), LOGGED)


def without_log(state: BenchState) -> BenchState:
    """Return the state without logged rides."""
    return replace(
        state, log=LogChoice(), note="Logged rides removed from the view; their files are unchanged."
    )


class SweepChoice(NamedTuple):
    """The sweep: its input, the second input of a map, and the figure shown.

    The default is the breakaway force over rider mass.
    """

    over: str = ""
    against: str = ""
    figure: str = "starting_shaft"


def sweep_field(state: BenchState) -> BenchState:
    """Show the sweep over the field under the cursor."""
    over = input_at(state.row.path) or state.sweep.over
    return show_view(replace(state, sweep=state.sweep._replace(over=over), cell=None), SWEEP)


def map_field(state: BenchState) -> BenchState:
    """Show the map of the sweep's input against the field under the cursor."""
    against = input_at(state.row.path) or state.sweep.against
    return show_view(replace(state, sweep=state.sweep._replace(against=against), cell=None), MAP)


def next_figure(state: BenchState, steps: int) -> BenchState:
    """Show the next figure that at least one setup has."""
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
    """Return the last valid case with all rates and pressures solved, the selected setup first."""
    if state.answer is None:
        return None
    setups = [setup.setup for setup in state.answer.answer.setups]
    index = min(state.setup, len(setups) - 1)
    return replace(state.answer.case, setups=(setups[index], *setups[:index], *setups[index + 1 :]))


def chosen_input(case: Case, wanted: Sequence[str], but: str = "") -> Input:
    """Return the first of the wanted inputs that a case has, else its first input; never `but`."""
    from physics.inputs import inputs_of

    there = {one.name: one for one in inputs_of(case) if one.name != but}
    return next((there[name] for name in wanted if name in there), next(iter(there.values())))


class SavedJob(NamedTuple):
    """A job of the records: its place, and further words for the finder besides its title."""

    place: JobPlace
    words: str


class Complaint(NamedTuple):
    """The index of a symptom in `SYMPTOMS`, None for the first one ticked, and of the selected change."""

    symptom: int | None = None
    change: int = 0


RIDDEN_SYMPTOM: TreePath = ("ridden", "symptom")


def symptoms_ticked(state: BenchState) -> tuple[Symptom, ...]:
    """Return the symptoms recorded in the job, in display order."""
    return symptoms_of(state.job.get(RIDDEN_SYMPTOM))


def symptom_now(state: BenchState) -> Symptom:
    """Return the selected symptom: the first one ticked, or of all, until another is selected."""
    if (place := state.complaint.symptom) is not None:
        return tuple(SYMPTOMS)[place]
    return next(iter(symptoms_ticked(state) or SYMPTOMS))


NO_SETUP_OF = {
    "air": "The job has no air spring: Space, then a, adds one.",
    "coil": "The job has no coil: Space, then c, adds one.",
}
"""Message if a view needs a setup of a kind that the job does not have, by kind."""
LEFT_OUT = "Example {} left off sheet and report; on Frame: Space e, Space k remove it."
"""Message when a job gets a customer while one wheel is still an invented example."""


@dataclass(frozen=True)
class BenchState:
    """One state of the bench. Derived values are computed once per state, on first use.

    The job: `bike_answer` is the last valid answer, `bike_faults` say why there is none for the present job,
    both of the whole bike. `wheel` is the one on the bench; job, panels, answer and faults are those of this
    wheel alone. `left` has the jobs of the history that were left last, each with the setup and wheel
    selected then. `recent` are the recent jobs, `saved` the known ones of the records.

    Selection: `rows` has the selected row of every panel. `setup` is the selected setup, that of the panel or
    of the row under the cursor, `other_setup` the one selected at the other wheel. `option` is the one picked
    in an open list of options, None while none is open.

    Views: `views` are the views last shown in each step; with `in_view` the view has the focus, else the
    fields. `cursor` is the position of the chart's readout as a fraction of the wheel travel, `figure` the
    selected row of the table, `taken` the selected line of a view that Enter takes, `cell` the selected row
    and column of a table or map, None for the job's present values. `zoom` gives the pane with the focus the
    whole screen; `unfolded` are the steps that show all their fields, as does a step whose fields fit in the
    `room` of a large screen [lines]; `menu` and `finder` replace the lines below when open; `helps` shows the
    help instead of the view. `note` is the last message.

    Contents of views: `complaint` (the symptom and change selected), `sweep`, `event`, `log` (the logged
    rides), `readings`, `wants` (the target figures), `worked` (the last result computed in the background).
    """

    history: History
    rows: tuple[int, ...]
    panel: int = 0
    edit: Edit | None = None
    option: int | None = None
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
    recent: tuple[JobPlace, ...] = ()
    saved: tuple[SavedJob, ...] = ()
    views: tuple[str, ...] = _FIRST_VIEWS
    in_view: bool = False
    figure: str = ""
    taken: int = 0
    cell: tuple[int, int] | None = None
    zoom: bool = False
    unfolded: frozenset[Step] = frozenset()
    room: int = 0
    menu: str = ""
    finder: Finder | None = None
    helps: bool = False
    complaint: Complaint = field(default_factory=Complaint)
    sweep: SweepChoice = field(default_factory=SweepChoice)
    event: EventChoice = field(default_factory=EventChoice)
    log: LogChoice = field(default_factory=LogChoice)
    worked: Worked = NOTHING_WORKED
    readings: Readings | None = None
    wants: tuple[Want, ...] = ()
    left: tuple[tuple[Job, int, Wheel], ...] = field(default=(), compare=False, repr=False)

    @property
    def bike(self) -> Job:
        """The whole job, as typed."""
        return self.history.job

    @cached_property
    def job(self) -> Job:
        """The wheel on the bench as a job of its own; for a job of one wheel, the whole job."""
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
    def panels(self) -> tuple[StepPanel, ...]:
        """The panels of the wheel on the bench."""
        return step_panels(self.bike, self.wheel, self.unfolded, self.room)

    @property
    def step(self) -> Step:
        """The step of the work that is shown."""
        return self.panels[self.panel].step

    @property
    def kind(self) -> str:
        """The kind of the selected setup, empty if there is none."""
        setups = self.job.setups[self.setup : self.setup + 1]
        return kind_of(setups[0]) if setups else ""

    @property
    def view_ids(self) -> tuple[str, ...]:
        """The ids of the views of the step."""
        return views_of(self.step, self.kind)

    @property
    def view(self) -> str:
        """The id of the view beside the fields."""
        last, there = self.views[self.step], self.view_ids
        return last if last in there else there[0]

    @property
    def view_has_focus(self) -> bool:
        """Whether the view has the focus, or the help in its place; else the fields have it."""
        return self.in_view or self.helps

    @property
    def row(self) -> Field:
        """The selected row."""
        return self.panels[self.panel].rows[self.rows[self.panel]]

    @property
    def takes_text(self) -> bool:
        """Whether the selected row takes typed text, as all rows except choices do."""
        return is_field(self.row) and not isinstance(self.row.kind, Choice)

    @cached_property
    def is_outdated(self) -> bool:
        """Whether the answer on the screen belongs to an older job."""
        return self.answer is not None and self.answer.job != self.job


def kind_of(setup: Tree) -> str:
    """Return the kind of a setup."""
    return "air" if setup.get("kind") == "air" else "coil"


def open_bench(history: History, units: ShopUnits = USUAL) -> BenchState:
    """Return the bench with a job, the rider's mass selected, not answered yet."""
    state = BenchState(history, (), units=units)
    return select_field(replace(state, rows=_fitting(None, state)), RIDER_MASS)


def select_field(state: BenchState, path: TreePath) -> BenchState:
    """Return the state with the cursor on the row at `path`, unfolded if needed; unchanged without one."""
    for panel, shown in enumerate(state.panels):
        index = shown.index_of(path)
        if index is not None:
            return with_cursor(state, panel, index)
        if any(row.path == path for row in shown.hidden):
            return select_field(replace(state, unfolded=state.unfolded | {shown.step}), path)
    return state


def with_cursor(state: BenchState, panel: int, row: int) -> BenchState:
    """Return the state with the cursor on a row, both indices clamped."""
    panel = min(max(panel, 0), len(state.panels) - 1)
    there = state.panels[panel].rows
    row = min(max(row, 0), max(len(there) - 1, 0))
    rows = (*state.rows[:panel], row, *state.rows[panel + 1 :])
    setup = state.panels[panel].setup
    if setup is None and there:
        setup = setup_of_row(there[row])
    setup = state.setup if setup is None else setup
    return replace(state, rows=rows, panel=panel, setup=setup, option=None)


def switch_rest(state: BenchState) -> BenchState:
    """Show the rest of the fields of the step, or hide it."""
    return replace(state, unfolded=state.unfolded ^ {state.step})


def with_room(state: BenchState, room: int) -> BenchState:
    """Return the state on a screen with room for so many lines of fields, the cursor of every panel kept."""
    if state.room == room:
        return state
    after = replace(state, room=room)
    rows = []
    for before, here, row in zip(state.panels, after.panels, state.rows, strict=True):
        index = here.index_of(before.rows[row].path) if row < len(before.rows) else 0
        rows.append(min(row, max(len(here.rows) - 1, 0)) if index is None else index)
    return replace(after, rows=tuple(rows))


def with_job(state: BenchState, job: Job) -> BenchState:
    """Return the state after an edit of the wheel on the bench: in the history, answered, cursor kept."""
    job = still_on_bike(state.job, job)
    after = with_history(leaving(state), state.history.then(with_wheel_job(state.bike, state.wheel, job)))
    out = left_out(after.bike)
    if out is None or out == left_out(state.bike):
        return after
    return replace(after, note=LEFT_OUT.format(out))


_MOST_LEFT = 50


def leaving(state: BenchState) -> BenchState:
    """Return the state before going to another job of its history: the selection is remembered."""
    return replace(state, left=(*state.left, (state.bike, state.setup, state.wheel))[-_MOST_LEFT:])


def with_history(state: BenchState, history: History) -> BenchState:
    """Return the state on another job of its history, answered, the cursor on the same row if possible."""
    after = at_wheel(state, history, state.wheel if has_front(history.job) else "rear")
    # Read at the sag, the chart stays there: only a person moves it elsewhere. A first answer is read there.
    before, place = sag_place(state), sag_place(after)
    if place is None or (state.bike_answer is not None and state.cursor != before):
        return after
    return replace(after, cursor=place)


def sag_place(state: BenchState) -> float | None:
    """Return the reading cursor at the sag of the selected setup, None if there is none."""
    return at_sag(state.answer.answer, state.setup) if state.answer else None


def at_wheel(state: BenchState, history: History, wheel: Wheel) -> BenchState:
    """Return the state at a wheel of a job of its history, answered, the cursor on its row if possible."""
    path, step = state.row.path, state.step
    setup = min(state.setup, max(len(wheel_job(history.job, wheel).setups) - 1, 0))
    after = replace(state, history=history, wheel=wheel, setup=setup)
    count = len(after.job.setups)
    panel = panel_of(step, setup, count)
    rows = _fitting(state, after)
    moved = replace(after, rows=rows, panel=panel)
    index = moved.panels[panel].index_of(path)
    return with_answer(with_cursor(moved, panel, rows[panel] if index is None else index))


def with_answer(state: BenchState) -> BenchState:
    """Return the state with its job answered; if that fails, the last valid answer stays."""
    if state.bike_answer is not None and state.bike_answer.job == state.bike:
        return replace(state, bike_faults=())
    try:
        return replace(state, bike_answer=answer_job(state.bike, before=state.bike_answer), bike_faults=())
    except UnusableJob as unusable:
        return replace(state, bike_faults=unusable.faults)


def _fitting(before: BenchState | None, after: BenchState) -> tuple[int, ...]:
    """Return the selected row of every panel, kept where it exists; the last three panels are other steps."""
    tail = len(Step) - Step.COMPARE
    rows = before.rows if before else ()
    first, last = rows[:-tail], rows[-tail:]
    count = len(after.panels)
    kept = [*first, *[0] * count][: count - tail] + [*last, *[0] * tail][:tail]
    return tuple(min(row, max(len(panel.rows) - 1, 0)) for row, panel in zip(kept, after.panels, strict=True))


def next_chart(state: BenchState, steps: int) -> BenchState:
    """Advance by some charts, wrapping around."""
    charts = tuple(ChartView)
    return replace(state, chart=charts[(charts.index(state.chart) + steps) % len(charts)])


def switch_slow(state: BenchState) -> BenchState:
    """Show the slow curve past sag over the riding curve, or hide it."""
    return replace(state, slow=not state.slow)


def next_units(state: BenchState) -> BenchState:
    """Switch to the next system of units; typed values keep theirs."""
    units = following(state.units)
    return replace(state, units=units, note=f"Figures in {units.name} units; typed values keep theirs.")


def show_step(state: BenchState, step: int) -> BenchState:
    """Go to the fields of a step, at the row selected there last; wraps around."""
    to = Step(step % len(Step))
    if to is Step.RIDE and state.job.get(ON_BIKE) is not None:
        state = replace(state, setup=setup_on_bike(state.job))
    panel = panel_of(to, state.setup, len(state.job.setups))
    moved = with_cursor(state, panel, state.rows[panel])
    same = setup_of_row(moved.row) in (None, state.setup) or moved.step is not Step.COMPARE
    return replace(moved if same else select_setup(moved, state.setup), in_view=False, helps=False)


def select_setup(state: BenchState, index: int) -> BenchState:
    """Select a setup without leaving the step: the cursor goes to its panel or rows."""
    count = len(state.job.setups)
    index = min(max(index, 0), max(count - 1, 0))
    if state.step is Step.SPRINGS and count:
        panel = panel_of(Step.SPRINGS, index, count)
        return with_cursor(state, panel, state.rows[panel])
    if state.step is Step.COMPARE:
        of = [place for place, row in enumerate(state.panels[state.panel].rows) if setup_of_row(row) == index]
        return with_cursor(state, state.panel, of[0]) if of else replace(state, setup=index)
    return replace(state, setup=index)


def next_setup(state: BenchState, steps: int) -> BenchState:
    """Select the setup some places on, wrapping to the first."""
    return select_setup(state, (state.setup + steps) % max(len(state.job.setups), 1))


def show_setup(state: BenchState, index: int) -> BenchState:
    """Go to the panel of a setup."""
    panel = panel_of(Step.SPRINGS, index, len(state.job.setups))
    return with_cursor(state, panel, state.rows[panel])


def move_cursor(state: BenchState, steps: int) -> BenchState:
    """Move the reading cursor by hundredths of the travel."""
    return replace(state, cursor=moved(state.cursor, steps))


def cursor_to_sag(state: BenchState) -> BenchState:
    """Move the reading cursor to the sag of the selected setup."""
    place = sag_place(state)
    if place is None:
        return replace(state, note="The selected setup has no sag.")
    return replace(state, cursor=place)


def open_at_sag(before: BenchState, history: History, note: str = "") -> BenchState:
    """Return the bench with another job, answered, read at its sag; units, zoom, finder and event stay."""
    fresh = replace(
        open_bench(history, before.units),
        recent=before.recent,
        saved=before.saved,
        zoom=before.zoom,
        event=before.event._replace(at=None, plays=False),
        finder=before.finder,
        menu=before.menu,
    )
    return replace(cursor_to_sag(with_answer(fresh)), note=note)


def show_view(state: BenchState, view: str, *, focus: bool = True) -> BenchState:
    """Show a view in its step and give it the focus; if it needs a kind of setup, select one of that kind.

    The conditions begin with the setup on the bike, if it is known; advice with a symptom that is ticked.
    """
    step = step_with(view, state.step)
    there = state if step is state.step else show_step(state, step)
    kind = OF_KIND.get(view, there.kind) if step is Step.SPRINGS else there.kind
    if kind != there.kind:
        of = [place for place, setup in enumerate(there.job.setups) if kind_of(setup) == kind]
        if not of:
            return replace(there, note=NO_SETUP_OF[kind])
        there = select_setup(there, of[0])
    views = (*there.views[:step], view, *there.views[step + 1 :])
    if view == CONDITIONS != there.view and there.job.get(ON_BIKE) is not None:
        there = select_setup(there, setup_on_bike(there.job))
    if there.view != view:
        there = replace(there, taken=0, cell=None)
    if view == ADVICE and not (state.view == ADVICE and state.in_view):
        those = symptoms_ticked(there)
        there = replace(
            there, complaint=Complaint() if those and symptom_now(there) not in those else there.complaint
        )
    return replace(there, views=views, in_view=focus, helps=False, option=None)


def turn_view(state: BenchState, steps: int) -> BenchState:
    """Show the next view of the step, wrapping around, and give it the focus."""
    ids = state.view_ids
    if len(ids) == 1 and state.in_view and not state.helps:
        return replace(state, note="This step has one view.")
    return show_view(state, ids[(ids.index(state.view) + steps) % len(ids)])


def other_pane(state: BenchState) -> BenchState:
    """Give the focus to the view that is shown, or back to the fields."""
    return replace(state, in_view=not state.view_has_focus, helps=False, option=None)


def step_back(state: BenchState) -> BenchState:
    """Go one step back: from help to the view, from the view to the fields, from zoom to both panes."""
    if state.helps:
        return replace(state, helps=False)
    if state.in_view:
        return replace(state, in_view=False)
    return replace(state, zoom=False) if state.zoom else replace(state, note="Already at the fields.")


def switch_zoom(state: BenchState) -> BenchState:
    """Zoom the pane with the focus to the whole screen, or show both panes again."""
    return replace(state, zoom=not state.zoom)


def shown_chart(state: BenchState) -> ChartView | None:
    """Return the chart of the view, None if it has none, as the leverage view of a refused frame."""
    if state.view == LEVERAGE and any(fault.path[:1] == ("frame",) for fault in state.faults):
        return None
    return OF_CHART.get(state.view, state.chart if state.view == CHART else None)


def is_solved(job: Job, row: Field) -> bool:
    """Return whether this value is to be solved."""
    return isinstance(row.kind, Amount) and row.kind.solvable and job.get(row.path) == SOLVE


def solved_text(state: BenchState, row: Field) -> str | None:
    """Return the solved value in the shop's units, None if there is none."""
    found = answered_setup(state, row.path[1])
    if found is None or state.answer is None:
        return None
    return written(found, float(state.answer.answer.shop.pressure), state.units)


def answered_setup(state: BenchState, index: int | str) -> SetupAnswer | None:
    """Return the answer for a setup of the job; in an outdated answer it is found by name and kind."""
    if state.answer is None or not isinstance(index, int):
        return None
    setups = state.answer.answer.setups
    if not state.is_outdated:
        return setups[index]
    setup = state.job.setups[index]
    wanted = (setup.get("name"), setup.get("kind"))
    return next((found for found in setups if (found.name, found.kind) == wanted), None)
