"""Curves less the first of them, on places that need not be the same."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics.arrays import Values, values
from physics.baseline import less_first
from tests.random_cases import cases

finite = st.floats(-1e6, 1e6)


@st.composite
def curves(draw: st.DrawFn) -> list[tuple[Values, Values]]:
    """Return one to four curves over 0 to 1, each with points of its own between the ends."""
    found = []
    for _ in range(draw(st.integers(1, 4))):
        inner = draw(st.lists(st.floats(0.001, 0.999), max_size=8, unique=True))
        at = values([0.0, *sorted(inner), 1.0])
        found.append((at, values(draw(st.lists(finite, min_size=at.size, max_size=at.size)))))
    return found


@settings(max_examples=cases(100))
@given(curves())
def test_each_curve_is_the_first_one_plus_its_difference_at_every_place(
    given: list[tuple[Values, Values]],
) -> None:
    places, apart = less_first(given)
    assert (np.diff(places) > 0).all()
    assert not apart[0].any()
    first = np.interp(places, *given[0])
    for (at, height), difference in zip(given, apart, strict=True):
        assert set(at.tolist()) <= set(places.tolist())  # no bend is lost
        slack = 1e-9 * (1 + np.abs(height).max() + np.abs(first).max())
        assert np.allclose(first + difference, np.interp(places, at, height), atol=slack)


@settings(max_examples=cases(50))
@given(curves())
def test_another_baseline_shifts_all_differences_alike(given: list[tuple[Values, Values]]) -> None:
    _, apart = less_first(given)
    _, turned = less_first(given[::-1])
    scale = 1 + max(np.abs(height).max() for _, height in given)
    assert np.allclose(turned[::-1], apart - apart[-1], atol=1e-9 * scale)


def test_what_has_no_value_has_no_difference() -> None:
    at, none = values([0.0, 1.0]), values([np.nan, np.nan])
    _, apart = less_first([(at, values([1.0, 2.0])), (at, none)])
    assert apart[0].tolist() == [0.0, 0.0]
    assert np.isnan(apart[1]).all()
    _, without_first = less_first([(at, none), (at, values([1.0, 2.0]))])
    assert np.isnan(without_first).all()
    with pytest.raises(ValueError, match="no curve"):
        less_first([])
