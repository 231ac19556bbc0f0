"""What should be measured on the bike: the answer amid bands that tools and friction alone make."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from physics.bench import answer
from physics.case import Air, Case, RiderAndBike, Tolerance
from physics.expected import Expected, Span, expected
from physics.leverage import leverage_curve
from physics.limits import STANDARD_GRAVITY
from physics.tolerance import tolerance
from tui.job.case import case_of
from tui.job.demo import demo_job
from tui.job.reading import read
from tui.job.wheels import wheel_job

CASE = case_of(read(wheel_job(demo_job(), "rear")))
COIL, AIR = 0, 1
NOTHING_OFF = Tolerance()


def asked(case: Case, index: int) -> Expected:
    return expected(case, index, answer(case))


def with_setup(index: int, **changes: object) -> Case:
    setups = list(CASE.setups)
    setups[index] = replace(setups[index], **changes)  # type: ignore[arg-type]
    return replace(CASE, setups=tuple(setups))


def with_air(**changes: object) -> Case:
    spring = CASE.setups[AIR].spring
    assert isinstance(spring, Air)
    return with_setup(AIR, spring=replace(spring, **changes))  # type: ignore[arg-type]


def ends(span: Span) -> tuple[float, float, float]:
    return float(span.low), float(span.at), float(span.high)


def test_sag_without_errors_strays_by_friction_alone() -> None:
    case = replace(CASE, tolerance=NOTHING_OFF)
    setup = answer(case).setups[AIR]
    sag, found = setup.sag, asked(case, AIR)
    least = float(setup.at_once.wheel - (sag.wheel - sag.band_low))
    assert ends(found.wheel) == pytest.approx((least, float(sag.wheel), float(sag.band_high)))
    stroke = leverage_curve(case.frame).at(np.array(ends(found.wheel))).stroke
    assert ends(found.stroke) == pytest.approx(tuple(stroke))


def test_sag_without_friction_strays_by_the_tools_alone() -> None:
    case = with_setup(AIR, friction=0.0)
    band = tolerance(case, AIR).sag_wheel
    low, at, high = ends(asked(case, AIR).wheel)
    once = float(answer(case).setups[AIR].at_once.wheel)
    assert (low, high) == pytest.approx((once - (at - float(band.low)), float(band.high)))


def test_a_sag_read_between_at_once_and_settled_is_within_its_band() -> None:
    case = replace(with_setup(AIR, friction=0.0), tolerance=NOTHING_OFF)
    setup, found = answer(case).setups[AIR], asked(case, AIR).wheel
    assert ends(found) == pytest.approx((float(setup.at_once.wheel), *(2 * [float(setup.sag.wheel)])))
    assert float(found.at - found.low) > 3e-3


def test_friction_and_tools_are_one_budget() -> None:
    # The band that is told of the sag is the one a reading is held against, from the sag at once on.
    setup, found, told = answer(CASE).setups[AIR], asked(CASE, AIR).wheel, tolerance(CASE, AIR).sag_wheel
    assert float(found.high) == pytest.approx(max(float(told.high), float(setup.sag.band_high)))
    settling = float(setup.sag.wheel - setup.at_once.wheel)
    assert float(found.low) == pytest.approx(min(float(told.low), float(setup.sag.band_low)) - settling)
    tools = tolerance(with_setup(AIR, friction=0.0), AIR).sag_wheel
    friction = float(setup.sag.band_high - setup.sag.wheel)
    assert float(tools.high) < float(told.high) < float(tools.high) + friction


def test_a_sag_at_the_edge_of_friction_is_within_its_band_whatever_the_tools() -> None:
    for tools in (NOTHING_OFF, Tolerance(scale=0.05), CASE.tolerance):
        case = replace(CASE, tolerance=tools)
        sag, found = answer(case).setups[COIL].sag, asked(case, COIL).wheel
        assert float(found.low) <= float(sag.band_low)
        assert float(found.high) >= float(sag.band_high)


def test_the_bands_of_sag_end_with_the_travel() -> None:
    stuck = asked(with_setup(COIL, friction=4000.0), COIL)
    assert float(stuck.wheel.low) == 0.0
    assert float(stuck.wheel.high) <= CASE.frame.wheel_travel
    assert float(stuck.stroke.low) == 0.0


def test_a_wheel_that_does_not_settle_has_no_sag_to_expect() -> None:
    found = asked(with_air(pressure=6e6), AIR)
    assert answer(with_air(pressure=6e6)).setups[AIR].state == "topped_out"
    assert np.isnan([*ends(found.wheel), *ends(found.stroke)]).all()
    assert not np.isnan(ends(found.gauge)).any()


def test_the_gauge_reads_the_set_pressure_or_less_for_the_air_in_the_hose() -> None:
    off = CASE.tolerance.gauge
    bare = with_air(hose_volume=0.0)
    setting = answer(bare).setups[AIR].air
    assert setting is not None
    low, at, high = ends(asked(bare, AIR).gauge)
    assert at == pytest.approx(float(setting.set_pressure))
    assert (low, high) == pytest.approx((at - off, at + off), rel=1e-6)
    hosed = ends(asked(with_air(hose_volume=6e-6), AIR).gauge)
    assert hosed[1:] == pytest.approx((at, high))
    spring = CASE.setups[AIR].spring
    assert isinstance(spring, Air)
    room = spring.positive_volume - spring.positive_spacers * spring.positive_spacer_volume
    shared = (at * room + CASE.shop.pressure * 6e-6) / (room + 6e-6)
    assert hosed[0] == pytest.approx(shared - off, rel=2e-3)


def test_a_coil_has_no_gauge() -> None:
    assert np.isnan(ends(asked(CASE, COIL).gauge)).all()


def test_a_scale_shows_the_mass_on_the_wheel() -> None:
    load = CASE.load
    assert isinstance(load, RiderAndBike)
    mass = load.rider_share * load.rider_mass + load.bike_share * load.bike_mass
    low, at, high = ends(asked(CASE, COIL).scale)
    assert at == pytest.approx(mass)
    assert float(answer(CASE).load.ground_reaction) == pytest.approx(mass * STANDARD_GRAVITY)
    limit = CASE.tolerance.scale
    assert high - at > limit + 0.9 * CASE.tolerance.share * load.rider_mass
    low, at, high = ends(asked(replace(CASE, tolerance=Tolerance(scale=limit)), COIL).scale)
    assert limit < high - at < limit * (1 + load.rider_share + load.bike_share)
    assert at - low == pytest.approx(high - at, rel=0.05)
    exact = ends(asked(replace(CASE, tolerance=NOTHING_OFF), COIL).scale)
    assert exact == pytest.approx((mass, mass, mass))
