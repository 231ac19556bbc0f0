"""A wheel in time: against an adaptive solver, against closed forms, and its figures."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.linalg import eigh
from scipy.optimize import least_squares

from physics.answer import Answer
from physics.arrays import Values, values
from physics.bench import answer
from physics.case import Air, Case, Coil, Damper, DampingSlopes, LeverageEnds, Setup, Tyre
from physics.ground import Bumps, Compression, Course, Drop, Event, Landing, Road, SquareEdge, course
from physics.leverage import remembered_curve
from physics.limits import STANDARD_GRAVITY
from physics.motion import COLUMNS, Start, stepped
from physics.ride import STEP, Ride, lanes_of, ridden, ride, sprung_mass
from physics.shock import shock_of
from tests.physics.examples import SETUPS, case_of, forks
from tests.physics.upright import Upright

CASE = case_of(
    SETUPS["coil"], SETUPS["coil with gas and bumper"], SETUPS["equalised"], SETUPS["separate"],
    SETUPS["mechanical"], SETUPS["none"],
)  # fmt: skip
COIL, EXTRAS, EQUALISED, SEPARATE, MECHANICAL, NONE = range(6)
FORK = forks(values(np.radians(64.0)) * 180 / np.pi)
EVENTS: dict[str, Event] = {
    "drop": Drop(0.3),
    "hard drop": Drop(0.9),
    "landing": Landing(1.2, math.radians(15), 5.0),
    "edge": SquareEdge(0.08, 6.0),
    "bumps": Bumps(0.06, 1.2, 6.0, count=4),
    "compression": Compression(4.0, 0.8, 9.0),
    "road": Road("D", 7.0),
}


@cache
def answered(fork: bool = False) -> Answer:
    return answer(FORK if fork else CASE)


def on(event: Event, *, case: Case = CASE, step: float = STEP, duration: float | None = 1.0) -> Ride:
    return ride(case, answered(case is FORK), event, step=step, duration=duration)


# --- the step ----------------------------------------------------------------------------------


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(
    ("event", "index", "fork"),
    [
        ("drop", COIL, False),
        ("drop", SEPARATE, False),
        ("hard drop", EXTRAS, False),
        ("hard drop", MECHANICAL, False),
        ("landing", SEPARATE, False),
        ("compression", SEPARATE, False),
        ("edge", EXTRAS, False),
        ("bumps", COIL, False),
        ("road", COIL, False),
        ("drop", EQUALISED, False),
        ("hard drop", EQUALISED, False),
        ("drop", 0, True),
        ("hard drop", 1, True),
    ],
)
def test_an_adaptive_solver_agrees_at_every_point(event: str, index: int, fork: bool) -> None:
    case, found = (FORK if fork else CASE), answered(fork)
    duration = 0.5 if event in ("bumps", "road") else 0.7
    track, fine = (course(EVENTS[event], 0.35, step, duration) for step in (STEP, STEP / 10))
    lane = lanes_of(case, found, track)[index]
    assert lane is not None
    kept = ridden([lane], [track])[0, 0]
    times = values(np.arange(len(kept)) * STEP)
    expected = Upright(case, found, index, lane.air, fine, port=lane.port).ridden(times)
    full = float(lane.travel)
    assert np.abs(np.clip(kept, 0, full) - np.clip(expected, 0, full)).max() <= 0.0005 * full


def test_friction_that_creeps_at_two_millimetres_a_second_goes_as_deep() -> None:
    """F_f tanh(ẋ/v_f) instead of Coulomb's law, which is what the step takes."""
    track = course(EVENTS["drop"], 0.35, STEP, 0.2)
    lane = lanes_of(CASE, answered(), track)[COIL]
    assert lane is not None
    times = values(np.arange(401) * STEP)
    creeping = Upright(CASE, answered(), COIL, lane.air, track, creep=2e-3).ridden(times)
    assert creeping.max() == pytest.approx(on(EVENTS["drop"]).deepest[COIL], abs=0.0005 * 0.150)


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("event", EVENTS)
def test_half_the_step_changes_no_printed_digit(event: str) -> None:
    """Printed: travel to a tenth of a per cent, forces to 1 %, speeds to 0.01 m/s, accelerations to 0.1 g."""
    there, half = on(EVENTS[event]), on(EVENTS[event], step=STEP / 2)
    full = float(there.wheel_travel)
    assert there.travel == pytest.approx(half.travel[:, ::2], abs=0.001 * full)
    assert there.deepest == pytest.approx(half.deepest, abs=0.0005 * full)
    assert there.peak_shaft_force == pytest.approx(half.peak_shaft_force, rel=0.005)
    assert there.rms_acceleration == pytest.approx(half.rms_acceleration, rel=0.005)
    assert there.grip == pytest.approx(half.grip, abs=0.005)
    assert there.airtime == pytest.approx(half.airtime, abs=0.005)
    for one, other in zip(there.meetings, half.meetings, strict=True):
        assert one.speed == pytest.approx(other.speed, abs=0.01)


