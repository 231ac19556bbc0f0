"""What a wheel rides over: heights, rates, the rolling circle, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.signal import welch

from physics.arrays import values
from physics.ground import (
    Bumps,
    Compression,
    Drop,
    Event,
    Given,
    Landing,
    Road,
    SquareEdge,
    course,
    last_bump,
    road_level,
    road_profile,
    rolled,
    touching_speed,
    usual_duration,
)
from physics.limits import STANDARD_GRAVITY

RADIUS, STEP = 0.35, 1e-3


def test_an_edge_is_met_early_and_turned_about() -> None:
    edge = course(SquareEdge(0.05, 5.0), RADIUS, STEP, 0.4)
    meeting = math.sqrt(2 * RADIUS * 0.05 - 0.05**2)
    climbing = np.flatnonzero((edge.height > 0) & (edge.height < 0.05))
    assert len(climbing) * STEP * 5.0 == pytest.approx(meeting, abs=2 * STEP * 5.0)
    assert edge.height[-1] == 0.05
    assert np.all(np.diff(edge.height) >= 0)


def test_a_rolling_circle_climbs_a_step_as_the_edge_does() -> None:
    """Dilation of sampled ground against the closed form."""
    along = values(np.arange(-1.0, 1.0, 1e-3))
    path = rolled(values(np.where(along >= 0, 0.05, 0.0)), 1e-3, RADIUS)
    edge = course(SquareEdge(0.05, 5.0), RADIUS, STEP, 0.4)
    meeting = math.sqrt(2 * RADIUS * 0.05 - 0.05**2)
    at = (np.arange(len(edge.height)) * STEP - 0.1) * 5.0 - meeting
    inside = np.abs(at) < 0.6
    assert np.interp(at[inside], along, path) == pytest.approx(edge.height[inside], abs=7e-4)


def test_a_circle_bridges_a_narrow_hole_and_follows_a_wide_one() -> None:
    along = np.arange(-1.0, 1.0, 1e-3)
    narrow, wide = (np.where(np.abs(along) < half, -0.05, 0.0) for half in (0.05, 0.5))
    assert rolled(values(narrow), 1e-3, RADIUS).min() == pytest.approx(
        math.sqrt(0.35**2 - 0.05**2) - 0.35, abs=2e-4
    )
    assert rolled(values(wide), 1e-3, RADIUS).min() == pytest.approx(-0.05)


def test_bumps_reach_their_height_as_often_as_asked() -> None:
    event = Bumps(0.06, 1.5, 6.0, count=5, spacing=0.5)
    ground = course(event, RADIUS, STEP)
    tops = np.flatnonzero(
        (ground.height[1:-1] > ground.height[:-2]) & (ground.height[1:-1] >= ground.height[2:])
    )
    assert len(tops) == 5
    assert ground.height.max() == pytest.approx(0.06, abs=1e-4)
    assert np.diff(tops) * STEP == pytest.approx(2.0 / 6.0, abs=2 * STEP)
    assert len(ground.height) * STEP == pytest.approx(usual_duration(event), abs=2 * STEP)


def test_a_train_with_gaps_lasts_as_long_as_its_bumps_and_gaps() -> None:
    train = Bumps(0.05, 1.0, 5.0, spacing=0.5, count=4)  # 0.1 s level, then 0.3 s each
    assert last_bump(train, STEP) == (1000, 1300)
    assert usual_duration(train) == pytest.approx(0.1 + 4 * 0.3 + 1.5)
    ridden = course(train, RADIUS, STEP)
    assert np.flatnonzero(ridden.height > 0)[-1] < 1300


def test_a_hollow_is_ridden_to_its_end() -> None:
    hollow = Compression(10.0, 0.5, 4.0)  # an arc of 5 m
    assert usual_duration(hollow) == pytest.approx(0.1 + 1.25 + 1.5)


def test_a_hollow_presses_with_the_square_of_the_speed_over_its_radius() -> None:
    hollow = course(Compression(4.0, 0.6, 8.0), RADIUS, STEP)
    pressing = np.diff(hollow.rise) / STEP
    assert pressing.max() == pytest.approx(8.0**2 / 4.0)
    assert np.count_nonzero(pressing > 1.0) * STEP == pytest.approx(4.0 * 0.6 / 8.0, abs=2 * STEP)


@pytest.mark.parametrize(("height", "printed"), [(0.25, 2.214), (0.5, 3.132), (1.0, 4.429)])
def test_speeds_of_free_fall(height: float, printed: float) -> None:
    """√(2 g h): tables of free fall, second-hand."""
    assert touching_speed(height, STANDARD_GRAVITY) == pytest.approx(printed, abs=5e-4)
    assert course(Drop(height), RADIUS, STEP).closing == pytest.approx(printed, abs=5e-4)


def test_a_slope_takes_from_the_landing() -> None:
    flat, steep = course(Drop(0.8), RADIUS, STEP), course(Landing(0.8, math.radians(20), 6.0), RADIUS, STEP)
    assert steep.closing == pytest.approx(
        flat.closing * math.cos(math.radians(20)) - 6 * math.sin(math.radians(20))
    )
    assert steep.gravity == pytest.approx(math.cos(math.radians(20)))
    assert steep.extended


@pytest.mark.parametrize("road_class", ["C", "D"])
def test_a_road_has_the_level_and_the_slope_of_its_class(road_class: str) -> None:
    """A Welch estimate of the ground itself: G_d(n) = G_d(n₀) (n/n₀)⁻² (ISO 8608, from memory)."""
    spacing = 0.05
    height = road_profile(road_class, 7, values(np.arange(0.0, 4000.0, spacing)))  # type: ignore[arg-type]
    waves, density = welch(height, 1 / spacing, nperseg=4096)
    band = (waves > 0.05) & (waves < 2.5)
    slope, level = np.polyfit(np.log(waves[band] / 0.1), np.log(density[band]), 1)
    assert slope == pytest.approx(-2.0, abs=0.05)
    assert math.exp(level) == pytest.approx(road_level(road_class), rel=0.1)  # type: ignore[arg-type]


def test_the_same_seed_is_the_same_road() -> None:
    along = values(np.arange(0.0, 100.0, 0.01))
    assert np.array_equal(road_profile("C", 3, along), road_profile("C", 3, along))
    assert not np.array_equal(road_profile("C", 3, along), road_profile("C", 4, along))


def test_a_given_ground_is_followed() -> None:
    heights = values(0.02 * np.sin(np.arange(200) * 0.1))
    given = course(Given(0.002, heights), RADIUS, STEP)
    assert given.height[::2] == pytest.approx(heights)


@pytest.mark.parametrize(
    "event",
    [
        Drop(-0.1),
        SquareEdge(0.05, 0.0),
        Bumps(0.05, 0.0, 5.0),
        Bumps(0.05, 1.0, 5.0, count=0),
        Compression(0.0, 0.5, 5.0),
        Compression(4.0, 0.5, 0.0),
        Road("C", 0.0),
        Landing(0.1, math.radians(45), 12.0),
    ],
)
def test_an_event_of_nothing_is_refused(event: Event) -> None:
    with pytest.raises(ValueError, match=r"needs|nearer"):
        course(event, RADIUS, STEP)
