"""Many cases at once: a Case whose numbers have an axis of cases, through the laws of the bench.

Riders of every weight on one setup, one setup over a range of pressures, temperatures or volumes: any
number of a case may be an array, their shapes broadcast against each other. What is asked for one
case at a time stays with `physics.bench`: curves, fill rounds, spacer counts, cautions.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from physics.air_answer import air_answer
from physics.answer import AirAnswer, CoilAnswer, Figures, LoadAnswer, Riding, Sag
from physics.arrays import Words
from physics.buyable import buyable_coils
from physics.case import Case, Coil, Setup
from physics.coil_answer import coil_answer
from physics.elsewhere import Elsewhere, elsewhere
from physics.figures import figures, riding
from physics.sag import under_load
from physics.shock import shock_of
from physics.solve import solved
from physics.stand import Stand, stand
from physics.trees import arrays_in, mapped
from physics.walk import walk


@dataclass(frozen=True, slots=True)
class SweptSetup:
    """`SetupAnswer` for any number of cases: every array has the shape of the cases.

    `setup` keeps its numbers in the shapes they were given or solved in; `state` are words.
    """

    name: str
    kind: Literal["coil", "air"]
    state: Words
    setup: Setup
    coil: CoilAnswer | None
    air: AirAnswer | None
    sag: Sag
    figures: Figures
    riding: Riding
    ride: Elsewhere | None


@dataclass(frozen=True, slots=True)
class Sweep:
    """The load and every setup of a case over its axis of cases, shape `cases`."""

    cases: tuple[int, ...]
    load: LoadAnswer
    setups: tuple[SweptSetup, ...]


def sweep(case: Case) -> Sweep:
    """Return sag, figures and pressures of every case of `case`.

    Raises `Refused` with every fault of any of its cases.
    """
    bike = stand(case)
    found = Sweep((), bike.load, tuple(swept_setup(setup, bike) for setup in case.setups))
    shape = np.broadcast_shapes(*(array.shape for array in arrays_in(found)))
    return replace(mapped(found, lambda array: np.broadcast_to(array, shape)), cases=shape)


def swept_setup(asked: Setup, bike: Stand) -> SweptSetup:
    """Return one setup over its cases, without its arrays brought to one shape."""
    case, static = bike.case, bike.load.static_wheel_force
    setup = solved(asked, bike.lever, case.shop, case.target, static)
    shock = shock_of(setup, bike.lever, case.shop)
    walked = walk(shock)
    stood = under_load(walked, static)
    coil = None
    if isinstance(setup.spring, Coil):
        buyable = buyable_coils(setup, bike.lever, case.shop, case.target, static)
        coil = replace(coil_answer(setup, bike.lever.stroke), buyable=buyable)
    slow = figures(walked, static, stood.sag)
    return SweptSetup(
        name=setup.name,
        kind="air" if coil is None else "coil",
        state=stood.state,
        setup=setup,
        coil=coil,
        air=air_answer(shock, stood) if coil is None else None,
        sag=stood.sag,
        figures=slow,
        riding=riding(walked, static, stood.sag, slow),
        ride=None if case.ride is None else elsewhere(shock, case.ride, static),
    )
