"""Whatever is typed, a ride is finite and bounded."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from physics.bench import answer
from physics.case import Air, Damper, Damping, DampingShare, DampingSlopes, LeverageEnds, Tyre
from physics.ground import Bumps, Compression, Drop, Event, Landing, Road, SquareEdge
from physics.ride import ride, sprung_mass
from tests.physics.examples import SETUPS, case_of
from tests.random_cases import cases

DAMPING: st.SearchStrategy[Damping] = st.one_of(
    st.builds(DampingShare, st.floats(0.0, 3.0)),
    st.builds(DampingSlopes, st.floats(0.0, 30e3), st.floats(0.01, 1.0), st.floats(0.0, 20e3)),
)
EVENTS: st.SearchStrategy[Event] = st.one_of(
    st.builds(Drop, st.floats(0.0, 3.0)),
    st.builds(Landing, st.floats(1.0, 3.0), st.floats(0.0, 0.5), st.floats(0.0, 4.0)),
    st.builds(SquareEdge, st.floats(0.0, 0.3), st.floats(0.5, 15.0)),
    st.builds(Bumps, st.floats(0.0, 0.2), st.floats(0.3, 4.0), st.floats(0.5, 15.0)),
    st.builds(Compression, st.floats(1.0, 20.0), st.floats(0.05, 1.5), st.floats(1.0, 15.0)),
    st.builds(Road, st.sampled_from(["A", "C", "E", "G"]), st.floats(0.5, 15.0), st.integers(0, 99)),
)


@settings(max_examples=cases(100), phases=[Phase.explicit, Phase.generate])
@given(
    name=st.sampled_from([name for name in SETUPS if name != "coil in stages"]),
    compression=DAMPING,
    rebound=DAMPING,
    friction=st.floats(0.0, 150.0),
    time_constant=st.floats(0.05, 60.0),
    tyre=st.builds(Tyre, st.floats(30e3, 250e3), st.floats(0.0, 800.0), st.floats(0.2, 0.4)),
    unsprung=st.floats(1.0, 12.0),
    ends=st.tuples(st.floats(2.2, 3.4), st.floats(0.9, 1.1)),
    event=EVENTS,
)
def test_every_ride_is_finite_and_bounded(
    name: str,
    compression: Damping,
    rebound: Damping,
    friction: float,
    time_constant: float,
    tyre: Tyre,
    unsprung: float,
    ends: tuple[float, float],
    event: Event,
) -> None:
    setup = replace(SETUPS[name], friction=friction, damper=Damper(compression, rebound))
    if isinstance(setup.spring, Air):
        setup = replace(setup, spring=replace(setup.spring, time_constant=time_constant))
    mean, tilt = ends[0], ends[1]
    case = case_of(setup, leverage=LeverageEnds(2.5 * tilt + (mean - 2.5) * 0.1, 2.5 / tilt))
    case = replace(case, tyre=tyre, load=replace(case.load, unsprung_mass=unsprung))
    found = answer(case)
    if found.setups[0].state != "ok":
        return
    one = ride(case, found, event, duration=0.6)
    assert np.all(np.isfinite(one.travel))
    assert np.all((one.travel >= 0) & (one.travel <= one.wheel_travel))
    assert np.abs(one.speed).max() < 60
    assert np.all(one.tyre_force >= 0)
    assert np.all(one.damper_heat >= -1e-9)
    assert np.all(one.friction_heat >= -1e-9)
    # No stop sends back more than it is brought.
    energy = sprung_mass(found) / 2 * np.abs(one.speed).max() ** 2
    assert all(np.all(hit.energy <= energy * 1.05) for hit in one.meetings)
    assert np.all((one.airtime >= 0) & (one.airtime <= 1))