@pytest.mark.slow
def test_many_lanes_are_the_same_lanes_one_by_one() -> None:
    track = course(EVENTS["hard drop"], 0.35, STEP, 0.5)
    lanes = [lane for lane in lanes_of(CASE, answered(), track) if lane is not None]
    args = [Start(-track.closing, False)] * 6, [(track.height, track.rise)] * 6, STEP
    together, alone = (stepped(lanes, *args, columns=10, few=few) for few in (0, 16))
    assert together[:, 0] == pytest.approx(alone[:, 0], abs=1e-12)
    assert together == pytest.approx(alone, rel=1e-6, abs=1e-6)


def test_six_setups_are_six_rides_of_one() -> None:
    all_of_them = on(EVENTS["drop"])
    for n in (COIL, SEPARATE):
        case = replace(CASE, setups=(CASE.setups[n],))
        alone = ride(case, answer(case), EVENTS["drop"], duration=1.0)
        assert alone.travel[0] == pytest.approx(all_of_them.travel[n], abs=1e-12)


# --- laws --------------------------------------------------------------------------------------

FREE = Damper(DampingSlopes(0.0, 1.0, 0.0), DampingSlopes(0.0, 1.0, 0.0))


def undamped(setup: Setup) -> Setup:
    return replace(setup, friction=0.0, damper=FREE)


@pytest.mark.parametrize("name", ["coil with gas and bumper", "separate"])
def test_without_damping_the_energy_account_closes(name: str) -> None:
    """What the ground does on an edge is all there is in heights, speeds, spring and tyre, to 0.1 %.

    Slow gas: its time constant is next to nothing.
    """
    setup = undamped(SETUPS[name])
    if isinstance(setup.spring, Air):
        setup = replace(setup, spring=replace(setup.spring, time_constant=1e-6))
    case = replace(case_of(setup), tyre=Tyre(damping=0.0))
    found = answer(case)
    track = course(SquareEdge(0.02, 4.0), 0.35, STEP, 2.0)
    kept = dict(zip(COLUMNS, ridden(lanes_of(case, found, track), [track])[0], strict=True))
    w, zs, zu, tyre = kept["travel"], kept["height"], kept["axle"], kept["tyre"]
    assert 0.055 < w.max() < 0.150
    assert w.min() > 0
    vs, vu = (np.convolve(part, [-1, 8, 0, -8, 1], "same") / (12 * STEP) for part in (zs, zu))
    m, mu, k = sprung_mass(found), 4.2, 120e3
    shock = shock_of(found.setups[0].setup, remembered_curve(case.frame), case.shop)
    grid = values(np.linspace(0.0, 0.150, 20001))
    force = shock.wheel(grid)[0]
    stored = np.concatenate([[0.0], np.cumsum((force[1:] + force[:-1]) / 2 * np.diff(grid))])
    pushed = (tyre[1:] + tyre[:-1]) / 2 * np.diff(track.height)
    by_ground = np.concatenate([[0.0], np.cumsum(pushed)])
    held = STANDARD_GRAVITY * (m * zs + mu * zu) + m * vs**2 / 2 + mu * vu**2 / 2
    account = (held + np.interp(w, grid, stored) + tyre**2 / k / 2 - by_ground)[4:-4]
    assert np.ptp(account) <= 0.001 * account.mean()


