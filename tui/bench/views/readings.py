"""View of the fit to readings for the selected setup, with a plot of the residuals."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from physics.carried import Carried
from physics.case import Air
from physics.faults import Unfit, Why
from physics.fit import Fit
from tui.bench.edit import undo
from tui.bench.state import READINGS, BenchState, show_view, with_job
from tui.bench.views.here import NOTHING_YET, OTHER_SETUP, View, seat_here, selected_name
from tui.job.answer import JobAnswer
from tui.job.job import setup_on_bike
from tui.job.tree import brief
from tui.kit.cells import CellRow, cells
from tui.kit.document import Block, Document, Paragraph, SetupName
from tui.kit.dressing import Draw, dressed, told
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.kit.work import Task
from tui.shop_units import Measure, ShopUnits
from tui.subjects import measurements
from tui.subjects import readings as subject
from tui.subjects.asked import Seat
from tui.subjects.pumping import expect_text
from tui.tables.source import LoopRead, Readings

Cells = NDArray[np.intp]

_ROWS = 7
_LEAST_ROOM = 20
_IN, _OUT = 1, 2
_MARKS = {_IN: "i", _OUT: "o"}
"""ASCII letters for compression and rebound; mixed cells have a third mark."""
_MIXED = "x"


def _residuals(found: Fit, full: float, look: ChartLook, units: ShopUnits, width: int) -> list[CellRow]:
    """Return the residual plot over a stroke of 0 to `full` [m]; empty if there is no room."""
    largest = float(np.max(np.abs(found.residual)))
    writing = units.writings[Measure.FORCE]
    shown = largest / writing.factor
    labels = [f"{sign * shown:{f'.{writing.digits}f' if shown >= 1 else '.2g'}}" for sign in (1, -1)]
    margin = max(map(len, labels)) + 1
    room = width - margin
    if room < _LEAST_ROOM:
        return []
    marks = _marked(found, full, largest, room)
    names = [f"+{labels[0]}", *[""] * (_ROWS - 2), labels[1]]
    names[_ROWS // 2] = "0"
    rows = [
        cells(f"{name:>{margin - 1}} ", Role.QUIET) + _line(marks[place], place == _ROWS // 2, look)
        for place, name in enumerate(names)
    ]
    end = units.show(full, Measure.TRAVEL)
    gap = max(room - 1 - len(end) - len("stroke"), 2)
    axis = f"{' ' * margin}0{' ' * (gap // 2)}stroke{' ' * (gap - gap // 2)}{end}"
    return [*rows, cells(axis, Role.QUIET)]


def _marked(found: Fit, full: float, largest: float, room: int) -> Cells:
    """Return for each cell (rows, columns) the sum of the directions of the readings in it."""
    height = 1 - found.residual / (largest or 1.0)
    row = np.clip(np.round(height / 2 * (_ROWS - 1)), 0, _ROWS - 1).astype(np.intp)
    column = np.clip(np.round(found.loop.stroke / full * (room - 1)), 0, room - 1).astype(np.intp)
    ways = np.where(found.loop.way > 0, _IN, _OUT)
    marks = np.zeros((_ROWS, room), dtype=np.intp)
    np.bitwise_or.at(marks, (row, column), ways)
    return marks


def _line(marks: Cells, is_middle: bool, look: ChartLook) -> CellRow:
    blank = (look.glyphs.level if is_middle else " ", Role.QUIET)
    return [blank if not mark else (_MARKS.get(int(mark), _MIXED), Role.BASE) for mark in marks]


def task(state: BenchState) -> Task | None:
    """Return the task of the fit, None without readings or an answer."""
    seat, readings = seat_here(state), state.readings
    if seat is None or readings is None:
        return None
    there, place = seat.there, seat.place
    return Task((READINGS, there, place, readings), lambda _told: said_of(there, place, readings))


def said_of(answered: JobAnswer, index: int, readings: Readings) -> subject.Finding | Why:
    """Return the result of readings for a setup, or the reason why there is none."""
    try:
        return subject.finding(answered, index, readings)
    except Unfit as unfit:
        return unfit.why


def found_here(state: BenchState) -> subject.Finding | Why | None:
    """Return the result of the readings, None while it is being computed."""
    asked = task(state)
    if asked is None or state.worked.key != asked.key:
        return None
    return state.worked.found  # type: ignore[return-value]


def with_readings(state: BenchState, readings: Readings) -> BenchState:
    """Return the state with other readings, their view shown."""
    return show_view(replace(state, readings=readings), READINGS)


def has_result(state: BenchState) -> bool:
    """Return whether the readings give a result that the selected setup can take."""
    found = None if state.is_outdated else found_here(state)
    return found is not None and not isinstance(found, Why)


def readings_taken(state: BenchState) -> BenchState:
    """Put the result of the readings into the selected setup; undo reverts it."""
    if state.readings is None or state.view != READINGS:
        return replace(state, note="No measurements yet: Space, then r, and type them.")
    if state.is_outdated:
        return replace(state, note="Fix the marked fields first.")
    found, seat = found_here(state), seat_here(state)
    if seat is None or found is None or isinstance(found, Why):
        return replace(state, note="These measurements give no usable result.")
    job = subject.taken_into(state.job, seat.place, found, state.units)
    if job is None:
        return replace(state, note=subject.NO_PLACE)
    after, said = with_job(state, job), subject.taken_words(found)
    if isinstance(found, Carried) and not after.is_outdated and after.answer is not None:
        rows = measurements.measured_rows(after.answer)
        if (pressures := measurements.pressures_apart(rows, state.units)) is not None:
            said += ": set {}, the gauge read {}".format(*pressures)
    return replace(after, note=f"{said}; u undoes it.")


def may_be_alone(state: BenchState) -> bool:
    """Return whether the readings are a coil's force over stroke, which may be measured out of the shock."""
    seat = seat_here(state)
    is_coil = seat is not None and not isinstance(seat.answer.setup.spring, Air)
    return is_coil and isinstance(state.readings, LoopRead)


