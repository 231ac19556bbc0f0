"""How long sweeps and maps take, and what a million cases need in memory."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from physics.inputs import BY_NAME
from physics.spacer_table import spacer_table
from physics.sweep import Axis, swept
from tests.physics.examples import SETUPS, case_of

AIR = case_of(SETUPS["equalised"])
TWO = case_of(SETUPS["coil"], SETUPS["equalised"])
MOST_MEMORY = 1e9


def axis(name: str, low: float, high: float, count: int) -> Axis:
    return Axis(BY_NAME[name], np.linspace(low, high, count))


MILLION = (axis("rider_mass", 50.0, 120.0, 1000), axis("positive_volume", 90e-6, 140e-6, 1000))
SIXTY = (axis("rider_mass", 50.0, 120.0, 60), axis("positive_volume", 90e-6, 140e-6, 60))


@pytest.mark.slow
def test_pressures_of_a_million_cases(benchmark: BenchmarkFixture) -> None:
    found = benchmark.pedantic(swept, (AIR, MILLION, ["set_pressure"]), rounds=5)
    assert found.figures["set_pressure"].shape == (1, 1000, 1000)
    assert np.isfinite(found.figures["set_pressure"]).all()


@pytest.mark.slow
def test_a_million_cases_stay_within_their_memory() -> None:
    # Python counts what its arrays take, which hangs on no clock and on no machine.
    tracemalloc.start()
    swept(AIR, MILLION, ["set_pressure"])
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < MOST_MEMORY


@pytest.mark.slow
def test_a_map_of_sixty_by_sixty(benchmark: BenchmarkFixture) -> None:
    found = benchmark(swept, AIR, SIXTY, ["bottom_ratio"])
    assert np.isfinite(found.figures["bottom_ratio"]).all()


def test_the_riders_of_two_setups(benchmark: BenchmarkFixture) -> None:
    riders = axis("rider_mass", 50.0, 120.0, 71)
    found = benchmark(swept, TWO, [riders], ["starting_shaft"])
    assert np.all(found.state == "ok")


def test_a_table_of_spacers(benchmark: BenchmarkFixture) -> None:
    table = benchmark(spacer_table, AIR, 0)
    assert table.set_pressure.size > 20
