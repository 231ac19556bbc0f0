"""Which way the shaft was going."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.faults import Unfit
from physics.loop import loop_of, usable, ways


def test_a_turning_point_belongs_to_neither_side() -> None:
    assert ways(np.array([0.0, 10.0, 20.0, 30.0, 20.0, 10.0])).tolist() == [1, 1, 1, 0, -1, -1]
    assert ways(np.array([30.0, 10.0, 0.0, 15.0])).tolist() == [-1, -1, 0, 1]
    # Held at the turn: a relaxing force there is of no way either.
    held = np.array([0.0, 10.0, 20.0, 30.0, 30.02, 30.0, 29.98, 20.0, 10.0, 0.0, 0.0, 12.0])
    assert ways(held).tolist() == [1, 1, 1, 0, 0, 0, 0, -1, -1, 0, 0, 1]


def test_one_way_only_has_that_way() -> None:
    assert ways(np.array([0.0, 5.0, 9.0])).tolist() == [1, 1, 1]
    assert ways(np.array([9.0, 5.0, 0.0])).tolist() == [-1, -1, -1]
    assert ways(np.array([4.0])).tolist() == [0]
    assert ways(np.array([4.0, 4.0, 4.0])).tolist() == [0, 0, 0]
    assert not loop_of(np.array([0.0, 5.0, 9.0]), np.zeros(3)).both
    assert loop_of(np.array([0.0, 5.0, 9.0, 4.0]), np.zeros(4)).both


def test_a_little_past_full_stroke_is_left_out_and_more_is_refused() -> None:
    stroke = np.array([0.0, 0.02, 0.04, 0.06, 0.0602, 0.0605, 0.05, 0.02])
    used, left_out = usable(loop_of(stroke, stroke * 8e4), 0.06)
    assert used.stroke.tolist() == [0.0, 0.02, 0.04, 0.06, 0.05, 0.02]
    assert used.way.tolist() == [1, 1, 1, 1, -1, -1]
    assert left_out.past.tolist() == [0.0602, 0.0605]
    assert left_out.turning == 0
    with pytest.raises(Unfit) as caught:
        usable(loop_of(np.append(stroke, 0.0606), np.append(stroke * 8e4, 5e3)), 0.06)
    assert (caught.value.why.code, caught.value.why.values["reading"]) == ("beyond_stroke", 8.0)


def test_the_reading_at_the_turn_is_not_used() -> None:
    used, left_out = usable(loop_of(np.array([0.0, 0.02, 0.04, 0.03, 0.01]), np.arange(5.0)), 0.06)
    assert used.stroke.tolist() == [0.0, 0.02, 0.03, 0.01]
    assert used.force.tolist() == [0.0, 1.0, 3.0, 4.0]
    assert (len(left_out.past), left_out.turning) == (0, 1)


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
