"""How long it takes to say what to change: it follows every nudge, so it has to fit into a frame."""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from physics.advise import OtherWheel, advise
from tests.physics.examples import SETUPS, case_of
from tests.physics.test_advise import ported
from tests.physics.test_balance import rear_case

FRAME = 1 / 60


@pytest.mark.parametrize("name", sorted(SETUPS))
def test_changes_for_one_complaint(benchmark: BenchmarkFixture, name: str) -> None:
    found = benchmark(advise, case_of(SETUPS[name]), 0, ("harsh_off_top",))
    assert found.changes
    if benchmark.stats is not None:
        assert benchmark.stats.stats.median < FRAME


def test_changes_for_unbalanced_ends(benchmark: BenchmarkFixture) -> None:
    found = benchmark(advise, ported(0.002), 0, ("unbalanced",), OtherWheel(rear_case(), 0))
    assert found.changes
