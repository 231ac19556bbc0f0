"""A long descent: heat balance, its end, and what warm gas does to the sag."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from physics.bench import answer
from physics.case import Ambient
from physics.descent import USUAL_BODY, Body, descent, warmed
from physics.gas import heat_capacity
from physics.ground import Road, course
from physics.leverage import remembered_curve
from physics.live_air import driven
from physics.ride import STEP, lanes_of, ride
from tests.physics.examples import SEA, SETUPS, case_of

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
    """A fixed-step integration of C dT/dt = P − hA (T − T_a)."""
    body, power, step = Body(300.0, 1.5), 40.0, 0.05
    times = np.arange(0, 900.0, step)
    temperature = [SHOP]
    for _ in times[1:]:
        middle = temperature[-1] + step / 2 * (power - 1.5 * (temperature[-1] - SHOP)) / 300.0
        temperature.append(temperature[-1] + step * (power - 1.5 * (middle - SHOP)) / 300.0)
    assert warmed(power, body, SHOP, times) == pytest.approx(temperature, abs=1e-4)


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
