"""Damper gas and bumper against hand calculation.

Air in the lower legs of a fork against hand calculation, and in all that is read off a curve.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.arrays import per_point, values
from physics.bench import answer
from physics.case import Ambient, Bumper, Case, Coil, Fork, Frame, LowerLegs, Setup, Target
from physics.extras import bumper_force, closed_legs, extras_faults, gas_force
from physics.leverage import leverage_curve
from physics.shock import shock_of
from tests.physics.examples import BARE_AIR, BUMPER, COLD_PASS, EQUALISED, GAS, LOAD, PSI, SEA, SETUPS, SHOP

AREA = math.pi / 4 * 0.009**2


def test_gas_pushes_with_the_rod_area_and_more_as_the_rod_dives_in() -> None:
    force, rate = gas_force(GAS, values([0.0, 0.060]), SHOP, SHOP)
    assert force[0] == pytest.approx(AREA * 200 * PSI)
    left = 12e-6 - AREA * 0.060
    assert force[1] == pytest.approx(AREA * ((200 * PSI + SEA) * 12e-6 / left - SEA))
    assert rate[1] == pytest.approx(AREA**2 * (200 * PSI + SEA) * 12e-6 / left**2)


def test_gas_follows_the_absolute_temperature() -> None:
    force, _ = gas_force(GAS, values([0.0]), SHOP, COLD_PASS)
    cooled = (200 * PSI + SEA) * 268.15 / 293.15
    assert force[0] == pytest.approx(AREA * (cooled - COLD_PASS.pressure))


def test_bumper_is_a_cube_over_its_length() -> None:
    stroke = values([0.0, 0.051, 0.0555, 0.060])
    force, rate = bumper_force(BUMPER, stroke, values(0.060))
    assert force == pytest.approx([0.0, 0.0, 1800.0 / 8, 1800.0])
    assert rate == pytest.approx([0.0, 0.0, 3 * 1800.0 / 0.009 / 4, 3 * 1800.0 / 0.009])


def test_impossible_extras_are_faults() -> None:
    setup = replace(SETUPS["coil"], gas=replace(GAS, volume=3e-6), bumper=Bumper(0.061, 1800.0))
    found = extras_faults(setup, 0.060)
    assert [(fault.field, fault.code) for fault in found] == [
        (("gas_volume",), "gas_used_up"),
        (("bumper_length",), "longer_than_stroke"),
    ]
    assert found[0].values["needed"] == pytest.approx(AREA * 0.060)
    assert extras_faults(replace(setup, gas=GAS, bumper=BUMPER), 0.060) == ()


ANGLE = math.radians(64.5)
FRAME = Frame(0.160 * math.sin(ANGLE), 0.160, Fork(ANGLE))
LEGS = LowerLegs(230e-6, 0.035)
STANCHION_AREA = math.pi / 4 * 0.035**2
SPRING = replace(BARE_AIR, rod=0.0, bore=0.034, body=0.010, positive_volume=235e-6, negative=EQUALISED)
COIL = Coil(None, 0.003, 4378.0)


def fork(*setups: Setup, shop: Ambient = SHOP) -> Case:
    load = replace(LOAD, rider_share=0.38, unsprung_mass=2.1)
    return Case(load, FRAME, Target(0.20, "travel"), shop, setups)


@given(st.floats(200e-6, 500e-6), st.floats(0.030, 0.038), st.floats(0.0, 0.130), st.floats(60e3, 105e3))
def test_slow_is_pressure_times_volume_constant(volume: float, wide: float, x: float, outside: float) -> None:
    area = math.pi / 4 * wide**2
    shop = Ambient(293.15, outside)
    force, rate = closed_legs(LowerLegs(volume, wide), shop).force(values([x]), 293.15, outside)
    # F = 2 A p_a [V/(V − A x) − 1]; air near 1 bar is ideal within 0.1 %.
    left = volume - area * x
    assert force[0] == pytest.approx(2 * area * outside * (volume / left - 1), rel=3e-3, abs=1e-6)
    assert rate[0] == pytest.approx(2 * area**2 * outside * volume / left**2, rel=3e-3)


def test_a_usual_fork_pushes_some_390_newtons_at_the_end() -> None:
    force, _ = closed_legs(LEGS, SHOP).force(values([0.0, 0.160]), SHOP.temperature, SEA)
    assert force[0] == pytest.approx(0.0, abs=1e-9)
    assert force[1] == pytest.approx(394, abs=1.5)


def test_fast_is_steeper_than_slow_and_starts_from_the_sag_point() -> None:
    bare, legged = (shock_of(setup, leverage_curve(FRAME), SHOP) for setup in of_rate(9e3))
    stroke, sag = values([0.02, 0.04, 0.10, 0.16]), values(0.04)
    slow = legged.at(stroke).force - bare.at(stroke).force
    fast = legged.fast_at(stroke, sag).force - bare.fast_at(stroke, sag).force
    assert fast[1] == pytest.approx(slow[1], rel=1e-9)
    assert fast[0] < slow[0]
    assert np.all(fast[2:] > slow[2:])
    # Ideal air from the sag point, γ = 1.4.
    left = 230e-6 - STANCHION_AREA * stroke
    p = SEA * 230e-6 / left[1] * (left[1] / left) ** 1.4
    assert fast == pytest.approx(2 * STANCHION_AREA * (p - SEA), rel=6e-3)


def of_rate(rate: float) -> tuple[Setup, Setup]:
    bare = Setup("coil", replace(COIL, rate=rate))
    return bare, replace(bare, lower_legs=LEGS)


@pytest.mark.parametrize("spring", [COIL, SPRING])
def test_a_solved_spring_leaves_the_legs_their_share(spring: Coil) -> None:
    found = answer(fork(Setup("bare", spring), Setup("legged", spring, lower_legs=LEGS)))
    bare, legged = found.setups
    for setup in found.setups:
        assert setup.state == "ok"
        assert float(setup.sag.wheel_fraction) == pytest.approx(0.20, abs=1e-6)
    sag = float(legged.sag.stroke)
    push = 2 * STANCHION_AREA * SEA * (230e-6 / (230e-6 - STANCHION_AREA * sag) - 1)
    if isinstance(spring, Coil):
        spared = [float(setup.coil.rate) * (sag + 0.003) for setup in found.setups if setup.coil]
        assert spared[0] - spared[1] == pytest.approx(push, rel=1e-3)
    else:
        assert legged.air is not None
        assert bare.air is not None
        assert legged.air.set_pressure < bare.air.set_pressure
    assert float(legged.curve.shaft_force[-1]) > float(bare.curve.shaft_force[-1])
    assert float(legged.figures.fast_bottom_shaft) > float(legged.curve.shaft_force[-1])
    assert legged.figures.starting_shaft == pytest.approx(float(bare.figures.starting_shaft), abs=30.0)


def test_a_coil_fork_has_an_at_once_too() -> None:
    bare, legged = answer(fork(*of_rate(9e3))).setups
    assert bare.at_once.wheel == bare.sag.wheel
    sunk = float(legged.sag.wheel - legged.at_once.wheel)
    assert 0.0003 < sunk < 0.004
    # Out of full extension the isentrope carries the load there.
    shock = shock_of(legged.setup, leverage_curve(FRAME), SHOP)
    carried = shock.fast_at(per_point(legged.at_once.stroke), values(0.0)).force[0]
    assert carried == pytest.approx(float(legged.sag.shaft_force), rel=1e-9)
    assert float(legged.riding.bottom_ratio) > float(legged.figures.bottom_ratio)


def test_up_on_a_cold_pass_the_amount_of_air_stays() -> None:
    _, setup = of_rate(9e3)
    there = shock_of(setup, leverage_curve(FRAME), SHOP, COLD_PASS)
    bare = shock_of(replace(setup, lower_legs=None), leverage_curve(FRAME), SHOP, COLD_PASS)
    stroke = values([0.0, 0.1])
    p = SEA * 230e-6 / (230e-6 - STANCHION_AREA * stroke) * 268.15 / 293.15
    push = there.at(stroke).force - bare.at(stroke).force
    assert push == pytest.approx(2 * STANCHION_AREA * (p - COLD_PASS.pressure), rel=5e-3)
    assert push[0] > 0


def test_a_stanchion_that_takes_up_its_leg_is_a_fault() -> None:
    setup = Setup("coil", COIL, lower_legs=LowerLegs(150e-6, 0.035))
    (fault,) = extras_faults(setup, 0.160)
    assert (fault.field, fault.code) == (("lower_leg_volume",), "legs_used_up")
    assert fault.values["needed"] == pytest.approx(STANCHION_AREA * 0.160)
    assert fault.values["left"] == pytest.approx(150e-6 - STANCHION_AREA * 0.160)
    assert extras_faults(replace(setup, lower_legs=LEGS), 0.160) == ()


def test_many_legs_at_once_are_single_ones() -> None:
    volumes = values([200e-6, 230e-6, 300e-6])
    chamber = closed_legs(LowerLegs(volumes, 0.035), SHOP)
    strokes = per_point(values([0.16, 0.16, 0.16]))
    many, _ = chamber.force(strokes, SHOP.temperature, SEA)
    for place, volume in enumerate(volumes):
        one, _ = closed_legs(LowerLegs(volume, 0.035), SHOP).force(values([0.16]), SHOP.temperature, SEA)
        assert many[place, 0] == pytest.approx(one[0])
