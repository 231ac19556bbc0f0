"""The linear response against rides of small sines, and its limits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from physics.arrays import values
from physics.bench import answer
from physics.case import Air, Damper, DampingSlopes
from physics.ground import Course, Given
from physics.response import FREQUENCIES, response, wheel_rate
from physics.ride import lanes_of, ride, standing
from tests.physics.examples import SETUPS, case_of

LIGHT = Damper(DampingSlopes(500.0, 9.0, 500.0), DampingSlopes(700.0, 9.0, 700.0))
SAME = Damper(DampingSlopes(4000.0, 9.0, 4000.0), DampingSlopes(4000.0, 9.0, 4000.0))
CASE = case_of(*(replace(SETUPS[name], friction=0.0, damper=SAME) for name in ("coil", "separate")))


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("frequency", [1.5, 4.0, 15.0])
def test_a_ride_over_a_small_sine_swings_as_the_response_says(frequency: float) -> None:
    found = answer(CASE)
    time = np.arange(0.0, 6.0 + 8 / frequency, 0.001)
    size = 2e-4
    begin = np.clip(time / 2.0, 0.0, 1.0) ** 2 * (3 - 2 * np.clip(time / 2.0, 0.0, 1.0))
    swung = ride(CASE, found, Given(0.001, values(size * begin * np.sin(2 * np.pi * frequency * time))))
    late = swung.time >= 6.0
    turn = np.exp(-2j * np.pi * frequency * swung.time[late])
    expected = response(CASE, found, values([frequency]))
    for n in range(2):
        travel = swung.travel[n, late] - swung.travel[n, late].mean()
        amplitude = 2 * np.mean(travel * turn) / size / -1j
        assert abs(amplitude) == pytest.approx(abs(expected.travel[n, 0]), rel=0.02)
        assert np.angle(amplitude / expected.travel[n, 0]) == pytest.approx(0.0, abs=0.02)
        felt = 2 * np.mean(swung.acceleration[n, late] * turn) / size / -1j
        assert abs(felt) == pytest.approx(abs(expected.acceleration[n, 0]), rel=0.02)


def test_the_rate_runs_from_slow_to_fast() -> None:
    found = answer(CASE)
    level = np.zeros(2)
    lane = lanes_of(CASE, found, Course(1e-3, level, level))[1]
    assert lane is not None
    stood = standing(CASE, found.setups[1], found.load.static_wheel_force)
    rate = wheel_rate(stood, lane, values([1e-6, 1e6]))
    assert rate[0].real == pytest.approx(float(found.setups[1].figures.wheel_rate_at_sag), rel=1e-6)
    assert rate[1].real == pytest.approx(float(found.setups[1].riding.wheel_rate_at_sag), rel=1e-6)
    assert np.all(np.abs(rate.imag) < 1e-3 * rate.real)
    middle = wheel_rate(stood, lane, values([1 / lane.air[0].time_constant]))
    assert middle[0].imag > 0  # heat that is lost on the way damps


def test_a_body_peak_is_near_the_natural_frequency() -> None:
    light = replace(CASE, setups=tuple(replace(one, damper=LIGHT) for one in CASE.setups))
    found = answer(light)
    swinging = response(light, found)
    for n, one in enumerate(found.setups):
        slow = np.abs(swinging.height[n]) * (FREQUENCIES < 8)
        peak = FREQUENCIES[np.argmax(slow)]
        assert peak == pytest.approx(float(one.riding.natural_frequency), rel=0.08)


def test_a_setup_that_does_not_settle_has_no_response() -> None:
    air = CASE.setups[1]
    assert isinstance(air.spring, Air)
    hard = replace(air, spring=replace(air.spring, pressure=60e5))
    case = replace(CASE, setups=(CASE.setups[0], hard))
    swinging = response(case, answer(case), values([2.0]))
    assert np.isnan(swinging.travel[1]).all()
    assert np.isfinite(swinging.travel[0]).all()
