"""The same shock in other air: amounts of gas stay, temperature and ambient pressure change."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import cast

import numpy as np

from physics import gas
from physics.answer import RideAnswer, State
from physics.arrays import NONE, Values, Words, per_point, values
from physics.case import Ambient
from physics.sag import under_load
from physics.shock import Shock
from physics.walk import fast_walk, walk


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What changed, of shape (cases...): `RideAnswer` for any number of cases.

    `set_pressure` is the reading at full extension, `rest_pressure` where the shock rests unloaded there.
    `bottom_ratio` is that of the riding curve there.
    """

    state: Words
    set_pressure: Values
    rest_pressure: Values
    sag_wheel_fraction: Values
    sag_stroke_fraction: Values
    starting_shaft: Values
    bottom_ratio: Values


def elsewhere(shock: Shock, ambient: Ambient, static: Values) -> Elsewhere:
    """Return sag, reading [Pa absolute, NaN for a coil] and starting force [N] in `ambient` air."""
    moved = replace(shock, ambient=ambient)
    walked = walk(moved)
    stood = under_load(walked, static)
    reading = resting = NONE
    if moved.air is not None:
        places = np.stack(np.broadcast_arrays(0.0, stood.rest_stroke), axis=-1)
        held = gas.pressure(moved.air.positive.density_at(places), per_point(ambient.temperature))
        reading, resting = held[..., 0], held[..., 1]
    starting = np.maximum(walked.shaft.force[..., 0], 0.0) + values(shock.setup.friction)
    return Elsewhere(
        state=stood.state,
        set_pressure=reading,
        rest_pressure=resting,
        sag_wheel_fraction=stood.sag.wheel_fraction,
        sag_stroke_fraction=stood.sag.stroke_fraction,
        starting_shaft=values(starting),
        bottom_ratio=values(
            fast_walk(moved, stood.sag.stroke).force[..., -1] / walked.places.ratio[..., -1] / static
        ),
    )


def ride_answer(shock: Shock, ride: Ambient | None, static: Values) -> RideAnswer | None:
    """Return the answer of one case in the air of the ride, None where none was given."""
    if ride is None:
        return None
    there = elsewhere(shock, ride, static)
    return RideAnswer(
        ambient=ride,
        state=cast(State, str(there.state)),
        set_pressure=there.set_pressure,
        rest_pressure=there.rest_pressure,
        sag_wheel_fraction=there.sag_wheel_fraction,
        sag_stroke_fraction=there.sag_stroke_fraction,
        starting_shaft=there.starting_shaft,
    )
