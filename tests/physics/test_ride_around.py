"""A ride in other air than the shop's: the same as a case set up by hand with the gas as it is there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from physics import gas
from physics.answer import Answer
from physics.arrays import Values
from physics.bench import answer
from physics.case import Air, Ambient, Case, Damper, DampingSlopes, SeparateNegative, Setup
from physics.descent import descent
from physics.gas import standard_pressure
from physics.ground import Bumps, Drop, Road
from physics.log import read_log
from physics.response import response
from physics.ride import ride
from physics.ride_search import first_meets, returning_rebound, ride_map
from physics.same_ground import same_ground
from physics.stand import stand
from tests.physics.examples import SETUPS, SHOP, case_of

HOT_PASS = Ambient(308.15, float(standard_pressure(2200.0)))
DAMPER = Damper(DampingSlopes(1500.0, 0.4, 800.0), DampingSlopes(2500.0, 0.4, 1500.0))
HERE = case_of(
    *(replace(SETUPS[name], damper=DAMPER, gas=None) for name in ("coil", "separate", "equalised"))
)
THERE = replace(HERE, ride=HOT_PASS)


def warmed(pressure: Values | float) -> float:
    """Return the pressure [Pa absolute] of the same gas in the same room once it is as warm as the pass."""
    density = gas.density(pressure, SHOP.temperature)
    return float(gas.pressure(density, HOT_PASS.temperature))


def by_hand(found: Answer) -> Case:
    """Return the case with the pass for a shop, every spring as found in the first shop and warmed there."""
    setups = list[Setup]()
    for one in found.setups:
        spring = one.setup.spring
        if isinstance(spring, Air):
            assert spring.pressure is not None
            negative = spring.negative
            if isinstance(negative, SeparateNegative):
                negative = replace(negative, pressure=warmed(negative.pressure))
            spring = replace(spring, pressure=warmed(spring.pressure), negative=negative)
        setups.append(replace(one.setup, spring=spring))
    return replace(HERE, shop=HOT_PASS, setups=tuple(setups))


FOUND = answer(THERE)
HAND = by_hand(FOUND)
HAND_FOUND = answer(HAND)
AT_HOME = replace(HERE, setups=tuple(one.setup for one in FOUND.setups))
HOME_FOUND = answer(AT_HOME)
FIGURES = ("deepest", "peak_wheel_force", "peak_acceleration", "airtime", "grip", "mean_travel", "static_sag")


def test_a_hot_high_ride_is_that_of_a_case_set_up_by_hand_and_moves_the_air_alone() -> None:
    there, hand, home = (
        ride(case, found, Drop(0.4), duration=1.0)
        for case, found in ((THERE, FOUND), (HAND, HAND_FOUND), (AT_HOME, HOME_FOUND))
    )
    np.testing.assert_allclose(there.travel, hand.travel, atol=1e-8)
    for name in FIGURES:
        assert getattr(there, name) == pytest.approx(getattr(hand, name), rel=1e-6), name
        assert getattr(there, name)[0] == getattr(home, name)[0], name
    assert there.peak_pressure[1:] == pytest.approx(hand.peak_pressure[1:], rel=1e-7)
    assert (there.static_sag[1:] < home.static_sag[1:] - 0.001).all()
    assert (there.deepest[1:] < home.deepest[1:] - 0.0005).all()


@pytest.mark.slow
def test_what_is_searched_for_and_mapped_is_in_that_air_too() -> None:
    train = Bumps(0.08, 1.2, 6.0, 4)
    for one, other in zip(
        *(
            (
                first_meets(case, found),
                returning_rebound(case, found, train).left,
                ride_map(
                    [(case, found)],
                    [Drop(0.2), Drop(0.3)],
                    lambda _case, _found, rode: rode.deepest,
                    duration=0.4,
                ),
                np.abs(response(case, found).height),
            )
            for case, found in ((THERE, FOUND), (HAND, HAND_FOUND))
        ),
        strict=True,
    ):
        assert one == pytest.approx(other, rel=1e-5, abs=1e-7)
    home = first_meets(AT_HOME, HOME_FOUND)
    there = first_meets(THERE, FOUND)
    assert there[0] == home[0]
    assert (there[1:] > home[1:]).all()


def test_a_descent_starts_at_the_warmth_of_the_ride() -> None:
    one, other = (
        descent(case, found, Road("D", 7.0, 3), 300.0, duration=1.0)
        for case, found in ((THERE, FOUND), (HAND, HAND_FOUND))
    )
    assert one.wall[:, 0] == pytest.approx(HOT_PASS.temperature)
    for name in ("settled", "pressure", "sag", "cold_pressure", "cold_sag"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-6, nan_ok=True), name


@pytest.mark.slow
def test_a_log_from_a_hot_high_ride_is_ridden_again_in_that_air() -> None:
    rode = ride(THERE, FOUND, Road("D", 6.0, 5), duration=9.0, step=1e-3)
    lever = stand(THERE).lever
    log = read_log(rode.time[::2], rode.travel[1, ::2], lever, "wheel")
    there, hand = (same_ground(case, found, log, 1) for case, found in ((THERE, FOUND), (HAND, HAND_FOUND)))
    # Both fits end where a step changes next to nothing: a thousandth of a millimetre is no difference.
    np.testing.assert_allclose(there.travel, hand.travel, rtol=0, atol=1e-6)
    for one, travel in zip(there.setups, rode.travel, strict=True):
        assert one is not None
        used = float(np.quantile(travel[round(there.starts[0] / 1e-3) :][:5000], 0.95))
        assert one.travel_95.value == pytest.approx(used, abs=0.01 * 0.150)


def test_a_setup_that_the_air_of_the_ride_takes_off_its_sag_does_not_ride() -> None:
    oven = replace(HERE, ride=Ambient(1500.0, HOT_PASS.pressure))
    found = answer(oven)
    assert found.setups[1].ride is not None
    assert found.setups[1].ride.state != "ok"
    rode = ride(oven, found, Drop(0.2), duration=0.3)
    assert np.isfinite(rode.deepest[0])
    assert np.isnan(rode.deepest[1])
    assert np.isnan(response(oven, found).height[1]).all()
