"""Ambient pressure against the printed standard atmosphere and two libraries of it."""

import numpy as np
import pytest
from ambiance import Atmosphere
from fluids import ATMOSPHERE_1976

from physics.gas import standard_pressure

# Source: US Standard Atmosphere 1976, identical to ISO 2533 below 11 km, geometric height [m] to Pa.
PRINTED = {0.0: 101325.0, 500.0: 95461.0, 1000.0: 89876.0, 1500.0: 84560.0, 2000.0: 79501.0, 3000.0: 70121.0}
HEIGHTS = np.linspace(-1000.0, 10_900.0, 40)


def test_printed_table() -> None:
    ours = standard_pressure(np.array(list(PRINTED)))
    assert ours == pytest.approx(np.array(list(PRINTED.values())), abs=0.6)


def test_against_ambiance() -> None:
    # Source: ambiance 1.3 (ICAO standard atmosphere 1993).
    assert standard_pressure(HEIGHTS) == pytest.approx(Atmosphere(HEIGHTS).pressure, abs=0.03)


def test_against_fluids() -> None:
    # Source: fluids 1.3, ATMOSPHERE_1976.
    theirs = np.array([ATMOSPHERE_1976(height).P for height in HEIGHTS])
    assert standard_pressure(HEIGHTS) == pytest.approx(theirs, abs=0.03)
