"""How long rides in time take, with the bounds asked of a quiet machine; each asserts what it has timed.

Processor time is measured: rides take one core, and what others do on the machine does not count.
"""

from __future__ import annotations

import time

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from physics.bench import answer
from physics.case import Case
from physics.ground import Bumps, Drop, Event, Road, course
from physics.response import response
from physics.ride import STEP, lanes_of, ridden, ride
from physics.ride_search import first_meets, returning_rebound, ride_map
from tests.benchmarks.test_physics import SIX, TWO
from tests.physics.upright import Upright

pytestmark = pytest.mark.benchmark(timer=time.process_time)

EVENTS: dict[str, Event] = {"drop": Drop(0.5), "road": Road("D", 7.0), "bumps": Bumps(0.06, 1.2, 7.0)}


def best(benchmark: BenchmarkFixture) -> float:
    """Return the fastest round [s], zero where benchmarks are disabled."""
    return 0.0 if benchmark.stats is None else float(benchmark.stats.stats.min)


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("event", EVENTS.values(), ids=EVENTS)
@pytest.mark.parametrize(("case", "bound"), [(TWO, 0.060), (SIX, 0.120)], ids=["two setups", "six setups"])
def test_two_seconds_of_an_event(benchmark: BenchmarkFixture, case: Case, bound: float, event: Event) -> None:
    found = answer(case)
    rode = benchmark(ride, case, found, event, duration=2.0)
    assert np.all(rode.deepest > 0)
    assert best(benchmark) <= bound


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("case", [TWO, SIX], ids=["two setups", "six setups"])
def test_the_drop_that_first_meets_the_stop(benchmark: BenchmarkFixture, case: Case) -> None:
    found = answer(case)
    height = benchmark(first_meets, case, found)
    assert np.all((height > 0.1) & (height < 2.0))
    assert best(benchmark) <= 0.5


@pytest.mark.slow
def test_a_map_of_thirty_heights_by_six_setups(benchmark: BenchmarkFixture) -> None:
    found, heights = answer(SIX), [Drop(0.05 * n) for n in range(1, 31)]
    told: list[float] = []

    def listen(done: float) -> bool:
        told.append(done)
        return True

    deepest = benchmark.pedantic(
        ride_map,
        ([(SIX, found)], heights, lambda case, found, ride: ride.deepest),
        {"progress": listen},
        rounds=2,
    )
    assert deepest.shape == (1, 30, 6)
    assert np.all(np.diff(deepest[0], axis=0) >= -1e-9)
    assert len(told) > 20
    assert best(benchmark) <= 2.0


@pytest.mark.slow
def test_the_rebound_that_just_returns(benchmark: BenchmarkFixture) -> None:
    found = answer(TWO)
    rebound = benchmark.pedantic(returning_rebound, (TWO, found, Bumps(0.06, 1.2, 7.0)), rounds=2)
    assert np.all(rebound.factor > 0)


def test_the_response_over_frequency(benchmark: BenchmarkFixture) -> None:
    found = answer(SIX)
    assert benchmark(response, SIX, found).travel.shape == (6, 241)


@pytest.mark.parametrize("by", ["fixed step", "adaptive solver"])
def test_half_a_second_of_a_drop_by_either_method(benchmark: BenchmarkFixture, by: str) -> None:
    """The reason for a step of our own: an adaptive solver of scipy takes some eighty times as long."""
    found, track = answer(TWO), course(EVENTS["drop"], 0.35, STEP, 0.5)
    lanes = lanes_of(TWO, found, track)[:1]
    lane = lanes[0]
    assert lane is not None
    upright = Upright(TWO, found, 0, lane.air, track)
    times = np.arange(len(track.height)) * STEP
    if by == "fixed step":
        travel = benchmark(lambda: ridden(lanes, [track])[0, 0])
    else:
        travel = benchmark.pedantic(upright.ridden, (times,), rounds=2)
    assert travel.max() == pytest.approx(0.15, abs=0.01)
