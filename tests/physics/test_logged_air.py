"""The air that a logged stretch starts with, and when the ground found from a log gives the log back."""

from __future__ import annotations

import numpy as np
import pytest

from physics.arrays import values
from physics.ground_fit import Told
from physics.ground_used import GIVEN_BACK, MASS_TOLD, given_back_of
from physics.logged_travel import left_with

FULL = 0.150
LOG = values(np.linspace(0.02, 0.12, 200))[None]


def test_a_window_starts_with_the_air_that_the_one_before_left() -> None:
    # Rows are windows, the next one starts at the second point; before the third nothing is known.
    mass = values([[10.0, 11.0, 12.0], [10.0, 12.5, 13.0], [10.0, 10.0, 10.0], [10.0, 9.0, 8.0]])
    start = values([10.0, 10.0, 10.0, 10.0])
    firsts = np.array([True, False, True, False])
    found, held = left_with(mass, start, firsts, 1)
    # What has not moved on the pass keeps what it started with.
    assert found.tolist() == [10.0, 11.0, 10.0, 10.0]
    assert held == 9.0
    assert start.tolist() == [10.0] * 4
    assert left_with(mass, start, np.array([False] * 4), 1, 7.0)[0].tolist() == [7.0, 11.0, 12.5, 12.5]


@pytest.mark.parametrize(("off", "whole"), [(0.9, True), (1.1, False)])
def test_a_log_is_given_back_within_both_bounds(off: float, whole: bool) -> None:
    as_known = Told(1.0, 1.0, 0.0)
    for way in (-1, 1):
        shifted = values(LOG + way * off * GIVEN_BACK * FULL)
        assert given_back_of(LOG, shifted, FULL, as_known).whole is whole
        heavier = Told(1 + way * off * MASS_TOLD, 1.0, 0.0)
        assert given_back_of(LOG, LOG, FULL, heavier).whole is whole
