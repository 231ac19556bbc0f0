"""What the physics says without numbers: brackets, trends and scaling laws."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics.arrays import values
from physics.bench import answer
from physics.case import (
    Air,
    Case,
    Coil,
    EqualisedNegative,
    Frame,
    LeverageEnds,
    Negative,
    RiderAndBike,
    ScaleReading,
    SeparateNegative,
    Setup,
)
from physics.solve import solved_case
from physics.sweep import sweep
from tests.physics.examples import BARE_AIR, EQUALISED, PSI, SEA, SETUPS, TARGET, case_of
from tests.random_cases import cases

AIRS = ("equalised", "separate", "none")


@settings(max_examples=cases(40))
@given(st.sampled_from(AIRS), st.floats(60.0, 120.0), st.floats(0.2, 0.4))
def test_fast_lies_above_slow_past_sag_and_does_not_exist_before(name: str, rider: float, sag: float) -> None:
    load = RiderAndBike(rider, 0.62, 15.5, 0.5, 4.2)
    case = replace(case_of(SETUPS[name]), load=load, target=replace(TARGET, sag=sag))
    found = answer(case).setups[0]
    if found.state != "ok":
        return
    curve = found.curve
    past, before = curve.stroke > found.sag.stroke, curve.stroke < found.sag.stroke
    assert np.all(curve.fast_shaft_force[past] >= curve.shaft_force[past])
    assert np.all(np.isnan(curve.fast_shaft_force[before]))
    assert np.array_equal(curve.riding_shaft_force[before], curve.shaft_force[before])
    assert np.array_equal(curve.riding_shaft_force[past], curve.fast_shaft_force[past])
    assert found.figures.fast_rate_at_sag > found.figures.rate_at_sag
    assert found.air is not None
    assert found.air.fast_peak_pressure > found.air.peak_pressure


@settings(max_examples=cases(40))
@given(st.floats(10e-6, 40e-6), st.floats(1.1, 2.0), st.floats(0.0, 0.012), st.floats(120.0, 280.0))
def test_a_larger_negative_starts_harder_and_pulls_for_longer(
    volume: float, factor: float, port: float, psi: float
) -> None:
    # Same port, same set pressure. Past the port the larger chamber thins out less, so it keeps
    # pulling; before the port it is squeezed less, so it pulls less at full extension.
    small, large = (
        Setup(
            "air",
            replace(BARE_AIR, pressure=psi * PSI + SEA, negative=EqualisedNegative(v, 0.0, 0.0, port)),
        )
        for v in (volume, volume * factor)
    )
    a, b = answer(case_of(small, large)).setups
    past, before = a.curve.stroke > port + 1e-6, a.curve.stroke < port - 1e-6
    assert np.all(b.curve.shaft_force[past] < a.curve.shaft_force[past])
    assert np.all(b.curve.shaft_force[before] > a.curve.shaft_force[before])
    assert b.figures.starting_shaft >= a.figures.starting_shaft * (1 - 1e-12)
    assert b.figures.support_50 < a.figures.support_50
    assert b.figures.bottom_ratio < a.figures.bottom_ratio
    assert a.state != "ok" or b.state != "ok" or b.sag.wheel > a.sag.wheel


@given(st.floats(1.05, 3.0))
def test_twice_the_spring_carries_twice_the_load(factor: float) -> None:
    coil = Setup("coil", Coil(80e3, 0.001, 4378.0))
    stiff = Setup("coil", Coil(80e3 * factor, 0.001, 4378.0))
    one = answer(replace(case_of(coil), load=ScaleReading(55.0, 0.0))).setups[0]
    two = answer(replace(case_of(stiff), load=ScaleReading(55.0 * factor, 0.0))).setups[0]
    assert two.sag.wheel == pytest.approx(float(one.sag.wheel), rel=1e-9)
    assert two.figures.bottom_ratio == pytest.approx(float(one.figures.bottom_ratio), rel=1e-9)
    assert two.figures.energy_total == pytest.approx(factor * float(one.figures.energy_total), rel=1e-9)
    assert two.figures.natural_frequency == pytest.approx(float(one.figures.natural_frequency), rel=1e-9)


def stretched(spring: Air, across: float, along: float) -> Air:
    """The air spring with its areas `across` times and its lengths `along` times as large."""
    width, volume = np.sqrt(across), across * along
    negative: Negative = spring.negative
    if isinstance(negative, EqualisedNegative):
        negative = EqualisedNegative(negative.volume * volume, 0.0, 0.0, negative.port * along)
    elif isinstance(negative, SeparateNegative):
        negative = replace(
            negative, volume=negative.volume * volume, spacer_volume=negative.spacer_volume * volume
        )
    return replace(
        spring,
        bore=spring.bore * width,
        rod=spring.rod * width,
        body=spring.body * width,
        positive_volume=spring.positive_volume * volume,
        positive_spacer_volume=spring.positive_spacer_volume * volume,
        negative=negative,
    )


@settings(max_examples=cases(40))
@given(st.sampled_from(AIRS), st.floats(0.5, 2.0), st.floats(0.5, 2.0))
def test_a_shock_twice_as_wide_carries_twice_as_much_one_twice_as_long_the_same(
    name: str, across: float, along: float
) -> None:
    # Same pressures, so the same gas at every share of the stroke, ideal or not.
    spring = solved_case(case_of(SETUPS[name])).setups[0].spring
    assert isinstance(spring, Air)
    base = replace(case_of(Setup("air", spring)), load=ScaleReading(56.0, 0.0))
    grown = Case(
        ScaleReading(56.0 * across, 0.0),
        Frame(0.150 * along, 0.060 * along, LeverageEnds(2.80, 2.25)),
        base.target,
        base.shop,
        (Setup("air", stretched(spring, across, along)),),
    )
    one, two = answer(base).setups[0], answer(grown).setups[0]
    assert two.sag.wheel_fraction == pytest.approx(float(one.sag.wheel_fraction), rel=1e-8)
    assert two.figures.bottom_ratio == pytest.approx(float(one.figures.bottom_ratio), rel=1e-8)
    assert two.curve.shaft_force == pytest.approx(across * one.curve.shaft_force, rel=1e-8)
    ridden = across * one.curve.riding_shaft_force
    assert two.curve.riding_shaft_force == pytest.approx(ridden, rel=1e-8)
    energy = across * along * float(one.figures.energy_total)
    assert two.figures.energy_total == pytest.approx(energy, rel=1e-8)


def test_more_spacers_need_a_little_less_pressure_and_ramp_up_more() -> None:
    spring = replace(BARE_AIR, negative=EQUALISED, positive_spacers=values(np.arange(5.0)))
    found = sweep(case_of(Setup("air", spring))).setups[0]
    assert found.air is not None
    assert np.all(np.diff(found.air.set_pressure) < 0)
    for rising in (found.air.peak_pressure, found.air.compression_ratio, found.figures.end_ramp):
        assert np.all(np.diff(rising) > 0)
    assert found.sag.wheel_fraction == pytest.approx(0.30)


def test_a_positive_only_spring_needs_hundreds_of_pounds_to_start() -> None:
    # 200 psi on a 40 mm bore (common practice, no source), and the equalised one a fraction of it.
    alone = replace(BARE_AIR, rod=0.0, pressure=200 * PSI + SEA)
    bare, cycled = answer(
        case_of(Setup("bare", alone), Setup("cycled", replace(alone, negative=EQUALISED)))
    ).setups
    pounds = 4.4482216152605
    assert 300 < bare.figures.starting_shaft / pounds < 500
    assert cycled.figures.starting_shaft < 0.3 * bare.figures.starting_shaft
