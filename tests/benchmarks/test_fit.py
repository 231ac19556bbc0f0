"""How long it takes to go backwards from readings."""

from __future__ import annotations

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from physics.fit import fit
from tests.physics.testers import an_air, on_tester, there_and_back


@pytest.mark.parametrize("readings", [41, 2001])
def test_an_equalised_shock_on_the_tester(benchmark: BenchmarkFixture, readings: int) -> None:
    rng = np.random.default_rng(1)
    setup, true = an_air(rng, equalised=True)
    case, loop = on_tester(setup, there_and_back(readings), rng.normal(0.0, 4.0, readings))
    found = benchmark(fit, case, 0, loop)
    assert found["port"].value == pytest.approx(true["port"], abs=4 * found["port"].error)
