"""How long the physics takes; `pytest -n 0 tests/benchmarks --benchmark-enable` prints the numbers.

Nothing here passes or fails by the clock: each benchmark asserts the answer it has timed.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import count

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from scipy.optimize import brentq

from physics.arrays import Values, values
from physics.balance import balance
from physics.bench import answer
from physics.case import Case, RiderAndBike
from physics.leverage import leverage_curve
from physics.shock import coil_of, pressure_of
from physics.solve import solved, target_place
from physics.stand import wheel_load
from physics.sweep import sweep
from tests.physics.examples import LOAD, SETUPS, case_of

TWO = case_of(SETUPS["coil"], SETUPS["equalised"])
SIX = case_of(*(setup for name, setup in SETUPS.items() if name != "coil with gas and bumper"))
MANY = 100_000
LOOPED = 1000
AIR = SETUPS["equalised"]
LEVER = leverage_curve(TWO.frame)


def riders(count: int) -> Values:
    """Return static wheel forces [N] of riders from 50 to 120 kg."""
    load = RiderAndBike(values(np.linspace(50.0, 120.0, count)), 0.62, 15.5, 0.5, 4.2)
    return wheel_load(load).static_wheel_force


@pytest.mark.parametrize("case", [TWO, SIX], ids=["two setups", "six setups"])
def test_full_answer(benchmark: BenchmarkFixture, case: Case) -> None:
    """A rider that no round had before, so that no setup is remembered."""
    riders = count(1)

    def another() -> tuple[tuple[Case], dict[str, object]]:
        return (replace(case, load=replace(LOAD, rider_mass=85.0 + 1e-4 * next(riders))),), {}

    found = benchmark.pedantic(answer, setup=another, rounds=200)
    assert all(setup.state == "ok" for setup in found.setups)
    assert found.setups[0].curve.stroke.shape == (241,)


def test_full_answer_with_one_setup_nudged(benchmark: BenchmarkFixture) -> None:
    coil, air = TWO.setups
    preloads = count(1)

    def another() -> tuple[tuple[Case], dict[str, object]]:
        nudged = replace(coil_of(coil), preload=1e-3 + 1e-8 * next(preloads))
        return (replace(TWO, setups=(replace(coil, spring=nudged), air)),), {}

    found = benchmark.pedantic(answer, setup=another, rounds=200)
    assert found.setups[1] is answer(TWO).setups[1]
    assert found.setups[0].curve.shaft_force[0] > answer(TWO).setups[0].curve.shaft_force[0]


def test_pressures_of_a_hundred_thousand_cases_in_one_call(benchmark: BenchmarkFixture) -> None:
    static = riders(MANY)
    ready = benchmark(solved, AIR, LEVER, TWO.shop, TWO.target, static)
    assert np.all(np.diff(pressure_of(ready)) > 0)


def scalar_density(p: float, T: float) -> float:
    """Newton on p = ρ R T (1 + B ρ + C ρ²) in plain floats, the loop's answer to `gas.density`."""
    b = 1.38475e-3 - 0.41398 / T - 24.315 / T**2
    rho = p / (287.049 * T)
    for _ in range(20):
        step = (rho * 287.049 * T * (1 + b * rho + 1.7809e-6 * rho**2) - p) / (
            287.049 * T * (1 + 2 * b * rho + 3 * 1.7809e-6 * rho**2)
        )
        rho -= step
        if abs(step) < 1e-12 * rho:
            break
    return rho


def scalar_pressure(rho: float, T: float) -> float:
    b = 1.38475e-3 - 0.41398 / T - 24.315 / T**2
    return rho * 287.049 * T * (1 + b * rho + 1.7809e-6 * rho**2)


def pressures_one_by_one(strokes: list[float], forces: list[float]) -> list[float]:
    """Return the pressures by scipy's brentq over plain floats, one case after the other."""
    area = math.pi / 4 * (0.040**2 - 0.009**2)
    ring = math.pi / 4 * (0.040**2 - 0.027**2)
    T, outside = 293.15, 101_325.0

    def force(p: float, x: float) -> float:
        full = scalar_density(p, T)
        met = full * 99e-6 / (99e-6 - area * 0.009)
        pushing = scalar_pressure(full * 99e-6 / (99e-6 - area * x), T)
        pulling = scalar_pressure(met * (20e-6 + ring * 0.009) / (20e-6 + ring * x), T)
        return area * (pushing - outside) - ring * (pulling - outside)

    return [
        float(brentq(lambda p, x=x, f=f: force(p, x) - f, outside, 60e5, xtol=1e-3, rtol=1e-12))
        for x, f in zip(strokes, forces, strict=True)
    ]


def test_pressures_of_a_thousand_cases_in_a_loop_over_brentq(benchmark: BenchmarkFixture) -> None:
    """A hundredth of the cases of the benchmark above: times 100 to compare."""
    static = riders(LOOPED)
    stroke, needed = target_place(TWO.target, LEVER, static)
    strokes = [float(stroke)] * LOOPED
    found = benchmark(pressures_one_by_one, strokes, [float(force) for force in needed])
    at_once = pressure_of(solved(AIR, LEVER, TWO.shop, TWO.target, static))
    assert found == pytest.approx(list(at_once), rel=1e-9)


@pytest.mark.slow
def test_a_thousand_riders_with_every_figure(benchmark: BenchmarkFixture) -> None:
    load = RiderAndBike(values(np.linspace(50.0, 120.0, 1000)), 0.62, 15.5, 0.5, 4.2)
    found = benchmark(sweep, replace(TWO, load=load))
    assert found.cases == (1000,)
    assert np.all(found.setups[1].state == "ok")


def test_both_ends_and_what_makes_them_agree(benchmark: BenchmarkFixture) -> None:
    rear, front = case_of(AIR), case_of(SETUPS["mechanical"])
    found = benchmark(balance, rear, 0, replace(front, target=replace(front.target, sag=0.2)), 0)
    assert found.front.changes[0].then.sag_fraction == pytest.approx(0.30)
