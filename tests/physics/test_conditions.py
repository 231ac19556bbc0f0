"""One setup over temperatures and altitudes, against the same job asked at one place."""

from dataclasses import replace

import numpy as np
import pytest

from physics import gas
from physics.arrays import values
from physics.bench import answer
from physics.case import Ambient
from physics.conditions import ALTITUDES, TEMPERATURES, conditions
from physics.shock import air_of
from tests.physics.examples import BARE_AIR, PSI, SEA, SETUPS, SHOP, case_of

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
