"""A solved case put back in settles at its target; what cannot be reached is not there."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics.arrays import values
from physics.bench import answer
from physics.case import Air, Case, Coil, RiderAndBike, Setup, Target
from physics.faults import Refused
from physics.limits import HIGHEST_PRESSURE
from physics.shock import pressure_of
from physics.solve import solved_case
from tests.physics.examples import BARE_AIR, EQUALISED, LEVERAGES, LOAD, SETUPS, STAGES, case_of
from tests.random_cases import cases

SOLVABLE = [name for name in SETUPS if name != "coil in stages"]


@pytest.mark.parametrize("leverage", LEVERAGES)
@pytest.mark.parametrize("name", SOLVABLE)
def test_a_solved_case_is_a_typed_case_that_settles_at_the_target(name: str, leverage: str) -> None:
    case = case_of(SETUPS[name], leverage=LEVERAGES[leverage])
    typed = solved_case(case)
    spring = typed.setups[0].spring
    assert (spring.rate if isinstance(spring, Coil) else spring.pressure) is not None
    assert answer(typed).setups[0].sag.wheel_fraction == pytest.approx(0.30, rel=1e-9)
    # Solved once, there is nothing left to solve.
    assert solved_case(typed).setups[0].spring == spring


@settings(max_examples=cases(60))
@given(
    st.sampled_from(SOLVABLE),
    st.floats(50.0, 120.0),
    st.floats(0.15, 0.40),
    st.sampled_from(["travel", "stroke"]),
)
def test_any_rider_and_target(name: str, rider: float, sag: float, of: str) -> None:
    base = case_of(SETUPS[name])
    target = Target(sag, "travel" if of == "travel" else "stroke")
    case = replace(base, load=RiderAndBike(rider, 0.62, 15.5, 0.5, 4.2), target=target)
    found = answer(solved_case(case)).setups[0]
    if found.state != "ok":
        # Out of reach, or a starting force beyond the load: never with a mechanical negative this short.
        assert found.state in ("unsolved", "topped_out")
        assert np.isnan(found.sag.wheel)
        return
    reached = found.sag.wheel_fraction if of == "travel" else found.sag.stroke_fraction
    assert reached == pytest.approx(sag, rel=1e-9)


def test_the_rate_is_the_closed_form() -> None:
    case = case_of(SETUPS["coil"])
    found = answer(case).setups[0]
    assert found.coil is not None
    assert found.coil.rate == pytest.approx(found.sag.shaft_force / (found.sag.stroke + 0.001), rel=1e-12)


def test_typed_values_and_stages_are_left_alone() -> None:
    typed = Setup("typed", Coil(90e3, 0.001, 4378.0))
    aired = Setup("aired", replace(BARE_AIR, pressure=15e5))
    staged = Setup("staged", STAGES)
    assert solved_case(case_of(typed, aired, staged)).setups == (typed, aired, staged)


def spring_of(case: Case) -> Coil | Air:
    return solved_case(case).setups[0].spring


def test_a_rate_out_of_reach() -> None:
    # A gas charge that alone carries more than the rider asks for.
    strong = SETUPS["coil with gas and bumper"]
    assert strong.gas is not None
    case = case_of(replace(strong, gas=replace(strong.gas, pressure=400e5)))
    spring = spring_of(case)
    assert isinstance(spring, Coil)
    assert spring.rate is not None
    assert np.isnan(spring.rate)
    found = answer(case).setups[0]
    assert found.state == "unsolved"
    assert "unsolved" in {caution.code for caution in found.cautions}


@pytest.mark.parametrize(
    ("air", "why"),
    [
        (replace(BARE_AIR, bore=0.010, rod=0.0, positive_volume=30e-6), "a bore too thin for any pressure"),
        (replace(BARE_AIR, body=0.001, negative=replace(EQUALISED, volume=9e-6, port=0.05)), "pulls harder"),
    ],
)
def test_a_pressure_out_of_reach(air: Air, why: str) -> None:
    case = case_of(Setup(why, air))
    spring = spring_of(case)
    assert isinstance(spring, Air)
    assert spring.pressure is not None
    assert np.isnan(spring.pressure)
    assert answer(case).setups[0].state == "unsolved"


def test_the_answer_runs_smoothly_up_to_the_end_of_the_law_for_air_and_there_it_ends() -> None:
    thin = Setup("thin", replace(BARE_AIR, bore=0.016, rod=0.0, positive_volume=40e-6))
    riders = values(np.linspace(40.0, 200.0, 321))
    case = replace(case_of(thin), load=RiderAndBike(riders, 0.62, 15.5, 0.5, 4.2))
    spring = spring_of(case)
    assert isinstance(spring, Air)
    assert spring.pressure is not None
    pressure = values(spring.pressure)
    found = np.isfinite(pressure)
    reached = pressure[found]
    assert np.all(found[: reached.size])
    assert reached[0] < 50e5
    step = np.diff(reached)
    assert np.all(step > 0)
    assert np.all(np.abs(np.diff(step)) < 1e-2 * step[:-1])
    # The last one found is less than a step below the limit, and nothing is found above it.
    assert HIGHEST_PRESSURE - 1.05 * step[-1] < reached[-1] <= HIGHEST_PRESSURE
    assert reached.size < riders.size


def test_more_pressure_pushes_harder_at_every_stroke_past_the_port() -> None:
    # What makes one bracketed root enough.
    from physics.leverage import leverage_curve
    from physics.shock import shock_of, with_pressure

    case = case_of()
    lever = leverage_curve(case.frame)
    pressures = values(np.linspace(1.5e5, HIGHEST_PRESSURE, 80))
    stroke = values(np.linspace(0.009, 0.055, 12))
    for name in ("equalised", "separate", "mechanical", "none"):
        force = shock_of(with_pressure(SETUPS[name], pressures), lever, case.shop).at(stroke).force
        assert np.all(np.diff(force, axis=0) > 0), name


def test_a_setup_that_cannot_be_is_refused() -> None:
    with pytest.raises(Refused):
        solved_case(case_of(Setup("used up", replace(BARE_AIR, positive_volume=60e-6))))


def test_a_case_among_very_many_is_solved_as_it_is_alone() -> None:
    masses = np.linspace(50.0, 120.0, 20_000)
    case = case_of(SETUPS["equalised"])
    together = pressure_of(solved_case(replace(case, load=replace(LOAD, rider_mass=masses))).setups[0])
    assert together.shape == masses.shape
    for place in (0, 8191, 8192, 19_999):
        alone = solved_case(replace(case, load=replace(LOAD, rider_mass=float(masses[place]))))
        assert together[place] == pytest.approx(float(pressure_of(alone.setups[0])), rel=1e-13)
