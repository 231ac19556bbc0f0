"""Many rides at once: maps and searches hold what single rides do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from physics.answer import Answer
from physics.arrays import Values, values
from physics.bench import answer
from physics.case import Case, Coil, Damper, DampingShare, DampingSlopes, Setup, Tyre
from physics.damper import scaled, with_usual
from physics.ground import Bumps, Drop, Event, Landing, SquareEdge, last_bump
from physics.inputs import BY_NAME
from physics.motion import Stopped
from physics.ride import STEP, Ride, ride
from physics.ride_search import RIDE_INPUTS, first_meets, returning_rebound, ride_map
from tests.physics.examples import SETUPS, case_of, forks

CASE = case_of(SETUPS["coil"], SETUPS["equalised"])
FOUND = answer(CASE)
TRAIN = Bumps(0.06, 1.2, 7.0, count=5)
EDGE = SquareEdge(0.08, 6.0)
STIFF = Setup("stiff", Coil(80e3, 0.030, 4378.0))


def kept(_case: Case, _found: Answer, rode: Ride) -> Values:
    """Return figures of a ride (figures, setups)."""
    hardest = [np.max(hit.speed, initial=0.0) for hit in rode.meetings]
    met = [len(hit.time) for hit in rode.meetings]
    return np.stack([rode.deepest, rode.peak_shaft_force, values(hardest), values(met)])


@pytest.mark.slow
def test_a_map_holds_what_single_rides_do() -> None:
    events: list[Event] = [Drop(0.2), Landing(0.6, 0.2, 3.0), SquareEdge(0.06, 6.0), Drop(0.7)] * 6
    others = replace(CASE, tyre=Tyre(stiffness=90e3, radius=0.30))
    cases = [CASE, others]
    mapped = ride_map([(case, answer(case)) for case in cases], events, kept, duration=0.3)
    assert mapped.shape == (2, 24, 4, 2)
    for place, case in enumerate(cases):
        for n in range(4):
            one = kept(case, FOUND, ride(case, FOUND, events[n], duration=0.3))
            assert mapped[place, n] == pytest.approx(one, abs=1e-9, rel=1e-6)
            assert mapped[place, n + 20] == pytest.approx(mapped[place, n])
    assert mapped[0, 3, 2, 0] > 0.5
    assert not np.allclose(mapped[0, :, 0], mapped[1, :, 0])


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("which", ["drop", "edge"])
def test_just_above_the_size_found_the_stop_is_met_and_just_below_it_is_not(which: str) -> None:
    def sized(size: float) -> Event:
        return Drop(size) if which == "drop" else SquareEdge(size, 7.0)

    sizes = first_meets(CASE, FOUND, sized, largest=2.0 if which == "drop" else 0.3)
    for n, size in enumerate(sizes.tolist()):
        if not np.isfinite(size):
            continue
        below, above = (ride(CASE, FOUND, sized(size * by), duration=0.3) for by in (0.995, 1.005))
        assert len(below.meetings[n].time) == 0
        assert len(above.meetings[n].time) == 1
    assert np.isfinite(sizes[0])


def test_a_stop_that_is_never_met_and_a_setup_that_does_not_settle() -> None:
    case = case_of(SETUPS["equalised"], STIFF)
    height = first_meets(case, answer(case), largest=0.3)
    assert height[0] == np.inf
    assert np.isnan(height[1])


@pytest.mark.slow
def test_the_wheel_just_returns_with_the_rebound_that_was_found() -> None:
    found = returning_rebound(CASE, FOUND, TRAIN)
    assert np.all((found.factor > 0.2) & (found.factor < 8))
    setups = []
    for setup, factor in zip(CASE.setups, found.factor.tolist(), strict=True):
        known = with_usual(setup.damper)
        assert known.rebound is not None
        setups.append(replace(setup, damper=replace(known, rebound=scaled(known.rebound, factor))))
    case = replace(CASE, setups=tuple(setups))
    train = ride(case, answer(case), TRAIN)
    first, last = last_bump(TRAIN, STEP)
    assert train.travel[:, first : last + 1].min(-1) == pytest.approx(train.static_sag, abs=3e-4)
    assert np.all((found.left < 0) == (found.factor > 1))


def test_a_rebound_that_never_returns_is_told_as_zero() -> None:
    heavy = Damper(DampingShare(0.2), DampingShare(90.0))
    case = case_of(replace(SETUPS["coil"], damper=heavy))
    assert returning_rebound(case, answer(case), TRAIN).factor[0] == 0.0


@pytest.mark.slow
def test_progress_rises_and_stops_the_work() -> None:
    told: list[float] = []

    def listen(done: float) -> bool:
        told.append(done)
        return True

    first_meets(CASE, FOUND, progress=listen)
    assert told == sorted(told)
    assert 0.5 < told[-1] <= 1.0
    with pytest.raises(Stopped):
        ride_map([(CASE, FOUND)], [Drop(0.1)] * 20, kept, duration=0.2, progress=lambda done: done < 0.3)
    with pytest.raises(Stopped):
        ride(CASE, FOUND, Drop(0.1), progress=lambda done: False)


def test_a_fork_is_searched_alike() -> None:
    fork = forks(np.asarray(64.0))
    height = first_meets(fork, answer(fork), largest=3.0)
    assert np.all(height > 0.1)


@pytest.mark.slow
def test_every_input_of_a_ride_is_read_put_in_and_changes_the_ride() -> None:
    slopes = Damper(DampingSlopes(900.0, 0.3, 400.0), DampingSlopes(1800.0, 0.3, 900.0))
    cases = [CASE, case_of(*(replace(SETUPS[name], damper=slopes) for name in ("coil", "equalised")))]
    found = set()
    for case in cases:
        before = ride(case, answer(case), EDGE, duration=0.3).travel
        for one in RIDE_INPUTS:
            if one.read(case) is None:
                continue
            found.add(one.name)
            low, high = one.reach(case)
            for number in (low, high):
                changed = one.put(case, number)
                assert one.read(changed) == pytest.approx(number)
                after = ride(changed, answer(changed), EDGE, duration=0.3).travel
                assert not np.allclose(after, before, atol=1e-6), one.name
            same = one.put(case, one.read(case) or 0.0)
            again = ride(same, answer(same), EDGE, duration=0.3).travel
            assert again == pytest.approx(before, abs=1e-12)
    assert found == {one.name for one in RIDE_INPUTS}
    assert len(found) == len(RIDE_INPUTS) == 13
    assert not found & set(BY_NAME)
