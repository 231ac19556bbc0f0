"""Case → Answer: the only entry point for the rest of the program."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from physics.answer import (
    AirAnswer,
    Answer,
    AtOnce,
    CoilAnswer,
    Curve,
    FrameAnswer,
    Later,
    Sag,
    SetupAnswer,
    State,
    freeze,
)
from physics.arrays import NONE, Values, values
from physics.buyable import buyable_coils
from physics.case import Case, Coil, EqualisedNegative, Fork, Frame, Setup
from physics.cautions import frame_cautions, setup_cautions
from physics.coil import coil_answer
from physics.conditions import ride_answer
from physics.faults import Caution
from physics.figures import ahead, figures, riding
from physics.fill import air_answer, fill_at_rest, spacer_rows
from physics.leverage import frame_answer, remembered_curve
from physics.linkage import linkage_answer
from physics.pairs import pairs_deviation
from physics.remembered import remembered
from physics.sag import UnderLoad, at_once, under_load
from physics.shock import Shock, air_of, coil_of, shock_of
from physics.solve import solved
from physics.stand import Stand, stand
from physics.walk import curve, even_strokes, walk


def answer(case: Case, *, spacers: bool = False) -> Answer:
    """Return the answer to a case of one job (every parameter a single number).

    With `spacers`, also compute each air setup's volume-spacer table (too slow for every
    keystroke). The arrays of the answer are read-only. Raises `Refused` with every fault of load, frame and
    setups at once, a setup's index in the path.

    >>> from physics.case import Ambient, Frame, LeverageEnds, ScaleReading, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> coil = Setup("coil", Coil(None, 0.0, 4378.0))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (coil,))
    >>> round(float(answer(case).setups[0].coil.rate))  # (60 − 4) g · 2.5 / 18 mm
    76274
    """
    bike = stand(case)
    shared = replace(case, setups=())
    setups = tuple(_setup_answer(setup, shared) for setup in case.setups)
    if spacers:
        setups = tuple(_with_spacers(found, bike) for found in setups)
    frame, cautions = _frame_found(case.frame)
    return Answer(bike.load, frame, case.target, case.shop, setups, cautions)


@remembered(8)
def _frame_found(frame: Frame) -> tuple[FrameAnswer, tuple[Caution, ...]]:
    """Return the leverage of a frame for display, and the cautions about it."""
    lever = remembered_curve(frame)
    found = replace(
        frame_answer(lever),
        linkage=linkage_answer(frame),
        fork=isinstance(frame.leverage, Fork),
        deviation=pairs_deviation(frame.leverage),
    )
    freeze(found)
    return found, frame_cautions(frame, lever)


_shared_stand = remembered(8)(stand)
"""Load and leverage of a case without its setups."""


@remembered(64)
def _setup_answer(asked: Setup, case: Case) -> SetupAnswer:
    """Return the answer for one setup, kept because most keystrokes change one setup or one wheel.

    `case` is the case without its setups, which leave the answer as it is. Only the parts that are worked out
    later have arrays, and freeze them: the rest are single numbers.
    """
    bike = _shared_stand(case)
    static = bike.load.static_wheel_force
    setup = solved(asked, bike.lever, case.shop, case.target, static)
    shock = shock_of(setup, bike.lever, case.shop)
    walked = walk(shock)
    stood = under_load(walked, static)
    beyond = ahead(shock, stood.sag)
    is_coil = isinstance(setup.spring, Coil)
    coil = _coil(setup, bike) if is_coil else None
    slow = figures(walked, static, stood.sag, beyond)
    found = SetupAnswer(
        name=setup.name,
        kind="coil" if is_coil else "air",
        state=cast(State, str(stood.state)),
        setup=setup,
        coil=coil,
        air=None if is_coil else _air(shock, stood),
        sag=stood.sag,
        at_once=AtOnce.later(lambda: at_once(shock, static, stood.sag, stood.rest_stroke)),
        figures=slow,
        riding=riding(walked, static, stood.sag, slow, beyond),
        curve=_curve(shock, stood.sag),
        mass=_mass(setup, coil),
        ride=ride_answer(shock, case.ride, static),
        cautions=(),
    )
    return replace(found, cautions=setup_cautions(asked, found, case, bike.lever, static))


def _curve(shock: Shock, sag: Sag) -> Curve:
    """Return the curve of a shock, for the views that draw it."""
    places = even_strokes(shock.lever)
    known = {"stroke": places.stroke, "wheel_travel": places.wheel}
    return Curve.later(lambda: curve(shock, places, sag.stroke), known)


def _coil(setup: Setup, bike: Stand) -> CoilAnswer:
    case, static = bike.case, bike.load.static_wheel_force
    choices = Later(lambda: buyable_coils(setup, bike.lever, case.shop, case.target, static))
    return replace(coil_answer(coil_of(setup), bike.lever.stroke), buyable=choices)


def _mass(setup: Setup, coil: CoilAnswer | None) -> Values:
    """Return the spring mass [kg]: as weighed, else computed from the wire, else NaN."""
    if setup.mass is not None:
        return values(setup.mass)
    return NONE if coil is None or coil.wire is None else coil.wire.mass


def _air(shock: Shock, stood: UnderLoad) -> AirAnswer:
    found = air_answer(shock, stood)
    cycled = isinstance(air_of(shock.setup).negative, EqualisedNegative) and stood.state != "unsolved"
    if not cycled:
        return found
    return replace(found, fill=fill_at_rest(shock))


def _with_spacers(found: SetupAnswer, bike: Stand) -> SetupAnswer:
    if found.air is None:
        return found
    rows = spacer_rows(found.setup, bike.case, bike.lever, bike.load.static_wheel_force)
    return replace(found, air=replace(found.air, spacers=rows))
