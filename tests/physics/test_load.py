"""Wheel load against hand statics."""

import numpy as np
import pytest

from physics.case import STANDARD_GRAVITY, MassCentre, RiderAndBike, ScaleReading
from physics.faults import Refused
from physics.load import axle_share, wheel_load


def test_rider_and_bike_of_the_worked_case() -> None:
    load = wheel_load(RiderAndBike(85.0, 0.62, 15.5, 0.5, 4.2))
    assert load.static_wheel_force == pytest.approx(551.62406, rel=1e-7)


def test_scale_reading_replaces_the_bracket() -> None:
    by_scale = wheel_load(ScaleReading(60.45, 4.2))
    by_share = wheel_load(RiderAndBike(85.0, 0.62, 15.5, 0.5, 4.2))
    assert by_scale.static_wheel_force == pytest.approx(by_share.static_wheel_force)


def test_shares_on_a_slope_add_up_to_its_cosine() -> None:
    slope = np.array([-0.2, 0.0, 0.3])
    rear, front = (MassCentre(100.0, 1.2, 0.7, 1.1, slope, wheel, 4.0) for wheel in ("rear", "front"))
    assert axle_share(rear) + axle_share(front) == pytest.approx(np.cos(slope))
    assert axle_share(rear)[1] == pytest.approx(0.7 / 1.2)
    assert np.all(np.diff(axle_share(rear)) < 0)


def test_leading_axis_of_cases() -> None:
    load = wheel_load(RiderAndBike(np.array([60.0, 85.0]), 0.62, 15.5, 0.5, 4.2))
    assert load.static_wheel_force.shape == (2,)
    assert load.ground_reaction[0] == pytest.approx(STANDARD_GRAVITY * (37.2 + 7.75))


def test_nothing_left_for_the_spring_is_refused() -> None:
    for scale_mass in (4.0, 4.2):  # nothing at all is not enough either
        with pytest.raises(Refused, match="unsprung_mass"):
            wheel_load(ScaleReading(scale_mass, 4.2))
    assert wheel_load(ScaleReading(4.2001, 4.2)).static_wheel_force > 0


def test_nose_down_the_weight_moves_to_the_front() -> None:
    # Hand statics: moments about the front contact, b N_r = m g (a cos θ − h sin θ).
    on_slope = MassCentre(100.0, 1.2, 0.7, 1.1, 0.2, "rear", 4.0)
    expected = 9.80665 * 100.0 * (0.7 * np.cos(0.2) - 1.1 * np.sin(0.2)) / 1.2
    load = wheel_load(on_slope)
    assert load.ground_reaction == pytest.approx(expected)
    # Across the slope the wheel's own weight counts with its cosine.
    assert load.static_wheel_force == pytest.approx(expected - 9.80665 * 4.0 * np.cos(0.2))


def test_a_wheel_that_lifts_is_refused() -> None:
    with pytest.raises(Refused) as refusal:
        wheel_load(MassCentre(100.0, 1.2, 0.7, 1.1, 0.7, "rear", 4.0))
    assert refusal.value.faults[0].values["carried"] < 0
