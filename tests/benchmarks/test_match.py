"""How long it takes to find the settings that come closest."""

from __future__ import annotations

from pytest_benchmark.fixture import BenchmarkFixture

from physics.knobs import Grain
from physics.match import matched
from physics.wants import Want, wished
from tests.physics.examples import PSI, SEA, SETUPS, case_of

CASE = case_of(SETUPS["coil"], SETUPS["equalised"])
STEPS = {"pressure": PSI, "positive_volume": 1e-7, "negative_volume": 1e-7, "port": 1e-4}
GRAIN = Grain(STEPS, {"pressure": SEA})


def test_two_spacer_counts_at_once(benchmark: BenchmarkFixture) -> None:
    found = benchmark(matched, CASE, 0, 1, grain=GRAIN)
    assert 0 < float(found.closeness) < 1.1


def test_volumes_and_port_as_well(benchmark: BenchmarkFixture) -> None:
    found = benchmark(matched, CASE, 0, 1, volumes=True, grain=GRAIN)
    assert 0 < float(found.closeness) < 0.14


def test_what_is_wanted(benchmark: BenchmarkFixture) -> None:
    wants = [Want("support_50", "at least", 1.5), Want("bottom_ratio", "just", 8.0)]
    found = benchmark(wished, CASE, 1, wants, grain=GRAIN)
    assert found.miss < 0.1
