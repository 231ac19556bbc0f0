"""Settings by what is wanted of them: met where they can be, and what is in the way where they cannot."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from physics.arrays import values
from physics.bench import answer
from physics.case import EqualisedNegative
from physics.faults import Unmatched
from physics.limits import HIGHEST_PRESSURE
from physics.shock import air_of
from physics.sweep import sweep
from physics.wants import Relation, Want, wished
from tests.physics.examples import PSI, SEA, SETUPS, case_of
from tests.physics.test_match import allowed, random_settings
from tests.random_cases import cases

EQUALISED, COIL = SETUPS["equalised"], SETUPS["coil"]
CASE = case_of(COIL, EQUALISED)


def at_least(figure: str, number: float) -> Want:
    return Want(figure, "at least", number)


def test_wants_that_can_be_met_are() -> None:
    found = wished(CASE, 1, [at_least("support_50", 1.5), Want("bottom_ratio", "at most", 9.0)])
    assert all(each.met and each.reachable for each in found.judged)
    assert found.miss == 0.0
    read = answer(case_of(found.setup)).setups[0]
    assert float(read.riding.support_50) >= 1.5
    assert float(read.riding.bottom_ratio) <= 9.0
    assert float(read.sag.wheel_fraction) == pytest.approx(0.30, rel=1e-9)
    assert found.judged[0].found == pytest.approx(float(read.riding.support_50), rel=1e-9)


def test_of_settings_that_miss_nothing_the_nearest_is_taken() -> None:
    found = air_of(wished(CASE, 1, [at_least("bottom_ratio", 1.0)]).setup)
    assert isinstance(found.negative, EqualisedNegative)
    assert (found.positive_spacers, found.negative.spacers) == (1, 0)


def test_what_no_setting_reaches_is_told_apart_from_what_the_others_cost() -> None:
    beyond = wished(CASE, 1, [at_least("support_50", 9.0)]).judged[0]
    assert not beyond.met
    assert not beyond.reachable
    assert beyond.found == beyond.alone < 9.0
    most = wished(CASE, 1, [at_least("support_50", 9.0)]).judged[0].found
    ends = [wished(CASE, 1, [Want("bottom_ratio", "at most", 0.0)]).judged[0].found, 0.0]
    at_odds = wished(CASE, 1, [at_least("support_50", most), Want("bottom_ratio", "at most", ends[0])])
    assert all(each.reachable for each in at_odds.judged)
    assert not all(each.met for each in at_odds.judged)


def test_what_binds_is_what_the_others_are_better_without() -> None:
    wants = [at_least("support_50", 1.5), at_least("bottom_ratio", 300.0)]
    assert wished(CASE, 1, wants).binds == 1
    assert wished(CASE, 1, wants[::-1]).binds == 0
    easy = [at_least("support_50", 0.5), at_least("bottom_ratio", 3.0)]
    slack = wished(CASE, 1, easy)
    spare = [each.found / each.want.number for each in slack.judged]
    assert slack.binds == int(np.argmin(spare))


def test_a_coil_trades_rate_for_preload() -> None:
    soft = wished(CASE, 0, [Want("bottom_ratio", "just", 3.95)])
    assert soft.judged[0].met
    assert float(answer(case_of(soft.setup)).setups[0].riding.bottom_ratio) == pytest.approx(3.95, rel=1e-4)


@pytest.mark.slow
@settings(max_examples=cases(8), phases=[Phase.generate])
@given(
    middle=st.floats(1.2, 2.2),
    end=st.floats(3.0, 8.0),
    volumes=st.booleans(),
    seed=st.integers(0, 2**32 - 1),
)
def test_no_random_setting_misses_less(middle: float, end: float, volumes: bool, seed: int) -> None:
    wants = [at_least("support_50", middle), Want("bottom_ratio", "just", end)]
    found = wished(CASE, 1, wants, volumes=volumes)
    drawn = random_settings(EQUALISED, np.random.default_rng(seed), volumes=volumes)
    with np.errstate(all="ignore"):  # chambers squeezed beyond anything the law for air knows
        read = sweep(case_of(drawn)).setups[0]
    off = np.maximum(1 - read.riding.support_50 / middle, 0), read.riding.bottom_ratio / end - 1
    miss = np.sqrt(off[0] ** 2 + off[1] ** 2)
    assert read.air is not None
    good = (read.state == "ok") & allowed(read)
    # A millionth of a miss is what a change from how it stands may cost.
    assert found.miss <= float(np.where(good, miss, np.inf).min()) + 1e-5


def test_support_that_only_a_squeezed_out_chamber_gives_is_not_reached() -> None:
    """Spacers until next to no air is left would hold more: beyond the gas law, so it is not offered."""
    found = wished(CASE, 1, [at_least("slow_bottom_ratio", 12.0)])
    assert not found.judged[0].met
    assert not found.judged[0].reachable
    read = answer(case_of(found.setup)).setups[0]
    assert read.air is not None
    assert float(read.air.peak_pressure) <= HIGHEST_PRESSURE
    assert found.judged[0].alone == pytest.approx(float(read.figures.bottom_ratio), rel=1e-9)
    spring = air_of(EQUALISED)
    more = float(values(air_of(found.setup).positive_spacers)) + 1
    squeezed = replace(EQUALISED, spring=replace(spring, positive_spacers=more))
    beyond = answer(case_of(squeezed)).setups[0]
    assert beyond.air is not None
    assert float(beyond.air.peak_pressure) > HIGHEST_PRESSURE
    assert float(beyond.figures.bottom_ratio) > found.judged[0].alone


def test_support_above_the_sag_does_not_exist_and_the_other_wants_count_all_the_same() -> None:
    above, other = at_least("support_25", 1.0), at_least("support_50", 1.5)
    found = wished(CASE, 1, [above, other])
    assert np.isnan(found.judged[0].found)
    assert not found.judged[0].met
    assert found.judged[1].met
    assert found.binds == 1
    assert wished(CASE, 1, [above, at_least("support_50", 9.0)]).binds == 1
    assert wished(CASE, 1, [above]).binds == 0
    assert wished(CASE, 1, [at_least("slow_support_25", 0.5)]).judged[0].met


def test_the_slow_figure_is_wanted_by_its_name() -> None:
    slow, riding = (wished(CASE, 1, [at_least(name, 1.5)]) for name in ("slow_support_50", "support_50"))
    read = answer(case_of(slow.setup)).setups[0]
    assert slow.judged[0].found == pytest.approx(float(read.figures.support_50), rel=1e-9)
    assert float(read.figures.support_50) < float(read.riding.support_50)
    assert riding.judged[0].found > slow.judged[0].found


def test_a_label_that_allows_nothing_leaves_nothing() -> None:
    low = replace(EQUALISED, spring=replace(air_of(EQUALISED), max_pressure=SEA + 20 * PSI))
    with pytest.raises(Unmatched) as caught:
        wished(case_of(low), 0, [at_least("support_50", 1.0)])
    assert caught.value.reason == "label"


def test_a_figure_that_does_not_exist_is_never_met() -> None:
    """A wheel that no setting lets fall has no end ramp to speak of: what is NaN meets nothing."""
    missed = Want("end_ramp", "at least", 1.0).missed(np.array([np.nan, 2.0, 0.5]))
    assert missed.tolist() == [np.inf, 0.0, 0.5]


@pytest.mark.slow
def test_a_want_is_met_within_what_is_printed_and_just_so_within_what_is_read() -> None:
    best = wished(CASE, 0, [Want("support_50", "at least", 100.0)]).judged[0].found

    def met(relation: Relation, over: float) -> bool:
        return wished(CASE, 0, [Want("support_50", relation, best * (1 + over))]).judged[0].met

    assert (met("at least", 0.9e-4), met("at least", 1.2e-4)) == (True, False)
    assert (met("just", 4.8e-3), met("just", 5.2e-3)) == (True, False)
