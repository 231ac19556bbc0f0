"""A shock in other air keeps its amounts of gas."""

from dataclasses import replace

import numpy as np
import pytest

from physics import gas
from physics.arrays import values
from physics.bench import answer
from physics.case import Ambient, Setup
from physics.conditions import elsewhere
from physics.leverage import leverage_curve
from physics.load import wheel_load
from physics.shock import air_of, shock_of
from physics.solve import solved_case
from tests.physics.examples import COLD_PASS, GAS, SEA, SETUPS, case_of


def solved_setup(name: str) -> Setup:
    return solved_case(case_of(SETUPS[name])).setups[0]


def test_the_shops_own_air_changes_nothing() -> None:
    case = case_of(SETUPS["equalised"])
    found = answer(replace(case, ride=case.shop)).setups[0]
    assert found.ride is not None
    assert found.air is not None
    assert found.ride.state == found.state
    assert found.ride.set_pressure == pytest.approx(float(found.air.set_pressure))
    assert found.ride.sag_wheel_fraction == pytest.approx(float(found.sag.wheel_fraction))
    assert found.ride.sag_stroke_fraction == pytest.approx(float(found.sag.stroke_fraction))
    assert found.ride.starting_shaft == pytest.approx(float(found.figures.starting_shaft))


@pytest.mark.parametrize("name", ["equalised", "separate", "mechanical", "none"])
def test_a_cold_pass_reads_lower_and_sags_more(name: str) -> None:
    setup = solved_setup(name)
    found = answer(replace(case_of(setup), ride=COLD_PASS)).setups[0]
    assert found.ride is not None
    spring = air_of(setup)
    assert spring.pressure is not None
    # The positive chamber is sealed: one density at two temperatures.
    density = gas.density(spring.pressure, 293.15)
    assert found.ride.set_pressure == pytest.approx(gas.pressure(density, 268.15))
    assert found.ride.set_pressure - COLD_PASS.pressure < spring.pressure - SEA
    assert found.ride.sag_wheel_fraction > found.sag.wheel_fraction


def test_thin_air_alone_reads_higher_and_lifts() -> None:
    # Same temperature, less air outside: the gauge counts from a lower zero.
    ride = Ambient(293.15, float(gas.standard_pressure(3000.0)))
    setup = solved_setup("none")
    found = answer(replace(case_of(setup), ride=ride)).setups[0]
    spring = air_of(setup)
    assert found.ride is not None
    assert spring.pressure is not None
    assert found.ride.set_pressure == pytest.approx(float(spring.pressure))
    assert found.ride.sag_wheel_fraction < found.sag.wheel_fraction


def test_a_coil_feels_only_its_damper_gas() -> None:
    case = case_of(solved_setup("coil"))
    found = answer(replace(case, ride=COLD_PASS)).setups[0]
    assert found.ride is not None
    assert np.isnan(found.ride.set_pressure)
    assert found.ride.sag_wheel_fraction == pytest.approx(float(found.sag.wheel_fraction), rel=1e-12)
    charged = replace(case.setups[0], gas=GAS)
    warm, cold = (
        answer(replace(case_of(charged), ride=ride)).setups[0].ride for ride in (case.shop, COLD_PASS)
    )
    assert warm is not None
    assert cold is not None
    assert cold.sag_wheel_fraction > warm.sag_wheel_fraction


def test_states_of_their_own() -> None:
    setup = solved_setup("none")
    hot_and_thin = Ambient(1000.0, 1e4)
    found = answer(replace(case_of(setup), ride=hot_and_thin)).setups[0]
    assert found.state == "ok"
    assert found.ride is not None
    assert found.ride.state == "topped_out"
    assert np.isnan(found.ride.sag_wheel_fraction)


def test_many_climates_at_once() -> None:
    case = case_of(solved_setup("equalised"))
    lever, static = leverage_curve(case.frame), wheel_load(case.load).static_wheel_force
    shock = shock_of(case.setups[0], lever, case.shop)
    temperatures, heights = values([263.15, 293.15, 313.15]), values([[0.0], [2500.0]])
    many = elsewhere(shock, Ambient(temperatures, gas.standard_pressure(heights)), static)
    assert many.sag_wheel_fraction.shape == (2, 3)
    one = elsewhere(shock, Ambient(263.15, float(gas.standard_pressure(2500.0))), static)
    assert many.sag_wheel_fraction[1, 0] == pytest.approx(float(one.sag_wheel_fraction))
    assert many.starting_shaft[1, 0] == pytest.approx(float(one.starting_shaft))
    assert np.all(np.diff(many.sag_wheel_fraction, axis=1) < 0)
