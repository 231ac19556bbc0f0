"""After the ride: every change that is advised, applied and answered afresh, moves its figure as promised."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics.advise import COMPLAINTS, LEAST, Advice, Felt, advise
from physics.advise_changes import next_rates
from physics.advise_ends import advise_fight
from physics.advise_feel import Feel, rebound_change
from physics.answer import SetupAnswer
from physics.arrays import values
from physics.bench import answer
from physics.case import Air, Case, Coil, SeparateNegative, Setup, Target
from tests.physics.examples import BARE_AIR, EQUALISED, LBF_IN, LEVERAGES, LOAD, PSI, SEA, SETUPS, case_of
from tests.physics.test_balance import front_case, rear_case

ONE_WHEEL = tuple(COMPLAINTS)


@st.composite
def sound_cases(draw: st.DrawFn) -> Case:
    setup = SETUPS[draw(st.sampled_from(sorted(SETUPS)))]
    setup = replace(setup, friction=draw(st.floats(5.0, 60.0)))
    if isinstance(setup.spring, Air):
        count = float(draw(st.integers(0, 4)))
        setup = replace(setup, spring=replace(setup.spring, positive_spacers=count))
    leverage = LEVERAGES[draw(st.sampled_from(sorted(LEVERAGES)))]
    case = case_of(setup, leverage=leverage)
    load = replace(LOAD, rider_mass=draw(st.floats(55.0, 115.0)))
    return replace(case, load=load, target=Target(draw(st.floats(0.18, 0.38)), "travel"))


def applied(case: Case, change: Advice) -> SetupAnswer:
    return answer(replace(case, setups=(change.setup,))).setups[0]


def figure_of(found: SetupAnswer, name: str) -> float:
    return float(found.sag.wheel_fraction if name == "sag_fraction" else getattr(found.figures, name))


@given(sound_cases(), st.sampled_from(ONE_WHEEL))
@settings(max_examples=150, deadline=None)
def test_each_change_applied_moves_its_figure_the_way_it_promised(case: Case, felt: Felt) -> None:
    complaint = COMPLAINTS[felt]
    before = answer(case).setups[0]
    advised = advise(case, 0, felt)
    for change in advised.changes:
        after = applied(case, change)
        assert after.state == "ok"
        was, then = figure_of(before, change.figure), figure_of(after, change.figure)
        assert change.figure == complaint.figure
        assert (then > was) == complaint.more
        assert abs(then - was) / abs(was) == pytest.approx(change.effect, rel=1e-6)
        assert change.effect >= LEAST
        for name in Feel.__slots__[1:]:
            shown = getattr(change.after, name)
            assert shown == pytest.approx(figure_of(after, name), rel=1e-6, nan_ok=True)


@given(sound_cases(), st.sampled_from(ONE_WHEEL))
@settings(max_examples=40, deadline=None)
def test_a_change_turns_one_thing_the_way_it_says(case: Case, felt: Felt) -> None:
    advised = advise(case, 0, felt)
    for change in advised.changes:
        was, then = (turned_value(setup, change) for setup in (advised.setup, change.setup))
        assert (then > was) == change.more


def turned_value(setup: Setup, change: Advice) -> float:
    if change.turned == "bumper":
        assert setup.bumper is not None
        return float(setup.bumper.force)
    spring = setup.spring
    if change.turned.startswith("negative"):
        assert isinstance(spring, Air)
        return float(getattr(spring.negative, change.turned.removeprefix("negative_")))
    setting = getattr(spring, change.turned)
    assert setting is not None
    return float(setting)


@given(sound_cases())
@settings(max_examples=25, deadline=None)
def test_spacers_come_with_the_pressure_that_keeps_the_sag(case: Case) -> None:
    complaints: tuple[Felt, ...] = ("harsh_at_end", "blows_through", "harsh_off_top")
    for felt in complaints:
        for change in advise(case, 0, felt).changes:
            if change.turned.endswith("spacers"):
                assert change.after.sag_fraction == pytest.approx(change.before.sag_fraction, abs=1e-6)


def test_the_best_effect_for_its_side_effect_comes_first() -> None:
    changes = advise(case_of(SETUPS["equalised"]), 0, "harsh_off_top").changes
    worth = [change.effect / (change.side + 0.02) for change in changes]
    assert worth == sorted(worth, reverse=True)
    assert len(changes) > 1
    for change in changes:
        assert change.side_figure != change.figure


def test_nothing_above_the_label_is_advised() -> None:
    free = Setup("air", replace(BARE_AIR, negative=EQUALISED), 30.0)
    pressure = advise(case_of(free), 0, "wallows").setup.spring
    assert isinstance(pressure, Air)
    assert pressure.pressure is not None
    labelled = replace(BARE_AIR, negative=EQUALISED, max_pressure=float(pressure.pressure) + PSI)
    changes = advise(case_of(replace(free, spring=labelled)), 0, "too_low").changes
    assert advise(case_of(free), 0, "too_low").changes
    assert changes == ()


def test_a_negative_chamber_above_the_label_is_not_advised_either() -> None:
    separate = SeparateNegative(22e-6, 0, 3e-6, 150 * PSI + SEA)
    spring = replace(BARE_AIR, negative=separate)
    softer = advise(case_of(Setup("air", spring)), 0, "harsh_off_top").changes
    assert "negative_pressure" in [change.turned for change in softer]
    held = advise(case_of(Setup("air", replace(spring, max_pressure=160 * PSI + SEA))), 0, "harsh_off_top")
    assert "negative_pressure" not in [change.turned for change in held.changes]


def test_a_coil_that_would_bind_is_not_wound_up_further() -> None:
    coil = Coil(90e3, 0.001, 25 * LBF_IN, thread_pitch=0.001)
    case = case_of(Setup("coil", coil))
    assert "preload" in [change.turned for change in advise(case, 0, "too_low").changes]
    tight = replace(coil, free_length=0.1425, solid_length=0.081)
    changes = advise(case_of(Setup("coil", tight)), 0, "too_low").changes
    assert "preload" not in [change.turned for change in changes]


def test_a_coil_goes_to_rates_one_can_buy() -> None:
    coil = Coil(487 * LBF_IN, 0.001, 25 * LBF_IN)
    assert next_rates(coil) == pytest.approx((450 * LBF_IN, 525 * LBF_IN))
    assert next_rates(replace(coil, rate=500 * LBF_IN)) == pytest.approx((475 * LBF_IN, 525 * LBF_IN))
    ladder = values([400 * LBF_IN, 450 * LBF_IN])
    assert next_rates(replace(coil, ladder=ladder)) == pytest.approx((450 * LBF_IN,))
    for change in advise(case_of(Setup("coil", coil)), 0, "wallows").changes:
        if change.turned == "rate":
            assert isinstance(change.setup.spring, Coil)
            assert change.setup.spring.rate == pytest.approx(525 * LBF_IN)


def test_a_wheel_that_does_not_settle_gets_no_changes() -> None:
    stiff = case_of(Setup("coil", Coil(200e3, 0.030, 25 * LBF_IN)))
    advised = advise(stiff, 0, "too_high")
    assert not advised.settles
    assert advised.changes == ()


def test_rebound_change_is_the_ratio_of_critical_damping() -> None:
    case = case_of(SETUPS["coil"], SETUPS["equalised"])
    coil, air = (setup.figures.critical_damping for setup in answer(case).setups)
    there = (advise(case, index, "wallows").now.critical_damping for index in (0, 1))
    assert rebound_change(*there) == pytest.approx(float(air / coil))
    assert math.isnan(rebound_change(0.0, 9000.0))
    change = advise(case, 1, "too_low").changes[0]
    # Sag moves little, so the leverage does: the damping goes with the root of the wheel rate.
    assert change.rebound == pytest.approx(change.after.critical_damping / change.before.critical_damping)
    swung = (change.after.natural_frequency / change.before.natural_frequency) ** 2
    assert change.rebound == pytest.approx(math.sqrt(swung), rel=0.05)


@given(st.floats(0.22, 0.34), st.floats(0.15, 0.30), st.sampled_from(["equalised", "coil"]))
@settings(max_examples=20, deadline=None)
def test_what_is_advised_for_ends_that_fight_narrows_the_gap(
    rear_sag: float, front_sag: float, name: str
) -> None:
    rear, front = rear_case(name, rear_sag), front_case(sag=front_sag)
    for mine, theirs in ((rear, front), (front, rear)):
        now, other = (answer(case).setups[0] for case in (mine, theirs))
        for change in advise_fight(mine, 0, theirs, 0).changes:
            wanted = figure_of(other, change.figure)
            was = abs(figure_of(now, change.figure) - wanted)
            then = abs(figure_of(applied(mine, change), change.figure) - wanted)
            assert then < was
            assert (was - then) / abs(wanted) == pytest.approx(change.effect, rel=1e-6)


def test_ends_fight_about_something_in_the_usual_pair() -> None:
    rear, front = rear_case(), front_case()
    found = advise_fight(front, 0, rear, 0).changes
    assert {change.figure for change in found} >= {"sag_fraction"}


def test_one_change_for_two_measures_is_told_once() -> None:
    # A coarse ladder leaves one rate for several measures.
    coarse = replace(SETUPS["coil"], spring=Coil(None, 0.001, 100 * LBF_IN))
    rear = replace(rear_case("coil"), setups=(coarse,))
    rates = [
        float(change.setup.spring.rate or 0)
        for change in advise_fight(rear, 0, front_case(), 0).changes
        if isinstance(change.setup.spring, Coil)
    ]
    assert rates
    assert len(set(rates)) == len(rates)
