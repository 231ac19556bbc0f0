"""Pressures of an air spring and the pressure for each spacer count."""

import math
from dataclasses import replace

import numpy as np
import pytest

from physics import gas
from physics.answer import AirAnswer
from physics.bench import answer
from physics.case import Setup
from physics.spacing import MOST_SPACERS
from tests.physics.examples import BARE_AIR, EQUALISED, SEA, SETUPS, case_of

AREA = math.pi / 4 * (0.040**2 - 0.009**2)


def air(setup: Setup) -> AirAnswer:
    found = answer(case_of(setup), spacers=True).setups[0].air
    assert found is not None
    return found


def test_compression_ratio_and_slow_peak_by_boyle() -> None:
    found = air(SETUPS["equalised"])
    ratio = 99e-6 / (99e-6 - AREA * 0.060)
    assert found.compression_ratio == pytest.approx(ratio)
    packed = gas.density(float(found.set_pressure), 293.15) * ratio
    assert found.peak_pressure == pytest.approx(gas.pressure(packed, 293.15))


def test_fast_peak_follows_the_isentrope_out_of_the_sag_point() -> None:
    case = case_of(SETUPS["equalised"])
    setup = answer(case).setups[0]
    found = setup.air
    assert found is not None
    full = gas.density(float(found.set_pressure), 293.15) * 99e-6
    start = full / (99e-6 - AREA * float(setup.sag.stroke))
    end = full / (99e-6 - AREA * 0.060)
    hot = gas.isentropic_temperature(293.15, start, end)
    assert found.fast_peak_temperature == pytest.approx(hot)
    assert found.fast_peak_pressure == pytest.approx(gas.pressure(end, hot))


def test_only_an_equalised_spring_has_a_meeting_and_a_filling() -> None:
    assert air(SETUPS["equalised"]).equalised_pressure > SEA
    assert air(SETUPS["equalised"]).fill is not None
    for name in ("separate", "mechanical", "none"):
        found = air(SETUPS[name])
        assert np.isnan(found.equalised_pressure)
        assert found.fill is None


def test_out_of_reach_leaves_every_pressure_out() -> None:
    found = air(Setup("thin", replace(BARE_AIR, bore=0.010, rod=0.0, positive_volume=30e-6)))
    for name in ("set_pressure", "peak_pressure", "fast_peak_pressure", "rest_stroke", "rest_pressure"):
        assert np.isnan(getattr(found, name)), name
    assert found.fill is None


def test_spacers_stop_where_the_chamber_is_used_up() -> None:
    # 105 cm³ less 71.6 cm³ swept leaves room for five of 6 cm³.
    rows = air(SETUPS["equalised"]).spacers
    assert [row.spacers for row in rows] == [0, 1, 2, 3, 4, 5]
    ends = [float(row.bottom_wheel_force) for row in rows]
    assert ends == sorted(ends)
    roomy = replace(SETUPS["equalised"], spring=replace(BARE_AIR, positive_volume=400e-6))
    assert [row.spacers for row in air(roomy).spacers] == list(range(MOST_SPACERS + 1))
    assert air(Setup("none", replace(BARE_AIR, positive_spacer_volume=0.0))).spacers == ()


def test_a_typed_pressure_has_the_same_rows() -> None:
    typed = replace(SETUPS["equalised"], spring=replace(BARE_AIR, pressure=18e5))
    solved = replace(SETUPS["equalised"], spring=BARE_AIR)
    pairs = zip(air(typed).spacers, air(solved).spacers, strict=True)
    assert all(a.set_pressure == pytest.approx(float(b.set_pressure)) for a, b in pairs)


def test_each_row_rides_as_that_count_does() -> None:
    spring = BARE_AIR
    for row in air(replace(SETUPS["equalised"], spring=replace(spring, negative=EQUALISED))).spacers:
        spaced = replace(spring, negative=EQUALISED, positive_spacers=row.spacers)
        alone = answer(case_of(replace(SETUPS["equalised"], spring=spaced))).setups[0]
        assert alone.air is not None
        assert row.fast_peak_pressure == pytest.approx(float(alone.air.fast_peak_pressure), rel=1e-9)
        assert row.bottom_wheel_force == pytest.approx(float(alone.riding.bottom_wheel_force), rel=1e-9)
