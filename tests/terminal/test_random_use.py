"""Keys, pastes, the mouse, sizes and line noise at random, on the real program and on the state behind it."""

from __future__ import annotations

import pytest

from tests.benchmarks.random_use import presses_of, shortest, use, walk_state


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_whatever_is_sent_the_screen_comes_to_rest_as_one_drawn_anew(seed: int) -> None:
    presses = presses_of(seed, 60)
    assert not (wrong := use(presses)), f"seed {seed}: {wrong}\n{presses}"


@pytest.mark.slow
def test_any_keys_leave_a_fresh_answer_and_undo_leads_home() -> None:
    assert walk_state(2000, seed=5) == ""


def test_a_failure_is_told_by_the_shortest_list() -> None:
    assert shortest(range(100), lambda some: {7, 61} <= set(some)) == [7, 61]
    assert shortest("qwerty", lambda some: len(some) >= 2) == ["t", "y"]
