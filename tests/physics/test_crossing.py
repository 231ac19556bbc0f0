"""The first crossing of a sampled curve, peaks between samples included."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.arrays import Values, values
from physics.roots import Law, bracketed_root, first_crossing

AT = values(np.linspace(0.0, 1.0, 41))


def root(law: Law, cases: tuple[int, ...] = ()) -> Values:
    samples = law(np.broadcast_to(AT[:, *(None for _ in cases)], (41, *cases)))
    height, slope = (np.moveaxis(part, 0, -1) for part in samples)
    found = first_crossing(AT, height, slope, law)
    at = bracketed_root(law, found.low, found.high, found.ends).at
    return np.where(found.found, at, np.nan)


def bump(centre: Values, height: Values) -> Law:
    """A rise to `height` − 1 at `centre`, a fall below zero and a late rise to 1."""

    def law(x: Values) -> tuple[Values, Values]:
        off = (x - centre) / 0.08
        peak = height * np.exp(-(off**2))
        late = 2 / (1 + np.exp(-(x - 0.9) / 0.01))
        late_slope = late * (1 - late / 2) / 0.01
        return values(peak + late - 1), values(-2 * off / 0.08 * peak + late_slope)

    return law


@given(st.floats(0.25, 0.55), st.floats(1.0 + 1e-9, 1.5))
def test_the_first_of_two_crossings_is_found_even_when_only_a_hair_of_it_shows(
    centre: float, height: float
) -> None:
    law = bump(values(centre), values(height))
    found = float(root(law))
    assert law(values(found))[0] == pytest.approx(0.0, abs=1e-11)
    # The rising flank of the bump: exp(−z²) = 1/height, left of its centre.
    assert found <= centre
    assert found == pytest.approx(centre - 0.08 * np.sqrt(np.log(height)), abs=1e-3)


@given(st.floats(0.25, 0.55), st.floats(0.5, 1.0 - 1e-9))
def test_a_peak_that_stays_below_is_passed_over(centre: float, height: float) -> None:
    found = float(root(bump(values(centre), values(height))))
    assert 0.85 < found < 0.95


def test_many_cases_at_once_each_with_its_own_first_crossing() -> None:
    centres, heights = values([0.3, 0.4, 0.5]), values([1.00001, 0.99999, 1.3])
    many = root(bump(centres, heights), (3,))
    alone = [float(root(bump(c, h))) for c, h in zip(centres, heights, strict=True)]
    assert many == pytest.approx(alone, abs=1e-10)
    assert many[0] < centres[0]
    assert many[1] > 0.85
    assert many[2] < centres[2]


def test_no_crossing_at_all() -> None:
    def low(x: Values) -> tuple[Values, Values]:
        return values(-1 - x), values(-np.ones_like(x))

    def nothing(x: Values) -> tuple[Values, Values]:
        return np.full_like(x, np.nan), np.full_like(x, np.nan)

    assert np.isnan(root(low))
    assert np.isnan(root(nothing))
