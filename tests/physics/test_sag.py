"""Sag: first rising crossing, its three states and the band that friction makes.

Sag at once and how long it takes to settle. The second way to the numbers is in `tests/published`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics import gas
from physics.answer import SetupAnswer
from physics.arrays import Values, values
from physics.bench import answer
from physics.case import (
    Bumper,
    Coil,
    EqualisedNegative,
    Frame,
    GasCharge,
    LeverageEnds,
    RiderAndBike,
    Setup,
    Table,
)
from physics.leverage import leverage_curve
from physics.sag import READABLE, UnderLoad, settle, under_load
from physics.shock import Shock, air_of, shock_of
from physics.walk import walk
from tests.physics.examples import BARE_AIR, EQUALISED, LEVERAGES, PSI, SEA, SETUPS, SHOP, TARGET, case_of
from tests.random_cases import cases

LEVER = leverage_curve(Frame(0.150, 0.060, LEVERAGES["ends"]))


def coil(rate: float, preload: float = 0.0, friction: float = 0.0) -> Shock:
    return shock_of(Setup("coil", Coil(rate, preload, 4378.0), friction), LEVER, SHOP)


def standing(shock: Shock, static: float) -> UnderLoad:
    return under_load(walk(shock), values(static))


def test_a_spring_on_a_constant_ratio_sags_by_hookes_law() -> None:
    lever = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)))
    shock = shock_of(Setup("coil", Coil(80e3, 0.001, 4378.0)), lever, SHOP)
    # F = k (w/L + c) = W_s L.
    expected = 2.5 * (550.0 * 2.5 / 80e3 - 0.001)
    found = standing(shock, 550.0)
    assert found.state == "ok"
    assert found.sag.wheel == pytest.approx(expected, rel=1e-11)
    assert found.sag.stroke == pytest.approx(expected / 2.5, rel=1e-11)
    assert found.sag.stroke_fraction == pytest.approx(expected / 2.5 / 0.060, rel=1e-11)
    assert found.sag.shaft_force == pytest.approx(550.0 * 2.5)


def test_leverage_and_its_slope_are_those_of_the_sag_point() -> None:
    """A bent leverage tells the sag point from the rest position, where both are others."""
    lever = leverage_curve(Frame(0.150, 0.060, LEVERAGES["middle"]))
    shock = shock_of(Setup("coil", Coil(80e3, 0.0, 4378.0), 20.0), lever, SHOP)
    sag = standing(shock, 550.0).sag
    near = lever.at(values([float(sag.wheel) - 1e-6, float(sag.wheel), float(sag.wheel) + 1e-6])).ratio
    assert sag.ratio == pytest.approx(near[1], rel=1e-12)
    assert sag.slope == pytest.approx((near[2] - near[0]) / 2e-6, rel=1e-6)
    assert abs(float(sag.slope) / float(lever.nodes.slope[0]) - 1) > 0.05
    # With many loads at once each has its own.
    many = under_load(walk(shock), values([400.0, 550.0])).sag
    assert many.slope[1] == pytest.approx(float(sag.slope), rel=1e-12)
    assert many.slope[0] != pytest.approx(float(sag.slope), rel=1e-3)


def test_states_at_their_borders() -> None:
    shock = coil(80e3, 0.002)
    start = float(shock.wheel(values([0.0]))[0][0])
    bottom = float(shock.wheel(values([0.150]))[0][0])
    loads = values([start * (1 - 1e-9), start * (1 + 1e-9), bottom * (1 - 1e-9), bottom * (1 + 1e-9)])
    found = under_load(walk(shock), loads)
    assert list(found.state) == ["topped_out", "ok", "ok", "bottomed_out"]
    assert list(np.isnan(found.sag.wheel)) == [True, False, False, True]
    assert found.sag.wheel[1] == pytest.approx(0.0, abs=1e-9)
    assert found.sag.wheel[2] == pytest.approx(0.150, abs=1e-9)
    assert standing(shock, start).state == "topped_out"


def test_nothing_to_stand_on_is_unsolved() -> None:
    found = standing(coil(np.nan), 550.0)
    assert found.state == "unsolved"
    assert np.isnan([found.sag.wheel, found.sag.band_low, found.rest_stroke]).all()


def falling_wheel_force() -> Shock:
    """A ratio that rises so fast in the middle that the wheel force falls there, and then rises again."""
    travel = values([0.0, 0.030, 0.060, 0.075, 0.090, 0.150])
    ratio = values([2.2, 2.2, 2.2, 2.9, 2.9, 2.9])
    lever = leverage_curve(Frame(0.150, 0.0577, Table(travel, ratio)))
    return shock_of(Setup("coil", Coil(60e3, 0.010, 4378.0)), lever, SHOP)


@given(st.floats(200.0, 1500.0))
def test_of_several_crossings_the_first_with_rising_force_counts(static: float) -> None:
    shock = falling_wheel_force()
    fine = values(np.linspace(0.0, 0.150, 20001))
    force, rate = shock.wheel(fine)
    found = standing(shock, static)
    if force[0] >= static:
        assert found.state == "topped_out"
    elif not np.any(force >= static):
        assert found.state == "bottomed_out"
    else:
        first = int(np.argmax(force >= static))
        assert fine[first - 1] - 1e-12 <= found.sag.wheel <= fine[first] + 1e-12
        assert rate[first] > -1e4


def test_a_load_that_only_the_tip_of_a_hump_reaches() -> None:
    shock = falling_wheel_force()
    fine = values(np.linspace(0.055, 0.080, 200001))
    force = shock.wheel(fine)[0]
    peak = float(np.max(force))
    assert force[-1] < peak
    tip = standing(shock, peak * (1 - 1e-7))
    assert tip.sag.wheel == pytest.approx(fine[np.argmax(force)], abs=1e-4)
    assert standing(shock, peak * (1 + 1e-7)).sag.wheel > 0.080


def test_friction_makes_a_band_that_holds_the_force() -> None:
    shock = coil(80e3, 0.001, 40.0)
    sag = standing(shock, 550.0).sag
    assert sag.band_low < sag.wheel < sag.band_high
    # At its ends the spring and the seals together carry the load, one way and the other.
    for wheel, held in ((sag.band_low, 40.0), (sag.band_high, -40.0)):
        there = LEVER.at(values(wheel)[None])
        force = float(shock.at(there.stroke).force[0])
        assert (force + held) / there.ratio[0] == pytest.approx(550.0)
    without = standing(coil(80e3, 0.001), 550.0).sag
    assert without.wheel == pytest.approx(sag.wheel, rel=1e-12)
    assert without.band_low == pytest.approx(without.band_high, rel=1e-12)


def test_the_band_ends_where_the_travel_does() -> None:
    shock = coil(80e3, 0.002, 200.0)
    near_top = standing(shock, float(shock.wheel(values([0.001]))[0][0])).sag
    assert near_top.band_low == 0.0
    near_bottom = standing(shock, float(shock.wheel(values([0.149]))[0][0])).sag
    assert near_bottom.band_high == pytest.approx(0.150)


def test_a_shock_that_is_drawn_in_rests_where_its_force_is_zero() -> None:
    negative = replace(EQUALISED, volume=8e-6, port=0.016)
    air = replace(BARE_AIR, pressure=150 * PSI + SEA, negative=negative, body=0.012)
    shock = shock_of(Setup("air", air), LEVER, SHOP)
    assert shock.at(values([0.0])).force[0] < 0
    found = standing(shock, 550.0)
    assert 0 < found.rest_stroke < 0.016
    assert shock.at(values(found.rest_stroke)[None]).force[0] == pytest.approx(0.0, abs=1e-6)


def test_a_shock_that_pushes_at_full_extension_rests_on_its_top_out_stop() -> None:
    assert standing(coil(80e3, 0.001), 550.0).rest_stroke == 0.0


def test_loads_on_an_axis_of_their_own() -> None:
    walked = walk(coil(80e3, 0.001))
    loads = values([300.0, 550.0, 900.0])
    found = settle(walked, loads)
    alone: list[Values] = [settle(walked, values([load])).wheel[0] for load in loads]
    assert found.wheel == pytest.approx(np.array(alone))


AIRS = ("equalised", "separate", "mechanical", "none")


@pytest.mark.parametrize("name", ["coil", "equalised"])
def test_many_loads_of_one_shock_settle_as_each_by_itself(name: str) -> None:
    found = answer(case_of(SETUPS[name])).setups[0]
    walked = walk(shock_of(found.setup, leverage_curve(case_of().frame), SHOP))
    loads = values(np.linspace(-50.0, 1.2 * float(found.figures.bottom_wheel_force), 50))
    together = settle(walked, loads)
    assert 30 < np.isfinite(together.wheel).sum() < 50
    for index in range(0, 50, 7):
        alone = settle(walked, loads[index : index + 1])
        assert together.wheel[index] == pytest.approx(float(alone.wheel[0]), rel=1e-11, nan_ok=True)
        assert together.topped_out[index] == alone.topped_out[0]
        assert together.bottomed_out[index] == alone.bottomed_out[0]


def settled(setup: Setup, rider: float = 85.0, sag: float = 0.30) -> SetupAnswer:
    load = RiderAndBike(rider, 0.62, 15.5, 0.5, 4.2)
    return answer(replace(case_of(setup), load=load, target=replace(TARGET, sag=sag))).setups[0]


@settings(max_examples=cases(60))
@given(
    st.sampled_from(AIRS),
    st.floats(50.0, 130.0),
    st.floats(0.15, 0.45),
    st.floats(0.0, 0.02),
)
def test_at_once_is_less_than_settled_and_takes_seconds(
    name: str, rider: float, sag: float, port: float
) -> None:
    setup = SETUPS[name]
    if name == "equalised":
        spring = air_of(setup)
        second = spring.negative
        assert isinstance(second, EqualisedNegative)
        setup = replace(setup, spring=replace(spring, negative=replace(second, port=port)))
    found = settled(setup, rider, sag)
    if found.state != "ok":
        assert np.isnan([found.at_once.wheel, found.at_once.stroke, found.at_once.settling_time]).all()
        return
    once = found.at_once
    assert 0.0 <= once.wheel < found.sag.wheel
    assert 0.0 <= once.stroke < found.sag.stroke
    gap = float(found.sag.wheel - once.wheel)
    if gap > READABLE:
        assert 0.0 < once.settling_time < 60.0
    else:
        assert once.settling_time == 0.0


@pytest.mark.parametrize("name", AIRS)
def test_what_is_left_to_sink_and_cannot_be_read_takes_no_time(name: str) -> None:
    found = settled(SETUPS[name], sag=0.005)
    assert found.state == "ok"
    assert 0.0 < float(found.sag.wheel - found.at_once.wheel) < READABLE
    assert found.at_once.settling_time == 0.0


def test_a_coil_has_no_clock() -> None:
    # Its damper gas and its bumper are taken as slow.
    setup = replace(
        SETUPS["coil"], gas=GasCharge(200 * PSI + SEA, 12e-6, 0.009), bumper=Bumper(0.008, 1500.0)
    )
    found = settled(setup)
    assert found.at_once.wheel == found.sag.wheel
    assert found.at_once.stroke == found.sag.stroke
    assert found.at_once.settling_time == 0.0


def test_with_the_port_at_full_extension_the_chambers_start_as_one() -> None:
    spring = air_of(SETUPS["equalised"])
    second = spring.negative
    assert isinstance(second, EqualisedNegative)
    nearly, at_start = (
        settled(Setup("air", replace(spring, negative=replace(second, port=port)))) for port in (1e-9, 0.0)
    )
    assert at_start.at_once.wheel == pytest.approx(float(nearly.at_once.wheel), rel=1e-6)


def test_mixing_keeps_the_energy_and_lies_between() -> None:
    mass, hot = values([2.0e-3, 0.5e-3]), values([330.0, 270.0])
    mixed = gas.mixed_temperature(hot, mass, values(20.0))
    before = (mass * gas.internal_energy(hot, values(20.0))).sum()
    assert mass.sum() * gas.internal_energy(mixed, 20.0) == pytest.approx(float(before), rel=1e-12)
    assert 270.0 < mixed < 330.0
    # Nearly ideal air: the mean by mass.
    assert mixed == pytest.approx(float((mass * hot).sum() / mass.sum()), abs=0.2)


def test_the_capacity_is_the_slope_of_the_energy() -> None:
    T, rho, h = values([260.0, 300.0, 480.0]), values([5.0, 40.0, 90.0]), 1e-3
    slope = (gas.internal_energy(T + h, rho) - gas.internal_energy(T - h, rho)) / (2 * h)
    assert slope == pytest.approx(gas.heat_capacity(T, rho), rel=1e-7)


def test_the_estimate_of_the_time_by_hand() -> None:
    # m c_p/(h A) with Nu = 0.15 Ra^(1/3).
    found = settled(SETUPS["none"])
    spring = air_of(found.setup)
    area = np.pi / 4 * (float(spring.bore) ** 2 - float(spring.rod) ** 2)
    start = spring.positive_volume - spring.positive_spacers * spring.positive_spacer_volume
    volume = start - area * float(found.at_once.stroke)
    rho0 = gas.density(found.setup.spring.pressure, 293.15)  # type: ignore[union-attr, arg-type]
    rho = rho0 * start / volume
    warmer = float(gas.isentropic_temperature(293.15, rho0, rho)) - 293.15
    nu, alpha = 1.85e-5 / rho, 0.0263 / (rho * 1007.0)
    transfer = 0.15 * 0.0263 * (9.80665 * warmer / 293.15 / (nu * alpha)) ** (1 / 3)
    wall = 2 * area + np.pi * np.sqrt(4 * area / np.pi) * volume / area
    tau = rho * volume * 1007.0 / (transfer * wall)
    assert 2.0 < tau < 10.0
    gap = float(found.sag.wheel - found.at_once.wheel)
    expected = 3 * tau * ((gap / READABLE) ** (1 / 3) - 1)
    assert found.at_once.settling_time == pytest.approx(float(expected), rel=1e-6)
