"""Matching one spring to another, or to target figures: shown, and tried as a new setup."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from physics.answer import SetupAnswer
from physics.faults import Reason
from physics.match import Match
from physics.wants import Want, Wished
from tui.bench.edit import undo
from tui.bench.state import CHART, MATCHES, BenchState, select_setup, show_view
from tui.bench.views.here import FIX_FIRST, NOTHING_YET, View, seat_here, setup_tried
from tui.bench.views.takes import place_here, take_rows
from tui.kit.cells import CellRow
from tui.kit.document import TAKES, Document, Paragraph, SetupName, Take
from tui.kit.dressing import Draw, dressed, told
from tui.kit.keymap import by
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.kit.work import Task, Told
from tui.subjects import match as subject
from tui.subjects.asked import Seat

VIEW, VOLUMES = MATCHES
"""Ids of the view, and of the one with volumes and port free as well."""
WANTS = "wants"
_ALONE = "Only one setup. To match one to it: Space, then c, adds a coil; Space, then a, an air spring."
_WORKING = "Trying volumes and port too ..."
Step = Callable[[BenchState], BenchState]
_ASK = f"Space, then t: type target figures, a semicolon between, such as {subject.EXAMPLE}."


def with_wants(state: BenchState, wants: tuple[Want, ...]) -> BenchState:
    """Return the state with other target figures, their view shown."""
    return show_view(replace(state, wants=wants), WANTS)


def pair_here(state: BenchState) -> tuple[Seat, Seat] | None:
    """Return the target (the selected setup) and the setup to adjust, None if there are no two."""
    target = seat_here(state)
    using = None if target is None else subject.other_kind(target.there, target.place)
    return None if target is None or using is None else (target, target._replace(place=using))


def match_here(state: BenchState) -> subject.Offer[Match] | Reason | None:
    """Return the offer, or the reason why there is none; None while it is computed or without two setups."""
    pair = pair_here(state)
    if pair is None:
        return None
    if state.view == VOLUMES:
        key = _work_key(state)
        return state.worked.found if state.worked.key == key else None  # type: ignore[return-value]
    target, using = pair
    return subject.matched_job(target.there, target.place, using.place, state.units)


def coils_here(state: BenchState) -> tuple[Take, ...]:
    """Return the coil offered and those available to buy instead, nothing for an air spring."""
    found = match_here(state)
    return () if found is None or isinstance(found, str) else subject.match_takes(found, state.units)


def coil_turned(state: BenchState, steps: int) -> BenchState:
    """Select another of the coils offered."""
    coils = coils_here(state)
    last = max(len(coils) - 1, 0)
    return replace(state, taken=min(max(place_here(state, coils) + steps, 0), last))


def wished_here(state: BenchState) -> subject.Offer[Wished] | Reason | None:
    """Return the offer, or the reason why there is none; None without target figures or an answer."""
    seat = seat_here(state)
    if seat is None or not state.wants:
        return None
    return subject.wished_job(seat.there, seat.place, state.wants, state.units)


def _work_key(state: BenchState) -> tuple[object, ...]:
    places = [seat.place for seat in pair_here(state) or ()]
    return (VOLUMES, state.answer.job if state.answer else None, *places, state.units.name)


def task(state: BenchState) -> Task | None:
    """Return the task of matching with free volumes, None without two setups."""
    pair, units = pair_here(state), state.units
    if pair is None:
        return None
    target, using = pair

    def work(told: Told) -> object:
        told(0.0)
        return subject.matched_job(target.there, target.place, using.place, units, volumes=True)

    return Task(_work_key(state), work)


def match_tried(state: BenchState) -> BenchState:
    """Add the offer as a new setup, select it and show the chart; undo removes it."""
    # This view would now match the new setup, which nobody asked for.
    return _tried(state, match_here(state), pair_here(state), view=CHART)


def wish_tried(state: BenchState) -> BenchState:
    """Add the offer as a new setup and select it; undo removes it."""
    return _tried(state, wished_here(state), None, view=WANTS)


def has_match(state: BenchState) -> bool:
    """Return whether a match is offered."""
    return _is_offered(state, match_here(state))


def has_wished(state: BenchState) -> bool:
    """Return whether a setup with the target figures is offered."""
    return _is_offered(state, wished_here(state))


def _is_offered(state: BenchState, found: subject.AnyOffer | Reason | None) -> bool:
    return not state.is_outdated and found is not None and not isinstance(found, str)


def _tried(
    state: BenchState, found: subject.AnyOffer | Reason | None, pair: tuple[Seat, Seat] | None, *, view: str
) -> BenchState:
    if state.is_outdated or state.answer is None:
        return replace(state, note=FIX_FIRST)
    if found is None or isinstance(found, str):
        return replace(state, note="Nothing to try yet.")
    name, table = f"{_typed_name(state, state.setup)} for targets", dict(found.table)
    if pair is not None:
        target, using = (_typed_name(state, seat.place) for seat in pair)
        name = f"{using} as {target}"
        if coils := coils_here(state):
            table |= {str(path[-1]): raw for path, raw in coils[place_here(state, coils)].values}
    return show_view(setup_tried(state, {**table, "name": name}, "Added as"), view)


def _typed_name(state: BenchState, place: int) -> object:
    return state.job.setups[place].get("name", "setup")


def _target_turned(state: BenchState, steps: int) -> BenchState:
    return select_setup(state, (state.setup + steps) % max(len(state.job.setups), 1))


KEYS: Mapping[str, Step] = {"enter": match_tried, "u": undo}
"""Keys while the view has the focus."""
_TURNS: Mapping[str, Step] = {"left": by(_target_turned, -1), "right": by(_target_turned, 1)}
_COILS: Mapping[str, Step] = {"up": by(coil_turned, -1), "down": by(coil_turned, 1)}


def now_keys(state: BenchState) -> Mapping[str, Step]:
    """Return the arrows that choose something: the target setup, and one of several coils."""
    coils = _COILS if len(coils_here(state)) > 1 else {}
    return {**(_TURNS if pair_here(state) is not None else {}), **coils}


WANTS_KEYS: Mapping[str, Step] = {"enter": wish_tried, "u": undo}


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view: the selected setup of the last valid answer is the target setup."""
    pair = pair_here(state)
    if pair is None:
        return told(NOTHING_YET if state.answer is None else _ALONE, width, look.glyphs)
    target, using = pair
    names = SetupName(target.name, target.place, "Target "), SetupName(using.name, using.place, "Set ")
    found = match_here(state)
    if found is None:
        waits = Paragraph(_WORKING, Role.STRONG)
        return dressed(Document((waits, *subject.named(names))), width, look)
    parts: dict[str, Draw] = {TAKES: lambda width: take_rows(state, coils_here(state), width, look)}
    return dressed(_said(state, using, found, names, target.answer), width, look, parts)


