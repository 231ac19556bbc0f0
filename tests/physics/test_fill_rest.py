"""What a gauge reads during filling where the shock rests drawn in, against a search by bisection."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from physics import gas
from physics.answer import SetupAnswer
from physics.bench import answer
from physics.case import Air, EqualisedNegative, LowerLegs, Setup
from physics.conditions import elsewhere
from physics.leverage import leverage_curve
from physics.shock import shock_of
from physics.stand import stand
from tests.physics.examples import BARE_AIR, COLD_PASS, EQUALISED, PSI, SEA, SHOP, case_of

DRAWN = replace(
    BARE_AIR,
    pressure=150 * PSI + SEA,
    body=0.012,
    hose_volume=6e-6,
    negative=replace(EQUALISED, volume=8e-6, port=0.016),
)
EXTRAS = Setup("extras", DRAWN, lower_legs=LowerLegs(230e-6, 0.035))


def one(setup: Setup) -> SetupAnswer:
    return answer(case_of(setup)).setups[0]


def resting(setup: Setup, positive: float, negative: float, hose: float = 0.0) -> float:
    """Return the pressure where nothing pushes or pulls, both masses [kg] in their chambers."""
    air = setup.spring
    assert isinstance(air, Air)
    second = air.negative
    assert isinstance(second, EqualisedNegative)
    area = np.pi / 4 * (air.bore**2 - air.rod**2)
    ring = np.pi / 4 * (air.bore**2 - air.body**2)
    volume = air.positive_volume - air.positive_spacers * air.positive_spacer_volume + hose
    legs = setup.lower_legs

    def pressures(x: float) -> tuple[float, float]:
        pushing, pulling = positive / (volume - area * x), negative / (second.volume + ring * x)
        return float(gas.pressure(pushing, 293.15)), float(gas.pressure(pulling, 293.15))

    def force(x: float) -> float:
        p, n = pressures(x)
        pushing = area * (p - SEA) - ring * (n - SEA)
        if legs is not None:
            room = legs.volume / (legs.volume - np.pi / 4 * legs.stanchion**2 * x)
            pushing += 2 * np.pi / 4 * legs.stanchion**2 * SEA * (room - 1)
        return float(pushing)

    x = 0.0 if force(0.0) >= 0 else brentq(force, 0.0, 0.05, xtol=1e-14)
    return pressures(float(x))[0]


@pytest.mark.parametrize("setup", [Setup("drawn", DRAWN), EXTRAS], ids=["bare", "with legs"])
def test_every_round_is_read_where_the_shock_rests(setup: Setup) -> None:
    found = one(setup)
    assert found.air is not None
    assert found.air.fill is not None
    assert float(found.air.rest_stroke) > 0.002
    fill, shock = found.air.fill, shock_of(setup, leverage_curve(case_of(setup).frame), SHOP)
    settled = shock.charged()
    assert settled.negative is not None
    full, other = float(settled.positive.mass), float(settled.negative.mass)
    outside = float(gas.density(SEA, 293.15))
    before = outside * float(settled.negative.volume)
    for place, reading in enumerate(fill.readings):
        assert fill.rest_target[place] == pytest.approx(resting(setup, full, before), rel=1e-6)
        left = float(gas.density(reading, 293.15)) * float(settled.positive.volume)
        before = left * other / full
        assert fill.rest_readings[place] == pytest.approx(resting(setup, left, before), rel=1e-3)
        with_hose = resting(setup, left + outside * 6e-6, before, 6e-6)
        assert fill.rest_gauge[place] == pytest.approx(with_hose, rel=1e-3)
    # Settled, the last of them is what the gauge reads at rest, within what counts as holding.
    assert fill.rest_readings[-1] == pytest.approx(float(found.air.rest_pressure), abs=1.5 * PSI)
    assert np.all(fill.rest_readings >= fill.readings)


def test_at_full_extension_both_readings_are_one() -> None:
    found = one(Setup("air", replace(BARE_AIR, negative=EQUALISED)))
    assert found.air is not None
    assert found.air.fill is not None
    assert found.air.rest_stroke == 0
    assert found.air.fill.rest_readings == pytest.approx(found.air.fill.readings, rel=1e-9)
    assert found.air.fill.rest_gauge == pytest.approx(found.air.fill.pump_gauge, rel=1e-9)
    assert found.air.fill.rest_target == pytest.approx(float(found.air.set_pressure), rel=1e-9)


def test_elsewhere_it_is_read_where_it_rests_there() -> None:
    setup = Setup("drawn", DRAWN)
    case = case_of(setup)
    shock = shock_of(setup, stand(case).lever, SHOP)
    there = elsewhere(shock, COLD_PASS, stand(case).load.static_wheel_force)
    assert float(there.rest_pressure) > float(there.set_pressure)
    here = elsewhere(shock, SHOP, stand(case).load.static_wheel_force)
    found = one(setup).air
    assert found is not None
    assert here.rest_pressure == pytest.approx(float(found.rest_pressure), rel=1e-9)
