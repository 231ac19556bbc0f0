"""After the ride: every change that is advised, applied and answered afresh, moves its figure as promised."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics.advise import (
    ALIKE,
    LEAST,
    MEANINGS,
    SAG_NEAR,
    Advice,
    Feel,
    OtherWheel,
    Symptom,
    advise,
    is_off,
    leaves,
    rebound_change,
)
from physics.answer import SetupAnswer
from physics.bench import answer
from physics.case import Air, Case, Coil, SeparateNegative, Setup, Target
from physics.changes import settings as settings_at
from physics.offered import MOST_REST
from tests.physics.examples import BARE_AIR, EQUALISED, LBF_IN, LEVERAGES, LOAD, PSI, SEA, SETUPS, case_of
from tests.physics.test_balance import FORK_SPRING, front_case, rear_case
from tests.random_cases import cases

ONE_WHEEL = tuple(MEANINGS)


def ported(port: float, sag: float = 0.22) -> Case:
    """Return a fork whose chambers meet at a port [m]."""
    return front_case(Setup("fork", replace(FORK_SPRING, negative=replace(EQUALISED, port=port))), sag)


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
    if name in ("sag_fraction", "sag_as_aimed"):
        return float(found.sag.wheel_fraction)
    # Breakaway force is of slow air; all that is felt on the move is of the riding curve.
    return float(getattr(found.figures if name == "starting_wheel" else found.riding, name))


@pytest.mark.slow
@given(sound_cases(), st.sampled_from(ONE_WHEEL))
@settings(max_examples=cases(150))
def test_each_change_applied_moves_its_figure_the_way_it_promised(case: Case, symptom: Symptom) -> None:
    meaning = MEANINGS[symptom]
    before = answer(case).setups[0]
    advised = advise(case, 0, (symptom,))
    for change in advised.changes:
        after = applied(case, change)
        assert after.state == "ok"
        for name in Feel.__slots__[2:]:
            shown = getattr(change.after, name)
            assert shown == pytest.approx(figure_of(after, name), rel=1e-6, nan_ok=True)
        if change.to_target:
            continue
        was, then = figure_of(before, change.figure), figure_of(after, change.figure)
        assert change.figure == meaning.figure
        assert (then > was) == meaning.more
        assert abs(then - was) / abs(was) == pytest.approx(change.effect, rel=1e-6)
        assert change.effect >= ALIKE


@pytest.mark.slow
@given(sound_cases(), st.sampled_from(ONE_WHEEL))
@settings(max_examples=cases(40))
def test_a_change_turns_one_thing_the_way_it_says(case: Case, symptom: Symptom) -> None:
    advised = advise(case, 0, (symptom,))
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
@settings(max_examples=cases(25))
def test_spacers_come_with_the_pressure_that_keeps_the_sag(case: Case) -> None:
    symptoms: tuple[Symptom, ...] = ("harsh_ramp_up", "blows_through", "harsh_off_top")
    for symptom in symptoms:
        for change in advise(case, 0, (symptom,)).changes:
            if change.turned.endswith("spacers"):
                assert change.after.sag_fraction == pytest.approx(change.before.sag_fraction, abs=1e-6)


def test_the_best_effect_for_its_side_effect_comes_first() -> None:
    changes = advise(case_of(SETUPS["equalised"]), 0, ("harsh_off_top",)).changes
    worth = [(not change.leaves_target, change.effect / (change.side + 0.02)) for change in changes]
    assert worth == sorted(worth, reverse=True)
    assert len(changes) > 1
    for change in changes:
        assert change.side_figure != change.figure


@pytest.mark.slow
@given(sound_cases(), st.sampled_from(ONE_WHEEL))
@settings(max_examples=cases(40))
def test_what_takes_a_sag_off_its_target_stands_below_what_keeps_it(case: Case, symptom: Symptom) -> None:
    advised = advise(case, 0, (symptom,))
    off = [
        abs(float(applied(case, change).sag.wheel_fraction) - float(case.target.sag))
        for change in advised.changes
        if not change.to_target
    ]
    leaves = [share > abs(advised.off) + SAG_NEAR for share in off]
    assert leaves == sorted(leaves)


@pytest.mark.parametrize("symptom", ["wallows", "harsh_off_top"])
def test_a_spacer_that_keeps_the_sag_ranks_before_a_pressure_that_does_more(symptom: Symptom) -> None:
    changes = advise(case_of(SETUPS["equalised"]), 0, (symptom,)).changes
    kept, left = (
        [c.gain / (c.side + 0.02) for c in changes if c.leaves_target is leaves] for leaves in (False, True)
    )
    assert kept
    assert left
    assert max(left) > min(kept)
    assert [c.leaves_target for c in changes] == [False] * len(kept) + [True] * len(left)


def test_a_change_too_small_to_be_felt_is_not_offered_but_told() -> None:
    advised = advise(case_of(SETUPS["equalised"]), 0, ("packs_down",))
    assert [(change.turned, change.leaves_target) for change in advised.changes] == [("pressure", True)]
    spacers = [change for change in advised.slight if change.turned.endswith("spacers")]
    assert spacers
    assert all(LEAST <= change.effect < ALIKE for change in spacers)


def test_a_target_that_nobody_has_set_ranks_nothing() -> None:
    """A change that helps more for less is then first, wherever it takes the sag."""
    case = case_of(SETUPS["equalised"])
    kept, free = (advise(case, 0, ("wallows",), firm=firm).changes for firm in (True, False))
    assert [change.leaves_target for change in kept] == [False, True]
    assert [change.leaves_target for change in free] == [True, False]
    assert [change.turned for change in free] == [change.turned for change in reversed(kept)]


def test_what_bottoms_out_gets_a_spacer_and_loses_no_air_for_the_sake_of_a_target() -> None:
    """At too little sag the target asks for less pressure, which bottoms out more easily."""
    fork = ported(0.002, 0.16)
    pumped = replace(fork, setups=(answer(fork).setups[0].setup,), target=Target(0.18, "travel"))
    for firm in (True, False):
        advised = advise(pumped, 0, ("blows_through",), firm=firm)
        assert advised.sag_is_off
        first = advised.changes[0]
        assert (first.turned, first.more) == ("positive_spacers", True)
        assert first.effect >= ALIKE
        assert not any(effect.harms for change in advised.changes for effect in change.effects)
        assert ("pressure", False) not in {(change.turned, change.more) for change in advised.changes}
        correction = advised.correction
        assert correction is not None
        assert (correction.turned, correction.more) == ("pressure", False)
        assert correction.effects[0].harms
    # Where it takes nothing from the rider a target that somebody has set comes first, another does not.
    soft = replace(pumped, target=Target(0.14, "travel"))
    assert advise(soft, 0, ("blows_through",)).changes[0].to_target
    assert not advise(soft, 0, ("harsh_ramp_up",), firm=False).changes[0].to_target


MOST_FOLLOWED = 5


@given(
    sound_cases(),
    st.sampled_from([0.85, 1.0, 1.1]),
    st.lists(st.sampled_from(ONE_WHEEL), min_size=1, max_size=3, unique=True),
    st.booleans(),
)
@settings(max_examples=cases(60))
def test_following_the_first_advice_never_leads_back(
    case: Case, share: float, symptoms: list[Symptom], firm: bool
) -> None:
    asked, here = tuple(symptoms), off_target(case, share)
    advised = advise(here, 0, asked, firm=firm)
    been = [settings_of(advised.setup)]
    for _ in range(MOST_FOLLOWED):
        if not advised.changes:
            return
        change = advised.changes[0]
        if not change.to_target:
            assert change.gain >= math.log1p(ALIKE)
        if len(asked) == 1 and advised.settles:
            assert not change.effects[0].harms
        back = (change.turned, not change.more)
        here = replace(here, setups=(change.setup,))
        advised = advise(here, 0, asked, firm=firm)
        assert settings_of(advised.setup) not in been
        been.append(settings_of(advised.setup))
        assert not advised.changes or settings_of(advised.changes[0].setup) not in been, back


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("firm", [True, False])
def test_no_advice_for_unbalanced_ends_leads_back(firm: bool) -> None:
    rear, here = rear_case(), ported(0.002, 0.18)
    been, change = list[tuple[float, ...]](), None
    for _ in range(MOST_FOLLOWED):
        advised = advise(here, 0, ("unbalanced", "wallows"), OtherWheel(rear, 0), firm=firm)
        assert settings_of(advised.setup) not in been
        been.append(settings_of(advised.setup))
        if not advised.changes:
            break
        change = advised.changes[0]
        here = replace(here, setups=(change.setup,))
    assert change is not None


def settings_of(setup: Setup) -> tuple[float, ...]:
    """Return what can be turned on a setup, to the digits that are set in a shop."""
    return tuple(
        round(number, 4 - math.floor(math.log10(number))) if number else 0.0 for number in settings_at(setup)
    )


def test_nothing_above_the_label_is_advised() -> None:
    free = Setup("air", replace(BARE_AIR, negative=EQUALISED), 30.0)
    pressure = advise(case_of(free), 0, ("wallows",)).setup.spring
    assert isinstance(pressure, Air)
    assert pressure.pressure is not None
    labelled = replace(BARE_AIR, negative=EQUALISED, max_pressure=float(pressure.pressure) + PSI)
    changes = advise(case_of(replace(free, spring=labelled)), 0, ("too_low",)).changes
    assert advise(case_of(free), 0, ("too_low",)).changes
    assert changes == ()


def test_a_negative_chamber_above_the_label_is_not_advised_either() -> None:
    separate = SeparateNegative(22e-6, 0, 3e-6, 150 * PSI + SEA)
    spring = replace(BARE_AIR, negative=separate)
    softer = advise(case_of(Setup("air", spring)), 0, ("harsh_off_top",)).changes
    assert "negative_pressure" in [change.turned for change in softer]
    held = advise(case_of(Setup("air", replace(spring, max_pressure=160 * PSI + SEA))), 0, ("harsh_off_top",))
    assert "negative_pressure" not in [change.turned for change in held.changes]


def test_a_coil_that_would_bind_is_not_wound_up_further() -> None:
    coil = Coil(90e3, 0.001, 25 * LBF_IN, thread_pitch=0.001)
    case = case_of(Setup("coil", coil))
    assert "preload" in [change.turned for change in advise(case, 0, ("too_low",)).changes]
    tight = replace(coil, free_length=0.1425, solid_length=0.081)
    changes = advise(case_of(Setup("coil", tight)), 0, ("too_low",)).changes
    assert "preload" not in [change.turned for change in changes]


def test_a_wheel_that_does_not_settle_is_only_brought_to_its_sag() -> None:
    stiff = case_of(Setup("coil", Coil(200e3, 0.030, 25 * LBF_IN)))
    advised = advise(stiff, 0, ("too_high", "wallows"))
    assert not advised.settles
    assert advised.sag_is_off
    (change,) = advised.changes
    assert change.to_target
    assert math.isnan(change.before.sag_fraction)
    assert applied(stiff, change).sag.wheel_fraction == pytest.approx(0.30, abs=SAG_NEAR)
    # Nothing that can be turned here holds up a wheel of such a load.
    weak = replace(case_of(Setup("air", replace(BARE_AIR, pressure=20e5, bore=0.01, body=0.0))))
    held = advise(weak, 0, ("too_low",))
    assert not held.settles
    assert held.changes == ()


def test_the_other_wheel_counts_only_for_a_bike_that_feels_unbalanced() -> None:
    other = OtherWheel(front_case(Setup("fork", FORK_SPRING)), 0)
    alone, beside = (advise(rear_case(), 0, ("wallows",), wheel) for wheel in (None, other))
    assert [(one.turned, one.more, one.effect) for one in beside.changes] == [
        (one.turned, one.more, one.effect) for one in alone.changes
    ]


def test_a_sag_within_its_limit_is_on_target() -> None:
    on_target = Feel(560.0, SAG_NEAR, 0.3, 5.0, 1.7, 4.0, 2.0, 100.0, 2.4, 9000.0)
    target = Target(0.0, "travel")
    assert not is_off(on_target, target)
    assert is_off(replace(on_target, sag_as_aimed=SAG_NEAR * 1.001), target)
    assert is_off(replace(on_target, sag_as_aimed=math.nan), target)
    # Further off by the limit is no further off; by more it is.
    start = replace(on_target, sag_as_aimed=0.0)
    assert not leaves(start, on_target, target)
    assert leaves(start, replace(on_target, sag_as_aimed=SAG_NEAR * 1.001), target)


def test_rebound_change_is_the_ratio_of_critical_damping() -> None:
    case = case_of(SETUPS["coil"], SETUPS["equalised"])
    coil, air = (setup.riding.critical_damping for setup in answer(case).setups)
    there = (advise(case, index, ("wallows",)).now.critical_damping for index in (0, 1))
    assert rebound_change(*there) == pytest.approx(float(air / coil))
    assert math.isnan(rebound_change(0.0, 9000.0))
    change = advise(case, 1, ("too_low",)).changes[0]
    # Sag moves little, so the leverage does: the damping goes with the root of the wheel rate.
    assert change.rebound == pytest.approx(change.after.critical_damping / change.before.critical_damping)
    swung = (change.after.natural_frequency / change.before.natural_frequency) ** 2
    assert change.rebound == pytest.approx(math.sqrt(swung), rel=0.05)


@pytest.mark.slow
@given(st.floats(0.22, 0.34), st.floats(0.15, 0.30), st.sampled_from(["equalised", "coil"]))
@settings(max_examples=cases(20))
def test_what_is_advised_for_unbalanced_ends_narrows_the_gap(
    rear_sag: float, front_sag: float, name: str
) -> None:
    rear, front = rear_case(name, rear_sag), ported(0.002, front_sag)
    for mine, theirs in ((rear, front), (front, rear)):
        now, other = (answer(case).setups[0] for case in (mine, theirs))
        for change in advise(mine, 0, ("unbalanced",), OtherWheel(theirs, 0)).changes:
            assert not change.to_target
            wanted = figure_of(other, change.figure)
            was = abs(figure_of(now, change.figure) - wanted)
            then = abs(figure_of(applied(mine, change), change.figure) - wanted)
            assert then < was
            assert (was - then) / abs(wanted) == pytest.approx(change.effect, rel=1e-6)


def test_unbalanced_ends_differ_in_something_in_the_usual_pair() -> None:
    rear, front = rear_case(), ported(0.002)
    found = advise(front, 0, ("unbalanced",), OtherWheel(rear, 0)).changes
    assert {change.figure for change in found} == {"bottom_ratio"}


def test_a_sag_that_matches_and_pulls_the_rest_apart_is_told_as_such() -> None:
    """Matching one measure after the other would go round for ever."""
    rear, front = rear_case(), ported(0.002)
    slight = advise(front, 0, ("unbalanced",), OtherWheel(rear, 0)).slight
    matched = [change for change in slight if change.figure == "sag_fraction"]
    assert matched
    for change in matched:
        assert change.effect >= ALIKE
        assert change.gain < math.log1p(ALIKE)


def test_one_change_for_two_measures_is_told_once() -> None:
    # A coarse ladder leaves one rate for several measures.
    coarse = replace(SETUPS["coil"], spring=Coil(None, 0.001, 100 * LBF_IN))
    rear = replace(rear_case("coil"), setups=(coarse,))
    rates = [
        float(change.setup.spring.rate or 0)
        for change in advise(rear, 0, ("unbalanced",), OtherWheel(front_case(), 0)).changes
        if isinstance(change.setup.spring, Coil)
    ]
    assert rates
    assert len(set(rates)) == len(rates)


def off_target(case: Case, share: float) -> Case:
    """Return a case with the setting of its setup typed, a share off the one that its target asks for."""
    setup = answer(case).setups[0].setup
    spring = setup.spring
    if isinstance(spring, Coil):
        if spring.stage_rate is not None:
            return case
        moved: Coil | Air = replace(spring, rate=float(spring.rate or 0.0) * share)
    else:
        moved = replace(spring, pressure=SEA + (float(spring.pressure or 0.0) - SEA) * share)
    return replace(case, setups=(replace(setup, spring=moved),))


@given(sound_cases(), st.sampled_from([0.75, 0.85, 0.92, 1.1, 1.25]), st.sampled_from(ONE_WHEEL))
@settings(max_examples=cases(60))
def test_a_sag_off_its_target_comes_first(case: Case, share: float, symptom: Symptom) -> None:
    typed = off_target(case, share)
    advised = advise(typed, 0, (symptom,))
    target = float(case.target.sag)
    if not advised.sag_is_off:
        assert abs(advised.off) <= SAG_NEAR
        return
    firsts = [change for change in advised.changes if change.to_target]
    assert firsts == list(advised.changes[:1]) or not firsts
    for change in firsts:
        then = float(applied(typed, change).sag.wheel_fraction)
        assert not abs(then - target) >= abs(advised.off)
        if isinstance(change.setup.spring, Air):
            assert then == pytest.approx(target, abs=1e-6)
    for change in advised.changes:
        further = abs(change.after.sag_fraction - target) > abs(advised.off) + SAG_NEAR
        assert change.leaves_target == further


@pytest.mark.slow
@given(sound_cases(), st.lists(st.sampled_from(ONE_WHEEL), min_size=2, max_size=4, unique=True))
@settings(max_examples=cases(60))
def test_of_several_symptoms_each_change_says_what_it_does_to_every_one(
    case: Case, symptoms: list[Symptom]
) -> None:
    advised = advise(case, 0, tuple(symptoms))
    rest = [change for change in advised.changes if not change.to_target]
    ranks = [(c.leaves_target, any(effect.harms for effect in c.effects)) for c in rest]
    assert ranks == sorted(ranks), "what keeps the sag comes first, then what harms none of them"
    before = answer(case).setups[0]
    for change in advised.changes:
        assert [effect.symptom for effect in change.effects] == symptoms
        assert change.to_target or any(effect.helps for effect in change.effects)
        after = applied(case, change)
        for effect in change.effects:
            meaning = MEANINGS[effect.symptom]
            was, then = (figure_of(one, meaning.figure) for one in (before, after))
            share = (then - was) / abs(was) * (1 if meaning.more else -1)
            assert share == pytest.approx(effect.share, rel=1e-6, abs=1e-9, nan_ok=True)
            assert (effect.helps, effect.harms) == (share >= ALIKE, share <= -LEAST)


def test_a_spacer_serves_one_symptom_and_harms_the_other() -> None:
    case = case_of(SETUPS["equalised"])
    both: tuple[Symptom, ...] = ("wallows", "harsh_ramp_up")
    changes = [c for c in advise(case, 0, both).changes if c.turned == "positive_spacers"]
    assert changes
    for change in changes:
        wallows, harsh = change.effects
        assert wallows.helps is change.more
        assert harsh.harms is change.more


@pytest.mark.slow
@given(sound_cases(), st.sampled_from(ONE_WHEEL), st.floats(8e5, 40e5))
@settings(max_examples=cases(60))
def test_no_change_goes_beyond_label_law_or_rest(case: Case, symptom: Symptom, label: float) -> None:
    setup = case.setups[0]
    if isinstance(setup.spring, Air):
        setup = replace(setup, spring=replace(setup.spring, max_pressure=label))
        case = replace(case, setups=(setup,))
    for change in advise(case, 0, (symptom,)).changes:
        after = applied(case, change)
        codes = {caution.code for caution in after.cautions}
        assert not codes & {"over_label", "negative_over_label", "sag_gas_range", "coil_bind", "rated_stroke"}
        if after.air is not None:
            assert max(after.air.peak_pressure, after.air.highest_extended) <= 120e5
            assert after.air.rest_stroke <= MOST_REST
            assert after.air.set_pressure <= label


def test_what_packs_beyond_the_law_at_full_stroke_is_left_out() -> None:
    spring = replace(BARE_AIR, positive_volume=92e-6, positive_spacers=2.0, positive_spacer_volume=4.5e-6)
    case = case_of(Setup("air", replace(spring, negative=EQUALISED)))
    found = answer(case).setups[0]
    assert found.air is not None
    assert float(found.air.peak_pressure) < 120e5
    packed = replace(spring, negative=EQUALISED, positive_spacers=3.0)
    beyond = answer(case_of(Setup("air", packed))).setups[0].air
    assert beyond is not None
    assert float(beyond.peak_pressure) > 120e5
    advised = advise(case, 0, ("blows_through",))
    assert "gas_law" in advised.barred
    assert ("positive_spacers", True) not in {(change.turned, change.more) for change in advised.changes}


@pytest.mark.slow
def test_nothing_is_offered_that_rests_drawn_in_even_where_the_hardware_makes_it() -> None:
    """The chambers of this fork pull it in whatever it is pumped to."""
    front = front_case()
    found = answer(front).setups[0]
    assert found.air is not None
    assert float(found.air.rest_stroke) > MOST_REST
    for symptom in ONE_WHEEL:
        for change in advise(front, 0, (symptom,)).changes:
            after = applied(front, change)
            assert after.air is not None
            assert float(after.air.rest_stroke) <= MOST_REST
        assert "rest" in advise(front, 0, (symptom,)).barred
    assert advise(front, 0, ("too_high",)).changes == ()
    sound = advise(ported(0.002), 0, ("too_high",))
    assert sound.changes
    assert "rest" not in sound.barred


def test_what_belongs_to_the_symptoms_asked_about_is_no_side_effect() -> None:
    every: tuple[Symptom, ...] = ("harsh_off_top", "too_low", "wallows", "harsh_ramp_up")
    changes = advise(case_of(SETUPS["equalised"]), 0, every).changes
    assert changes
    assert {(change.side, change.side_figure) for change in changes} == {(0.0, None)}


@pytest.mark.parametrize("name", ["coil", "equalised"])
def test_one_change_alone_puts_the_sag_right(name: str) -> None:
    solved = answer(case_of(SETUPS[name])).setups[0].setup
    heavier = replace(case_of(solved), load=replace(LOAD, rider_mass=95.0))
    advised = advise(heavier, 0, ("wallows",))
    assert advised.sag_is_off
    assert [change.to_target for change in advised.changes].count(True) == 1
    assert advised.changes[0].to_target
