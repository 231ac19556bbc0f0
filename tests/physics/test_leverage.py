"""Leverage against closed forms.

Leverage over shock stroke turned into leverage over wheel travel.
"""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator

from physics.arrays import Values, values
from physics.case import Fork, Frame, LeverageEnds, Measured, Table
from physics.faults import Refused
from physics.leverage import closing, frame_answer, leverage_curve, table_over_travel
from tests.physics.examples import LEVERAGES


def test_straight_ratio_has_a_closed_form() -> None:
    # x = ln(1 + b w/a)/b (elementary integral of 1/(a + b w)).
    stroke = math.log(1 - 6 * 0.15 / 3) / -6
    curve = leverage_curve(Frame(0.15, stroke, LeverageEnds(3.0, 2.1)))
    w = np.linspace(0, 0.15, 7)
    assert curve.at(w).stroke == pytest.approx(np.log(1 - 2 * w) / -6, abs=1e-12)
    assert curve.at_stroke(curve.at(w).stroke).wheel == pytest.approx(w, abs=1e-11)


def test_closing_scales_the_ratio_as_in_the_worked_case() -> None:
    curve = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.80, 2.25)))
    assert curve.closure_error == pytest.approx(-0.0059581774, rel=1e-5)
    assert curve.nodes.ratio[0] == pytest.approx(2.7833171, rel=1e-7)
    assert curve.at(np.array([0.150])).stroke == pytest.approx(0.060)


def test_a_curve_far_off_the_stroke_is_refused_with_both_strokes() -> None:
    with pytest.raises(Refused) as refusal:
        leverage_curve(Frame(0.150, 0.050, LeverageEnds(2.80, 2.25)))
    assert refusal.value.faults[0].values["stroke"] == 0.050
    assert refusal.value.faults[0].values["leverage_stroke"] == pytest.approx(0.05964, abs=1e-4)


@given(
    start=st.floats(2.2, 3.4),
    end=st.floats(1.8, 3.0),
    bend=st.one_of(st.none(), st.floats(-0.3, 0.3)),
    stroke=st.floats(0.035, 0.09),
)
def test_each_number_that_closes_a_frame_does_when_it_is_fed_back(
    start: float, end: float, bend: float | None, stroke: float
) -> None:
    ends = LeverageEnds(start, end, None if bend is None else (start + end) / 2 + bend)
    frame = Frame(0.150, stroke, ends)
    found = closing(frame)
    tried = [replace(frame, wheel_travel=found.wheel_travel)]
    tried += [replace(frame, leverage=replace(ends, end=found.end))] if np.isfinite(found.end) else []
    tried += (
        [replace(frame, leverage=replace(ends, middle=found.middle))] if np.isfinite(found.middle) else []
    )
    for fed in tried:
        assert leverage_curve(fed).closure_error == pytest.approx(0.0, abs=1e-9)


def test_a_frame_that_is_far_off_is_told_what_would_close_it() -> None:
    frame = Frame(0.150, 0.050, LeverageEnds(2.80, 2.25))
    with pytest.raises(Refused) as refusal:
        leverage_curve(frame)
    told, found = refusal.value.faults[0].values, closing(frame)
    assert (told["fits_end"], told["fits_middle"]) == (found.end, found.middle)
    # The travel is proportional to the stroke: 150 mm over 59.64 mm of it.
    assert told["fits_travel"] == pytest.approx(0.150 * 0.050 / told["leverage_stroke"])
    assert found.end == pytest.approx(3.2093, abs=1e-4)


@pytest.mark.parametrize("kind", ["table", "measured"])
def test_rows_close_where_they_reach_the_stroke(kind: str) -> None:
    w = np.linspace(0, 0.16, 9)
    ends = leverage_curve(Frame(0.16, 0.0633, LeverageEnds(2.9, 2.2)))
    at = ends.at(w)
    rows = Table(w, at.ratio) if kind == "table" else Measured(w, at.stroke)
    found = closing(Frame(0.16, 0.055, rows))
    assert math.isnan(found.end)
    assert math.isnan(found.middle)
    fed = leverage_curve(Frame(found.wheel_travel, 0.055, rows))
    assert fed.closure_error == pytest.approx(0.0, abs=1e-6)
    assert math.isnan(closing(Frame(0.15, 0.07, rows)).wheel_travel)  # beyond the last row


def test_three_points_table_and_pairs_agree_on_one_parabola() -> None:
    def ratio(w: Values) -> Values:
        return values(3.1 - 5 * w + 8 * w**2)

    w = np.linspace(0, 0.14, 15)
    three = leverage_curve(
        Frame(0.14, 0.0501157, LeverageEnds(3.1, float(ratio(np.array(0.14))), float(ratio(np.array(0.07)))))
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
    curve = leverage_curve(Frame(0.150, 0.060, LeverageEnds(np.array([2.8, 2.7]), np.array([2.25, 2.3]))))
    alone = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.7, 2.3)))
    w = np.array([[0.05], [0.05]])
    assert curve.at(w).stroke[1] == pytest.approx(alone.at(w[1]).stroke)


