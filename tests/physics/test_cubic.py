"""Curves through points, held against the interpolators of scipy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.interpolate import CubicHermiteSpline, PchipInterpolator

from physics.arrays import Values, values
from physics.cubic import Cubic, shape_preserving
from tests.random_cases import cases

SIZE = st.floats(0.5, 5.0) | st.sampled_from([1.0, 2.0, 2.0 + 1e-9])
ROWS = st.lists(st.tuples(st.floats(1e-3, 0.05), SIZE, st.floats(-30.0, 30.0)), min_size=2, max_size=30)


def drawn(rows: list[tuple[float, float, float]]) -> tuple[Values, Values, Values, Values]:
    """Return x, y, slopes, and places at, between and beyond the points."""
    steps, y, slope = map(values, zip(*rows, strict=True))
    x = np.cumsum(steps)
    return x, y, slope, np.concatenate([x, np.linspace(x[0] - 0.01, x[-1] + 0.01, 83)])


@settings(max_examples=cases(100))
@given(ROWS)
def test_between_ends_with_slopes_it_is_the_hermite_cubic(rows: list[tuple[float, float, float]]) -> None:
    x, y, slope, at = drawn(rows)
    curve = CubicHermiteSpline(x, y, slope)
    found, bent = Cubic(x, y, slope).at(at)
    assert_allclose(found, curve(at), rtol=1e-9, atol=1e-9)
    assert_allclose(bent, curve.derivative()(at), rtol=1e-9, atol=1e-6)
    whole = curve.antiderivative()
    assert_allclose(Cubic(x, y, slope).integral(at), whole(at) - whole(x[0]), rtol=1e-9, atol=1e-12)


@settings(max_examples=cases(100))
@given(ROWS)
def test_through_points_alone_it_is_pchip(rows: list[tuple[float, float, float]]) -> None:
    x, y, _, at = drawn(rows)
    found, bent = shape_preserving(x, y).at(at)
    assert_allclose(found, PchipInterpolator(x, y)(at), rtol=1e-9, atol=1e-9)
    assert_allclose(bent, PchipInterpolator(x, y).derivative()(at), rtol=1e-9, atol=1e-6)


@settings(max_examples=cases(100))
@given(ROWS)
def test_it_goes_beyond_no_point(rows: list[tuple[float, float, float]]) -> None:
    x, y, _, _ = drawn(rows)
    for place in range(len(x) - 1):
        found, _ = shape_preserving(x, y).at(np.linspace(x[place], x[place + 1], 20))
        low, high = sorted(y[place : place + 2])
        assert low - 1e-9 <= found.min()
        assert found.max() <= high + 1e-9


def test_no_number_stays_none_and_any_shape_is_kept() -> None:
    curve = shape_preserving(values([0, 1, 3]), values([2, 3, 5]))
    found, bent = curve.at(values([[0.5, np.nan], [2.0, 3.0]]))
    assert_allclose(found, [[2.5, np.nan], [4.0, 5.0]])
    assert_allclose(bent, [[1.0, np.nan], [1.0, 1.0]])


@pytest.mark.parametrize("x", [[0.0, 1.0, 1.0], [0.0, 2.0, 1.0], [0.0, np.nan, 2.0], [0.0]])
def test_places_that_do_not_increase_are_refused(x: list[float]) -> None:
    for curve in (shape_preserving, lambda at, y: Cubic(at, y, y)):
        with pytest.raises(ValueError, match="increase"):
            curve(values(x), np.ones(len(x)))
