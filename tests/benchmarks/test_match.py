"""How long it takes to find the settings that come closest."""

from __future__ import annotations

from pytest_benchmark.fixture import BenchmarkFixture

from physics.match import matched
from physics.wants import Want, wished
from tests.physics.examples import SETUPS, case_of

CASE = case_of(SETUPS["coil"], SETUPS["equalised"])


def test_two_spacer_counts_at_once(benchmark: BenchmarkFixture) -> None:
    found = benchmark(matched, CASE, 0, 1)
    assert 0 < float(found.closeness) < 0.25


def test_volumes_and_port_as_well(benchmark: BenchmarkFixture) -> None:
    found = benchmark(matched, CASE, 0, 1, cans=True)
    assert 0 < float(found.closeness) < 0.1


def test_what_is_wanted(benchmark: BenchmarkFixture) -> None:
    wants = [Want("support_50", "at least", 1.5), Want("bottom_ratio", "just", 4.3)]
    found = benchmark(wished, CASE, 1, wants)
    assert found.miss < 0.1
