"""Leverage over shock stroke turned into leverage over wheel travel."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator

from physics.case import Frame
from physics.leverage import leverage_curve, table_over_travel


@pytest.mark.parametrize("rows", [2, 3, 8, 61])
def test_a_straight_line_over_the_stroke_has_a_closed_form(rows: int) -> None:
    # L = a + c x gives w = a x + c x²/2: exact, no source needed.
    stroke = np.linspace(0.0, 0.06, rows)
    table = table_over_travel(stroke, 3.0 - 16.0 * stroke)
    assert table.travel[-1] == pytest.approx(0.1512, rel=1e-12)
    assert table.ratio[-1] == pytest.approx(2.04, rel=1e-12)
    assert table.ratio == pytest.approx(np.sqrt(9.0 - 32.0 * table.travel), rel=1e-12)


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
