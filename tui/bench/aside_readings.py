"""Backwards from readings: what the tester, the gauge or the sag ring say of the selected setup."""

from __future__ import annotations

import numpy as np

from physics.arrays import values
from physics.carried import Carried
from physics.case import Coil, Setup
from physics.cycled import Cycled
from physics.faults import Why
from physics.fit import Estimate, Fit, parameter_of
from tui.bench.aside_residuals import LEGEND, drawn_residuals
from tui.bench.aside_text import Role, columns, heading, setup_name, told
from tui.bench.state import BenchState
from tui.bench.state_readings import found_here, setup_here
from tui.charts.cells import Row
from tui.charts.look import ChartLook
from tui.readings.fitted import (
    bend_words,
    errors_words,
    friction_words,
    left_out_words,
    shape_words,
    tied_words,
    tools_words,
    used_words,
)
from tui.readings.kinds import LoopRead
from tui.readings.said import carried_words, cycled_words
from tui.readings.words import MEASURES, NAMES, why_text
from tui.shop_units import ABSENT, Measure, ShopUnits

_KEYS = "R asks for readings. Enter takes what they say into the setup, u takes that back. t goes out and in."
_HOW = (
    "Press R again and type one of these. The path of a spring tester's file of stroke and force. Or pairs "
    "read off a scale and a caliper: 0 120; 10 900; 20 1700. Or the gauge before and after cycling once: "
    "before 200 psi after 170 psi. Or the sag under the rider: sag 45 mm.",
    "Readings one way do not tell the seal friction, so it is asked for; among pairs it may stand last: "
    "0 120; 10 900; 20 1700; friction 15.",
    "From force and stroke come rate, preload and friction of a coil; volumes, port and friction of an air "
    "spring whose pressure is typed. Readings in and out, slowly, from full extension, tell the most.",
)
_CARE = (
    "A spring pushed by hand or tester holds energy: guard on, eye protection, stand aside, never beyond the "
    "label's pressure or the stroke. The maker's manual comes first."
)
_WORKING = "Working it out."
_TAKEN = (
    "Air at the shop's temperature, pressed slowly; bore, rod, body, pressure, gas and bumper as the setup "
    "has them. ± is one standard error, of scatter and tools together: the true value lies within two of "
    "them some nineteen times in twenty, if the readings scatter by chance."
)
_TELL_FRICTION = "R asks again and takes the friction; reading coming out as well tells it."


def lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the view for the selected setup of the last good answer."""
    glyphs = look.glyphs
    keys = told(_KEYS, width, glyphs, Role.QUIET)
    if state.readings is None:
        rows = keys
        for text in _HOW:
            rows += [[], *told(text, width, glyphs)]
        return rows + [[], *told(_CARE, width, glyphs, Role.CAUTION)]
    if state.good is None:
        return told("Nothing to say yet: put right what is marked in the panels.", width, glyphs) + keys
    index = setup_here(state)
    setup = state.good.answer.setups[index]
    head = [setup_name(setup.name, index, look)]
    full = float(state.good.answer.frame.stroke)
    return [*head, *_said(state, setup.setup, full, width, look), [], *keys]


def _said(state: BenchState, setup: Setup, full: float, width: int, look: ChartLook) -> list[Row]:
    """Return what the readings say of the setup."""
    glyphs = look.glyphs
    match found_here(state):
        case None:
            return told(_WORKING, width, glyphs, Role.QUIET)
        case Why() as why:
            return told(why_text(why, state.units), width, glyphs, Role.CAUTION)
        case Fit() as fitted:
            return _fitted(fitted, state, setup, full, width, look)
        case Cycled() as cycling:
            return _told_all(cycled_words(cycling, state.units), width, look)
        case Carried() as carrying:
            return _told_all(carried_words(carrying, state.units), width, look)


def _told_all(texts: tuple[str, ...], width: int, look: ChartLook) -> list[Row]:
    return [row for text in texts for row in told(text, width, look.glyphs)]


def _fitted(
    found: Fit, state: BenchState, setup: Setup, full: float, width: int, look: ChartLook
) -> list[Row]:
    units, glyphs, readings = state.units, look.glyphs, state.readings
    source = readings.source if isinstance(readings, LoopRead) else ""
    rows = columns([["", "found", "±", "now"], *(_row(one, setup, units) for one in found.estimates)], gap=1)
    friction, is_unknown = friction_words(found, units), found.friction.said == "unknown"
    for text in (*bend_words(found), *tied_words(found)):
        rows += told(text, width, glyphs, Role.CAUTION)
    for text in friction:
        rows += told(text, width, glyphs, Role.CAUTION if is_unknown else Role.BASE)
    rows += told(_TELL_FRICTION, width, glyphs) if is_unknown else []
    for text in left_out_words(found, units):
        rows += told(text, width, glyphs)
    scatter = units.show(found.scatter, Measure.FORCE)
    rows += told(f"{used_words(found)}, {source}. Scatter {scatter}.", width, glyphs)
    rows += heading(f"Left between readings and spring, {units.unit(Measure.FORCE)}")
    rows += drawn_residuals(found, full, width, look, units)
    rows += told(f"{LEGEND} {shape_words(found)}", width, glyphs, Role.QUIET)
    rows += heading("Where the ± comes from")
    for text in (*errors_words(found, units), tools_words(found, units)):
        rows += told(text, width, glyphs) if text else []
    volumes = "" if isinstance(setup.spring, Coil) else " Volumes are without spacers."
    return [*rows, [], *told(_TAKEN + volumes, width, glyphs, Role.QUIET)]


def _row(one: Estimate, setup: Setup, units: ShopUnits) -> list[str | Row]:
    measure = MEASURES[one.name]
    writing = units.writings[measure]
    had = parameter_of(setup, one.name)
    numbers = (one.value, one.error, np.nan if had is None else float(values(had)))
    digits = writing.digits + 1
    shown = [f"{number / writing.factor:.{digits}f}" if np.isfinite(number) else ABSENT for number in numbers]
    return [f"{NAMES[one.name]} {writing.unit}", *shown]
