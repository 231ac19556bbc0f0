"""The best of all settings: every count, and free knobs closed in on, ends of their ranges too."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.arrays import Values, values
from physics.knobs import Knob
from physics.search import best

COUNTS = (Knob("positive_spacers", 0, 8, whole=True), Knob("negative_spacers", 0, 8, whole=True))
FREE = (Knob("positive_volume", -1.0, 1.0), Knob("negative_volume", 0.0, 4.0), Knob("port", 2.0, 3.0))


@given(st.integers(0, 8), st.integers(0, 8))
def test_no_count_is_left_out(p: int, n: int) -> None:
    numbers, cost = best(COUNTS, lambda x: values(np.where((x[0] == p) & (x[1] == n), 0.0, 1.0)))
    assert numbers.tolist() == [p, n]
    assert cost == 0.0


@given(st.floats(-2, 2), st.floats(-1, 5), st.floats(1.5, 3.5))
def test_free_knobs_end_within_a_millionth_of_their_range_even_in_a_narrow_valley(
    a: float, b: float, c: float
) -> None:
    def valley(x: Values) -> Values:
        u, v, w = x[0] - a, (x[1] - b) / 4, x[2] - c
        return values((u + v) ** 2 * 30 + (u - v) ** 2 + w**2)

    numbers, cost = best(FREE, valley)
    rng = np.random.default_rng(0)
    low, high = ([getattr(knob, end) for knob in FREE] for end in ("low", "high"))
    near = np.clip(numbers + rng.normal(0, 1e-3, (4000, 3)), low, high).T
    assert cost <= float(valley(values(near)).min()) + 1e-9


def test_counts_and_free_knobs_together() -> None:
    numbers, cost = best((COUNTS[0], FREE[0]), lambda x: values(np.abs(x[0] - 5) + np.abs(x[1] - 0.3)))
    assert numbers == pytest.approx([5, 0.3], abs=1e-6)
    assert cost < 1e-6


def test_where_nothing_can_be_the_cost_says_so_and_no_knob_is_one_setting() -> None:
    assert best(COUNTS, lambda x: values(np.full(x.shape[1], np.inf)))[1] == np.inf
    numbers, cost = best((), lambda x: values(np.ones(x.shape[1])))
    assert (numbers.size, cost) == (0, 1.0)
