"""What the menu of the bench has, and what its finder looks through."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from tui.bench.keymap import KEYMAP, BenchAction, where_of
from tui.bench.state import FIGURES, BenchState, select_field, show_setup, show_step, show_view
from tui.bench.steps import NAMES, VIEWS, Step, StepPanel, is_field
from tui.bench.view_names import VIEW_NAMES, VIEW_SENTENCES
from tui.job.wheels import is_fork
from tui.kit.finder import Item
from tui.kit.keymap import PROGRAM, quiet
from tui.kit.overlays import Overlays, Shelf, act_items
from tui.store.remembered import JobPlace

FIELD, FIGURE, SETUP, VIEW, STEP, JOB = "field", "figure", "setup", "view", "step", "job"
"""What an item of the finder is, besides an act."""

Chosen = tuple[BenchState, BenchAction | JobPlace | None]
"""The state after a key, and the action that the screen has to do in it or the job it has to open, if any."""


def show_help(state: BenchState) -> BenchState:
    """Show the help in the place of the view, or put it away."""
    return replace(quiet(state), helps=not state.helps)


def shelves(state: BenchState) -> tuple[Shelf, Shelf]:
    """Return the shelves of the menu: that of the step, and that of job and program."""
    name = NAMES[state.step]
    return Shelf(name, state.step, name.casefold()), Shelf(PROGRAM, PROGRAM, "job and program")


def _go_to(state: BenchState, item: Item) -> Chosen:
    """Return the state at what was found, or the job to open."""
    kind, target = item.id
    match kind, target:
        case ("view", str(id)):
            return show_view(state, id), None
        case ("step", int(step)):
            return show_step(state, step), None
        case ("setup", int(place)):
            return replace(show_setup(state, place), in_view=False), None
        case ("job", JobPlace() as place):
            return state, place
        case ("figure", str(name)):
            return replace(show_view(state, FIGURES), figure=name), None
        case _:
            assert isinstance(target, tuple)
            return replace(select_field(state, target), in_view=False, helps=False), None


def items(state: BenchState) -> Sequence[Item]:
    """Return everything that can be found from a state, of the fields those of its step first."""
    setups = (str(setup.get("name", "")) for setup in state.job.setups)
    made = [
        *_views(),
        *act_items(KEYMAP, state, where_of),
        *(Item((STEP, int(step)), name, "step", "Tab") for step, name in NAMES.items()),
        *(Item((SETUP, place), name, NAMES[Step.SPRINGS]) for place, name in enumerate(setups)),
        *(
            Item((JOB, place), place.title, "recent job", "", place.file or "in the records")
            for place in state.recent
        ),
        *_fields(sorted(state.panels, key=lambda panel: panel.step is not state.step)),
        *_figures(is_fork(state.job)),
    ]
    return tuple(made)


def _views() -> Iterator[Item]:
    for step, views in VIEWS.items():
        for view in views:
            if next(other for other, those in VIEWS.items() if view in those) is step:
                yield Item((VIEW, view), VIEW_NAMES[view], NAMES[step], "[ ]", VIEW_SENTENCES[view])


def _fields(panels: Sequence[StepPanel]) -> Iterator[Item]:
    for panel in panels:
        if panel.step is Step.COMPARE:
            continue
        where = panel.title if panel.step is Step.SPRINGS else NAMES[panel.step]
        for row in (*panel.rows, *panel.hidden):
            if is_field(row):
                yield Item((FIELD, row.path), row.full_label, where, "", row.meaning)


def _figures(fork: bool) -> Iterator[Item]:
    from tui.job.figures import every_figure, meaning_of

    for figure in every_figure(fork):
        label, meaning = meaning_of(figure.name, fork)
        yield Item((FIGURE, figure.name), label, "figures", "", meaning)


OVERLAYS: Overlays[BenchState, JobPlace] = Overlays(KEYMAP, shelves, items, _go_to)
"""Menu and finder of the bench."""
