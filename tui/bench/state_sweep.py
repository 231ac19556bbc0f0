"""What a sweep and a map are over: the field under the cursor chooses the input, a key turns the figure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from tui.jobs.sweep_words import FIGURE_KEYS, INPUTS, figure_named
from tui.jobs.tree import Path

if TYPE_CHECKING:
    from physics.case import Case
    from physics.inputs import Input
    from tui.bench.state import BenchState

SWEEP, MAP = "sweep", "map"
_BY_ANOTHER_KEY = {"posture": "rider_share", "preload_turns": "preload"}
_NEVER = ("ride", "tolerance")
"""Tables of a job whose numbers are no inputs although some share their keys."""


class SweepChoice(NamedTuple):
    """What is swept: over which input, in a map against which second one, and which figure it shows."""

    over: str = ""
    against: str = ""
    figure: str = "starting_shaft"


RIDERS = SweepChoice()
"""The sweep that comes first: the starting force under riders of every weight."""


def sweep_asked(state: BenchState) -> BenchState:
    """Show the sweep over the field under the cursor; asked again on the same field, take it away."""
    named = input_at(state.row.path)
    return _asked(state, SWEEP, named, state.sweep.over, state.sweep._replace(over=named or state.sweep.over))


def map_asked(state: BenchState) -> BenchState:
    """Show the map of the sweep's input against the field under the cursor, or take it away."""
    named = input_at(state.row.path)
    against = state.sweep._replace(against=named or state.sweep.against)
    return _asked(state, MAP, named, state.sweep.against, against)


def _asked(state: BenchState, view: str, named: str, before: str, choice: SweepChoice) -> BenchState:
    if state.aside == view and named in ("", before):
        return replace(state, aside="")
    return replace(state, aside=view, sweep=choice)


def input_at(path: Path) -> str:
    """Return the name of the input that stands at a path of a job, empty where none does."""
    if not path or path[0] in _NEVER:
        return ""
    key = str(path[-1])
    name = _BY_ANOTHER_KEY.get(key, key)
    return name if name in INPUTS else ""


def figure_turned(state: BenchState, steps: int) -> BenchState:
    """Show the next figure that one of the setups has."""
    names = figures_here(state)
    here = names.index(state.sweep.figure) if state.sweep.figure in names else 0
    figure = names[(here + steps) % len(names)]
    return replace(state, sweep=state.sweep._replace(figure=figure))


def figures_here(state: BenchState) -> tuple[str, ...]:
    """Return the names of the figures that at least one setup of the last good answer can have."""
    answer = None if state.good is None else state.good.answer
    setups = () if answer is None else answer.setups
    kinds = {setup.kind for setup in setups} or {"coil", "air"}
    rides = any(setup.ride is not None for setup in setups)
    return tuple(
        name
        for name in FIGURE_KEYS
        if kinds.intersection(figure_named(name).kinds) and (rides or not name.startswith("ride_"))
    )


def known_case(state: BenchState) -> Case | None:
    """Return the last good case with every rate and pressure as it was found, the selected setup first."""
    if state.good is None:
        return None
    setups = [setup.setup for setup in state.good.answer.setups]
    index = min(state.setup, len(setups) - 1)
    return replace(state.good.case, setups=(setups[index], *setups[:index], *setups[index + 1 :]))


def chosen_input(case: Case, wanted: Sequence[str], but: str = "") -> Input:
    """Return the first of the wanted inputs that a case has, else the first it has at all; never `but`."""
    from physics.inputs import inputs_of

    there = {one.name: one for one in inputs_of(case) if one.name != but}
    return next((there[name] for name in wanted if name in there), next(iter(there.values())))
