"""Contents of the bench's menu and finder."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from physics.frozen import NamedTuple
from tui.bench.keymap import KEYMAP, BenchAction, where_of
from tui.bench.state import (
    ADVICE,
    FIGURES,
    MATCHES,
    BenchState,
    Complaint,
    kind_of,
    select_field,
    show_setup,
    show_step,
    show_view,
)
from tui.bench.steps import NAMES, OF_KIND, VIEW_ROWS, VIEWS, Step, StepPanel, is_field
from tui.job.choices import SYMPTOMS
from tui.job.fields import Choice, Field
from tui.job.wheels import has_front, is_fork, spoken
from tui.kit.finder import Item
from tui.kit.keymap import PROGRAM, key_text, quiet
from tui.kit.overlays import ACT, Overlays, Shelf, act_items
from tui.store.remembered import JobPlace

FIELD, FIGURE, SETUP, VIEW, STEP, JOB = "field", "figure", "setup", "view", "step", "job"
SYMPTOM = "symptom"
"""Kinds of finder items besides actions."""

Chosen = tuple[BenchState, BenchAction | JobPlace | None]
"""The state after a key, and an action for the screen to do or a job for it to open, if any."""


def show_help(state: BenchState) -> BenchState:
    """Show the help in the place of the view, or close it."""
    return replace(quiet(state), helps=not state.helps)


def shelves(state: BenchState) -> tuple[Shelf, Shelf]:
    """Return the shelves of the menu: one for the step, one for job and program."""
    name = NAMES[state.step]
    return Shelf(name, state.step, name.casefold()), Shelf(PROGRAM, PROGRAM, "job and program")


def _go_to(state: BenchState, item: Item) -> Chosen:
    """Return the state at a finder item, or the job to open."""
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
        case ("symptom", int(place)):
            return replace(show_view(state, ADVICE), complaint=Complaint(place)), None
        case ("figure", str(name)):
            return replace(show_view(state, FIGURES), figure=name), None
        case _:
            assert isinstance(target, tuple)
            return replace(select_field(state, target), in_view=False, helps=False), None


_WITHIN = {
    "records": "Saved jobs, frames, shocks, deleted jobs, history of a bike, conflicting versions, job for "
    "the next rider, compare two revisions, demo shop, erase deleted jobs.",
    "linkage": "Points, bars, pivots, axle, shock eyes, pixels of a side photo, known length, level points, "
    "invented examples.",
}
"""Contents of other screens, by the id of the action that opens them."""


def items(state: BenchState) -> Sequence[Item]:
    """Return everything the finder can find, fields of the present step and of the selected setup first."""
    setups = (str(setup.get("name", "")) for setup in state.job.setups)
    made = [
        *_views(state),
        *(
            item._replace(help=_WITHIN.get(str(item.id[1]), ""))
            for item in act_items(KEYMAP, state, where_of)
        ),
        *(Item((STEP, int(step)), name, "step", "Tab") for step, name in NAMES.items()),
        *(Item((SETUP, place), name, NAMES[Step.SPRINGS]) for place, name in enumerate(setups)),
        *(
            Item((JOB, place), place.title, "recent job", "", place.file or "in the records")
            for place in state.recent
        ),
        *(
            Item((JOB, saved.place), saved.place.title, SAVED_JOB, key_text(KEYMAP.named["records"]), words)
            for saved in state.saved
            if saved.place.where not in {place.where for place in state.recent}
            for words in (saved.words,)
        ),
        *_fields(state),
        *(
            Item((SYMPTOM, place), said.label, f"{NAMES[Step.RIDE]}, symptom", "[ ]", said.means)
            for place, said in enumerate(SYMPTOMS.values())
        ),
        *_figures(is_fork(state.job)),
    ]
    return tuple(made)


def _views(state: BenchState) -> Iterator[Item]:
    for step, views in VIEWS.items():
        for view in views:
            if next(other for other, those in VIEWS.items() if view in those) is step:
                yield Item(
                    (VIEW, view),
                    VIEW_ROWS[view].name,
                    NAMES[step],
                    "[ ]",
                    VIEW_ROWS[view].sentence,
                    _why_empty(state, view),
                    spoken(VIEW_ROWS[view].help, is_fork(state.job)),
                )


def _why_empty(state: BenchState, view: str) -> str:
    """Return why a view has nothing to show, empty if it has."""
    kind = OF_KIND.get(view)
    if kind and not any(kind_of(setup) == kind for setup in state.job.setups):
        return f"the job has no {'air spring' if kind == 'air' else 'coil'}"
    if view == "balance" and not has_front(state.bike):
        return "the job has one wheel"
    if view in (*MATCHES, "difference") and len(state.job.setups) < 2:
        return "there is only one setup"
    return ""


def _fields(state: BenchState) -> Iterator[Item]:
    """Yield the fields, those of the present step and of the selected setup first; Tab reaches others."""

    def is_elsewhere(panel: StepPanel) -> tuple[bool, bool]:
        return panel.step is not state.step, panel.setup not in (None, state.setup)

    for panel in sorted(state.panels, key=is_elsewhere):
        if panel.step is Step.COMPARE:
            continue
        where = panel.title if panel.step is Step.SPRINGS else NAMES[panel.step]
        key = "Up Down" if panel.step is state.step else "Tab"
        for row in (*panel.rows, *panel.hidden):
            if is_field(row):
                yield Item((FIELD, row.path), row.full_label, where, key, row.meaning, help=_help_of(row))


def _help_of(row: Field) -> str:
    """Return further help on a field: its options, its meaning when empty, its caution."""
    options = (option.word for option in row.kind.options) if isinstance(row.kind, Choice) else ()
    usual = f"Left empty: {row.usual}." if row.usual else ""
    one_of = f"One of: {', '.join(options)}." if isinstance(row.kind, Choice) else ""
    key = ".".join(part for part in row.path if isinstance(part, str))
    return " ".join(filter(None, (one_of, usual, row.caution, f"In the file: {key}.")))


def _figures(fork: bool) -> Iterator[Item]:
    from tui.job.figures import every_figure, meaning_of

    for figure in every_figure(fork):
        label, meaning = meaning_of(figure.name, fork)
        yield Item(
            (FIGURE, figure.name), label, "figures", "[ ]", meaning, help=f"In the JSON: {figure.name}."
        )


ON_BENCH, SAVED_JOB = "on the bench", "saved job"
"""Locations shown in the finder: on the bench (for screens in front of it), and in the records."""


class BenchTarget(NamedTuple):
    """A finder item of the bench, by its id, as found from a screen in front of it."""

    id: tuple[str, object]


def items_in_front(state: BenchState, but: Collection[str], *, saved: bool = True) -> tuple[Item, ...]:
    """Return the finder items of the bench for a screen in front of it, without actions that it has too.

    `saved` jobs are included unless that screen has them itself.
    """
    return tuple(
        Item((ON_BENCH, BenchTarget(item.id)), item.name, ON_BENCH, "", item.words, item.reason, item.help)
        for item in items(state)
        if (item.id[0] != ACT or item.id[1] not in but) and (saved or item.where != SAVED_JOB)
    )


OVERLAYS: Overlays[BenchState, JobPlace] = Overlays(KEYMAP, shelves, items, _go_to)
"""Menu and finder of the bench."""
