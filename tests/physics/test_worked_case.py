"""The worked job of one coil and one air setup against an independent reference.

The reference used real air from an equation of state, adaptive quadrature and bracketing. Invented data.
"""

import numpy as np
import pytest

from physics import gas
from physics.arrays import values
from physics.case import Air, Ambient, Coil, Ends, EqualisedNegative, Frame, RiderAndBike, Setup, Target
from physics.leverage import leverage_curve
from physics.load import wheel_load
from physics.sag import settle
from physics.shock import shock_of
from physics.solve import solved

PSI = 6894.757293168
SHOP = Ambient(293.15, float(gas.standard_pressure(0.0)))
LEVER = leverage_curve(Frame(0.150, 0.060, Ends(2.80, 2.25)))
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
    assert settle(shock, STATIC)[0] == pytest.approx(0.045, rel=2e-3)


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
    wheel = settle(shock, STATIC)[0]
    assert wheel == pytest.approx(0.045, rel=2e-3)
    stroke = LEVER.at(wheel[None])[2][0]
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
    wheel, topped, bottomed = settle(shock_of(setup, LEVER, SHOP), loads)
    assert list(topped) == [True, False, False, False]
    assert list(bottomed) == [False, False, False, True]
    assert wheel[1] == pytest.approx(settle(shock_of(setup, LEVER, SHOP), loads[1])[0])
    assert np.isnan(wheel[[0, 3]]).all()