def test_small_oscillations_have_the_eigenvalues_of_two_masses() -> None:
    """Free of damping, about sag: nothing but both natural frequencies."""
    coil = undamped(Setup("coil", Coil(None, 0.0, 4378.0)))
    case = replace(case_of(coil, leverage=LeverageEnds(2.5, 2.5)), tyre=Tyre(damping=0.0))
    found = answer(case)
    track = course(SquareEdge(0.0005, 5.0), 0.35, STEP, 16.0)
    kept = ridden(lanes_of(case, found, track), [track])[0]
    m, mu, k_t = sprung_mass(found), 4.2, 120e3
    rate = float(found.setups[0].riding.wheel_rate_at_sag)
    squares, shapes = eigh(np.array([[rate, -rate], [-rate, rate + k_t]]), np.diag([m, mu]))
    time = np.arange(400, kept.shape[1]) * STEP
    travel, height, axle = (kept[COLUMNS.index(name)][400:] for name in ("travel", "height", "axle"))

    def waves(frequencies: Values) -> Values:
        parts = [turn(one * time) for one in frequencies for turn in (np.sin, np.cos)]
        return values(np.stack([*parts, np.ones_like(time)], axis=-1))

    def left_over(frequencies: Values) -> Values:
        there = waves(frequencies)
        return values(there @ np.linalg.lstsq(there, travel, rcond=None)[0] - travel)

    found_at = least_squares(left_over, np.sqrt(squares)).x
    assert np.abs(left_over(found_at)).max() < 1e-10
    assert found_at == pytest.approx(np.sqrt(squares), rel=1e-6)
    of_height, of_axle = (np.linalg.lstsq(waves(found_at), part, rcond=None)[0] for part in (height, axle))
    for n, shape in enumerate(shapes.T):
        largest = 2 * n + int(np.argmax(np.abs(of_axle[2 * n : 2 * n + 2])))
        assert of_axle[largest] / of_height[largest] == pytest.approx(shape[1] / shape[0], rel=1e-4)


@pytest.mark.parametrize("index", [COIL, EXTRAS, SEPARATE, NONE])
def test_a_drop_from_no_height_settles_at_sag(index: int) -> None:
    """Free of friction and after the air has lost its heat, which is made quick here."""
    setup = replace(CASE.setups[index], friction=0.0)
    if not isinstance(setup.spring, Coil):
        setup = replace(setup, spring=replace(setup.spring, time_constant=0.2))
    case = replace(CASE, setups=(setup,))
    found = answer(case)
    settled = ride(case, found, Drop(0.0), duration=5.0)
    assert settled.travel[0, -1] == pytest.approx(float(found.setups[0].sag.wheel), abs=2e-5)


@pytest.mark.slow
def test_friction_holds_within_its_band() -> None:
    settled = on(Drop(0.0), duration=6.0)
    band = answered().setups[COIL].sag
    assert float(band.band_low) - 1e-4 <= settled.travel[COIL, -1] <= float(band.band_high) + 1e-4
    assert settled.speed[COIL, -1] == pytest.approx(0.0, abs=1e-9)


# --- figures -----------------------------------------------------------------------------------


def test_a_harder_hit_meets_the_stop_and_brings_more() -> None:
    soft, hard, harder = (on(Drop(height)) for height in (0.2, 0.9, 1.4))
    assert all(len(one.time) == 0 for one in soft.meetings)
    assert hard.meetings[COIL].speed[0] < harder.meetings[COIL].speed[0]
    speed = hard.meetings[COIL].speed[0]
    assert hard.meetings[COIL].energy[0] == pytest.approx(sprung_mass(answered()) / 2 * speed**2)
    assert hard.deepest[COIL] == float(hard.wheel_travel)
    assert soft.deepest[COIL] == soft.travel[COIL].max() < float(soft.wheel_travel)


