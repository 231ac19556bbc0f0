"""The negative volume from two readings of the gauge."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.air import charge
from physics.case import Setup, Tolerance
from physics.cycled import cycled
from physics.faults import Unfit
from physics.fill import rounds_of
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


def test_its_standard_error_is_that_of_a_uniform_error_of_the_gauge() -> None:
    case = case_of(Setup("air", replace(BARE_AIR, negative=EQUALISED)))
    before, after = 200 * PSI + SEA, 165 * PSI + SEA
    exact = cycled(case, 0, before, after)
    assert exact.error == 0.0
    off = replace(case, tolerance=Tolerance(gauge=2 * PSI))
    first = cycled(case, 0, before + 2 * PSI, after).ratio - exact.ratio
    second = cycled(case, 0, before, after + 2 * PSI).ratio - exact.ratio
    assert cycled(off, 0, before, after).error == pytest.approx(
        float(np.hypot(first, second)) / np.sqrt(3), rel=0.02
    )


def test_gauges_that_are_off_lie_within_the_error_as_often_as_stated() -> None:
    case = case_of(Setup("air", replace(BARE_AIR, negative=EQUALISED)))
    case = replace(case, tolerance=Tolerance(gauge=2 * PSI))
    true = cycled(case, 0, 200 * PSI + SEA, 165 * PSI + SEA).ratio
    rng, off = np.random.default_rng(6), []
    for first, second in rng.uniform(-2.0, 2.0, (400, 2)):
        found = cycled(case, 0, (200 + first) * PSI + SEA, (165 + second) * PSI + SEA)
        off.append((found.ratio - true) / found.error)
    # Measured 0.870 and 0.968; two equal uniform errors together have 0.892 and 0.966.
    assert 0.86 < np.mean(np.abs(off) < 1.645) < 0.95
    assert 0.95 < np.mean(np.abs(off) < 2.0) < 1.0


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
