"""How long the wire of a coil takes to work out, for the view that follows every key."""

from __future__ import annotations

import numpy as np
from pytest_benchmark.fixture import BenchmarkFixture

from physics.arrays import values
from physics.case import Coil, Wire
from physics.wire import wire_answer, wire_for


def test_the_wire_to_order_for_one_rate(benchmark: BenchmarkFixture) -> None:
    found = benchmark(wire_for, 78e3, 0.036, 0.062, "chrome_silicon")
    assert bool(found.found)
    assert found.stress <= found.allowed


def test_the_wire_to_order_for_a_thousand_rates(benchmark: BenchmarkFixture) -> None:
    rates = values(np.linspace(40e3, 110e3, 1000))
    found = benchmark(wire_for, rates, 0.036, 0.062, "titanium")
    assert bool(np.all(found.found))
    assert np.all(np.diff(found.diameter) >= 0)


def test_a_measured_coil(benchmark: BenchmarkFixture) -> None:
    wire = Wire("chrome_silicon", 0.0089, 0.0449, 9.0, 11.0, "closed_ground", 2)
    found = benchmark(wire_answer, Coil(78e3, 0.002, 4378.0, free_length=0.173, wire=wire), 0.060)
    assert found is not None
    assert found.stress < found.allowed_set
