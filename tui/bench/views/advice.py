"""After the ride: symptoms, felt or shown by a log, the change looked at, and trying it as a new setup."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from physics.advise import Advised, Symptom
from tui.bench.edit import one_wheel_text, undo
from tui.bench.state import RIDDEN_SYMPTOM, BenchState, Complaint, symptom_now, symptoms_ticked, with_job
from tui.bench.views.here import FIX_FIRST, NOTHING_YET, OTHER_SETUP, View, seat_here, setup_tried
from tui.job.choices import SYMPTOMS, words_of
from tui.job.job import setup_on_bike
from tui.job.wheels import has_front
from tui.kit.cells import CellRow
from tui.kit.document import Document, Paragraph, SetupName
from tui.kit.dressing import dressed, setup_name, told
from tui.kit.keymap import by
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.kit.work import Task
from tui.subjects.advice import AdviceAsked, best_text, change_text, document

if TYPE_CHECKING:
    from tui.bench.views.logged import OnSeat


def task(state: BenchState) -> Task | None:
    """Return what is to be read and calculated of the logged ride, None without one."""
    if not state.log.files:
        return None
    from tui.bench.views import logged  # a bench without a log needs nothing of it

    return logged.task(state)


def log_here(state: BenchState) -> OnSeat | None:
    """Return what a log says of the selected setup, None where none was read or it is of another one."""
    seat = seat_here(state)
    if seat is None or not state.log.files:
        return None
    from tui.bench.views import logged

    return logged.of_seat(state, seat)


def asked(state: BenchState) -> tuple[Symptom, ...]:
    """Return the symptoms to find changes for: those ticked, else the selected one."""
    return symptoms_ticked(state) or (symptom_now(state),)


def _place(state: BenchState) -> int:
    """Return the index of the selected symptom."""
    return tuple(SYMPTOMS).index(symptom_now(state))


def symptom_turned(state: BenchState, steps: int) -> BenchState:
    """Select another symptom; if none is ticked, also select its best change."""
    place = (_place(state) + steps) % len(SYMPTOMS)
    return replace(state, complaint=Complaint(place, state.complaint.change if symptoms_ticked(state) else 0))


def symptom_ticked(state: BenchState, way: int) -> BenchState:
    """Tick or untick the selected symptom; this records it in the job, undo reverts it."""
    here, before = symptom_now(state), symptoms_ticked(state)
    if (here in before) == (way > 0):
        is_so = "ticked already" if way > 0 else "not ticked"
        return replace(state, note=f"{SYMPTOMS[here].label}: {is_so}.")
    after = tuple(one for one in before if one != here) if here in before else (*before, here)
    words = words_of(after)
    job = (
        state.job.taken_out(RIDDEN_SYMPTOM) if words is None else state.job.with_value(RIDDEN_SYMPTOM, words)
    )
    said = f"{SYMPTOMS[here].label}: {'no longer ticked' if here in before else 'ticked'}; u undoes it."
    return replace(with_job(state, job), complaint=Complaint(_place(state)), note=said)


def change_turned(state: BenchState, steps: int) -> BenchState:
    """Select another change."""
    found = advice_here(state)
    here = advice_asked(state)
    if here is None or found is None or not found.changes:
        return state
    count = len(found.changes)
    change = (change_here(state, found) + steps) % count
    said = change_text(found.changes[change], found.setup, state.units, here.seat.outside)
    note = f"Change {change + 1} of {count}: {said}."
    return replace(state, complaint=state.complaint._replace(change=change), note=note)


def change_here(state: BenchState, found: Advised) -> int:
    """Return the index of the selected change, clamped."""
    return min(state.complaint.change, max(len(found.changes) - 1, 0))


def advice_asked(state: BenchState) -> AdviceAsked | None:
    """Return the request for advice, None before there is an answer.

    It is for what the log shows and what is ticked; the selected symptom only without either.
    """
    seat, log = seat_here(state), log_here(state)
    if seat is None or state.bike_answer is None:
        return None
    if log is not None:
        from tui.ride.again import advice_on

        if log.again is not None and log.again.asked is not None:
            # The very changes that were ridden, typed in the units of then.
            return log.again.asked._replace(units=state.units)
        shown = advice_on(state.bike_answer, log.ridden, state.units)
        if shown is not None:
            return shown
    return AdviceAsked(state.bike_answer, seat, asked(state), state.units, state.other_setup)


def advice_here(state: BenchState) -> Advised | None:
    """Return the advice for the selected setup of the last valid answer, None if there can be none."""
    here, log = advice_asked(state), log_here(state)
    if log is not None and log.again is not None and log.again.advised is not None:
        return log.again.advised
    return None if here is None else here.found


def has_change(state: BenchState) -> bool:
    """Return whether there is a change to try."""
    found = None if state.is_outdated else advice_here(state)
    return found is not None and bool(found.changes)


def change_tried(state: BenchState) -> BenchState:
    """Add a copy of the selected setup with the change applied and select it; undo reverts it."""
    here, found = advice_asked(state), advice_here(state)
    if state.is_outdated or here is None:
        return replace(state, note=FIX_FIRST)
    if found is None or not found.changes:
        return replace(state, note="No change to try.")
    # The predicted figures were computed from exactly these texts.
    log, place = log_here(state), change_here(state, found)
    ridden = () if log is None or log.again is None else log.again.typed
    table = ridden[place] if place < len(ridden) else here.typed(found.changes[place])
    job, said = here.loaded.seat.there.job, "Added as"
    if job != state.job:
        said = "Load set as measured; added as"
    tried = setup_tried(state, table, said, job)
    return replace(tried, complaint=Complaint(state.complaint.symptom))


KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {
    "up": by(symptom_turned, -1),
    "down": by(symptom_turned, 1),
    "left": by(change_turned, -1),
    "right": by(change_turned, 1),
    "+": by(symptom_ticked, 1),
    "-": by(symptom_ticked, -1),
    "enter": change_tried,
    "u": undo,
}
"""Keys while the view has the focus."""


def _to_tick(state: BenchState) -> str:
    """Return a hint on how to tick a symptom, with the keys of the pane that has the focus."""
    lead = "" if state.in_view else "Space, then v, comes here; "
    here = SYMPTOMS[symptom_now(state)].label
    return (
        f"No complaint is ticked. {lead}Up Down chooses one, + ticks it. Below is only what would help if "
        f'the rider complained of "{here}".'
    )


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view of the selected setup of the last valid answer."""
    here, found, log = advice_asked(state), advice_here(state), log_here(state)
    if here is None:
        return told(NOTHING_YET, width, look.glyphs)
    shown = _of_log(state, log, width, look)
    rows = (
        []
        if symptoms_ticked(state) or log is not None
        else told(_to_tick(state), width, look.glyphs, Role.STRONG)
    )
    if found is not None and not rows:
        best = Paragraph(best_text(here, found), Role.STRONG, of=SetupName(here.seat.name, here.seat.place))
        rows += dressed(Document((best,)), width, look)
    else:
        rows.append(setup_name(here.seat.name, here.seat.place, look))
    on_bike = setup_on_bike(here.seat.there.job)
    if on_bike != here.seat.place:
        name = here.seat.there.answer.setups[on_bike].name
        for said in (f"This is not the setup on the bike ({name}).", f"{OTHER_SETUP}."):
            rows += told(said, width, look.glyphs, Role.QUIET)
    rows += shown
    rows += _felt(state, width, look)
    if found is None or ("unbalanced" in here.symptoms and here.bike.front is None):
        rows += told(one_wheel_text(state), width, look.glyphs)
    if found is None:
        return rows
    used: list[str] = []
    if log is not None and log.again is not None and log.again.advised is found:
        from tui.ride.again import effect_texts

        used = effect_texts(log.again, state.units)
    felt = log is not None or bool(symptoms_ticked(state))
    chosen, mark = change_here(state, found), look.glyphs.selected
    return rows + dressed(document(here, found, chosen, used, mark, felt=felt), width, look)


