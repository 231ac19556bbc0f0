"""A long descent: heat balance, its end, and what warm gas does to the sag."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from physics.arrays import values
from physics.bench import answer
from physics.case import Ambient
from physics.damper import damper_force
from physics.descent import USUAL_BODY, Body, descent, warmed
from physics.gas import heat_capacity
from physics.ground import Road, course
from physics.leverage import remembered_curve
from physics.live_air import driven
from physics.ride import STEP, lanes_of, ride
from tests.physics.examples import SEA, SETUPS, case_of
from tests.physics.upright import Upright

CASE = case_of(SETUPS["coil"], SETUPS["separate"])
FOUND = answer(CASE)
ROAD = Road("D", 7.0, seed=3)
SHOP = 293.15


def test_the_heat_is_what_the_ride_says_of_damper_and_friction() -> None:
    down, rode = descent(CASE, FOUND, ROAD, 600.0, duration=3.0), ride(CASE, FOUND, ROAD, duration=3.0)
    assert down.damper * 3.0 == pytest.approx(rode.damper_heat, rel=0.01)
    assert down.friction * 3.0 == pytest.approx(rode.friction_heat, rel=0.01)
    assert down.air[0] == 0
    assert 0 < down.air[1] < 0.1 * down.damper[1]


def test_the_heat_of_the_air_is_what_its_warmth_loses_to_the_wall() -> None:
    """Along the travel of the ride, chamber by chamber, with c_v of the real gas."""
    track = course(ROAD, 0.35, STEP, 3.0)
    lane = lanes_of(CASE, FOUND, track)[1]
    assert lane is not None
    travel = ride(CASE, FOUND, ROAD, duration=3.0).travel[1]
    stroke = remembered_curve(CASE.frame).at(travel).stroke
    warmth = driven(lane.air, lane.port, SHOP, SEA, stroke, STEP).warmth
    lost = 0.0
    for chamber, T in zip(lane.air, warmth, strict=True):
        density = chamber.mass / (chamber.volume - chamber.area * stroke)
        held = chamber.mass * heat_capacity(T, density)
        lost += float(np.mean(held * (T - SHOP))) / chamber.time_constant
    assert descent(CASE, FOUND, ROAD, 60.0, duration=3.0).air[1] == pytest.approx(lost, rel=0.08)


def test_the_wall_follows_the_heat_balance() -> None:
    """C dT/dt = P − hA (T − T_a) by an adaptive solver."""
    body, power = Body(300.0, 1.5), 40.0
    times = values(np.linspace(0.0, 900.0, 31))
    solved = solve_ivp(
        lambda _t, T: [(power - 1.5 * (T[0] - SHOP)) / 300.0], (0.0, 900.0), [SHOP], "LSODA", times, rtol=1e-9
    )
    assert warmed(power, body, SHOP, times) == pytest.approx(solved.y[0], abs=1e-4)


@pytest.mark.slow
@pytest.mark.parametrize("place", [0, 1])
def test_a_descent_is_that_of_an_adaptive_solver(place: int) -> None:
    """Ride, heat of damper, friction and air, and heat balance of the body, all from the equations alone."""
    lasting, seconds = 200.0, 0.3
    track = course(ROAD, 0.35, STEP, seconds)
    lane = lanes_of(CASE, FOUND, track)[place]
    assert lane is not None
    alone, times = Upright(CASE, FOUND, place, lane.air, track, 2e-3), values(np.linspace(0.0, seconds, 601))
    zs, vs, zu, vu, _crossed, *warmth = alone.states(times)
    speed = (vu - vs) / alone.ratio(zu - zs)
    damper = damper_force(alone.damper, values(speed), alone.critical)
    power = damper * speed + alone.friction * np.tanh(speed / alone.creep) * speed
    for chamber, T in zip(lane.air, warmth, strict=True):
        density = chamber.mass / (chamber.volume - chamber.area * alone.stroke(zu - zs))
        power = power + chamber.mass * heat_capacity(T, density) * (T - SHOP) / chamber.time_constant
    mean, body = float(np.mean(power)), USUAL_BODY
    solved = solve_ivp(
        lambda _t, T: [(mean - body.loss * (T[0] - SHOP)) / body.heat_capacity],
        (0.0, lasting),
        [SHOP],
        rtol=1e-8,
    )
    down = descent(CASE, FOUND, ROAD, lasting, duration=seconds)
    assert down.wall[place, -1] - SHOP == pytest.approx(solved.y[0, -1] - SHOP, rel=0.01)


def test_a_warm_shock_reads_more_and_sags_less_and_a_coil_does_neither() -> None:
    down = descent(CASE, FOUND, ROAD, 3000.0, duration=3.0)
    assert down.wall[:, 0] == pytest.approx(SHOP)
    assert down.wall[:, -1] == pytest.approx(down.settled, abs=0.01)
    assert np.isnan(down.pressure[0])
    assert down.sag[0] == pytest.approx(down.cold_sag[0])
    assert down.pressure[1] > down.cold_pressure[1] * 1.02
    assert down.sag[1] < down.cold_sag[1] - 0.005
    assert down.body is USUAL_BODY


def test_a_ride_in_warm_air_starts_at_the_sag_there() -> None:
    case = replace(CASE, ride=Ambient(313.15, CASE.shop.pressure))
    found = answer(case)
    rode = ride(case, found, Road("A", 0.5), duration=0.2)
    answered = found.setups[1].ride
    assert answered is not None
    expected = float(answered.sag_wheel_fraction) * float(rode.wheel_travel)
    assert rode.travel[1, 0] == pytest.approx(expected, abs=1e-6)
    assert rode.travel[1, -1] == pytest.approx(expected, abs=3e-4)
    assert rode.travel[0, 0] == pytest.approx(float(found.setups[0].sag.wheel), abs=1e-6)
