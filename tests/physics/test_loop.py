"""Which way the shaft was going."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from physics.loop import ways


def test_in_then_out_turns_at_the_deepest_reading() -> None:
    assert ways(np.array([0.0, 10.0, 20.0, 30.0, 20.0, 10.0])).tolist() == [1, 1, 1, 1, -1, -1]
    assert ways(np.array([30.0, 10.0, 0.0, 15.0])).tolist() == [-1, -1, -1, 1]


def test_one_way_only_tells_nothing_of_friction() -> None:
    assert ways(np.array([0.0, 5.0, 9.0])).tolist() == [0, 0, 0]
    assert ways(np.array([4.0])).tolist() == [0]
    assert ways(np.array([4.0, 4.0, 4.0])).tolist() == [0, 0, 0]


@given(seed=st.integers(0, 10_000), loops=st.integers(1, 3))
def test_play_in_the_reading_is_no_turn(seed: int, loops: int) -> None:
    once = np.concatenate([np.linspace(0, 50, 30), np.linspace(48, 1, 30)])
    strokes = np.tile(once, loops) + np.random.default_rng(seed).uniform(-0.3, 0.3, 60 * loops)
    found = ways(strokes)
    true = np.tile(np.concatenate([np.ones(30), -np.ones(30)]), loops)
    inner = np.ones(len(found), dtype=bool)
    inner[np.flatnonzero(np.diff(true)) + 1] = False
    inner[np.flatnonzero(np.diff(true))] = False
    assert np.array_equal(found[inner], true[inner])
