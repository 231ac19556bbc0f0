"""One spring in the place of another: shown, with volumes free as well, and tried as a new setup."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from physics.answer import SetupAnswer
from physics.match import Match
from tui.bench.edit import setup_added, undone
from tui.bench.state import BenchState, setup_selected
from tui.kit.cells import CellRow, cells
from tui.kit.document import Role
from tui.kit.dressing import columns, heading, setup_name, told
from tui.kit.look import ChartLook
from tui.kit.work import Task, Told
from tui.subjects.match import (
    MEANING,
    MIND,
    Offer,
    buyable_text,
    caution_texts,
    close_text,
    figure_rows,
    gap_text,
    matched_job,
    on_bound_text,
    reason_text,
    sag_text,
    searched_text,
    settings_rows,
)

if TYPE_CHECKING:
    from physics.faults import Reason
    from physics.match import Match
    from tui.bench.state import BenchState
    from tui.subjects.match import Offer

VIEW, VOLUMES = "match", "match_volumes"
"""The view, and the same with volumes and port free as well."""


def match_asked(state: BenchState) -> BenchState:
    """Show the view; asked again with volumes free as well, and then the chart."""
    following = {VIEW: VOLUMES, VOLUMES: ""}
    return replace(state, view=following.get(state.view, VIEW))


def pair_here(state: BenchState) -> tuple[int, int] | None:
    """Return the target setup, the selected one, and the setup to be set, None where there are no two."""
    from tui.subjects.match import other_kind  # the physics loads after the first frame

    if state.answer is None:
        return None
    target = min(state.setup, len(state.answer.answer.setups) - 1)
    using = other_kind(state.answer, target)
    return None if using is None else (target, using)


def match_here(state: BenchState) -> Offer[Match] | Reason | None:
    """Return what is offered, why nothing is, or None while it is worked out or where there are no two."""
    from tui.subjects.match import matched_job

    pair = pair_here(state)
    if pair is None or state.answer is None:
        return None
    if state.view == VOLUMES:
        key = work_key(state)
        return state.worked.found if state.worked.key == key else None  # type: ignore[return-value]
    return matched_job(state.answer, *pair, state.units)


def work_key(state: BenchState) -> tuple[object, ...]:
    """Return what the work beside the screen is about."""
    return (VOLUMES, state.answer.job if state.answer else None, pair_here(state), state.units.name)


def match_tried(state: BenchState) -> BenchState:
    """Add what is offered as a setup of its own and go to it, the chart shown; undo removes it."""
    if state.is_outdated or state.answer is None:
        return replace(state, note="Put right what is marked in the panels first: this is of an older job.")
    found, pair = match_here(state), pair_here(state)
    if pair is None or found is None or isinstance(found, str):
        return replace(state, note="There is nothing to try yet.")
    target, using = (state.job.setups[place] for place in pair)
    named = {**found.table, "name": f"{using.get('name', 'setup')} as {target.get('name', 'setup')}"}
    tried = setup_added(state, named, "Tried")
    # The view would be of the new setup and what is like it, which nobody asked for.
    return replace(tried, view="", note=f"Added as {tried.job.setups[-1]['name']}; u undoes it.")


def _target_turned(steps: int) -> Callable[[BenchState], BenchState]:
    return lambda state: setup_selected(state, (state.setup + steps) % max(len(state.job.setups), 1))


KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {
    "left": _target_turned(-1),
    "right": _target_turned(1),
    "enter": match_tried,
    "u": undone,
}
"""What keys do while the cursor is in the view."""


_KEYS = "Left, right: another target setup. Enter tries it as a new setup. C: {other}. t: panels."
_OTHER = {False: "with volumes and port free too", True: "the chart again"}
_NOTHING_YET = "Nothing to say yet: fix what is marked in the panels."
_ALONE = "There is one setup only: add another spring to set like it, c for a coil, a for air."
_WORKING = "Trying volumes and ports as well ..."


def task(state: BenchState) -> Task | None:
    """Return the work of trying other volumes as well, None where there are no two setups."""
    good, pair, units = state.answer, pair_here(state), state.units
    if good is None or pair is None:
        return None

    def work(told: Told) -> object:
        told(0.0)
        return matched_job(good, *pair, units, volumes=True)

    return Task(work_key(state), work)


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view: the selected setup of the last good answer is the target setup."""
    rows = told(_KEYS.format(other=_OTHER[state.view == VOLUMES]), width, look.glyphs, Role.QUIET)
    pair = pair_here(state)
    if state.answer is None or pair is None:
        return rows + told(_NOTHING_YET if state.answer is None else _ALONE, width, look.glyphs)
    setups = state.answer.answer.setups
    target, using = pair
    rows += [[], cells("Target ", Role.BASE) + setup_name(setups[target].name, target, look)]
    rows += [cells("Set    ", Role.BASE) + setup_name(setups[using].name, using, look)]
    found = match_here(state)
    if found is None:
        return rows + told(_WORKING, width, look.glyphs)
    if isinstance(found, str):
        why = reason_text(found, setups[using].setup, state.answer.answer, state.units)
        return rows + told(why, width, look.glyphs, Role.STRONG)
    return rows + _found(state, found, setups[target], setups[using], width, look)


def _found(
    state: BenchState, offer: Offer[Match], target: SetupAnswer, now: SetupAnswer, width: int, look: ChartLook
) -> list[CellRow]:
    units, found, glyphs = state.units, offer.found, look.glyphs
    outside = float(offer.tried.answer.shop.pressure)
    rows = columns([["", "now", "found"], *settings_rows(now.setup, offer, units, outside)])
    for text in (sag_text(offer.setup, units), close_text(found, units), gap_text(found, units)):
        rows += told(text, width, glyphs, Role.STRONG)
    rows += told(buyable_text(found, units), width, glyphs)
    rows += told(on_bound_text(offer), width, glyphs, Role.STRONG)
    for text in caution_texts(offer, units):
        rows += told(text, width, glyphs, Role.CAUTION)
    rows += told(MIND, width, glyphs, Role.CAUTION)
    rows += heading("Figures as it rides")
    figures = [["", "target", "found", "now"], *figure_rows((target, offer.setup, now), units)]
    # A narrow view has no room for how it stands.
    wide = columns(figures)
    rows += wide if max(map(len, wide)) <= width else columns([row[:-1] for row in figures])
    rows += heading("Searched")
    rows += told(searched_text(offer, units), width, glyphs, Role.QUIET)
    return rows + told(MEANING, width, glyphs, Role.QUIET)
