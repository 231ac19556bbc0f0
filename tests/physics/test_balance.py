"""Both ends side by side: a change that is advised brings the ends together, and forks are plain levers."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics.balance import AGREE, BY_SETTING, LEVEL, USUAL_SAG, Change, WheelBalance, balance
from physics.bench import answer
from physics.case import (
    Air,
    Ambient,
    Case,
    Coil,
    Fork,
    Frame,
    LeverageEnds,
    RiderAndBike,
    ScaleReading,
    Setup,
    Target,
)
from physics.knobs import Grain
from physics.leverage import fork_travel
from physics.offered import MOST_REST
from tests.physics.examples import BARE_AIR, EQUALISED, SETUPS, case_of
from tests.random_cases import cases

ANGLE = math.radians(64.5)
FORK_SPRING = replace(
    BARE_AIR,
    bore=0.034,
    rod=0.0,
    body=0.010,
    positive_volume=235e-6,
    positive_spacer_volume=7e-6,
    negative=EQUALISED,
)
FORK_AIR = Setup("fork", FORK_SPRING)


def front_case(setup: Setup = FORK_AIR, sag: float = 0.22, angle: float = ANGLE) -> Case:
    frame = Frame(float(fork_travel(0.160, angle)), 0.160, Fork(angle))
    load = RiderAndBike(85.0, 0.38, 15.5, 0.5, 2.1)
    return replace(case_of(setup), frame=frame, load=load, target=Target(sag, "travel"))


def rear_case(name: str = "equalised", sag: float = 0.30) -> Case:
    setup = SETUPS[name]
    return replace(case_of(replace(setup, spring=_asked(setup.spring))), target=Target(sag, "travel"))


def _asked(spring: Coil | Air) -> Coil | Air:
    return replace(spring, rate=None) if isinstance(spring, Coil) else replace(spring, pressure=None)


def changed(case: Case, change: Change) -> Case:
    """Return a case with a change typed in."""
    setup, setting = case.setups[0], float(change.setting)
    if isinstance(setup.spring, Coil):
        spring: Coil | Air = replace(setup.spring, rate=setting)
    else:
        count = float(change.spacers)
        spacers = setup.spring.positive_spacers if math.isnan(count) else count
        spring = replace(setup.spring, pressure=setting, positive_spacers=spacers)
    return replace(case, setups=(replace(setup, spring=spring),))


def change_for(end: WheelBalance, measure: str) -> Change:
    return next(change for change in end.changes if change.measure == measure)


@pytest.mark.slow
@given(st.floats(0.22, 0.34), st.floats(0.15, 0.30), st.sampled_from(["equalised", "coil"]))
@settings(max_examples=cases(15))
def test_an_advised_setting_brings_the_measure_to_that_of_the_other_end(
    rear_sag: float, front_sag: float, name: str
) -> None:
    rear, front = rear_case(name, rear_sag), front_case(sag=front_sag)
    found = balance(rear, 0, front, 0)
    for change in found.front.changes:
        if change.measure in BY_SETTING and np.isfinite(change.setting):
            again = balance(rear, 0, changed(front, change), 0)
            wanted = getattr(again.rear.now, change.measure)
            assert getattr(again.front.now, change.measure) == pytest.approx(float(wanted), rel=2e-4)
            assert again.front.now.sag == pytest.approx(float(change.then.sag), rel=1e-6)
    for change in found.rear.changes:
        if change.measure in BY_SETTING and np.isfinite(change.setting):
            again = balance(changed(rear, change), 0, front, 0)
            wanted = getattr(again.front.now, change.measure)
            assert getattr(again.rear.now, change.measure) == pytest.approx(float(wanted), rel=2e-4)


@pytest.mark.parametrize("name", ["equalised", "coil"])
def test_a_setting_is_rounded_to_what_is_written_before_its_figures(name: str) -> None:
    psi, newton = 6894.757, 1000.0
    grain = Grain({"pressure": psi, "rate": newton}, {"pressure": 101325.0})
    rear, front = rear_case(name), front_case(sag=0.18)
    found = balance(rear, 0, front, 0, grain)
    for case, wheel in ((rear, found.rear), (front, found.front)):
        for change in wheel.changes:
            setting = float(change.setting)
            steps = (setting - 101325.0) / psi if setting > 80_000 and name != "coil" else setting / newton
            if case is front:
                steps = (setting - 101325.0) / psi
            assert steps == pytest.approx(round(steps), abs=1e-6)
            again = balance(changed(case, change), 0, case, 0)
            assert float(again.rear.now.sag) == pytest.approx(float(change.then.sag), rel=1e-6)


def test_the_figures_are_those_of_each_end_alone() -> None:
    rear, front = rear_case(), front_case()
    found = balance(rear, 0, front, 0)
    for case, end in ((rear, found.rear), (front, found.front)):
        alone = answer(case).setups[0]
        assert end.now.sag == pytest.approx(float(alone.sag.wheel))
        assert end.now.frequency == pytest.approx(float(alone.riding.natural_frequency))
        assert end.now.support == pytest.approx(float(alone.riding.support_50))
        assert end.now.bottom_ratio == pytest.approx(float(alone.riding.bottom_ratio))
    assert found.ratio.frequency == pytest.approx(float(found.front.now.frequency / found.rear.now.frequency))


def test_spacers_come_nearest_with_the_sag_kept() -> None:
    rear = replace(rear_case(), setups=(SETUPS["coil"],))
    front = front_case(Setup("fork", replace(FORK_SPRING, positive_spacers=5.0)))
    found = balance(rear, 0, front, 0)
    change = change_for(found.front, "bottom_ratio")
    again = balance(rear, 0, changed(front, change), 0)
    assert again.front.now.sag == pytest.approx(float(found.front.now.sag), rel=1e-6)
    off = abs(float(again.front.now.bottom_ratio - again.rear.now.bottom_ratio))
    assert off < abs(float(found.front.now.bottom_ratio - found.rear.now.bottom_ratio))
    for count in range(9):
        spaced = front_case(Setup("fork", replace(FORK_SPRING, positive_spacers=count)))
        other = answer(spaced).setups[0].riding.bottom_ratio
        assert abs(float(other - again.rear.now.bottom_ratio)) >= off - 1e-9
    assert change.agrees == (off <= AGREE * float(again.rear.now.bottom_ratio))


@pytest.mark.slow
@given(st.integers(0, 6), st.floats(0.22, 0.34), st.sampled_from(["equalised", "coil"]))
@settings(max_examples=cases(15))
def test_a_change_agrees_where_nothing_is_asked_for_after_it(count: int, sag: float, name: str) -> None:
    rear, front = (
        rear_case(name, sag),
        front_case(Setup("fork", replace(FORK_SPRING, positive_spacers=count))),
    )
    for change in balance(rear, 0, front, 0).front.changes:
        if not np.isfinite(change.setting):
            assert not change.agrees
            continue
        again = balance(rear, 0, changed(front, change), 0)
        mine, theirs = (float(getattr(end.now, change.measure)) for end in (again.front, again.rear))
        assert change.agrees == (abs(mine - theirs) <= AGREE * theirs)


def test_ends_that_agree_ask_for_nothing() -> None:
    case = rear_case()
    found = balance(case, 0, case, 0)
    assert found.rear.changes == found.front.changes == ()
    assert found.ratio.sag == 1.0
    little = replace(case, target=Target(0.30 * (1 + AGREE / 2), "travel"))
    assert "sag_fraction" not in {change.measure for change in balance(case, 0, little, 0).front.changes}


def test_a_pressure_above_the_label_is_marked() -> None:
    limit = 101325 + 60 * 6894.757
    front = front_case(Setup("fork", replace(FORK_SPRING, max_pressure=limit)))
    for change in balance(rear_case(sag=0.20), 0, front, 0).front.changes:
        assert change.over_label == bool(change.setting > limit)
        assert change.over_label == ("label" in change.over)
    for change in balance(rear_case(), 0, front_case(), 0).front.changes:
        assert not change.over_label


def test_an_end_that_does_not_settle_has_no_figures_but_a_way_back() -> None:
    soft = replace(FORK_AIR, spring=replace(FORK_SPRING, pressure=101325 + 5 * 6894.757))
    found = balance(rear_case(), 0, front_case(soft), 0)
    assert np.isnan(found.front.now.sag)
    assert np.isnan(found.ratio.sag)
    assert found.rear.changes == ()
    assert change_for(found.front, "sag_fraction").then.sag_fraction == pytest.approx(0.30)


@given(st.floats(20, 89), st.floats(0.1, 0.2), st.floats(0.1, 0.35))
@settings(max_examples=cases(20))
def test_a_fork_is_a_frame_of_constant_leverage(degrees: float, stroke: float, sag: float) -> None:
    """L = sin α at every place, from the axis of the fork: two ways to one answer."""
    angle = math.radians(degrees)
    travel = float(fork_travel(stroke, angle))
    spring = replace(FORK_SPRING, positive_volume=2 * 908e-6 * stroke)
    fork = replace(front_case(Setup("fork", spring), sag), frame=Frame(travel, stroke, Fork(angle)))
    lever = replace(fork, frame=Frame(travel, stroke, LeverageEnds(math.sin(angle), math.sin(angle))))
    one, other = (answer(case).setups[0] for case in (fork, lever))
    assert one.state == other.state
    assert np.allclose(one.curve.wheel_force, other.curve.wheel_force, rtol=1e-9)
    assert one.sag.wheel == pytest.approx(float(other.sag.wheel), rel=1e-9, nan_ok=True)
    assert one.figures.natural_frequency == pytest.approx(
        float(other.figures.natural_frequency), rel=1e-6, nan_ok=True
    )


@given(st.floats(0.22, 0.34), st.floats(0.15, 0.30))
@settings(max_examples=cases(15))
def test_a_change_beyond_a_limit_says_which(rear_sag: float, front_sag: float) -> None:
    label = 101325 + 75 * 6894.757
    front = front_case(Setup("fork", replace(FORK_SPRING, max_pressure=label)), front_sag)
    rear = rear_case(sag=rear_sag)
    found = balance(rear, 0, front, 0)
    for case, end in ((rear, found.rear), (front, found.front)):
        for change in end.changes:
            if not np.isfinite(change.setting):
                assert not change.over
                continue
            then = answer(changed(case, change)).setups[0].air
            assert then is not None
            limit = np.inf if case is rear else label
            assert ("label" in change.over) == bool(then.set_pressure > limit)
            packed = max(float(then.peak_pressure), float(then.highest_extended))
            assert ("gas_law" in change.over) == (packed > 120e5)
            assert ("rest" in change.over) == bool(then.rest_stroke > MOST_REST)


def test_spacers_that_pack_beyond_the_law_are_marked() -> None:
    """A front that ends high asks a small rear can for more spacers than the law for air holds."""
    packed = replace(BARE_AIR, positive_volume=92e-6, positive_spacer_volume=4.5e-6, negative=EQUALISED)
    rear = replace(rear_case(), setups=(Setup("small", packed),))
    end = replace(packed, positive_spacers=4.0)
    high = replace(rear_case(), setups=(Setup("high", end),))
    (change,) = (c for c in balance(rear, 0, high, 0).rear.changes if c.measure == "bottom_ratio")
    then = answer(changed(rear, change)).setups[0].air
    assert then is not None
    assert float(then.peak_pressure) > 120e5
    assert "gas_law" in change.over


@pytest.mark.parametrize(
    ("rear_sag", "front_sag", "leaning"),
    [
        (0.30, 0.20, "balanced"),
        (0.25, 0.25, "balanced"),
        (0.35, 0.12, "front_firmer"),
        (0.18, 0.30, "front_softer"),
    ],
)
def test_a_bike_is_balanced_as_its_natural_frequencies_are(
    rear_sag: float, front_sag: float, leaning: str
) -> None:
    """Of straight coils at equal travel the frequencies are as √(1/sag)."""
    shop = Ambient(293.15, 101_325.0)
    spring = (Setup("coil", Coil(None, 0.0, 4378.0)),)
    frame, fork = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Frame(0.150, 0.150, Fork(np.pi / 2))
    rear = Case(ScaleReading(60.0, 4.0), frame, Target(rear_sag, "travel"), shop, spring)
    front = Case(ScaleReading(40.0, 2.0), fork, Target(front_sag, "travel"), shop, spring)
    found = balance(rear, 0, front, 0)
    assert float(found.ratio.frequency) == pytest.approx((rear_sag / front_sag) ** 0.5, rel=1e-6)
    assert found.leaning == leaning
    stuck = replace(front, load=ScaleReading(4000.0, 2.0), setups=(Setup("coil", Coil(5e3, 0.0, 4378.0)),))
    assert balance(rear, 0, stuck, 0).leaning == "unknown"


def test_the_usual_sags_are_themselves_balanced() -> None:
    for rear in USUAL_SAG["rear"]:
        for front in USUAL_SAG["front"]:
            assert LEVEL[0] <= (rear / front) ** 0.5 <= LEVEL[1]