def other_measured(state: BenchState) -> BenchState:
    """Take the force for that of the spring alone instead of the whole shock, or the other way round."""
    readings = state.readings
    if not may_be_alone(state) or not isinstance(readings, LoopRead):
        only = "Only a coil's force over stroke may be that of the spring alone"
        return replace(
            state, note=f"{only}: the setup is still {brief(selected_name(state))}.{_other(state)}"
        )
    return with_readings(state, replace(readings, alone=not readings.alone))


KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {
    "left": other_measured,
    "right": other_measured,
    "enter": readings_taken,
    "u": undo,
}
"""Keys while the view has the focus."""


_HOW = (
    "Space, then r, and type one of these: the path of a spring tester's file (stroke, force); stroke and "
    "force in pairs, off caliper and scale: 0 120; 10 900; 20 1700; the gauge before and after one cycle: "
    "before 200 psi after 170 psi; the sag with the rider on: sag 45 mm.",
    "Pairs measured one way only cannot separate the seal friction, so it is asked for; or type it after "
    "the pairs: 0 120; 10 900; 20 1700; friction 15.",
    "Force and stroke give rate, preload and friction of a coil, or volumes, port and friction of an air "
    "spring with typed pressure. Measure slowly, in and out, from full extension. A coil may be measured in "
    "the shock or alone: the result says which is assumed, Left or Right changes it.",
)
_NONE = "Nothing measured yet."
_CARE = (
    "A compressed spring stores energy: guard on, eye protection, stand aside, never exceed max pressure or "
    "stroke. The maker's manual comes first."
)
_WORKING = "Calculating."


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view for the selected setup of the last valid answer."""
    glyphs, seat, readings = look.glyphs, seat_here(state), state.readings
    if readings is None:
        ways = [Paragraph(text, gap=True) for text in _HOW]
        first = _on_bike(state)
        care = Paragraph(_CARE, Role.CAUTION)
        whose = () if seat is None else (Paragraph(_whose(state, seat), of=_setup_of(seat)),)
        answer, *others = first.blocks
        return dressed(replace(first, blocks=(answer, *whose, *others, care, *ways)), width, look)
    if seat is None:
        return told(NOTHING_YET, width, glyphs)
    name, drawn = _setup_of(seat), dict[str, Draw]()
    match found_here(state):
        case None:
            said: tuple[Block, ...] = (Paragraph(_WORKING, Role.QUIET, of=name),)
        case Why() as why:
            text = subject.why_text(why, state.units)
            how = (Paragraph(f"{OTHER_SETUP}."),) if len(state.job.setups) > 1 else ()
            said = (Paragraph(text, Role.CAUTION, of=name), *how)
        case found:
            source = readings.source if isinstance(readings, LoopRead) else ""
            said = subject.document(found, seat.answer.setup, state.units, source, name).blocks
            if isinstance(found, Fit):
                full = float(seat.there.answer.frame.stroke)
                drawn[subject.RESIDUALS] = partial(_residuals, found, full, look, state.units)
    return dressed(Document(said), width, look, drawn)


def _whose(state: BenchState, seat: Seat) -> str:
    """Return that measurements are taken for the setup selected, and how to choose another."""
    text = "measurements go to this setup"
    return f"{text}; {OTHER_SETUP}." if len(state.job.setups) > 1 else f"{text}."


def _other(state: BenchState) -> str:
    """Return how another setup is chosen from the view, empty without one."""
    return " Escape, then Left or Right chooses another." if len(state.job.setups) > 1 else ""


def _setup_of(seat: Seat) -> SetupName:
    return SetupName(seat.name, seat.place)


def _on_bike(state: BenchState) -> Document:
    """Return what was measured on the bike with its expected range, else the sag to expect."""
    if state.answer is None or not state.answer.answer.setups:
        return Document((Paragraph(_NONE, Role.STRONG),))
    place, target = setup_on_bike(state.answer.job), state.answer.case.target
    setup, fork = state.answer.answer.setups[place], state.answer.answer.frame.fork
    name = SetupName(setup.name, place)
    blocks = measurements.document(state.answer, place, state.units).blocks
    if blocks and isinstance(blocks[0], Paragraph):
        return Document((replace(blocks[0], role=Role.STRONG, of=name), *blocks[1:]), fork)
    where = "wheel" if target.of == "travel" else "shock"
    expected = expect_text(setup, target.of, state.units)
    sag = f" Sag at the {where}: {expected[:1].lower()}{expected[1:]}" if expected else ""
    return Document((Paragraph(f"{_NONE}{sag}", Role.STRONG, of=name), *blocks), fork)


VIEW = View(lines, task=task, keys=KEYS, has_take=has_result)
