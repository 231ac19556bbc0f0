"""Filling by pump and cycle, against a step-by-step simulation of every mass."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics import gas
from physics.air import charge, negative_area, positive_area, positive_volume
from physics.answer import Fill
from physics.arrays import values
from physics.case import Air, Ambient, EqualisedNegative
from physics.fill import HOLDS_WITHIN, MOST_ROUNDS, fill, rounds_of
from tests.physics.examples import BARE_AIR, COLD_PASS, EQUALISED, PSI, SEA, SHOP

SET = 240 * PSI + SEA
AIR = replace(BARE_AIR, negative=EQUALISED)
T = 293.15


def filled(air: Air, target: float, shop: Ambient) -> Fill:
    return fill(air, charge(air, target, shop), shop)


class Bench:
    """Two chambers at x = 0, pumped and cycled one mass at a time."""

    def __init__(self, air: Air) -> None:
        second = air.negative
        assert isinstance(second, EqualisedNegative)
        self.v_p = float(positive_volume(air))
        self.v_n = float(second.volume - second.spacers * second.spacer_volume)
        self.v_p_port = float(self.v_p - positive_area(air) * second.port)
        self.v_n_port = float(self.v_n + negative_area(air) * second.port)
        self.m_p = 0.0
        self.m_n = float(gas.density(SEA, T)) * self.v_n

    def pump(self, pressure: float) -> None:
        self.m_p = float(gas.density(pressure, T)) * self.v_p

    def cycle(self) -> None:
        met = (self.m_p + self.m_n) / (self.v_p_port + self.v_n_port)
        self.m_p, self.m_n = met * self.v_p_port, met * self.v_n_port

    def read(self) -> float:
        return float(gas.pressure(self.m_p / self.v_p, T))


def test_each_round_is_what_the_masses_do() -> None:
    bench, done = Bench(AIR), filled(AIR, SET, SHOP)
    for reading in done.readings:
        bench.pump(SET)
        bench.cycle()
        assert reading == pytest.approx(bench.read(), rel=1e-12)
    assert done.holds
    assert done.rounds == len(done.readings)
    assert SET - done.readings[-1] < HOLDS_WITHIN < SET - done.readings[-2]


def test_one_over_pressure_cycled_once_lands_on_target() -> None:
    done, bench = filled(AIR, SET, SHOP), Bench(AIR)
    assert done.single_fill > SET
    bench.pump(float(done.single_fill))
    bench.cycle()
    assert bench.read() == pytest.approx(SET, rel=1e-12)
    # ... and leaves both chambers as the settled spring has them.
    spring = charge(AIR, SET, SHOP)
    assert spring.negative is not None
    assert bench.m_n == pytest.approx(float(spring.negative.mass))


def test_the_label_forbids_the_over_pressure_but_says_what_it_would_be() -> None:
    free = filled(AIR, SET, SHOP)
    held = filled(replace(AIR, max_pressure=float(free.single_fill) - 1.0), SET, SHOP)
    assert np.isnan(held.single_fill)
    assert held.one_go == free.single_fill == free.one_go
    allowed = filled(replace(AIR, max_pressure=float(free.single_fill) + 1.0), SET, SHOP)
    assert allowed.single_fill == free.single_fill


def test_the_hose_takes_its_share_when_the_pump_goes_on_again() -> None:
    bare, hosed = filled(AIR, SET, SHOP), filled(replace(AIR, hose_volume=6e-6), SET, SHOP)
    assert hosed.readings == pytest.approx(bare.readings)
    assert bare.pump_gauge == pytest.approx(bare.readings)
    mass = gas.density(float(hosed.readings[0]), T) * 99e-6 + gas.density(SEA, T) * 6e-6
    assert hosed.pump_gauge[0] == pytest.approx(gas.pressure(mass / 105e-6, T))


def test_a_huge_negative_chamber_never_holds() -> None:
    done = filled(replace(AIR, negative=replace(EQUALISED, volume=2500e-6)), SET, SHOP)
    assert not done.holds
    assert done.rounds == MOST_ROUNDS == len(done.readings)
    assert np.all(np.diff(done.readings) > 0)


@given(st.floats(60.0, 320.0), st.floats(5e-6, 60e-6), st.floats(0.0, 0.020))
def test_readings_climb_towards_the_target_and_never_pass_it(psi: float, volume: float, port: float) -> None:
    air = replace(AIR, negative=EqualisedNegative(volume, 0.0, 0.0, port))
    done = rounds_of(air, charge(air, psi * PSI + SEA, SHOP), SHOP)
    assert np.all(np.diff(done.readings) >= -1e-6)
    assert np.all(done.readings <= psi * PSI + SEA + 1e-3)


def test_many_targets_at_once_in_a_cold_high_shop() -> None:
    targets = values([150.0, 240.0]) * PSI + COLD_PASS.pressure
    many = rounds_of(AIR, charge(AIR, targets, COLD_PASS), COLD_PASS)
    alone = filled(AIR, float(targets[1]), COLD_PASS)
    assert many.readings.shape == (2, MOST_ROUNDS)
    assert many.readings[1, : alone.rounds] == pytest.approx(alone.readings)
    assert many.rounds[1] == alone.rounds
    assert many.single_fill[1] == pytest.approx(float(alone.single_fill))


def test_only_an_equalised_spring_is_cycled() -> None:
    with pytest.raises(ValueError, match="equalised"):
        filled(BARE_AIR, SET, SHOP)