def wants_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view of the target figures for the selected setup of the last valid answer."""
    seat = seat_here(state)
    if seat is None:
        return told(NOTHING_YET, width, look.glyphs)
    name = SetupName(seat.name, seat.place)
    offer = wished_here(state)
    if offer is None:
        now = Paragraph(subject.now_text(seat, state.units), Role.STRONG, of=name)
        asks = now, Paragraph(_ASK), Paragraph("", gap=True)
        names = subject.targets_table(seat, state.units), Paragraph(subject.VARIANTS, Role.QUIET)
        return dressed(Document((*asks, *names), seat.fork), width, look)
    return dressed(_said(state, seat, offer, (name,)), width, look)


def _said(
    state: BenchState,
    seat: Seat,
    found: subject.AnyOffer | Reason,
    names: tuple[SetupName, ...],
    like: SetupAnswer | None = None,
) -> Document:
    if isinstance(found, str):
        why = Paragraph(subject.reason_text(found, seat, state.units), Role.STRONG)
        return Document((why, *subject.named(names)))
    return subject.document(seat, found, state.units, like, names)


MATCH_VIEW = View(lines, keys=KEYS, now_keys=now_keys, has_take=has_match)
VOLUMES_VIEW = replace(MATCH_VIEW, task=task)
WANTS_VIEW = View(wants_lines, keys=WANTS_KEYS, has_take=has_wished)
