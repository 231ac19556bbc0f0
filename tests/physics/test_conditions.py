"""A shock in other air keeps its amounts of gas.

One setup over temperatures and altitudes, against the same job asked at one place.
"""

from dataclasses import replace
from typing import Literal

import numpy as np
import pytest

from physics import gas
from physics.arrays import values
from physics.bench import answer
from physics.case import Ambient, Setup
from physics.conditions import ALTITUDES, TEMPERATURES, conditions, elsewhere, ridden
from physics.leverage import leverage_curve
from physics.shock import air_of, shock_of, with_pressure
from physics.solve import solved_case
from physics.stand import wheel_load
from tests.physics.examples import BARE_AIR, COLD_PASS, GAS, PSI, SEA, SETUPS, SHOP, case_of


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


CASE = case_of(SETUPS["coil"], SETUPS["equalised"])


@pytest.mark.parametrize("index", [0, 1])
def test_every_place_is_the_answer_of_a_ride_there(index: int) -> None:
    warm, high = conditions(CASE, index)
    for found in (warm, high):
        temperature, pressure = values(found.around.temperature), values(found.around.pressure)
        for place in range(len(found.attached)):
            there = Ambient(float(temperature[place]), float(pressure[place]))
            ride = answer(replace(CASE, ride=there)).setups[index].ride
            assert ride is not None
            assert found.there.state[place] == ride.state
            for name in ("sag_wheel_fraction", "starting_shaft", "set_pressure"):
                expected = float(getattr(ride, name))
                assert getattr(found.there, name)[place] == pytest.approx(expected, nan_ok=True), name


def test_the_places_are_those_of_the_shop_and_beyond() -> None:
    warm, high = conditions(CASE, 1)
    assert list(values(warm.around.temperature)[[0, -1]]) == [258.15, 318.15]
    pressure = values(high.around.pressure)
    assert pressure[0] == pytest.approx(101_325.0)
    # ISO 2533 at 3000 m (checked against `ambiance` in tests/published).
    assert pressure[list(ALTITUDES).index(3000.0)] == pytest.approx(70_121, abs=1)
    assert len(TEMPERATURES) == len(warm.attached)


def test_a_sealed_chamber_reads_lower_in_the_cold_as_the_gas_law_says() -> None:
    # 200 psi at 20 degC reads about 185 at 0 and 211 at 35 degC (usual caution, from memory).
    setup = replace(SETUPS["equalised"], spring=replace(BARE_AIR, pressure=200 * PSI + SEA))
    warm, _ = conditions(case_of(setup), 0)
    reading = np.interp([273.15, 308.15], TEMPERATURES, (warm.there.set_pressure - SEA) / PSI)
    assert reading == pytest.approx([185.0, 211.0], abs=1.0)


def test_the_hose_takes_its_share_by_mass() -> None:
    spring = air_of(SETUPS["equalised"])
    hose = 6e-6
    setup = replace(SETUPS["equalised"], spring=replace(spring, hose_volume=hose))
    _, high = conditions(case_of(setup), 0)
    volume = float(spring.positive_volume - spring.positive_spacers * spring.positive_spacer_volume)
    held = gas.density(float(high.there.set_pressure[0]), 293.15) * volume
    outside = gas.density(float(SHOP.pressure), 293.15) * hose
    joined = gas.pressure((held + outside) / (volume + hose), 293.15)
    assert high.attached[0] == pytest.approx(float(joined))
    assert high.attached[0] < high.there.set_pressure[0]
    bare = conditions(case_of(replace(setup, spring=replace(spring, hose_volume=0.0))), 0)[1]
    assert bare.attached[0] == pytest.approx(float(bare.there.set_pressure[0]))


@pytest.mark.parametrize("name", ["equalised", "separate", "mechanical", "none"])
@pytest.mark.parametrize("of", ["travel", "stroke"])
def test_pumped_here_for_the_ride_the_answer_has_its_target_sag_there(
    name: str, of: Literal["travel", "stroke"]
) -> None:
    case = case_of(SETUPS[name])
    case = replace(case, target=replace(case.target, of=of), ride=COLD_PASS)
    found = ridden(case, 0)
    assert found is not None
    assert found.set_here is not None
    pumped = with_pressure(case.setups[0], found.set_here.set_pressure)
    said = answer(replace(case, setups=(pumped,))).setups[0]
    assert said.ride is not None
    there = said.ride.sag_wheel_fraction if of == "travel" else said.ride.sag_stroke_fraction
    assert there == pytest.approx(float(case.target.sag), rel=1e-9)
    assert found.set_here.sag_wheel_fraction == pytest.approx(float(said.sag.wheel_fraction), rel=1e-9)
    # Colder air presses less: it takes more in the warm shop.
    assert found.set_here.set_pressure > float(values(answer(case).setups[0].air.set_pressure))  # type: ignore[union-attr]


def test_the_riding_conditions_are_those_of_the_answer() -> None:
    case = replace(CASE, ride=COLD_PASS)
    for index, one in enumerate(answer(case).setups):
        found = ridden(case, index)
        assert found is not None
        assert one.ride is not None
        assert found.there.sag_wheel_fraction == pytest.approx(float(one.ride.sag_wheel_fraction))
        assert found.there.set_pressure == pytest.approx(float(one.ride.set_pressure), nan_ok=True)
        assert (found.set_here is None) == (one.kind == "coil")
    assert ridden(CASE, 0) is None
