"""The figures of a ride, read off columns that are made up: each is what its name says."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from physics.arrays import Values, values
from physics.bench import answer
from physics.case import Tyre
from physics.ground import Bumps, Course, Drop, Event, Landing, course
from physics.leverage import remembered_curve
from physics.limits import STANDARD_GRAVITY
from physics.motion import COLUMNS
from physics.ride import Ridden, Ride, lanes_of, ridden, ride, sprung_mass, told
from tests.physics.examples import SETUPS, case_of

CASE = case_of(SETUPS["coil"])
FOUND = answer(CASE)
DROP = Drop(0.1)
STEP, FULL, SAG = 1e-3, 0.150, 0.045
WEIGHT = float(FOUND.load.static_wheel_force) + 4.2 * STANDARD_GRAVITY


def made_up(event: Event = DROP, **columns: Values) -> Ride:
    """Return the ride with these columns (points,), at sag with the tyre loaded where none is given."""
    count = len(next(iter(columns.values())))
    level = np.zeros(count)
    usual = {"travel": level + SAG, "tyre": level + WEIGHT}
    rows = [columns.get(name, usual.get(name, level)) for name in COLUMNS]
    track = Course(STEP, level, level)
    return told(Ridden(CASE, FOUND, remembered_curve(CASE.frame), event, track, np.array([rows])))


def test_airtime_is_the_share_and_the_longest_run_without_tyre_force() -> None:
    tyre = np.full(1000, WEIGHT)
    tyre[100:150] = tyre[300:420] = tyre[990:] = 0.0
    one = made_up(tyre=tyre)
    assert one.airtime[0] == pytest.approx(0.180)
    assert one.longest_air[0] == pytest.approx(0.120)


def test_grip_is_the_variation_of_the_tyre_force_over_static() -> None:
    turn = np.linspace(0, 20 * math.pi, 2000, endpoint=False)
    one = made_up(tyre=WEIGHT * (1 + 0.4 * np.sin(turn)))
    assert one.grip[0] == pytest.approx(0.4 / math.sqrt(2), rel=1e-6)


def test_accelerations_are_both_ways() -> None:
    turn = np.linspace(0, 20 * math.pi, 2000, endpoint=False)
    one = made_up(acceleration=2.0 * np.sin(turn) - 9.0 * (np.arange(2000) == 77))
    assert one.rms_acceleration[0] == pytest.approx(math.sqrt(2), rel=0.02)
    assert one.peak_acceleration[0] == pytest.approx(9.0, abs=2.0)
    assert one.peak_acceleration[0] > 7


def test_a_meeting_counts_again_only_from_below_98_per_cent() -> None:
    travel = np.interp(
        np.arange(1000.0),
        [0, 100, 110, 200, 300, 310, 400, 500, 510, 999],
        [SAG, 0.152, 0.1478, 0.1478, 0.152, 0.1465, 0.1465, 0.152, 0.100, 0.100],
    )
    speed = np.gradient(travel, STEP)
    stop = np.where(travel > FULL, (travel - FULL) * 1e6, 0.0)
    one = made_up(travel=travel, speed=speed, stop=stop)
    hits = one.meetings[0]
    assert len(hits.time) == 2  # the dip to 98.5 % in between does not count, that to 97.7 % does
    assert hits.time[0] == pytest.approx(np.interp(FULL, travel[:101], np.arange(101)) * STEP, abs=1e-9)
    assert hits.speed[0] == pytest.approx((0.152 - SAG) / 0.1, rel=1e-6)
    assert hits.energy[0] == pytest.approx(sprung_mass(FOUND) / 2 * hits.speed[0] ** 2)
    assert hits.force == pytest.approx([2000.0, 2000.0])
    assert one.deepest[0] == FULL


def test_speed_at_a_meeting_is_from_before_the_contact() -> None:
    """The sample after the contact is slowed down by the stop: it does not count."""
    travel = np.concatenate([np.linspace(SAG, FULL - 1e-4, 100), [FULL + 1e-4], np.full(10, FULL + 2e-4)])
    speed = np.concatenate([np.full(100, 2.0), [0.3], np.zeros(10)])
    assert made_up(travel=travel, speed=speed).meetings[0].speed[0] == pytest.approx(2.0)


def test_speed_at_a_meeting_goes_on_as_before_the_contact() -> None:
    """It gains 10 mm/s a step; the contact is half a step after the last sample before it."""
    travel = np.concatenate([np.linspace(SAG, FULL - 1e-4, 100), [FULL + 1e-4], np.full(10, FULL + 2e-4)])
    speed = np.concatenate([1.01 + 0.01 * np.arange(100), [0.3], np.zeros(10)])
    assert made_up(travel=travel, speed=speed).meetings[0].speed[0] == pytest.approx(2.005)


def test_meetings_with_full_extension_count_again_beyond_two_per_cent() -> None:
    travel = np.interp(
        np.arange(600.0), [0, 100, 200, 300, 400, 599], [SAG, -1e-3, 0.002, -1e-3, 0.020, -1e-3]
    )
    assert made_up(travel=travel).top_meetings[0] == 2


def test_peak_forces_leave_out_what_a_stop_carries() -> None:
    travel = np.interp(np.arange(300.0), [0, 100, 200, 299], [SAG, 0.152, 0.152, 0.1])
    stop = np.where(travel > FULL, 5000.0, 0.0)
    force = np.interp(np.arange(300.0), [0, 100, 150, 200, 299], [500.0, 1500.0, 4000.0, 1000.0, 500.0])
    one = made_up(travel=travel, stop=stop, wheel_force=force)
    at_contact = np.interp(FULL, travel[:101], force[:101])
    assert one.peak_wheel_force[0] == pytest.approx(at_contact)  # the 4000 N fell while the stop carried


def test_work_of_damper_and_friction_is_force_times_way() -> None:
    """At the shaft 800 N over a steady shaft speed, at the wheel 20 N: by hand."""
    ratio = float(remembered_curve(CASE.frame).at(values([SAG])).ratio[0])
    still = np.full(1001, SAG)
    one = made_up(
        travel=still, speed=np.full(1001, 0.5), damper=np.full(1001, 800.0), friction=np.full(1001, 20.0)
    )
    assert one.damper_heat[0] == pytest.approx(800.0 * 0.5 / ratio)
    assert one.friction_heat[0] == pytest.approx(20.0 * 0.5)


def test_sinking_is_mean_travel_over_the_last_bump_beside_sag() -> None:
    train = Bumps(0.05, 1.0, 5.0, count=3)  # bumps of 0.2 s from 0.1 s on
    travel = np.full(1000, SAG)
    travel[500:700] = 0.070
    one = made_up(train, travel=travel)
    assert one.sinks[0] == pytest.approx(0.025)
    assert one.mean_travel[0] == pytest.approx(SAG + 0.2 * 0.025)
    assert made_up(train, travel=travel[:700]).sinks[0] == pytest.approx(0.025)  # it ends with the bump
    assert math.isnan(made_up(train, travel=travel[:699]).sinks[0])


def test_a_slope_carries_its_part_of_gravity() -> None:
    steep = math.radians(50)
    landed = ride(CASE, FOUND, Landing(0.2, steep, 0.0), duration=3.0)
    assert landed.tyre_force[0, -1] == pytest.approx(WEIGHT * math.cos(steep), rel=0.01)
    level = ride(CASE, FOUND, Landing(0.2, 0.0, 0.0), duration=3.0)
    assert landed.travel[0, -1] < 0.8 * level.travel[0, -1]


def test_a_tyre_does_not_push_before_it_touches() -> None:
    case = replace(CASE, tyre=Tyre(damping=900.0))
    track = course(Drop(0.5), 0.35, STEP / 2, 1.0)
    kept = ridden(lanes_of(case, answer(case), track), [track])[0]
    axle, tyre = (kept[COLUMNS.index(name)] for name in ("axle", "tyre"))
    above = axle > axle[0] + 1e-6
    assert np.count_nonzero(above) > 50
    assert np.all(tyre[above] == 0)


def test_travel_is_the_integral_of_its_speed() -> None:
    heavy = case_of(replace(SETUPS["coil"], friction=150.0))
    track = course(Bumps(0.06, 1.2, 6.0), 0.35, STEP / 2, 1.0)
    kept = ridden(lanes_of(heavy, answer(heavy), track), [track])[0]
    travel, speed = (kept[COLUMNS.index(name)] for name in ("travel", "speed"))
    summed = travel[0] + np.concatenate([[0.0], np.cumsum(speed[1:] + speed[:-1]) * STEP / 4])
    assert travel == pytest.approx(summed, abs=1e-5)


@pytest.mark.parametrize("event", [Drop(0.2), Bumps(0.05, 1.0, 5.0)])
def test_a_ride_of_no_time_is_its_start(event: Event) -> None:
    start = ride(CASE, FOUND, event, duration=0.0)
    assert start.travel.shape == (1, 3)
    assert start.travel[0, 0] == pytest.approx(0.0 if isinstance(event, Drop) else SAG, abs=1e-4)