FRAMES = {name: Frame(0.150, 0.060, kind) for name, kind in LEVERAGES.items()} | {
    "fork": Frame(0.150 * math.sin(1.13), 0.150, Fork(1.13))
}


@pytest.mark.parametrize("name", FRAMES)
def test_stroke_is_the_integral_of_one_over_the_ratio(name: str) -> None:
    curve = leverage_curve(FRAMES[name])
    full = float(curve.wheel_travel)
    for w in (0.31 * full, 0.777 * full, full):
        rows = LEVERAGES["table"]
        knots = [float(k) for k in rows.travel if 0 < k < w] if isinstance(rows, Table) else []
        stroke = quad(lambda v: 1 / float(curve.at(values([v])).ratio[0]), 0, w, points=knots or None)[0]
        assert curve.at(values([w])).stroke[0] == pytest.approx(stroke, abs=1e-10)
    assert curve.at(values([full])).stroke[0] == pytest.approx(float(curve.stroke), abs=1e-12)


@pytest.mark.parametrize("name", FRAMES)
def test_slope_is_the_derivative_of_the_ratio(name: str) -> None:
    curve = leverage_curve(FRAMES[name])
    at = float(curve.wheel_travel) * values([0.1003, 0.4507, 0.8801])
    h = 1e-7
    slope = (curve.at(at + h).ratio - curve.at(at - h).ratio) / (2 * h)
    assert curve.at(at).slope == pytest.approx(slope, rel=1e-5, abs=1e-5)


@given(st.sampled_from(sorted(FRAMES)), st.floats(0.0, 1.0))
def test_wheel_and_stroke_lead_to_each_other(name: str, share: float) -> None:
    curve = leverage_curve(FRAMES[name])
    stroke = values([share * float(curve.stroke)])
    there = curve.at_stroke(stroke)
    assert there.stroke == pytest.approx(stroke, abs=1e-12)
    assert curve.at(there.wheel).stroke == pytest.approx(stroke, abs=1e-12)


def test_places_that_do_not_exist_stay_so_and_ends_hold() -> None:
    curve = leverage_curve(FRAMES["ends"])
    found = curve.at(values([np.nan, -0.01, 0.2]))
    assert np.isnan([found.wheel[0], found.stroke[0], found.ratio[0], found.slope[0]]).all()
    assert found.wheel[1:] == pytest.approx([0.0, 0.150])
    assert found.stroke[1:] == pytest.approx([0.0, 0.060])


def test_a_table_is_the_shape_preserving_cubic_closed_on_the_stroke() -> None:
    table = LEVERAGES["table"]
    assert isinstance(table, Table)
    curve = leverage_curve(FRAMES["table"])
    at = values(np.linspace(0.0, 0.150, 97))
    expected = PchipInterpolator(table.travel, table.ratio)(at) * (1 + curve.closure_error)
    assert curve.at(at).ratio == pytest.approx(expected, rel=2e-6)
    # Monotone rows stay monotone between them.
    assert np.all(np.diff(curve.at(at).ratio) < 0)


def test_a_table_of_two_rows_is_a_straight_line_and_one_row_is_none() -> None:
    stroke = math.log(1 - 6 * 0.15 / 3) / -6
    straight = leverage_curve(Frame(0.15, stroke, LeverageEnds(3.0, 2.1)))
    two = leverage_curve(Frame(0.15, stroke, Table(values([0.0, 0.15]), values([3.0, 2.1]))))
    at = values(np.linspace(0.0, 0.15, 31))
    assert two.at(at).ratio == pytest.approx(straight.at(at).ratio, rel=1e-9)
    assert two.at(at).stroke == pytest.approx(straight.at(at).stroke, abs=1e-10)
    with pytest.raises(Refused) as refusal:
        leverage_curve(Frame(0.15, stroke, Table(values([0.0]), values([3.0]))))
    assert [fault.code for fault in refusal.value.faults] == ["not_increasing"]


def test_measured_pairs_through_the_origin_with_their_residual() -> None:
    travel = values([0.02, 0.05, 0.08, 0.10, 0.13, 0.15])
    noise = values([0.1, -0.2, 0.1, 0.2, -0.1, -0.1]) * 1e-3
    stroke = travel / 2.8 + 0.25 * travel**2 + noise
    # Degree 3 from six pairs on: the normal equations by hand.
    matrix = np.stack([travel, travel**2, travel**3], axis=1)
    fit = np.linalg.solve(matrix.T @ matrix, matrix.T @ stroke)
    reached = float(np.array([0.15, 0.15**2, 0.15**3]) @ fit)
    curve = leverage_curve(Frame(0.150, reached, Measured(travel, stroke)))
    rms = math.sqrt(np.mean((matrix @ fit - stroke) ** 2))
    assert curve.closure_error == pytest.approx(0.0, abs=1e-9)
    assert curve.residual == pytest.approx(rms, rel=1e-6)
    assert curve.at(values([0.0])).ratio[0] == pytest.approx(1 / fit[0], rel=1e-9)