def _of_log(state: BenchState, log: OnSeat | None, width: int, look: ChartLook) -> list[CellRow]:
    """Return what the log says in place of a complaint, and how far what is calculated of it has come."""
    if not state.log.files:
        return []
    from tui.bench.views.logged import doing_text, found_here, is_unusable
    from tui.ride.again import log_document

    rows, doing, read = [], doing_text(state), found_here(state)
    if log is not None:
        rows = dressed(log_document(log.name, log.ridden, log.again, state.units), width, look)
    elif read is not None and read.rides and not doing:
        ridden = ", ".join(one.seat.name for one in read.rides[0].channels)
        rows = told(f"{read.rides[0].name} was ridden on {ridden}.", width, look.glyphs, Role.QUIET)
    if is_unusable(state) and read is not None:
        rows += told(read.trouble.splitlines()[0], width, look.glyphs, Role.CAUTION)
    return rows + (told(f"{doing}.", width, look.glyphs, Role.QUIET) if doing else [])


_BOTH_WHEELS = "Complaints count for the whole bike: ticked at the other wheel too."


def _felt(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the symptoms that are ticked and the selected one, each with what would improve it."""
    here, those = symptom_now(state), symptoms_ticked(state)
    blocks = []
    for place, (symptom, said) in enumerate(SYMPTOMS.items(), 1):
        if symptom == here or symptom in those:
            text = (
                f"{said.label}, {'ticked' if symptom in those else 'not ticked'} ({place} of {len(SYMPTOMS)})"
            )
            lead, role = (look.glyphs.selected, Role.STRONG) if symptom == here else (" ", Role.BASE)
            blocks.append(Paragraph(f"{text}: {said.means}", role, lead=f"{lead} "))
    rows = dressed(Document(tuple(blocks)), width, look)
    if those and has_front(state.bike):
        rows += told(_BOTH_WHEELS, width, look.glyphs, Role.QUIET)
    wanted = advice_asked(state)
    wanted_for = those if wanted is None or not those else wanted.symptoms
    if those and (here not in those or wanted_for != those):
        all_of_them = ", ".join(SYMPTOMS[one].label for one in wanted_for)
        of_log = "" if wanted_for == those else " and what the log shows"
        rows += told(f"Changes are for all ticked{of_log}: {all_of_them}.", width, look.glyphs, Role.STRONG)
    return rows


VIEW = View(lines, task=task, keys=KEYS, has_take=has_change)
