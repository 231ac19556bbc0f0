"""Sag at once and how long it takes to settle. The second way to the numbers is in `tests/published`."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics import gas
from physics.answer import SetupAnswer
from physics.arrays import values
from physics.bench import answer
from physics.case import Bumper, EqualisedNegative, GasCharge, RiderAndBike, Setup
from physics.sag import READABLE
from physics.shock import air_of
from tests.physics.examples import PSI, SEA, SETUPS, TARGET, case_of

AIRS = ("equalised", "separate", "mechanical", "none")


def settled(setup: Setup, rider: float = 85.0, sag: float = 0.30) -> SetupAnswer:
    load = RiderAndBike(rider, 0.62, 15.5, 0.5, 4.2)
    return answer(replace(case_of(setup), load=load, target=replace(TARGET, sag=sag))).setups[0]


@settings(max_examples=60, deadline=None)
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
