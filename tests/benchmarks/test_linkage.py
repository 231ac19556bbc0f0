"""How long a linkage takes to move: it stands between a key and the curve."""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from physics.linkage import move
from tests.physics.linkages import EVERY


@pytest.mark.parametrize("name", EVERY)
def test_a_linkage_of_two_hundred_steps(benchmark: BenchmarkFixture, name: str) -> None:
    moved = move.__wrapped__  # the motion itself, not the memory of it
    motion = benchmark(moved, EVERY[name], 0.055)
    assert motion.places.shape[0] == 201
    assert motion.wheel[-1] > motion.wheel[0]
