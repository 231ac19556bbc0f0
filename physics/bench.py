"""Case → Answer: the only door that the rest of the program knocks on."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from physics.air_answer import air_answer, spacer_rows
from physics.answer import AirAnswer, Answer, CoilAnswer, SetupAnswer, State
from physics.arrays import NONE, values
from physics.buyable import buyable_coils
from physics.case import Case, Coil, EqualisedNegative, Setup
from physics.cautions import frame_cautions, setup_cautions
from physics.coil_answer import coil_answer
from physics.curves import curve, even_strokes
from physics.elsewhere import ride_answer
from physics.figures import figures
from physics.fill import fill
from physics.leverage import Places, frame_answer
from physics.sag import UnderLoad, under_load
from physics.shock import Shock, air_of, shock_of
from physics.solve import solved
from physics.stand import Stand, stand
from physics.trees import freeze
from physics.walk import walk


def answer(case: Case) -> Answer:
    """Return the answer to a case of one job (every parameter a single number).

    The arrays of the answer are read-only. Raises `Refused` with every fault of load, frame and setups at
    once, a setup's index in the path.
    """
    bike = stand(case)
    places = even_strokes(bike.lever)
    found = Answer(
        load=bike.load,
        frame=frame_answer(bike.lever),
        target=case.target,
        shop=case.shop,
        setups=tuple(_setup_answer(setup, bike, places) for setup in case.setups),
        cautions=frame_cautions(case.frame, bike.lever),
    )
    freeze(found)
    return found


def _setup_answer(asked: Setup, bike: Stand, places: Places) -> SetupAnswer:
    """Return the answer for one setup, its curves drawn at `places`."""
    case, static = bike.case, bike.load.static_wheel_force
    setup = solved(asked, bike.lever, case.shop, case.target, static)
    shock = shock_of(setup, bike.lever, case.shop)
    walked = walk(shock)
    stood = under_load(walked, static)
    is_coil = isinstance(setup.spring, Coil)
    found = SetupAnswer(
        name=setup.name,
        kind="coil" if is_coil else "air",
        state=cast(State, str(stood.state)),
        setup=setup,
        coil=_coil(setup, bike) if is_coil else None,
        air=None if is_coil else _air(asked, shock, stood, bike),
        sag=stood.sag,
        figures=figures(walked, static, stood.sag),
        curve=curve(shock, places, stood.sag.stroke),
        mass=NONE if setup.mass is None else values(setup.mass),
        ride=ride_answer(shock, case.ride, static),
        cautions=(),
    )
    return replace(found, cautions=setup_cautions(asked, found, case, bike.lever))


def _coil(setup: Setup, bike: Stand) -> CoilAnswer:
    case = bike.case
    choices = buyable_coils(setup, bike.lever, case.shop, case.target, bike.load.static_wheel_force)
    return replace(coil_answer(setup), buyable=choices)


def _air(asked: Setup, shock: Shock, stood: UnderLoad, bike: Stand) -> AirAnswer:
    found = air_answer(shock, stood)
    spring = air_of(shock.setup)
    cycled = isinstance(spring.negative, EqualisedNegative) and stood.state != "unsolved"
    return replace(
        found,
        fill=fill(spring, float(found.set_pressure), bike.case.shop) if cycled else None,
        spacers=spacer_rows(asked, bike.case, bike.lever, bike.load.static_wheel_force),
    )
