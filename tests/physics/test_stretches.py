"""Rides over stretches of a fitted ground, among them those that no wheel could ride."""

from __future__ import annotations

import numpy as np
import pytest

from physics.arrays import values
from physics.ground import Course
from physics.ride import lanes_of
from physics.stretches import Asked, Held, Stretches, masses_of, ridden_over
from tui.job.answer import answer_job
from tui.job.demo import demo_job

STEP = 2e-3


@pytest.mark.parametrize(("speed", "until"), [(11.7, 2.0), (30.0, 2.0), (50.0, 3.0)])
def test_a_ground_that_throws_a_wheel_far_past_its_stop_leaves_it_at_full_travel(
    speed: float, until: float
) -> None:
    there = answer_job(demo_job()).at("rear")
    assert there is not None
    level = np.zeros(2)
    lanes = [lane for lane in lanes_of(there.case, there.answer, Course(1e-3, level, level)) if lane]
    time = np.arange(4000) * STEP
    falls = np.where(time < until, -speed * time, -speed * until)
    rises = speed * np.clip(20 * (time - 1.0), 0.0, 2.0)
    height = values([falls, rises])
    air = next(lane for lane in lanes if lane.air)
    ground = Stretches(
        values([0.0, 8.0]), height, height, values([air.air[0].mass] * 2), np.array([True, False])
    )
    masses = masses_of([(lane, ground, Held()) for lane in lanes], STEP, lambda _share: None)
    asked = [Asked(lane, ground, mass) for lane, mass in zip(lanes, masses, strict=True)]
    for one, travel in zip(asked, ridden_over(asked, STEP, lambda _share: None), strict=True):
        full = one.lane.travel
        assert np.isfinite(travel).all()
        assert full < travel.max() < 2 * full
        total = sum(chamber.mass for chamber in one.lane.air[:2])
        assert ((one.mass > 0) & (one.mass < total)).all() or not one.lane.air
