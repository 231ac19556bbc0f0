"""Limits of what may be offered, of many settings of one air spring at once."""

from __future__ import annotations

import numpy as np
import pytest

from physics.arrays import values
from physics.offered import beyond_limits
from physics.shock import with_pressure
from physics.stand import stand
from tests.physics.examples import SETUPS, case_of


@pytest.mark.parametrize("name", ["none", "equalised", "separate", "mechanical"])
def test_the_limits_of_many_settings_are_those_of_each(name: str) -> None:
    """A negative chamber with a pressure of its own holds the same air at every setting."""
    setup = SETUPS[name]
    bike = stand(case_of(setup))
    pressures = values([2e5, 15e5, 30e5, 90e5])
    many = beyond_limits(with_pressure(setup, pressures), bike)
    for n, pressure in enumerate(pressures):
        alone = beyond_limits(with_pressure(setup, values(pressure)), bike)
        assert many.keys() == alone.keys()
        for limit, marks in many.items():
            assert np.broadcast_to(marks, 4)[n] == alone[limit], limit
    assert many["gas_law"].tolist() == [False, False, False, True]
