"""What a view is, and what views share: the selected setup of the last answer, and trying a setup."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field, replace

from physics.frozen import dataclass
from tui.bench.edit import add_setup
from tui.bench.state import BenchState, show_step
from tui.charts.series import Scene
from tui.job.job import Job
from tui.job.tree import Raw
from tui.kit.cells import CellRow
from tui.kit.document import Rows
from tui.kit.look import ChartLook
from tui.kit.work import Task
from tui.subjects.asked import Seat

Step = Callable[[BenchState], BenchState]
Draw = Callable[[BenchState, int, ChartLook], list[CellRow]]
"""Returns all lines of a view for a width in cells."""


@dataclass(frozen=True, slots=True)
class View:
    """A view in lines.

    `draw` returns its lines, `fill` does so for a height too if a drawing uses the rows left by the text.
    `as_typed` marks a view of the job as typed, which is never outdated. `task` returns its background task.
    `keys` are its keys while it has the focus, `now_keys` those that depend on the state, `acts` the actions
    of its keys. `has_take` tells whether there is something that Enter takes; views with lines to take need
    neither `keys` nor `has_take` for that. For export, `scene` returns its chart and `numbers` its table, if
    the tables of its document are not enough.
    """

    draw: Draw
    fill: Callable[[BenchState, int, ChartLook, int], list[CellRow]] | None = None
    as_typed: bool = False
    task: Callable[[BenchState], Task | None] | None = None
    keys: Mapping[str, Step] = field(default_factory=dict)
    now_keys: Callable[[BenchState], Mapping[str, Step]] = lambda _state: {}
    acts: Callable[[BenchState], Mapping[str, str]] = lambda _state: {}
    has_take: Callable[[BenchState], bool] = lambda _state: True
    scene: Callable[[BenchState, ChartLook], Scene | None] | None = None
    numbers: Callable[[BenchState], Rows] | None = None


NOTHING_YET = "No results yet: fix the marked fields first."
OTHER_SETUP = "Left and Right in the fields choose another setup"
FIX_FIRST = "Fix the marked fields first: these results are OLD."


def seat_here(state: BenchState) -> Seat | None:
    """Return the selected setup of the last answer, None before there is one."""
    if state.answer is None:
        return None
    return Seat(state.wheel, state.answer, min(state.setup, len(state.answer.answer.setups) - 1))


def selected_name(state: BenchState) -> str:
    """Return the name of the selected setup as typed, also before there is an answer."""
    setups = state.job.setups
    return str(setups[min(state.setup, len(setups) - 1)].get("name", "")) if setups else ""


def setup_tried(state: BenchState, table: Mapping[str, Raw], said: str, job: Job | None = None) -> BenchState:
    """Return the state with a setup added and selected in the same view; the note is `said` and its name.

    It is added to the `job` of the wheel if one is given, in one edit.
    """
    tried = add_setup(state, table, "Tried", job)
    if tried.job == state.job:
        return tried
    if tried.step is not state.step:
        tried = replace(show_step(tried, state.step), in_view=state.in_view)
    return replace(tried, note=f"{said} {tried.job.setups[-1]['name']}; u undoes it.")
