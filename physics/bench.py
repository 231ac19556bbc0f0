"""Case → Answer: the only entry point for the rest of the program."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import cast

import numpy as np

from physics.answer import AirAnswer, Answer, CoilAnswer, Later, Sag, SetupAnswer, State, freeze
from physics.arrays import NONE, Values, values
from physics.buyable import buyable_coils
from physics.case import Case, Coil, EqualisedNegative, Fork, Setup
from physics.cautions import frame_cautions, setup_cautions
from physics.coil import coil_answer
from physics.conditions import ride_answer
from physics.figures import Ahead, figures, places_ahead, riding
from physics.fill import air_answer, as_it_rests, fill, spacer_rows
from physics.leverage import Places, frame_answer
from physics.linkage import linkage_answer
from physics.pairs import pairs_deviation
from physics.sag import UnderLoad, at_once, under_load
from physics.shock import ShaftForce, Shock, air_of, coil_of, shock_of
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
    setups = tuple(_remembered_answer(setup, shared) for setup in case.setups)
    if spacers:
        setups = tuple(_with_spacers(found, bike) for found in setups)
    found = Answer(
        load=bike.load,
        frame=replace(
            frame_answer(bike.lever),
            linkage=linkage_answer(case.frame),
            fork=isinstance(case.frame.leverage, Fork),
            deviation=pairs_deviation(case.frame.leverage),
        ),
        target=case.target,
        shop=case.shop,
        setups=setups,
        cautions=frame_cautions(case.frame, bike.lever),
    )
    freeze((found.load, found.frame))
    return found


def _remembered_answer(setup: Setup, shared: Case) -> SetupAnswer:
    """Return the answer for one setup, cached because most keystrokes change one setup or one wheel.

    `shared` is the case without setups.
    """
    try:
        hash((setup, shared))
    except TypeError:  # rows of a table or of a coil in stages
        return _setup_answer(setup, shared)
    return _answer_of(setup, shared)


@lru_cache(maxsize=64)
def _answer_of(setup: Setup, shared: Case) -> SetupAnswer:
    return _setup_answer(setup, shared)


def _setup_answer(asked: Setup, case: Case) -> SetupAnswer:
    """Return the answer for one setup; `case` is the case, with or without its setups."""
    bike = stand(case)
    places, static = even_strokes(bike.lever), bike.load.static_wheel_force
    setup = solved(asked, bike.lever, case.shop, case.target, static)
    shock = shock_of(setup, bike.lever, case.shop)
    walked = walk(shock)
    stood = under_load(walked, static)
    beyond, fast = _ahead(shock, stood.sag, places)
    is_coil = isinstance(setup.spring, Coil)
    coil = _coil(setup, bike) if is_coil else None
    slow = figures(walked, static, stood.sag, beyond)
    found = SetupAnswer(
        name=setup.name,
        kind="coil" if is_coil else "air",
        state=cast(State, str(stood.state)),
        setup=setup,
        coil=coil,
        air=None if is_coil else _air(shock, stood, bike),
        sag=stood.sag,
        at_once=at_once(shock, static, stood.sag, stood.rest_stroke),
        figures=slow,
        riding=riding(walked, static, stood.sag, slow, beyond),
        curve=curve(shock, places, fast, stood.sag.stroke),
        mass=_mass(setup, coil),
        ride=ride_answer(shock, case.ride, static),
        cautions=(),
    )
    found = replace(found, cautions=setup_cautions(asked, found, case, bike.lever, static))
    freeze(found)
    return found


def _ahead(shock: Shock, sag: Sag, drawn: Places) -> tuple[Ahead, ShaftForce]:
    """Return what the figures read, and the fast stroke where it is drawn, in one evaluation."""
    there = places_ahead(shock, sag)
    fast = shock.fast_at(np.concatenate([drawn.stroke, there.stroke]), sag.stroke)
    first = drawn.stroke.shape[-1]
    return Ahead(there, shock.at(there.stroke), fast.part(slice(first, None))), fast.part(slice(first))


def _coil(setup: Setup, bike: Stand) -> CoilAnswer:
    case, static = bike.case, bike.load.static_wheel_force
    choices = Later(lambda: buyable_coils(setup, bike.lever, case.shop, case.target, static))
    return replace(coil_answer(coil_of(setup), bike.lever.stroke), buyable=choices)


def _mass(setup: Setup, coil: CoilAnswer | None) -> Values:
    """Return the spring mass [kg]: as weighed, else computed from the wire, else NaN."""
    if setup.mass is not None:
        return values(setup.mass)
    return NONE if coil is None or coil.wire is None else coil.wire.mass


def _air(shock: Shock, stood: UnderLoad, bike: Stand) -> AirAnswer:
    found = air_answer(shock, stood)
    spring = air_of(shock.setup)
    cycled = isinstance(spring.negative, EqualisedNegative) and stood.state != "unsolved"
    if not cycled:
        return found
    return replace(found, fill=as_it_rests(fill(spring, shock.charged(), bike.case.shop), shock))


def _with_spacers(found: SetupAnswer, bike: Stand) -> SetupAnswer:
    if found.air is None:
        return found
    rows = spacer_rows(found.setup, bike.case, bike.lever, bike.load.static_wheel_force)
    return replace(found, air=replace(found.air, spacers=rows))
