"""Friction within a step: one lane and many agree with ten thousand small steps."""

from __future__ import annotations

import numpy as np
import pytest

from physics.arrays import Values, values
from physics.lanes import Arrays, Floats

STEP = 1e-3


def in_small_steps(speed: Values, pull: Values, slowing: Values) -> tuple[Values, Values]:
    """Return speed and way after a step: friction slows what moves and holds what is pulled by less."""
    part, way = STEP / 10_000, np.zeros(len(speed))
    for _ in range(10_000):
        free = speed + pull * part
        after = np.sign(free) * np.maximum(np.abs(free) - slowing * part, 0.0)
        way, speed = way + (speed + after) / 2 * part, after
    return speed, values(way)


def test_friction_slows_stops_and_holds_as_it_does_in_small_steps() -> None:
    rng = np.random.default_rng(5)
    speed = values(np.append(rng.uniform(-0.02, 0.02, 60), [0.0, 0.0, 0.0, 0.5, -0.5]))
    pull = values(np.append(rng.uniform(-20, 20, 60), [5.0, 15.0, -15.0, 3.0, 3.0]))
    slowing = values(np.append(rng.uniform(5, 25, 60), [10.0] * 5))
    end, way = in_small_steps(speed, pull, slowing)
    unrubbed = speed + pull * STEP
    lost, short = Arrays().rubbed(speed, unrubbed, slowing, STEP)
    assert unrubbed - lost == pytest.approx(end, abs=1e-5)
    assert speed * STEP + pull * STEP**2 / 2 - short == pytest.approx(way, abs=1e-8)
    rows = np.stack([speed, unrubbed, slowing], axis=-1).tolist()
    one = np.array([Floats().rubbed(before, after, slows, STEP) for before, after, slows in rows])
    assert one == pytest.approx(np.stack([lost, short], axis=-1), abs=1e-15)
    # Some stop within the step and stay, some turn about, some are held from the start.
    stays = end == 0
    assert stays[speed == 0].any()
    assert stays[speed != 0].sum() > 3
    assert ((end * speed < 0) & (np.abs(pull) > slowing)).sum() > 3