def test_four_and_five_pairs_make_a_quadratic() -> None:
    travel = values([0.03, 0.07, 0.11, 0.15])
    stroke = travel / 2.8 + 0.20 * travel**2
    for count in (4, 5):
        rows = np.append(travel, [0.09] * (count - 4))
        pairs = Measured(rows, rows / 2.8 + 0.20 * rows**2)
        curve = leverage_curve(Frame(0.150, float(stroke[-1]), pairs))
        assert curve.residual == pytest.approx(0.0, abs=1e-12)
        assert curve.at(rows).ratio == pytest.approx(1 / (1 / 2.8 + 0.40 * rows), rel=1e-9)


def test_the_answer_about_the_frame() -> None:
    found = frame_answer(leverage_curve(FRAMES["ends"]))
    assert found.progression == pytest.approx((2.80 - 2.25) / 2.80)
    assert found.leverage_start == pytest.approx(2.80 * (1 + found.closure_error))
    assert found.travel[[0, -1]] == pytest.approx([0.0, 0.150])
    assert found.ratio[[0, -1]] == pytest.approx([float(found.leverage_start), float(found.leverage_end)])
    assert np.isnan(found.residual)


@pytest.mark.parametrize("error", [0.049, -0.049, 0.051, -0.051])
def test_five_per_cent_is_the_limit_either_way(error: float) -> None:
    stroke = math.log(1 - 6 * 0.15 / 3) / -6
    frame = Frame(0.15, stroke / (1 + error), LeverageEnds(3.0, 2.1))
    if abs(error) > 0.05:
        with pytest.raises(Refused, match="does_not_close"):
            leverage_curve(frame)
    else:
        assert leverage_curve(frame).closure_error == pytest.approx(error, rel=1e-6)


@pytest.mark.parametrize("rows", [2, 3, 8, 61])
def test_a_straight_line_over_the_stroke_has_a_closed_form(rows: int) -> None:
    # L = a + c x gives w = a x + c x²/2: exact, no source needed.
    stroke = np.linspace(0.0, 0.06, rows)
    table = table_over_travel(stroke, 3.0 - 16.0 * stroke)
    assert table.travel[-1] == pytest.approx(0.1512, rel=1e-12)
    assert table.ratio[-1] == pytest.approx(2.04, rel=1e-12)
    assert table.ratio == pytest.approx(np.sqrt(9.0 - 32.0 * table.travel), rel=1e-12)


def test_rows_are_added_only_between_those_more_than_a_twentieth_apart() -> None:
    # 60 mm in steps of at most 3 mm: 20 of them from two rows, none more where they are as close already.
    for rows, made in ((2, 21), (6, 21), (21, 21), (31, 31)):
        stroke = np.linspace(0.0, 0.06, rows)
        assert len(table_over_travel(stroke, np.full(rows, 2.5)).travel) == made


@pytest.mark.parametrize("rows", [2, 4, 31])
def test_the_frame_made_of_it_closes_on_the_shock(rows: int) -> None:
    stroke = np.linspace(0.0, 0.06, rows)
    ratio = 2.9 - 14.0 * stroke + 60.0 * stroke**2
    table = table_over_travel(stroke, ratio)
    lever = leverage_curve(Frame(float(table.travel[-1]), 0.06, table))
    assert abs(float(lever.closure_error)) < 1e-4
    assert lever.at_stroke(stroke).ratio == pytest.approx(ratio, abs=2e-3)


@given(
    st.lists(st.tuples(st.floats(1e-3, 0.02), st.floats(0.5, 5.0)), min_size=1, max_size=12),
    st.floats(0.5, 5.0),
)
def test_travel_is_the_integral_and_every_row_is_kept(steps: list[tuple[float, float]], start: float) -> None:
    stroke = np.cumsum([0.0, *(step for step, _ratio in steps)])
    ratio = np.array([start, *(ratio for _step, ratio in steps)])
    table = table_over_travel(stroke, ratio)
    curve = PchipInterpolator(stroke, ratio)
    whole = sum(quad(curve, *ends)[0] for ends in pairwise(stroke))
    assert table.travel[-1] == pytest.approx(whole, rel=1e-9)
    assert np.all(np.diff(table.travel) > 0)
    for own in ratio:
        assert np.min(np.abs(table.ratio - own)) < 1e-9


def test_a_lever_alone_is_no_fork() -> None:
    found = frame_answer(leverage_curve(Frame(0.150, 0.060, LEVERAGES["ends"])))
    assert (found.fork, found.linkage) == (False, None)
