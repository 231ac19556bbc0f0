"""The one door: a case in, an answer out. Invented data."""

from dataclasses import replace

import numpy as np
import pytest

from physics import gas
from physics.bench import answer
from physics.case import (
    Air,
    Ambient,
    Case,
    Coil,
    EqualisedNegative,
    Frame,
    LeverageEnds,
    RiderAndBike,
    Setup,
    Target,
)
from physics.faults import Refused

PSI = 6894.757293168
LBF_IN = 175.126835246
SHOP = Ambient(293.15, 101325.0)
AIR = Air(None, 0.040, 0.009, 0.027, 105e-6, 1, 6e-6, EqualisedNegative(20e-6, 0, 0.0, 0.009))
CASE = Case(
    load=RiderAndBike(85.0, 0.62, 15.5, 0.5, 4.2),
    frame=Frame(0.150, 0.060, LeverageEnds(2.80, 2.25)),
    target=Target(0.30, "travel"),
    shop=SHOP,
    setups=(Setup("coil", Coil(None, 0.001, 25 * LBF_IN), 12.0), Setup("air", AIR, 30.0)),
)


def test_both_setups_are_answered() -> None:
    coil, air = answer(CASE).setups
    assert coil.coil is not None
    assert coil.coil.rate / LBF_IN == pytest.approx(467.08269, rel=2e-3)
    assert [float(b.rate) / LBF_IN for b in coil.coil.buyable] == pytest.approx([450, 475])
    assert coil.coil.buyable[0].sag_fraction > 0.30 > coil.coil.buyable[1].sag_fraction
    assert air.air is not None
    assert (air.air.equalised_pressure - SHOP.pressure) / PSI == pytest.approx(270.99088, rel=4e-3)
    assert air.air.compression_ratio == pytest.approx(3.6106598, rel=1e-2)
    assert (air.air.peak_pressure - SHOP.pressure) / PSI == pytest.approx(898.5425, rel=1e-2)
    assert air.sag.band_low < air.sag.wheel < air.sag.band_high


def test_preload_of_a_buyable_coil_hits_the_target() -> None:
    coil = answer(CASE).setups[0]
    assert coil.coil is not None
    for choice in coil.coil.buyable:
        typed = Setup("ordered", Coil(choice.rate, choice.preload_for_target, 25 * LBF_IN))
        again = answer(replace(CASE, setups=(typed,))).setups[0]
        assert again.sag.wheel_fraction == pytest.approx(0.30, rel=1e-9)


def test_a_buyable_coil_is_judged_with_its_own_preload() -> None:
    coil = Coil(None, 0.001, 25 * LBF_IN, rated_stroke=0.061, thread_pitch=0.001, max_preload_turns=2.0)
    found = answer(replace(CASE, setups=(Setup("coil", coil),))).setups[0].coil
    assert found is not None
    soft, stiff = found.buyable
    assert soft.preload_turns == pytest.approx(float(soft.preload_for_target) / 0.001)
    assert {caution.code for caution in soft.cautions} == {"rated_stroke"}
    assert stiff.preload_for_target < 0.001
    assert stiff.cautions == ()


def test_each_spacer_count_has_the_pressure_of_its_own_case() -> None:
    unasked, air = answer(CASE).setups[1], answer(CASE, spacers=True).setups[1]
    assert unasked.air is not None
    assert unasked.air.spacers == ()
    assert air.air is not None
    rows = {row.spacers: row for row in air.air.spacers}
    assert rows[1].set_pressure == pytest.approx(air.air.set_pressure)
    assert rows[2].bottom_wheel_force > rows[1].bottom_wheel_force
    two = answer(replace(CASE, setups=(Setup("two", replace(AIR, positive_spacers=2)),))).setups[0]
    assert two.air is not None
    assert rows[2].set_pressure == pytest.approx(two.air.set_pressure)


def test_colder_and_higher_changes_the_reading_and_the_sag() -> None:
    ride = Ambient(273.15, float(gas.standard_pressure(2000.0)))
    air = answer(replace(CASE, ride=ride)).setups[1]
    assert air.air is not None
    assert air.ride is not None
    assert air.ride.set_pressure < air.air.set_pressure
    assert air.ride.sag_wheel_fraction > air.sag.wheel_fraction


def test_states_with_a_name() -> None:
    def state(rate: float) -> str:
        return answer(replace(CASE, setups=(Setup("typed", Coil(rate, 0.02, 25 * LBF_IN)),))).setups[0].state

    assert [state(200e3), state(70e3), state(10e3)] == ["topped_out", "ok", "bottomed_out"]
    out = answer(replace(CASE, setups=(Setup("typed", Coil(200e3, 0.02, 25 * LBF_IN)),))).setups[0]
    assert np.isnan(out.sag.wheel)
    assert np.isnan(out.figures.natural_frequency)
    assert np.isfinite(out.figures.bottom_ratio)


def test_a_chamber_without_volume_is_refused_with_its_place() -> None:
    small = Setup("small", replace(AIR, positive_volume=60e-6))
    with pytest.raises(Refused) as refusal:
        answer(replace(CASE, setups=(CASE.setups[0], small)))
    assert refusal.value.faults[0].field == ("setup", 1, "positive_volume")
