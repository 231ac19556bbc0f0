"""Everything on one shaft adds up, and the wheel feels it by virtual work."""

from dataclasses import replace

import numpy as np
import pytest

from physics.arrays import values
from physics.case import Coil, Frame, Setup
from physics.coil import coil_force
from physics.extras import bumper_force, gas_force
from physics.leverage import leverage_curve
from physics.shock import air_of, coil_of, pressure_of, shock_of, with_pressure, with_rate
from physics.walk import walk
from tests.physics.examples import BUMPER, COLD_PASS, GAS, LEVERAGES, SEA, SETUPS, SHOP

LEVER = leverage_curve(Frame(0.150, 0.060, LEVERAGES["ends"]))
STROKE = values([0.0, 0.018, 0.0555, 0.060])
COIL = Coil(80e3, 0.001, 4378.0)


def test_spring_gas_and_bumper_add_up() -> None:
    shock = shock_of(Setup("all", COIL, 12.0, GAS, BUMPER), LEVER, SHOP)
    parts = (
        coil_force(COIL, STROKE),
        gas_force(GAS, STROKE, SHOP, SHOP),
        bumper_force(BUMPER, STROKE, values(0.060)),
    )
    found = shock.at(STROKE)
    assert found.force == pytest.approx(sum(part[0] for part in parts))
    assert found.rate == pytest.approx(sum(part[1] for part in parts))
    assert np.isnan([found.positive, found.negative]).all()


@pytest.mark.parametrize("name", ["equalised", "separate", "mechanical", "none"])
def test_contributions_of_an_air_spring_are_its_whole_force(name: str) -> None:
    setup = with_pressure(replace(SETUPS[name], gas=None, bumper=None), 15e5)
    found = shock_of(setup, LEVER, SHOP).at(STROKE)
    assert found.force == pytest.approx(found.positive + found.negative)
    assert np.all(found.positive > 0)
    assert np.all(found.negative <= 0)


def test_friction_is_no_force_of_the_spring() -> None:
    dry = shock_of(Setup("c", COIL, 0.0), LEVER, SHOP)
    sticky = shock_of(Setup("c", COIL, 90.0), LEVER, SHOP)
    assert sticky.at(STROKE).force == pytest.approx(dry.at(STROKE).force)


def test_the_damper_gas_stays_slow() -> None:
    with_gas = shock_of(with_pressure(replace(SETUPS["none"], gas=GAS), 15e5), LEVER, SHOP)
    without = shock_of(with_pressure(SETUPS["none"], 15e5), LEVER, SHOP)
    start = values(0.018)
    extra = with_gas.fast_at(STROKE, start).force - without.fast_at(STROKE, start).force
    assert extra == pytest.approx(gas_force(GAS, STROKE, SHOP, SHOP)[0])


@pytest.mark.parametrize("name", SETUPS)
def test_wheel_rate_is_the_slope_of_the_wheel_force(name: str) -> None:
    setup = SETUPS[name]
    if isinstance(setup.spring, Coil):
        setup = setup if setup.spring.stage_rate is not None else with_rate(setup, 80e3)
    else:
        setup = with_pressure(setup, 15e5)
    shock = shock_of(setup, LEVER, SHOP)
    travel, h = values([0.02, 0.0451, 0.12, 0.145]), 1e-7
    slope = (shock.wheel(travel + h)[0] - shock.wheel(travel - h)[0]) / (2 * h)
    assert shock.wheel(travel)[1] == pytest.approx(slope, rel=1e-5)


def test_a_walk_is_the_wheel_at_every_node() -> None:
    shock = shock_of(with_pressure(SETUPS["equalised"], 15e5), LEVER, SHOP)
    walked = walk(shock)
    force, rate = shock.wheel(LEVER.nodes.wheel)
    assert walked.wheel_force == pytest.approx(force, rel=1e-10)
    assert walked.wheel_rate == pytest.approx(rate, rel=1e-9)


def test_filled_in_the_shop_working_elsewhere() -> None:
    setup = with_pressure(SETUPS["none"], 15e5)
    there = shock_of(setup, LEVER, SHOP, COLD_PASS)
    assert there.charged().positive.mass == shock_of(setup, LEVER, SHOP).charged().positive.mass
    assert there.at(values([0.0])).positive[0] < shock_of(setup, LEVER, SHOP).at(values([0.0])).positive[0]


def test_asking_a_coil_for_air_and_the_other_way_round() -> None:
    coil, air = SETUPS["coil"], SETUPS["none"]
    with pytest.raises(TypeError, match="coil"):
        air_of(coil)
    with pytest.raises(TypeError, match="air"):
        coil_of(air)
    with pytest.raises(TypeError, match="coil"):
        shock_of(with_rate(coil, 80e3), LEVER, SHOP).charged()
    with pytest.raises(ValueError, match="still to be solved"):
        shock_of(air, LEVER, SHOP)
    assert pressure_of(with_pressure(air, SEA)) == SEA
