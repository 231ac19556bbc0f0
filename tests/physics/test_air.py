"""The four negative springs against hand calculation from areas, volumes and the gas law."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics import gas
from physics.air import AirForce, AtRest, air_faults, charge, negative_area, positive_area, positive_volume
from physics.arrays import Values, values
from physics.case import Air, EqualisedNegative, Negative, NoNegative
from physics.chamber import used_up
from tests.physics.examples import (
    BARE_AIR,
    COLD_PASS,
    EQUALISED,
    MECHANICAL,
    PSI,
    SEA,
    SEPARATE,
    SHOP,
)

SET = 200 * PSI + SEA
A_P = math.pi / 4 * (0.040**2 - 0.009**2)
A_N = math.pi / 4 * (0.040**2 - 0.027**2)
V_P = 99e-6
X = values([0.0, 0.006, 0.030, 0.060])


def test_areas_and_volumes() -> None:
    assert positive_area(BARE_AIR) == pytest.approx(A_P)
    assert negative_area(BARE_AIR) == pytest.approx(A_N)
    assert positive_volume(BARE_AIR) == pytest.approx(V_P)


def test_without_a_negative_the_whole_charge_pushes() -> None:
    force = charge(BARE_AIR, SET, SHOP).force(X, SHOP)
    assert force.positive[0] == pytest.approx(A_P * 200 * PSI)
    assert force.negative == pytest.approx([0.0] * 4)
    # Boyle by the gas law: the same air in less room.
    packed = gas.density(SET, 293.15) * V_P / (V_P - A_P * 0.030)
    assert force.positive[2] == pytest.approx(A_P * (gas.pressure(packed, 293.15) - SEA))


def test_a_mechanical_negative_pushes_back_over_its_length() -> None:
    force = charge(replace(BARE_AIR, negative=MECHANICAL), SET, SHOP).force(X, SHOP)
    bare = charge(BARE_AIR, SET, SHOP).force(X, SHOP)
    assert force.negative == pytest.approx([-60e3 * 0.012, -60e3 * 0.006, 0.0, 0.0])
    assert force.positive == pytest.approx(bare.positive)
    assert force.rate - bare.rate == pytest.approx([60e3, 60e3, 0.0, 0.0])


def test_a_separate_negative_holds_its_own_pressure_at_full_extension() -> None:
    spring = charge(replace(BARE_AIR, negative=SEPARATE), SET, SHOP)
    force = spring.force(X, SHOP)
    assert force.negative[0] == pytest.approx(-A_N * 150 * PSI)
    # One spacer of 3 cm³ in 22 cm³.
    thinned = gas.density(150 * PSI + SEA, 293.15) * 19e-6 / (19e-6 + A_N * 0.030)
    assert force.negative[2] == pytest.approx(-A_N * (gas.pressure(thinned, 293.15) - SEA))
    assert math.isnan(float(spring.equalised_density))


def test_an_equalised_negative_meets_the_positive_at_the_port() -> None:
    spring = charge(replace(BARE_AIR, negative=EQUALISED), SET, SHOP)
    at_port = spring.force(values([0.009]), SHOP)
    met = gas.pressure(spring.equalised_density, 293.15)
    assert at_port.positive[0] / A_P + SEA == pytest.approx(met)
    assert -at_port.negative[0] / A_N + SEA == pytest.approx(met)
    assert met > SET
    # On either side of the port each keeps its own air.
    assert spring.negative is not None
    assert spring.negative.mass == pytest.approx(float(spring.equalised_density) * (20e-6 + A_N * 0.009))
    assert spring.positive.mass == pytest.approx(gas.density(SET, 293.15) * V_P)


def test_a_port_at_full_extension_makes_both_pressures_the_set_pressure() -> None:
    spring = charge(replace(BARE_AIR, negative=replace(EQUALISED, port=0.0)), SET, SHOP)
    at_top = spring.force(values([0.0]), SHOP)
    assert at_top.positive[0] + at_top.negative[0] == pytest.approx((A_P - A_N) * 200 * PSI)


def test_a_negative_spacer_takes_volume_away() -> None:
    spaced = charge(replace(BARE_AIR, negative=replace(EQUALISED, spacers=2.0)), SET, SHOP)
    smaller = charge(replace(BARE_AIR, negative=replace(EQUALISED, volume=12e-6)), SET, SHOP)
    assert spaced.force(X, SHOP).negative == pytest.approx(smaller.force(X, SHOP).negative)


@given(
    st.floats(50.0, 300.0),
    st.floats(10e-6, 60e-6),
    st.floats(0.0, 0.030),
    st.floats(255.0, 345.0),
)
def test_equalising_conserves_mass(psi: float, volume: float, port: float, T: float) -> None:
    # Undo the meeting: both chambers at the port, walls open, hold one density and all of the air.
    shop = replace(SHOP, temperature=T)
    air = replace(BARE_AIR, negative=EqualisedNegative(volume, 0.0, 0.0, port))
    spring = charge(air, psi * PSI + SEA, shop)
    assert spring.negative is not None
    room = (V_P - A_P * port) + (volume + A_N * port)
    total = spring.positive.mass + spring.negative.mass
    assert total == pytest.approx(float(spring.equalised_density) * room, rel=1e-12)


def settled_at(stroke: float) -> AtRest:
    return AtRest(values(stroke), values(SHOP.temperature))


@pytest.mark.parametrize("negative", [NoNegative(), MECHANICAL, SEPARATE, EQUALISED])
def test_the_rate_is_the_slope_of_the_force_slow_and_fast(negative: Negative) -> None:
    spring = charge(replace(BARE_AIR, negative=negative), SET, SHOP)
    h = 1e-7

    def slow(x: Values) -> AirForce:
        return spring.force(x, SHOP)

    def fast(x: Values) -> AirForce:
        return spring.fast_force(x, spring.isentropes(settled_at(0.018)), SHOP)

    for force in (slow, fast):
        ahead, behind, here = force(X + h), force(X - h), force(X)
        slope = (ahead.positive + ahead.negative - behind.positive - behind.negative) / (2 * h)
        assert here.rate == pytest.approx(slope, rel=1e-5)


def test_fast_starts_where_slow_is_and_is_stiffer_there() -> None:
    spring = charge(replace(BARE_AIR, negative=EQUALISED), SET, SHOP)
    slow, fast = spring.force(X, SHOP), spring.fast_force(X, spring.isentropes(settled_at(0.030)), SHOP)
    assert fast.positive[2] == pytest.approx(slow.positive[2])
    assert fast.negative[2] == pytest.approx(slow.negative[2])
    assert fast.rate[2] > 1.3 * slow.rate[2]


def test_cold_air_at_height_pushes_less_with_the_same_amounts() -> None:
    spring = charge(BARE_AIR, SET, SHOP)
    rho = gas.density(SET, 293.15)
    there = spring.force(values([0.0]), COLD_PASS)
    assert there.positive[0] == pytest.approx(A_P * (gas.pressure(rho, 268.15) - COLD_PASS.pressure))


def test_filled_in_a_cold_high_shop_the_gauge_reading_counts_from_its_air() -> None:
    cold = charge(BARE_AIR, 200 * PSI + float(COLD_PASS.pressure), COLD_PASS)
    assert cold.force(values([0.0]), COLD_PASS).positive[0] == pytest.approx(A_P * 200 * PSI)
    warm = charge(BARE_AIR, SET, SHOP)
    assert cold.positive.mass > warm.positive.mass
    assert cold.force(values([0.0]), SHOP).positive[0] > A_P * 200 * PSI


def test_leading_axis_of_cases() -> None:
    pressures = values([150 * PSI + SEA, SET])
    many = charge(replace(BARE_AIR, negative=EQUALISED), pressures, SHOP).force(X, SHOP)
    alone = charge(replace(BARE_AIR, negative=EQUALISED), SET, SHOP).force(X, SHOP)
    assert many.positive.shape == (2, 4)
    assert many.negative[1] == pytest.approx(alone.negative)
    assert many.rate[1] == pytest.approx(alone.rate)


@pytest.mark.parametrize(
    ("air", "field", "code"),
    [
        (replace(BARE_AIR, rod=0.040), "rod", "wider_than_bore"),
        (replace(BARE_AIR, positive_volume=76e-6), "positive_volume", "chamber_used_up"),
        (replace(BARE_AIR, positive_spacers=values([0.0, 9.0])), "positive_volume", "chamber_used_up"),
        (replace(BARE_AIR, negative=EQUALISED, body=0.041), "body", "wider_than_bore"),
        (replace(BARE_AIR, negative=replace(EQUALISED, spacers=5.0)), "negative_volume", "chamber_used_up"),
        (replace(BARE_AIR, negative=replace(EQUALISED, port=0.061)), "port", "longer_than_stroke"),
    ],
)
def test_impossible_dimensions_are_faults_with_their_place(air: Air, field: str, code: str) -> None:
    assert [(fault.field, fault.code) for fault in air_faults(air, 0.060)] == [((field,), code)]


def test_sound_dimensions_are_not_faults() -> None:
    for negative in (NoNegative(), MECHANICAL, SEPARATE, EQUALISED):
        assert air_faults(replace(BARE_AIR, negative=negative), 0.060) == ()
    assert np.all(positive_area(BARE_AIR) > negative_area(BARE_AIR))


def test_one_of_many_cases_is_enough_for_a_fault_and_is_marked() -> None:
    good = values([0.009, 0.009])
    late = replace(BARE_AIR, negative=replace(EQUALISED, port=values([0.009, 0.070])))
    wide = replace(BARE_AIR, rod=values([0.009, 0.041]))
    small = replace(BARE_AIR, positive_volume=values([105e-6, 60e-6]))
    fat = replace(BARE_AIR, body=values([0.027, 0.040]), negative=EQUALISED)
    full = replace(BARE_AIR, negative=replace(EQUALISED, spacers=values([0.0, 5.0])))
    for air, code in (
        (late, "longer_than_stroke"),
        (wide, "wider_than_bore"),
        (small, "chamber_used_up"),
        (fat, "wider_than_bore"),
        (full, "chamber_used_up"),
    ):
        (fault,) = air_faults(air, 0.060)
        assert fault.code == code
        assert fault.cases is not None
        assert fault.cases.tolist() == [False, True]
    assert air_faults(replace(BARE_AIR, negative=replace(EQUALISED, port=good)), 0.060) == ()


def test_a_chamber_used_up_says_the_most_that_any_case_needs_and_the_least_that_is_left() -> None:
    (fault,) = used_up("gas_volume", "gas_used_up", values([5e-6, 2e-6, 9e-6]), values([6e-6, 1e-6, 12e-6]))
    assert fault.values == pytest.approx({"left": -3e-6, "needed": 12e-6})
    assert fault.cases is not None
    assert fault.cases.tolist() == [True, False, True]
