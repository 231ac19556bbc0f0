"""The worked job of one coil and one air setup against an independent reference.

The reference used real air from an equation of state, adaptive quadrature and bracketing. Invented data.
"""

import numpy as np
import pytest

from physics import gas
from physics.air import charge
from physics.answer import Figures
from physics.arrays import Values, values
from physics.case import (
    Air,
    Ambient,
    Coil,
    EqualisedNegative,
    Frame,
    LeverageEnds,
    RiderAndBike,
    Setup,
    Target,
)
from physics.figures import figures
from physics.fill import fill
from physics.leverage import leverage_curve
from physics.sag import under_load
from physics.shock import Shock, shock_of
from physics.solve import solved
from physics.stand import wheel_load
from physics.walk import walk

PSI = 6894.757293168
SHOP = Ambient(293.15, float(gas.standard_pressure(0.0)))
LEVER = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.80, 2.25)))
STATIC = wheel_load(RiderAndBike(85.0, 0.62, 15.5, 0.5, 4.2)).static_wheel_force
TARGET = Target(0.30, "travel")
COIL = Setup("coil", Coil(None, 0.001, 25 * 175.126835246), friction=12.0)
AIR = Setup(
    "air",
    Air(None, 0.040, 0.009, 0.027, 105e-6, 1, 6e-6, EqualisedNegative(20e-6, 0, 0.0, 0.009)),
    friction=30.0,
)
STROKES = values(np.linspace(0, 0.060, 9))


def test_coil_rate_and_curve() -> None:
    setup = solved(COIL, LEVER, SHOP, TARGET, STATIC)
    assert isinstance(setup.spring, Coil)
    assert setup.spring.rate == pytest.approx(81798.714, rel=2e-3)
    shock = shock_of(setup, LEVER, SHOP)
    assert shock.at(STROKES).force[[0, 3, 8]] == pytest.approx([81.798714, 1922.2698, 4989.7216], rel=4e-3)
    assert under_load(walk(shock), STATIC).sag.wheel == pytest.approx(0.045, rel=2e-3)


def test_air_pressure_and_curve() -> None:
    setup = solved(AIR, LEVER, SHOP, TARGET, STATIC)
    assert isinstance(setup.spring, Air)
    assert setup.spring.pressure is not None
    assert (setup.spring.pressure - SHOP.pressure) / PSI == pytest.approx(240.1546, rel=4e-3)
    shock = shock_of(setup, LEVER, SHOP)
    slow = shock.at(STROKES)
    assert slow.force[[0, 1, 4, 8]] == pytest.approx([285.14716, 849.73093, 2351.9575, 6881.052], rel=4e-3)
    assert slow.positive[[0, 8]] == pytest.approx([1975.4114, 7391.0351], rel=4e-3)
    assert slow.negative[[0, 8]] == pytest.approx([-1690.2642, -509.98313], rel=4e-3)
    sag = under_load(walk(shock), STATIC).sag
    assert sag.wheel == pytest.approx(0.045, rel=2e-3)
    stroke = sag.stroke
    assert shock.fast_at(stroke[None], stroke).rate == pytest.approx(91436.104, rel=1e-2)
    assert shock.fast_at(STROKES[-1:], stroke).force == pytest.approx(11883.729, rel=1e-2)


def test_wheel_rate_is_the_slope_of_the_wheel_force() -> None:
    shock = shock_of(solved(AIR, LEVER, SHOP, TARGET, STATIC), LEVER, SHOP)
    travel = values(np.array([0.03, 0.045, 0.12]))
    step = 1e-6
    slope = (shock.wheel(travel + step)[0] - shock.wheel(travel - step)[0]) / (2 * step)
    assert shock.wheel(travel)[1] == pytest.approx(slope, rel=1e-5)


def test_many_riders_at_once_settle_as_each_alone() -> None:
    setup = solved(AIR, LEVER, SHOP, TARGET, STATIC)
    loads = values(np.array([50.0, 551.624, 700.0, 9000.0]))
    stood = under_load(walk(shock_of(setup, LEVER, SHOP)), loads)
    assert list(stood.state) == ["topped_out", "ok", "ok", "bottomed_out"]
    alone = under_load(walk(shock_of(setup, LEVER, SHOP)), loads[1])
    assert stood.sag.wheel[1] == pytest.approx(alone.sag.wheel)
    assert np.isnan(stood.sag.wheel[[0, 3]]).all()


def read_off(shock: Shock, static: Values) -> Figures:
    walked = walk(shock)
    return figures(walked, static, under_load(walked, static).sag)


REFERENCE = {
    "coil": {
        "bottom_wheel_force": 2230.9464, "bottom_ratio": 4.0443239, "chord_deviation": -0.056681374,
        "softest_wheel_rate": 12690.334, "end_ramp": 1.1422425, "energy_total": 152.14561,
        "energy_from_sag": 139.42563, "drop_height": 0.12581394, "wheel_rate_at_sag": 12690.334,
        "natural_frequency": 2.3905366, "starting_shaft": 93.798714, "starting_wheel": 33.700333,
        "support_25": 0.83007296, "support_50": 1.7347583, "support_75": 2.7945586,
        "critical_damping": 11593.067,
    },
    "air": {
        "bottom_wheel_force": 3076.5761, "bottom_ratio": 5.5773058, "chord_deviation": -0.2519288,
        "softest_wheel_rate": 10044.544, "end_ramp": 2.1275743, "energy_total": 161.83737,
        "energy_from_sag": 146.9591, "drop_height": 0.14338346, "wheel_rate_at_sag": 10044.544,
        "natural_frequency": 2.1267869, "starting_shaft": 315.14716, "starting_wheel": 113.22718,
        "support_25": 0.8655007, "support_50": 1.6104409, "support_75": 2.7894359,
        "fast_rate_at_sag": 91436.104, "fast_bottom_shaft": 11883.729, "critical_damping": 10313.995,
    },
}  # fmt: skip


@pytest.mark.parametrize("unsolved", [COIL, AIR], ids=["coil", "air"])
def test_every_figure_of_the_reference(unsolved: Setup) -> None:
    shock = shock_of(solved(unsolved, LEVER, SHOP, TARGET, STATIC), LEVER, SHOP)
    read = read_off(shock, STATIC)
    for name, expected in REFERENCE[unsolved.name].items():
        assert getattr(read, name) == pytest.approx(expected, rel=1e-2), name


def test_fill_readings_and_the_round_that_holds() -> None:
    setup = solved(AIR, LEVER, SHOP, TARGET, STATIC)
    assert isinstance(setup.spring, Air)
    assert setup.spring.pressure is not None
    done = fill(setup.spring, charge(setup.spring, float(setup.spring.pressure), SHOP), SHOP)
    gauge = (done.readings - SHOP.pressure) / PSI
    assert gauge[:3] == pytest.approx([184.39396, 227.41678, 237.24315], rel=4e-3)
    assert done.holds
    assert done.rounds == len(gauge) == 4
    assert done.single_fill > setup.spring.pressure


def test_many_riders_have_the_figures_of_each_alone() -> None:
    shock = shock_of(solved(AIR, LEVER, SHOP, TARGET, STATIC), LEVER, SHOP)
    loads = values(np.array([551.62406, 700.0]))
    many, alone = read_off(shock, loads), read_off(shock, loads[1])
    assert many.bottom_ratio[1] == pytest.approx(alone.bottom_ratio)
    assert many.energy_from_sag[1] == pytest.approx(alone.energy_from_sag)
    assert many.fast_bottom_shaft[1] == pytest.approx(alone.fast_bottom_shaft)
