"""The negative volume from two readings of the gauge."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.air import charge
from physics.case import Setup, Tolerance
from physics.cycled import cycled
from physics.fill import rounds_of
from physics.unfit import Unfit
from tests.physics.examples import BARE_AIR, EQUALISED, PSI, SEA, SETUPS, SHOP, case_of


@given(
    ratio=st.floats(0.05, 0.6),
    port=st.floats(0.0, 0.015),
    gauge=st.floats(60.0, 280.0),
    hose=st.sampled_from([0.0, 6e-6]),
    spacers=st.integers(0, 2),
)
def test_the_first_round_of_filling_gives_the_volume_back(
    ratio: float, port: float, gauge: float, hose: float, spacers: int
) -> None:
    volume = ratio * 99e-6 + spacers * 2e-6
    negative = replace(EQUALISED, volume=volume, port=port, spacers=spacers, spacer_volume=2e-6)
    air, before = replace(BARE_AIR, negative=negative, hose_volume=hose), gauge * PSI + SEA
    after = float(rounds_of(air, charge(air, before, SHOP), SHOP).pump_gauge[0])
    # What the setup holds for the volume itself plays no part.
    asked = replace(air, negative=replace(negative, volume=40e-6))
    found = cycled(case_of(Setup("air", asked)), 0, before, after)
    assert found.ratio == pytest.approx(ratio, rel=1e-6)
    assert found.volume == pytest.approx(volume, rel=1e-6)


def test_its_error_is_what_the_gauge_may_be_off_by() -> None:
    case = case_of(Setup("air", replace(BARE_AIR, negative=EQUALISED)))
    before, after = 200 * PSI + SEA, 165 * PSI + SEA
    exact = cycled(case, 0, before, after)
    assert exact.error == 0.0
    off = replace(case, tolerance=Tolerance(gauge=2 * PSI))
    first = cycled(case, 0, before + 2 * PSI, after).ratio - exact.ratio
    second = cycled(case, 0, before, after + 2 * PSI).ratio - exact.ratio
    assert cycled(off, 0, before, after).error == pytest.approx(float(np.hypot(first, second)), rel=0.02)


def test_readings_that_cannot_be_are_refused() -> None:
    case = case_of(Setup("air", replace(BARE_AIR, negative=EQUALISED)), SETUPS["coil"])
    for index, before, after, code in (
        (0, 150.0, 160.0, "not_lower"),
        (0, 150.0, 0.0, "emptied"),
        (0, 150.0, 149.99, "too_little"),
        (1, 150.0, 120.0, "not_equalised"),
    ):
        with pytest.raises(Unfit) as caught:
            cycled(case, index, before * PSI + SEA, after * PSI + SEA)
        assert caught.value.why.code == code
