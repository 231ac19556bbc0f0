"""Damper gas and bumper against hand calculation."""

import math
from dataclasses import replace

import pytest

from physics.arrays import values
from physics.case import Bumper
from physics.extras import bumper_force, extras_faults, gas_force
from tests.physics.examples import BUMPER, COLD_PASS, GAS, PSI, SEA, SETUPS, SHOP

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
