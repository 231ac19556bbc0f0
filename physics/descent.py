"""A long descent: how warm the shock's body becomes, and what its gas and the wheel make of it.

C dT_w/dt = P − hA (T_w − T_a), where P is what damper, friction and air give off on a piece of road, taken as
the same all the way down: T_w = T_a + (P/hA) (1 − e^(−t hA/C)). What a body holds and loses is assumed, no
source: show it.
"""

from __future__ import annotations

import numpy as np

from physics.answer import Answer, SetupAnswer, freeze
from physics.arrays import NONE, Scalar, Values, values
from physics.case import Ambient, Case
from physics.conditions import Elsewhere, elsewhere
from physics.frozen import dataclass
from physics.ground import Event, course
from physics.leverage import remembered_curve
from physics.motion import COLUMNS, Lane, Progress, Start, stepped
from physics.ride import STEP, around, lanes_of, tyre_radius
from physics.shock import shock_of


@dataclass(frozen=True, slots=True)
class Body:
    """A shock's body: `heat_capacity` [J/K] of metal and oil, `loss` hA [W/K] to the air it rides in."""

    heat_capacity: float = 450.0
    loss: float = 2.0


USUAL_BODY = Body()
"""A shock with some 0.4 kg of metal and 0.05 kg of oil, 0.05 m² at 40 W/(m² K): assumed, no source."""


@dataclass(frozen=True, slots=True)
class Descent:
    """Every setup on a long descent, (setups,) or over `time` (points,) [s]; NaN where it does not settle.

    `damper`, `friction` and `air` [W] are the mean heat each gives off; `wall` (setups, points) [K] is the
    body's temperature and `settled` [K] where it ends up. `pressure` [Pa absolute, NaN for a coil] at full
    extension and sag as a fraction of wheel travel are those with all of the gas at the last `wall`,
    `cold_pressure` and `cold_sag` those at the start. Arrays are read-only.
    """

    body: Body
    time: Values
    damper: Values
    friction: Values
    air: Values
    wall: Values
    settled: Values
    pressure: Values
    sag: Values
    cold_pressure: Values
    cold_sag: Values


def descent(
    case: Case,
    found: Answer,
    road: Event,
    lasting: float,
    *,
    body: Body = USUAL_BODY,
    duration: float | None = None,
    step: float = STEP,
    progress: Progress | None = None,
) -> Descent:
    """Return how every setup warms up on `lasting` [s] of a road, of which `duration` [s] are ridden.

    `found` is the answer to the case. The body starts at the temperature of the air that it is ridden in.
    Raises as
    `physics.ride.ride` does.

    >>> from physics.bench import answer
    >>> from physics.case import Coil, Frame, LeverageEnds, ScaleReading, Setup, Target
    >>> from physics.ground import Road
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> coil = Setup("coil", Coil(None, 0.0, 4378.0))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (coil,))
    >>> down = descent(case, answer(case), Road("C", 6.0, seed=1), 1e5, duration=1.0)
    >>> power = down.damper[0] + down.friction[0]
    >>> bool(abs(down.settled[0] - (293.15 + power / USUAL_BODY.loss)) < 1e-9)  # T_a + P/hA
    True
    >>> round(float(down.damper[0]))  # W
    5
    """
    track = course(road, tyre_radius(case), step, duration)
    lanes, time = lanes_of(case, found, track), values(np.linspace(0.0, lasting, 121))
    heat = np.full((3, len(lanes)), np.nan)
    for n, lane in enumerate(lanes):
        if lane is not None:
            part = None if progress is None else _from(progress, n, len(lanes))
            heat[:, n] = _given_off(lane, track.height, track.rise, step, part)
    outside = around(case)
    start = float(outside.temperature)
    power = heat.sum(0)
    wall = warmed(power[:, None], body, start, time)
    static = found.load.static_wheel_force
    cold, hot = (
        [_standing(case, one, T, outside.pressure, static) for one, T in zip(found.setups, ends, strict=True)]
        for ends in (wall[:, 0], wall[:, -1])
    )
    reached = Descent(
        body=body,
        time=time,
        damper=values(heat[0]),
        friction=values(heat[1]),
        air=values(heat[2]),
        wall=wall,
        settled=values(start + power / body.loss),
        pressure=values([NONE if there is None else there.set_pressure for there in hot]),
        sag=values([NONE if there is None else there.sag_wheel_fraction for there in hot]),
        cold_pressure=values([NONE if there is None else there.set_pressure for there in cold]),
        cold_sag=values([NONE if there is None else there.sag_wheel_fraction for there in cold]),
    )
    freeze(reached)
    return reached


def _standing(
    case: Case, found: SetupAnswer, warmth: float, outside: Scalar, static: Values
) -> Elsewhere | None:
    """Return a setup at a temperature [K] of body and gas in air of pressure `outside`, None for NaN."""
    if np.isnan(warmth):
        return None
    shock = shock_of(found.setup, remembered_curve(case.frame), case.shop)
    return elsewhere(shock, Ambient(warmth, outside), static)


def warmed(power: Values | float, body: Body, start: float, time: Values) -> Values:
    """Return the body's temperature [K] after `time` [s] of a `power` [W], from `start` [K] on.

    >>> float(warmed(20.0, USUAL_BODY, 293.15, values(225.0)).round(2))  # one time constant of 450/2 s
    299.47
    """
    return values(start + values(power) / body.loss * -np.expm1(-time * body.loss / body.heat_capacity))


def _from(progress: Progress, n: int, count: int) -> Progress:
    return lambda done: progress((n + done) / count)


def _given_off(
    lane: Lane, height: Values, rise: Values, step: float, progress: Progress | None
) -> tuple[float, float, float]:
    """Return the mean heat [W] that damper, friction and air of a lane give off on a ground.

    The air gives off m c_v (T − T_w)/τ, in which c_v may be that at low pressure: a few per cent of a few
    watts.
    """
    columns = len(COLUMNS) + 2 * len(lane.air)
    kept = stepped([lane], [Start()], [(height, rise)], step, columns=columns, progress=progress)
    names = dict(zip(COLUMNS, kept[0], strict=False))
    slopes = np.append(lane.places[:, 2], lane.places[-1, 2] + lane.places[-1, 3])
    by_travel = np.interp(names["travel"], np.linspace(0.0, lane.travel, len(slopes)), slopes)
    damper = float(np.mean(names["damper"] * names["speed"] * by_travel))
    friction = float(np.mean(names["friction"] * names["speed"]))
    beyond = kept[0, len(COLUMNS) :]
    warmth, mass = beyond[: len(lane.air)], beyond[len(lane.air) :]
    air = sum(
        float(np.mean(held * _HEAT * (warm - lane.wall))) / one.time_constant
        for one, warm, held in zip(lane.air, warmth, mass, strict=True)
    )
    return damper, friction, air


_HEAT = 720.0
"""c_v of air near 300 K [J/(kg K)]."""
