"""How long a cloud of draws takes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from physics.case import Tolerance
from physics.scatter import draws
from physics.tolerance import tolerance
from tests.physics.examples import PSI, SETUPS, case_of

LIMITS = Tolerance(0.5, 2 * PSI, 0.05, 1e-6)


@pytest.mark.parametrize("name", ["coil", "equalised", "separate"])
def test_four_thousand_draws_of_one_setup(benchmark: BenchmarkFixture, name: str) -> None:
    case = replace(case_of(SETUPS[name]), tolerance=LIMITS)
    assert draws().shape[1] >= 4000
    found = benchmark(tolerance, case, 0)
    assert float(found.sag.low) < 0.30 < float(found.sag.high)
