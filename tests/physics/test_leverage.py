"""Leverage against closed forms."""

import math

import numpy as np
import pytest

from physics.arrays import Values, values
from physics.case import Ends, Fork, Frame, Measured, Table
from physics.faults import Refused
from physics.leverage import leverage_curve


def test_straight_ratio_has_a_closed_form() -> None:
    # x = ln(1 + b w/a)/b (elementary integral of 1/(a + b w)).
    stroke = math.log(1 - 6 * 0.15 / 3) / -6
    curve = leverage_curve(Frame(0.15, stroke, Ends(3.0, 2.1)))
    w = np.linspace(0, 0.15, 7)
    assert curve.at(w).stroke == pytest.approx(np.log(1 - 2 * w) / -6, abs=1e-12)
    assert curve.at_stroke(curve.at(w).stroke).wheel == pytest.approx(w, abs=1e-11)


def test_closing_scales_the_ratio_as_in_the_worked_case() -> None:
    curve = leverage_curve(Frame(0.150, 0.060, Ends(2.80, 2.25)))
    assert curve.closure_error == pytest.approx(-0.0059581774, rel=1e-5)
    assert curve.nodes.ratio[0] == pytest.approx(2.7833171, rel=1e-7)
    assert curve.at(np.array([0.150])).stroke == pytest.approx(0.060)


def test_a_curve_far_off_the_stroke_is_refused_with_both_strokes() -> None:
    with pytest.raises(Refused) as refusal:
        leverage_curve(Frame(0.150, 0.050, Ends(2.80, 2.25)))
    assert refusal.value.faults[0].values["stroke"] == 0.050
    assert refusal.value.faults[0].values["leverage_stroke"] == pytest.approx(0.05964, abs=1e-4)


def test_three_points_table_and_pairs_agree_on_one_parabola() -> None:
    def ratio(w: Values) -> Values:
        return values(3.1 - 5 * w + 8 * w**2)

    w = np.linspace(0, 0.14, 15)
    three = leverage_curve(
        Frame(0.14, 0.0501157, Ends(3.1, float(ratio(np.array(0.14))), float(ratio(np.array(0.07)))))
    )
    assert three.at(np.array([0.05, 0.14])).stroke == pytest.approx([0.016777, 0.050116], abs=1e-6)
    table = leverage_curve(Frame(0.14, 0.0501157, Table(w, ratio(w))))
    assert table.at(w).ratio == pytest.approx(ratio(w), rel=1e-3)
    pairs = leverage_curve(Frame(0.14, 0.0501157, Measured(w[1:], three.at(w[1:]).stroke)))
    assert pairs.at(w).ratio == pytest.approx(ratio(w), rel=2e-3)
    assert 0 < pairs.residual < 1e-5


def test_fork_moves_along_its_own_axis() -> None:
    angle = math.radians(64)
    curve = leverage_curve(Frame(0.150 * math.sin(angle), 0.150, Fork(angle)))
    assert curve.at(np.array([0.1])).ratio == pytest.approx(math.sin(angle))


def test_leading_axis_of_frames() -> None:
    curve = leverage_curve(Frame(0.150, 0.060, Ends(np.array([2.8, 2.7]), np.array([2.25, 2.3]))))
    alone = leverage_curve(Frame(0.150, 0.060, Ends(2.7, 2.3)))
    w = np.array([[0.05], [0.05]])
    assert curve.at(w).stroke[1] == pytest.approx(alone.at(w[1]).stroke)
