"""Leverage and wheel rate against closed forms, printed figures recomputed at high precision."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from physics.arrays import values
from physics.case import Ambient, Coil, Fork, Frame, LeverageEnds, Measured, Setup, Table
from physics.leverage import leverage_curve
from physics.shock import shock_of

SHOP = Ambient(293.15, 101_325.0)


def test_ratio_linear_in_wheel_travel() -> None:
    # Source: elementary integral of dw/(a + b w): x = ln(1 + b w/a)/b. a 3, b −6 /m, w 0.15 m: 0.059445824 m.
    lever = leverage_curve(Frame(0.15, 0.059445824, LeverageEnds(3.0, 2.1)))
    assert lever.closure_error == pytest.approx(0.0, abs=1e-8)
    w = values(np.linspace(0.0, 0.15, 31))
    assert lever.at(w).stroke == pytest.approx(np.log(1 - 2 * w) / -6, abs=1e-9)


def test_ratio_linear_in_shock_stroke() -> None:
    # Source: dw = (a + c x) dx: w = a x + c x²/2, L = √(a² + 2 c w). a 3, c −16 /m, x 0.06 m gives
    # w 0.1512 m and L 2.04.
    w = values(np.linspace(0.0, 0.1512, 64))
    lever = leverage_curve(Frame(0.1512, 0.060, Table(w, np.sqrt(9 - 32 * w))))
    assert lever.closure_error == pytest.approx(0.0, abs=2e-6)
    assert lever.at(values([0.1512])).ratio[0] == pytest.approx(2.04, abs=1e-5)
    x = values(np.linspace(0.0, 0.06, 25))
    found = lever.at_stroke(x)
    assert found.wheel == pytest.approx(3 * x - 8 * x**2, abs=1e-7)
    assert found.ratio == pytest.approx(3 - 16 * x, rel=3e-5)
    assert found.slope == pytest.approx(-16 / (3 - 16 * x), rel=0.02)


def test_pairs_measured_on_that_ratio() -> None:
    # The same closed form read off the bike at seven places, exact and with a reading rounded to 0.5 mm.
    x = values(np.linspace(0.06 / 7, 0.06, 7))
    w = 3 * x - 8 * x**2
    exact = leverage_curve(Frame(0.1512, 0.060, Measured(w, x)))
    assert exact.residual < 2e-5
    assert exact.at(w).ratio == pytest.approx(3 - 16 * x, rel=1e-2)
    rounded = leverage_curve(Frame(0.1512, 0.060, Measured(w, np.round(x * 2e3) / 2e3)))
    assert 5e-5 < rounded.residual < 2.5e-4
    assert rounded.at(w).ratio == pytest.approx(3 - 16 * x, rel=0.05)


PARABOLA = LeverageEnds(3.1, 3.1 - 5 * 0.14 + 8 * 0.14**2, 3.1 - 5 * 0.07 + 8 * 0.07**2)


def test_wheel_rate_with_the_slope_of_the_ratio() -> None:
    # Source: virtual work, k_w = (k − F L′)/L²; L = 3.1 − 5 w + 8 w² (w in m), 85 N/mm, 4 mm preload,
    # computed independently at high precision at w 0.05 and 0.14 m.
    stroke = quad(lambda w: 1 / (3.1 - 5 * w + 8 * w**2), 0.0, 0.14)[0]
    lever = leverage_curve(Frame(0.14, stroke, PARABOLA))
    shock = shock_of(Setup("c", Coil(85e3, 0.004, 4378.0)), lever, SHOP)
    places = lever.at(values([0.05, 0.14]))
    assert places.stroke == pytest.approx([0.016777, 0.050116], abs=6e-7)
    assert shock.at(places.stroke).force == pytest.approx([1766.08, 4599.86], abs=6e-3)
    rate = shock.wheel(places.wheel)[1]
    assert rate == pytest.approx([11_219.944, 14_944.506], rel=1e-7)
    # Leaving out the slope of L is 5 to 13 % wrong here.
    everywhere = lever.at(values(np.linspace(0.0, 0.14, 15)))
    wrong = np.abs(85e3 / everywhere.ratio**2 / shock.wheel(everywhere.wheel)[1] - 1)
    assert np.all(wrong < 0.135)
    assert wrong[5:].min() > 0.05
    assert wrong.max() == pytest.approx(0.13, abs=5e-3)


def test_a_fork_moves_along_its_own_axis() -> None:
    # Source: a slider along its own axis; dw = sin(head angle) dx, virtual work.
    angle = math.radians(64.0)
    lever = leverage_curve(Frame(0.15 * math.sin(angle), 0.15, Fork(angle)))
    shock = shock_of(Setup("c", Coil(8e3, 0.0, 4378.0)), lever, SHOP)
    force = shock.wheel(values([0.09 * math.sin(angle)]))[0][0]
    assert force == pytest.approx(8e3 * 0.09 / math.sin(angle))