def test_what_a_stop_carries_is_not_in_the_spring() -> None:
    hard = on(Drop(0.9))
    free = hard.stop_force[COIL] == 0
    assert hard.stop_force[COIL].max() > 1000
    assert hard.peak_wheel_force[COIL] == pytest.approx(hard.wheel_force[COIL][free].max(), rel=0.02)


def test_sprung_mass_obeys_the_forces_that_are_told() -> None:
    one = on(EVENTS["bumps"])
    m = sprung_mass(answered())
    force = one.wheel_force[SEPARATE] + one.stop_force[SEPARATE]
    assert one.acceleration[SEPARATE] == pytest.approx(force / m - STANDARD_GRAVITY, abs=0.2)


def test_still_ground_leaves_the_wheel_at_sag() -> None:
    still = ride(CASE, answered(), SquareEdge(0.0, 5.0), duration=0.5)
    assert still.travel == pytest.approx(
        np.broadcast_to(still.static_sag[:, None], still.travel.shape), abs=1e-6
    )
    assert still.airtime == pytest.approx(np.zeros(6))
    assert still.grip == pytest.approx(np.zeros(6), abs=1e-4)
    assert np.isnan(still.sinks).all()


def test_slower_rebound_packs_down_on_bumps() -> None:
    slow = Damper(DampingSlopes(1500.0, 0.3, 800.0), DampingSlopes(40_000.0, 0.3, 40_000.0))
    quick = Damper(DampingSlopes(1500.0, 0.3, 800.0), DampingSlopes(3000.0, 0.3, 1500.0))
    case = case_of(*(replace(SETUPS["coil"], damper=damper) for damper in (slow, quick)))
    train = ride(case, answer(case), Bumps(0.06, 1.2, 7.0, count=12))
    assert train.sinks[0] > 0.02
    assert train.sinks[0] > train.sinks[1] + 0.01


def test_energy_of_a_drop_goes_into_damper_and_friction() -> None:
    """The heights lost, from the fall to sag, are what spring, tyre and the heat have taken up."""
    settled = on(Drop(0.3), duration=3.0)
    m, weight = sprung_mass(answered()), (sprung_mass(answered()) + 4.2) * STANDARD_GRAVITY
    sag = float(settled.travel[COIL, -1])
    tyre = weight / 120e3
    spring = float(
        answered().setups[COIL].figures.energy_total - answered().setups[COIL].figures.energy_from_sag
    )
    lost = weight * (0.3 + tyre) + m * STANDARD_GRAVITY * sag - spring - weight * tyre / 2
    heat = float(settled.damper_heat[COIL] + settled.friction_heat[COIL])
    assert heat < lost
    assert heat == pytest.approx(lost, rel=0.06)  # the rest is what the tyre damps


def test_arrays_are_read_only_and_of_the_stated_shapes() -> None:
    one = on(EVENTS["drop"])
    assert one.travel.shape == (6, 2001)
    assert one.names == tuple(setup.name for setup in CASE.setups)
    with pytest.raises(ValueError, match="read-only"):
        one.travel[0, 0] = 1.0
    assert math.isnan(one.peak_pressure[COIL])
    assert one.peak_pressure[SEPARATE] > 2e6


def test_a_setup_that_does_not_settle_is_nan_beside_the_others() -> None:
    stiff = Setup("stiff", Coil(80e3, 0.030, 4378.0))
    case = case_of(SETUPS["coil"], stiff)
    both = ride(case, answer(case), EVENTS["drop"], duration=0.3)
    assert answer(case).setups[1].state == "topped_out"
    assert np.isnan(both.travel[1]).all()
    assert math.isnan(both.deepest[1])
    assert len(both.meetings[1].time) == 0
    assert both.deepest[0] > 0.1


def test_a_fork_rides_like_a_shock() -> None:
    front = on(EVENTS["edge"], case=FORK)
    assert np.all(front.deepest > 0.3 * front.wheel_travel)
    assert np.all(np.isfinite(front.travel))


def test_courses_of_many_kinds_keep_their_length() -> None:
    for event in EVENTS.values():
        track: Course = course(event, 0.35, STEP, 0.7)
        assert len(track.height) == len(track.rise) == 1401
