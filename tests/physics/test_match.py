"""One spring in the place of another: closest of what is allowed, at the same sag, and honest about it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from physics.arrays import Marks, Scalar, Values, values
from physics.bench import answer
from physics.case import Case, EqualisedNegative, SeparateNegative, Setup, Target
from physics.cautions import PUMPS_REACH
from physics.faults import Reason, Unmatched
from physics.knobs import NEGATIVE_REACH, PORT_REACH, VOLUME_REACH, Grain
from physics.limits import HIGHEST_PRESSURE
from physics.match import ABOVE_SAG, ALIKE, matched
from physics.offered import MOST_REST
from physics.shock import air_of, coil_of, pressure_of, shock_of
from physics.stand import stand
from physics.sweep import SweptSetup, sweep
from tests.physics.examples import LEVERAGES, PSI, SEA, SETUPS, case_of
from tests.random_cases import cases

RANDOM = 500
AIRS = ["equalised", "separate", "mechanical", "none"]
COIL = SETUPS["coil"]


def with_rate(rate: float, preload: float = 0.001) -> Setup:
    return replace(COIL, spring=replace(coil_of(COIL), rate=rate, preload=preload))


def random_settings(setup: Setup, rng: np.random.Generator, *, volumes: bool) -> Setup:
    """Return random settings of an air spring that leave air in both chambers, drawn without `knobs`."""
    spring, second = air_of(setup), air_of(setup).negative
    area = np.pi / 4 * (float(spring.bore) ** 2 - float(spring.rod) ** 2)
    volume, positive = _chamber(
        (spring.positive_volume, spring.positive_spacer_volume, spring.positive_spacers),
        area * 0.060,
        VOLUME_REACH if volumes else None,
        rng,
    )
    if isinstance(second, SeparateNegative | EqualisedNegative):
        reach = NEGATIVE_REACH if volumes else None
        room, counts = _chamber((second.volume, second.spacer_volume, second.spacers), 0.0, reach, rng)
        second = replace(second, spacers=counts, volume=room)
    if isinstance(second, SeparateNegative):
        second = replace(second, pressure=rng.uniform(SEA, SEA + PUMPS_REACH, RANDOM))
    elif isinstance(second, EqualisedNegative) and volumes:
        second = replace(second, port=0.060 * rng.uniform(*PORT_REACH, RANDOM))
    drawn = replace(spring, positive_volume=volume, positive_spacers=positive, negative=second)
    return replace(setup, spring=drawn)


def _chamber(
    measures: tuple[Scalar, Scalar, Scalar],
    needed: float,
    reach: tuple[float, float] | None,
    rng: np.random.Generator,
) -> tuple[Values, Values]:
    """Return random volumes of a chamber, or counts of spacers in it, that leave more than it needs [m³]."""
    whole, each, now = measures
    many = 40 * RANDOM
    volume = whole * (rng.uniform(*reach, many) if reach else np.ones(many))
    counts = np.full(many, now, dtype=float) if reach else rng.integers(0, 9, many).astype(float)
    fits = np.flatnonzero(volume - counts * each - needed > 1e-8)[:RANDOM]
    return values(volume[fits]), values(counts[fits])


def closeness(case: Case, target: Setup, found: Setup) -> Values:
    """Return how close settings come, by single answers and by a sweep, infinite off the sag or not allowed.

    Two trapezoidal rules, slow above the sag and along the isentropes from there on.
    """
    one = answer(replace(case, setups=(target,))).setups[0]
    sag, static = float(one.sag.wheel_fraction), float(answer(case).load.static_wheel_force)
    there = replace(case, target=Target(sag, "travel"), setups=(found,))
    with np.errstate(all="ignore"):  # chambers squeezed beyond anything the law for air knows
        swept = sweep(there).setups[0]
        stroke = values(one.sag.stroke)
        above, beyond = np.linspace(0, sag, 201) * 0.150, np.linspace(sag, 1, 201) * 0.150
        parts = []
        for at, start in ((above, None), (beyond, stroke)):
            off = _force(there, swept.setup, at, start) - _force(there, one.setup, at, start)
            parts.append(np.trapezoid(off * off, at))
    mean = (ABOVE_SAG * parts[0] + parts[1]) / (0.150 * (ABOVE_SAG * sag + 1 - sag))
    good = (np.abs(swept.sag.wheel_fraction - sag) < 1e-6) & allowed(swept)
    return values(np.where(good, np.sqrt(mean) / static, np.inf))


def allowed(swept: SweptSetup) -> Marks:
    """Return which settings of a spring without a label may be offered, by their answers."""
    if swept.air is None:
        return np.ones(swept.state.shape, dtype=bool)
    highest = np.fmax(swept.air.peak_pressure, swept.air.highest_extended)
    pumped = swept.air.set_pressure <= SEA + PUMPS_REACH
    return np.asarray(pumped & (swept.air.rest_stroke <= MOST_REST) & (highest <= HIGHEST_PRESSURE))


def _force(case: Case, setup: Setup, at: Values, start: Values | None) -> Values:
    shock, places = shock_of(setup, stand(case).lever, case.shop), stand(case).lever.at(values(at))
    shaft = shock.at(places.stroke) if start is None else shock.fast_at(places.stroke, start)
    return values(shaft.force / places.ratio)


@pytest.mark.slow
@pytest.mark.parametrize("volumes", [False, True])
@pytest.mark.parametrize("name", AIRS)
@settings(max_examples=cases(5), phases=[Phase.generate])
@given(rate=st.floats(60e3, 110e3), preload=st.floats(0.0, 0.004), seed=st.integers(0, 2**32 - 1))
def test_no_random_setting_comes_closer(
    name: str, volumes: bool, rate: float, preload: float, seed: int
) -> None:
    goal, using = with_rate(rate, preload), SETUPS[name]
    case = case_of(goal, using, leverage=LEVERAGES["middle"])
    rng = np.random.default_rng(seed)
    others = closeness(case, goal, random_settings(using, rng, volumes=volumes))
    if not np.isfinite(others).any():
        return
    found = matched(case, 0, 1, volumes=volumes)
    # Both are integrals by a rule of their own.
    assert float(closeness(case, goal, found.setup)) <= float(others.min()) * (1 + 1e-3)
    assert float(found.closeness) == pytest.approx(float(closeness(case, goal, found.setup)), rel=1e-3)


def test_an_air_spring_may_take_every_count_there_is() -> None:
    """By itself: all counts one by one, each as a job of its own."""
    case = case_of(COIL, SETUPS["equalised"])
    found = air_of(matched(case, 0, 1).setup)
    second = found.negative
    assert isinstance(second, EqualisedNegative)
    spring = air_of(SETUPS["equalised"])
    negative = spring.negative
    assert isinstance(negative, EqualisedNegative)
    near = {}
    for p in range(5):
        for n in range(5):
            tried = replace(spring, positive_spacers=p, negative=replace(negative, spacers=n))
            if 105e-6 - p * 6e-6 > np.pi / 4 * (0.040**2 - 0.009**2) * 0.060 and 20e-6 - n * 4e-6 > 1e-9:
                near[p, n] = float(closeness(case, COIL, replace(SETUPS["equalised"], spring=tried)))
    assert (found.positive_spacers, second.spacers) == min(near, key=lambda counts: near[counts])
    assert np.isinf(list(near.values())).any()


@pytest.mark.parametrize("name", AIRS)
def test_what_is_found_sits_at_the_sag_of_the_goal(name: str) -> None:
    goal = with_rate(86e3)
    found = matched(case_of(goal, SETUPS[name]), 0, 1)
    both = answer(case_of(goal, found.setup)).setups
    assert float(both[1].sag.wheel) == pytest.approx(float(both[0].sag.wheel), rel=1e-9)
    assert float(found.sag.sag) == pytest.approx(float(both[0].sag.wheel_fraction), rel=1e-12)


def test_a_coil_in_the_place_of_itself_is_itself() -> None:
    found = matched(case_of(with_rate(82e3, 0.002), with_rate(70e3, 0.0)), 0, 1)
    assert float(found.closeness) < 1e-8
    assert coil_of(found.setup).rate == pytest.approx(82e3, rel=1e-7)
    assert coil_of(found.setup).preload == pytest.approx(0.002, rel=1e-4)


@pytest.mark.parametrize("name", AIRS)
def test_the_coil_for_an_air_spring_is_the_one_of_least_squares(name: str) -> None:
    """F_w = (W_s L_s + k (x − x_s))/L is a straight line in k, which has its best in closed form."""
    case = case_of(SETUPS[name], COIL)
    found = matched(case, 0, 1)
    goal, lever = answer(case).setups[0], answer(case).frame
    curve_at = np.interp(found.wheel, lever.travel, lever.ratio)
    stroke = np.interp(found.wheel, goal.curve.wheel_travel, goal.curve.stroke)
    force, x = float(goal.sag.shaft_force), float(goal.sag.stroke)
    weight = np.interp(found.wheel, float(goal.sag.wheel) + np.array([-1, 1]) * 3e-4, [ABOVE_SAG, 1.0])
    weight[[0, -1]] /= 2
    slope, rest = (stroke - x) / curve_at, force / curve_at - found.target_force
    ideal = -(weight * slope * rest).sum() / (weight * slope * slope).sum()
    rate = float(np.clip(ideal, force / (x + 0.004), force / x))
    assert coil_of(found.setup).rate == pytest.approx(rate, rel=1e-4)


def test_preload_stays_within_the_turns_of_the_collar() -> None:
    short = replace(COIL, spring=replace(coil_of(COIL), thread_pitch=0.001, max_preload_turns=0.5))
    soft = with_rate(70e3, 0.004)
    assert coil_of(matched(case_of(soft, COIL), 0, 1).setup).preload == pytest.approx(0.004, abs=1e-6)
    assert coil_of(matched(case_of(soft, short), 0, 1).setup).preload == pytest.approx(0.0005, abs=1e-9)


def test_where_it_cannot_follow_is_told() -> None:
    found = matched(case_of(COIL, SETUPS["none"]), 0, 1)
    gap = found.found_force - found.target_force
    assert abs(float(found.gap)) == np.abs(gap).max()
    assert float(found.gap_from) <= float(found.gap_at) <= float(found.gap_to)
    within = (found.wheel >= found.gap_from) & (found.wheel <= found.gap_to)
    assert (gap[within] * np.sign(found.gap) >= abs(float(found.gap)) / 2).all()
    static = float(answer(case_of(COIL)).load.static_wheel_force)
    assert float(found.force) == pytest.approx(float(found.closeness) * static)


@pytest.mark.parametrize(
    ("goal", "other"), [("coil in stages", "none"), ("coil in stages", "separate"), ("coil", "equalised")]
)
def test_the_gap_is_told_as_far_as_half_of_it_goes_and_no_farther(goal: str, other: str) -> None:
    found = matched(case_of(SETUPS[goal], SETUPS[other]), 0, 1)
    share = (found.found_force - found.target_force) / found.gap
    first, last = (list(found.wheel).index(float(end)) for end in (found.gap_from, found.gap_to))
    assert (share[first : last + 1] >= 0.5).all()
    assert first == 0 or share[first - 1] < 0.5
    assert last == len(share) - 1 or share[last + 1] < 0.5
    assert (goal == "coil") == (last == len(share) - 1)


def test_the_label_is_kept() -> None:
    case = case_of(COIL, SETUPS["equalised"])
    free = float(pressure_of(matched(case, 0, 1).setup))
    spring = replace(air_of(SETUPS["equalised"]), max_pressure=free - PSI)
    held = matched(case_of(COIL, replace(SETUPS["equalised"], spring=spring)), 0, 1)
    assert float(pressure_of(held.setup)) <= free - PSI
    low = replace(spring, max_pressure=SEA + 20 * PSI)
    with pytest.raises(Unmatched) as caught:
        matched(case_of(COIL, replace(SETUPS["equalised"], spring=low)), 0, 1)
    assert caught.value.reason == "label"


@pytest.mark.parametrize("rate", [20e3, 3000e3])
def test_a_goal_that_does_not_settle_is_no_goal(rate: float) -> None:
    with pytest.raises(Unmatched) as caught:
        matched(case_of(with_rate(rate, 0.001 if rate < 1e6 else 0.004), SETUPS["none"]), 0, 1)
    assert caught.value.reason == "target_unsettled"


def test_coils_to_buy_stand_on_either_side_and_have_the_sag() -> None:
    case = case_of(with_rate(82e3, 0.002), COIL)
    found = matched(case, 0, 1)
    best = float(values(coil_of(found.setup).rate or np.nan))
    below, above = found.rungs
    assert below.rate < best < above.rate
    assert above.rate - below.rate == pytest.approx(coil_of(COIL).ladder_step)
    for rung in found.rungs:
        bought = answer(case_of(with_rate(rung.rate, rung.preload))).setups[0]
        assert float(bought.sag.wheel_fraction) == pytest.approx(float(found.sag.sag), rel=1e-9)
        near = float(closeness(case, with_rate(82e3, 0.002), with_rate(rung.rate, rung.preload)))
        assert rung.closeness == pytest.approx(near, rel=1e-4)
        assert rung.closeness > float(found.closeness)


def test_a_rung_too_stiff_for_the_sag_has_no_preload_and_less_sag() -> None:
    case = case_of(SETUPS["equalised"], COIL)
    found = matched(case, 0, 1)
    assert coil_of(found.setup).preload == 0.0
    below, stiff = found.rungs
    assert below.preload > 0
    assert below.sag == pytest.approx(float(found.sag.sag), rel=1e-9)
    assert stiff.preload == 0.0
    assert stiff.rate - below.rate == pytest.approx(coil_of(COIL).ladder_step)
    bought = answer(case_of(with_rate(stiff.rate, 0.0))).setups[0]
    assert stiff.sag == pytest.approx(float(bought.sag.wheel_fraction), rel=1e-9)
    assert stiff.sag < float(found.sag.sag) - 1e-4
    assert matched(case_of(COIL, SETUPS["equalised"]), 0, 1).rungs == ()
    soft = replace(COIL, spring=replace(coil_of(COIL), ladder=values([1e3, 2e3])))
    assert matched(case_of(SETUPS["equalised"], soft), 0, 1).rungs == ()


def test_the_share_of_the_travel_that_is_alike_is_counted_point_by_point() -> None:
    for case in (case_of(SETUPS["equalised"], COIL), case_of(COIL, SETUPS["equalised"])):
        found = matched(case, 0, 1)
        static = float(stand(case).load.static_wheel_force)
        wheel = np.linspace(0.0, float(found.wheel[-1]), 20_001)
        gap = np.interp(wheel, found.wheel, found.found_force - found.target_force)
        target = np.interp(wheel, found.wheel, found.target_force)
        share = float(np.mean(np.abs(gap) <= ALIKE * np.maximum(target, static)))
        assert 0.2 < share < 1
        assert float(found.alike) == pytest.approx(share, abs=0.01)
    same = matched(case_of(COIL, COIL), 0, 1)
    assert float(same.alike) == 1.0
    assert [rung.alike > 0.9 for rung in same.rungs] == [True] * len(same.rungs)


def barred(setup: Setup) -> Reason:
    with pytest.raises(Unmatched) as caught:
        matched(case_of(COIL, setup), 0, 1)
    return caught.value.reason


def test_the_limit_that_stands_in_the_way_is_named() -> None:
    """Each by a spring that is beyond one limit whatever its spacers: invented, none that one can ride."""
    spring = replace(air_of(SETUPS["equalised"]), positive_spacer_volume=0.0)
    tight = np.pi / 4 * (0.040**2 - 0.009**2) * 0.060 * 1.01
    assert barred(replace(SETUPS["equalised"], spring=replace(spring, positive_volume=tight))) == "gas_law"
    late = EqualisedNegative(10e-6, 0, 0.0, 0.015)
    assert barred(replace(SETUPS["equalised"], spring=replace(spring, negative=late))) == "rest"
    narrow = replace(air_of(SETUPS["none"]), bore=0.016, positive_spacer_volume=0.0)
    assert barred(replace(SETUPS["none"], spring=narrow)) == "pumps"
    low = replace(narrow, max_pressure=SEA + 300 * PSI)
    assert barred(replace(SETUPS["none"], spring=low)) == "label"
    needle = replace(narrow, bore=0.0115)
    assert barred(replace(SETUPS["none"], spring=needle)) == "no_pressure"


def test_written_settings_are_whole_steps_and_all_that_is_said_is_theirs() -> None:
    steps = {"pressure": PSI, "positive_volume": 1e-6, "negative_volume": 1e-6, "port": 1e-3}
    case = case_of(COIL, SETUPS["equalised"])
    found = matched(case, 0, 1, volumes=True, grain=Grain(steps, {"pressure": SEA}))
    spring = air_of(found.setup)
    second = spring.negative
    assert isinstance(second, EqualisedNegative)
    numbers = [(float(values(spring.pressure or 0.0)) - SEA) / PSI, float(spring.positive_volume) / 1e-6]
    numbers += [float(second.volume) / 1e-6, float(second.port) / 1e-3]
    assert numbers == pytest.approx(np.round(numbers), abs=1e-6)
    both = answer(case_of(COIL, found.setup)).setups
    assert float(both[1].riding.bottom_wheel_force) == pytest.approx(float(found.found_force[-1]), rel=1e-12)
    assert float(both[0].riding.bottom_wheel_force) == pytest.approx(float(found.target_force[-1]), rel=1e-12)
    assert abs(float(both[1].sag.wheel_fraction) - float(found.sag.sag)) < 0.002
    fine = matched(case, 0, 1, volumes=True)
    assert float(fine.closeness) <= float(found.closeness) < float(fine.closeness) * 1.2


def test_a_setting_on_a_bound_of_the_search_says_so() -> None:
    found = matched(case_of(COIL, SETUPS["equalised"]), 0, 1, volumes=True)
    volume = next(bound for bound in found.bounds if bound.name == "positive_volume")
    assert volume.on == "high"
    assert volume.high == pytest.approx(1.3 * 105e-6)
    assert float(air_of(found.setup).positive_volume) == pytest.approx(volume.high)
    assert [bound.name for bound in found.bounds if bound.on] == ["positive_volume"]
    assert {bound.name for bound in found.bounds} > {"negative_volume", "port", "pressure"}


def test_of_spacers_no_more_are_searched_than_leave_air() -> None:
    found = matched(case_of(COIL, SETUPS["equalised"]), 0, 1)
    most = {bound.name: bound.high for bound in found.bounds}
    left = 105e-6 - np.pi / 4 * (0.040**2 - 0.009**2) * 0.060
    assert most["positive_spacers"] == np.floor(left / 6e-6)
    assert most["negative_spacers"] == 4
