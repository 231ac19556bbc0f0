"""The ground found from a logged ride, ridden again on another setup, uses the travel that it really uses.

Truth is a ride of random pairs of setups over one ground; the log is of the first one, 10 bits and 0.1 mm of
noise. Errors are in shares of the travel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass, replace

import numpy as np
import pytest
from numpy.random import Generator

from physics import bench
from physics.arrays import Values, values
from physics.ground_used import TOUCHING
from physics.log import Unusable
from physics.logged_travel import LEAD, STRETCH
from physics.motion import Lane
from physics.same_ground import LoggedRide, SameGround, ridden_again, same_ground
from tests.physics.logged_pairs import Pair, pairs, ridden, true_travel


@dataclass(frozen=True)
class Errors:
    """Of every pair: error of the other setup's 95 % travel, whether inside the band; meetings with the stop.

    A pair of which the answer was withheld counts as a failure everywhere: its error is infinite.
    """

    travel_95: Values
    inside: Values
    meetings: Values
    true_meetings: Values

    def within(self, share: float) -> float:
        """Return the share of all pairs that are off by at most this."""
        return float(np.mean(np.abs(self.travel_95) <= share))

    def median(self) -> float:
        return float(np.median(np.abs(self.travel_95)))

    def counted(self) -> float:
        """Return the share of all pairs of which the meetings are right within one, or a tenth."""
        allowed = np.maximum(1.0, 0.1 * self.true_meetings)
        return float(np.mean(np.abs(self.meetings - self.true_meetings) <= allowed))


def errors(some: Sequence[Pair], found: Sequence[SameGround]) -> Errors:
    rows = []
    for pair, one in zip(some, found, strict=True):
        true = true_travel(pair, one, 1)
        true_95, said = float(np.quantile(true, 0.95)), one.setups[1]
        met = sum(count(stretch / pair.full) for stretch in true)
        if said is None:
            rows.append((np.inf, 0.0, np.inf, met))
            continue
        error = (said.travel_95.value - true_95) / pair.full
        inside = said.travel_95.low <= true_95 <= said.travel_95.high
        rows.append((error, inside, said.stop_meetings.value, met))
    return Errors(*values(rows).T)


def count(share: Values) -> int:
    """Return the bottom-outs, re-armed below 98 % of travel, by plain counting."""
    met, is_armed = 0, True
    for one in share.tolist():
        if one >= TOUCHING and is_armed:
            met, is_armed = met + 1, False
        elif one < 0.98:
            is_armed = True
    return met


def wrongly_known(lanes: Sequence[Lane], rng: Generator) -> list[Lane]:
    """Return the lanes of a pair with damper, unsprung mass, friction and mass all wrong."""
    damper, unsprung = rng.choice([0.8, 1.2]), rng.choice([0.85, 1.15])
    friction, mass = rng.choice([0.0, 2.0]), rng.choice([0.95, 1.05])
    return [
        replace(
            lane,
            damping=lane.damping * damper,
            unsprung=lane.unsprung * unsprung,
            friction=lane.friction * friction,
            mass=lane.mass * mass,
        )
        for lane in lanes
    ]


# --- a handful -------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def few() -> list[Pair]:
    return pairs(4, LEAD + 2 * STRETCH + 0.5, 7)


@pytest.fixture(scope="module")
def all_found(few: list[Pair]) -> list[SameGround]:
    """The logs of all, then that of the first with a mass twice what it was, and with all of it wrong."""
    heavy = [replace(lane, mass=2.0 * lane.mass) for lane in few[0].lanes]
    known = [pair.lanes for pair in few]
    wrong = [
        replace(lane, damping=1.2 * lane.damping, friction=0.0, mass=0.95 * lane.mass)
        for lane in few[0].lanes
    ]
    return ridden([*few, few[0], few[0]], 500.0, 1, [*known, heavy, wrong])


@pytest.fixture(scope="module")
def few_found(all_found: list[SameGround]) -> list[SameGround]:
    return all_found[:-2]


@pytest.mark.slow
def test_a_few_other_setups_use_the_travel_that_is_said(few: list[Pair], few_found: list[SameGround]) -> None:
    found = errors(few, few_found)
    assert found.within(0.02) == 1.0
    assert found.inside.all()
    assert found.counted() == 1.0


@pytest.mark.slow
def test_the_ridden_setup_gives_the_log_back(few: list[Pair], few_found: list[SameGround]) -> None:
    for pair, one in zip(few, few_found, strict=True):
        assert one.given_back.whole
        assert abs(one.given_back.error_95) < 0.01 * pair.full
        assert one.given_back.rms < 0.02 * pair.full
        assert one.logged.travel_95.value == pytest.approx(
            float(np.quantile(true_travel(pair, one, 0), 0.95)), abs=0.002 * pair.full
        )


@pytest.mark.slow
def test_the_clock_of_an_answer_is_that_of_the_log(few: list[Pair], few_found: list[SameGround]) -> None:
    for pair, one in zip(few, few_found, strict=True):
        assert one.starts.tolist() == pytest.approx([LEAD, LEAD + STRETCH])
        assert one.step == pytest.approx(1 / 500)
        assert one.log.shape == one.height.shape == one.travel.shape[1:] == (2, round(STRETCH * 500))
        assert one.time == pytest.approx(2 * STRETCH)
        # 0.1 mm of noise and the steps of 10 bits
        assert np.std(one.log - true_travel(pair, one, 0)) == pytest.approx(0.11e-3, rel=0.15)
        used = one.logged
        assert used.share.sum() == pytest.approx(1.0)
        assert used.travel_95.low == used.travel_95.value == used.travel_95.high


@pytest.mark.slow
def test_a_setup_that_does_not_give_the_log_back_is_given_no_answer(all_found: list[SameGround]) -> None:
    one = all_found[-2]
    assert one.given_back.mass == pytest.approx(0.5, rel=0.02)
    assert not one.given_back.whole
    assert one.setups == (None, None)
    # What the log says by itself does not depend on the setup.
    logged = all_found[0].logged.travel_95.value
    assert one.logged.travel_95.value == pytest.approx(logged, abs=0.3e-3)


@pytest.mark.slow
def test_one_case_is_answered_as_many_are(few: list[Pair], few_found: list[SameGround]) -> None:
    pair, heard = few[1], list[float]()
    log = pair.log(500.0, np.random.default_rng([1, 1]))
    one = same_ground(pair.case, bench.answer(pair.case), log, 0, progress=heard.append)
    np.testing.assert_allclose(one.travel, few_found[1].travel, atol=1e-9)
    for mine, theirs in zip(one.setups, few_found[1].setups, strict=True):
        assert mine is not None
        assert theirs is not None
        assert astuple(mine.travel_95) == pytest.approx(astuple(theirs.travel_95))
        assert mine.stop_meetings == theirs.stop_meetings
    assert heard == sorted(heard)
    assert heard[-1] == 1.0
    assert len(heard) > 50


def test_the_work_ends_where_the_one_who_hears_of_it_says_so(few: list[Pair]) -> None:
    def stop(share: float) -> None:
        if share > 0:
            raise KeyboardInterrupt

    log = few[0].log(500.0, np.random.default_rng(0))
    with pytest.raises(KeyboardInterrupt):
        ridden_again([LoggedRide(few[0].lanes, 0, log)], progress=stop)


# --- a hundred pairs -------------------------------------------------------------------------


@pytest.fixture(scope="module")
def many() -> list[Pair]:
    return pairs(100, LEAD + 4 * STRETCH + 0.5, 101)


@pytest.mark.slow
def test_a_hundred_pairs_at_500_hz(many: list[Pair]) -> None:
    found = errors(many, ridden(many, 500.0, 1))
    assert found.median() <= 0.005
    assert found.within(0.02) >= 0.90
    assert found.within(0.03) >= 0.95
    assert float(found.inside.mean()) >= 0.90
    # The roads are rough enough to meet the stop.
    assert float((found.true_meetings > 0).mean()) > 0.4
    assert found.counted() >= 0.90


@pytest.mark.slow
def test_fifty_pairs_at_200_hz(many: list[Pair]) -> None:
    found = errors(many[:50], ridden(many[:50], 200.0, 2))
    assert found.within(0.025) >= 0.90
    assert found.counted() >= 0.90


@pytest.mark.slow
def test_a_hundred_pairs_with_damper_masses_and_friction_wrongly_known(many: list[Pair]) -> None:
    known = [wrongly_known(pair.lanes, np.random.default_rng([3, n])) for n, pair in enumerate(many)]
    found = errors(many, ridden(many, 500.0, 3, known))
    assert found.within(0.04) >= 0.90
    assert float(found.inside.mean()) >= 0.90
    assert found.counted() >= 0.90


# --- the mass, breaks, rates -----------------------------------------------------------------


@pytest.mark.slow
def test_the_log_tells_the_mass(few: list[Pair], few_found: list[SameGround]) -> None:
    for pair, one in zip(few, few_found, strict=True):
        assert one.mass == pytest.approx(pair.lanes[0].mass, rel=0.01)


@pytest.mark.slow
def test_the_log_tells_damper_mass_and_friction_that_are_wrongly_known(
    few: list[Pair], all_found: list[SameGround]
) -> None:
    told, lane = all_found[-1].given_back, few[0].lanes[0]
    assert told.whole
    assert 1.2 * told.damper == pytest.approx(1.0, abs=0.06)
    assert 0.95 * told.mass == pytest.approx(1.0, abs=0.015)
    assert told.friction == pytest.approx(lane.friction, abs=8.0)


def test_a_log_without_a_long_piece_has_no_ground(few: list[Pair]) -> None:
    log = few[0].log(500.0, np.random.default_rng(0))
    piece = log.pieces[0]
    short = replace(piece, wheel=piece.wheel[:2500], stroke=piece.stroke[:2500])
    ride = LoggedRide(few[0].lanes, 0, replace(log, pieces=(short, short)))
    with pytest.raises(Unusable, match="too_short"):
        ridden_again([ride])


def test_what_did_not_settle_has_no_ride(few: list[Pair]) -> None:
    log = few[0].log(500.0, np.random.default_rng(0))
    with pytest.raises(ValueError, match="does not settle"):
        ridden_again([LoggedRide((None, few[0].lanes[1]), 0, log)])
