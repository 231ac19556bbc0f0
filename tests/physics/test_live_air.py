"""The air in time: between slow and fast, what crosses the port, and what is kept on the way."""

from __future__ import annotations

import math

import numpy as np
import pytest

from physics import gas
from physics.air import AtRest, charge
from physics.arrays import Values, values
from physics.case import Ambient
from physics.lanes import Floats
from physics.live_air import LiveAir, Port, TimedChamber, driven
from tests.physics.examples import BARE_AIR, EQUALISED, SEA, SHOP

AREA, ROOM, WALL = 1.2e-3, 105e-6, 293.15
GAUGE = 9e5


def chamber(pressure: float, *, area: float = AREA, room: float = ROOM, time: float = 4.0) -> TimedChamber:
    return TimedChamber(area, room, float(gas.density(pressure, WALL)) * room, time)


def swung(one: TimedChamber, omega: float, size: float, turns: int = 6) -> complex:
    """Return the complex exponent n of a chamber driven by a sine: p/p₀ over V₀/V, both small."""
    count = 400
    step = 2 * math.pi / omega / count
    settle = max(turns, math.ceil(8 * one.time_constant * omega / (2 * math.pi)))
    time = np.arange(settle * count + 1) * step
    at = ROOM / AREA * size * np.sin(omega * time)
    pressure = driven([one], Port(), WALL, SEA, values(at), step).pressure[0]
    last = slice(-count - 1, -1)
    turn = np.exp(-1j * omega * time[last])
    mean = pressure[last].mean()
    return complex(np.sum(pressure[last] * turn) / mean / (np.sum(at[last] * turn) * AREA / ROOM))


@pytest.mark.parametrize("lag", [0.05, 0.3, 1.0, 3.0, 20.0])
def test_a_sine_gives_the_complex_exponent(lag: float) -> None:
    """n(ω) = (1 + γ jωτ)/(1 + jωτ): at ωτ = 1 and γ = 1.4, 1.2 + 0.2j. Thin air, which is nearly ideal."""
    one = chamber(SEA, time=0.5)
    gamma = 1 + gas.GAS_CONSTANT / float(gas.heat_capacity(WALL, one.mass / ROOM))
    found = swung(one, lag / 0.5, 1e-3)
    expected = (1 + gamma * 1j * lag) / (1 + 1j * lag)
    assert found.real == pytest.approx(expected.real, abs=3e-3)
    assert found.imag == pytest.approx(expected.imag, abs=3e-3)


def test_the_lagging_air_of_a_charged_chamber_lies_between_its_laws() -> None:
    """Real air at 10 bar: slow and fast slopes as `physics.gas` has them."""
    one = chamber(1e6, time=0.5)
    density = one.mass / ROOM
    slow, fast = (float(law(density, WALL)[1]) * density / 1e6 for law in (gas.isotherm, gas.isentrope))
    found, expected = swung(one, 2.0, 1e-3), slow + (fast - slow) * 1j / (1 + 1j)
    assert found.real == pytest.approx(expected.real, abs=3e-3)
    assert found.imag == pytest.approx(expected.imag, abs=3e-3)


def pushed(lasting: float, *, time: float = 4.0, count: int = 4000) -> tuple[Values, Values, Values]:
    """Return stroke, pressure and warmth of a chamber pushed in by 60 % of its volume."""
    one = chamber(GAUGE + SEA, time=time)
    stroke = values(0.6 * ROOM / AREA * (1 - np.cos(np.linspace(0, np.pi, count + 1))) / 2)
    found = driven([one], Port(), WALL, SEA, stroke, lasting / count)
    return stroke, found.pressure[0], found.warmth[0]


def test_a_very_fast_push_is_the_isentrope() -> None:
    stroke, pressure, warmth = pushed(1e-3)
    density = values(chamber(GAUGE + SEA).mass / (ROOM - AREA * stroke))
    hot = gas.isentropic_temperature(WALL, density[0], density)
    assert warmth == pytest.approx(hot, rel=2e-4)
    assert pressure == pytest.approx(gas.isentrope(density, hot)[0], rel=3e-4)


def test_a_very_slow_push_is_the_isotherm() -> None:
    stroke, pressure, _ = pushed(4e4)
    density = values(chamber(GAUGE + SEA).mass / (ROOM - AREA * stroke))
    assert pressure == pytest.approx(gas.pressure(density, WALL), rel=5e-4)


def test_there_and_back_at_once_leaves_nothing_and_slowly_leaves_heat() -> None:
    one = chamber(GAUGE + SEA)
    there = 0.5 * ROOM / AREA * (1 - np.cos(np.linspace(0, 2 * np.pi, 2001))) / 2
    quick, slower = (driven([one], Port(), WALL, SEA, values(there), step) for step in (1e-7, 1e-3))
    assert quick.warmth[0, -1] == pytest.approx(WALL, abs=0.01)
    assert slower.warmth[0, -1] < WALL - 5
    work = np.sum((slower.force[1:] + slower.force[:-1]) / 2 * np.diff(there))
    assert work > 1.0  # more was put in than came out


def both(ahead: float = 1.3) -> list[TimedChamber]:
    """Return two chambers at different pressures, thermally closed, whose volumes do not change at a port."""
    time = 1e9
    return [chamber(1e6 * ahead, time=time), chamber(1e6, area=-0.9e-3, room=40e-6, time=time)]


def held_open(chambers: list[TimedChamber], count: int, step: float = 1e-4) -> LiveAir:
    air = LiveAir(chambers, Port(0.010, 2e-3, 3e-6), WALL, SEA, 0.010, Floats())
    air.begin(step)
    for _ in range(count):
        air.moved_to(0.010)
    return air


def inside(air: LiveAir) -> float:
    """Return the energy of both chambers [J] at stroke 10 mm."""
    volumes = (ROOM - AREA * 0.010, 40e-6 + 0.9e-3 * 0.010)
    return sum(
        float(mass * gas.energy(warm, mass / volume))
        for mass, warm, volume in zip(air.mass, air.warmth, volumes, strict=True)
    )


def test_what_crosses_the_port_keeps_mass_and_energy_until_pressures_are_equal() -> None:
    chambers = both()
    start, air = held_open(chambers, 0), held_open(chambers, 4000)
    assert sum(air.mass) == pytest.approx(sum(one.mass for one in chambers), rel=1e-12)
    assert inside(air) == pytest.approx(inside(start), rel=1e-4)
    assert air.pressure[0] == pytest.approx(air.pressure[1], rel=1e-5)
    assert air.warmth[1] > WALL + 5  # the enthalpy of what came in
    assert air.warmth[0] < WALL


def test_chambers_do_not_overshoot_and_half_the_step_is_the_same_flow() -> None:
    chambers = both()
    for count in (1, 3, 10, 40):
        coarse, fine = held_open(chambers, count), held_open(chambers, 2 * count, 0.5e-4)
        assert coarse.pressure[0] >= coarse.pressure[1] * (1 - 1e-6)
        assert coarse.mass[1] == pytest.approx(fine.mass[1], rel=2e-3)


def test_a_choked_port_passes_the_flow_of_the_handbooks() -> None:
    """ṁ = 0.0404 A p/√T for air at γ = 1.4, kg/s with SI (any gas dynamics table; from memory)."""
    chambers = [chamber(10e5, room=1.0, time=1e9), chamber(1e5, area=-0.9e-3, room=1.0, time=1e9)]
    air = LiveAir(chambers, Port(0.010, 2e-3, 3e-6), WALL, SEA, 0.010, Floats())
    before = air.mass[0]
    air.begin(1e-3)
    air.moved_to(0.010)
    assert before - air.mass[0] == pytest.approx(0.0404 * 3e-6 * 10e5 / math.sqrt(WALL) * 1e-3, rel=0.01)


def test_past_the_port_each_chamber_keeps_its_air() -> None:
    air = LiveAir(both(), Port(0.010, 2e-3, 3e-6), WALL, SEA, 0.0, Floats())
    masses = air.mass.copy()
    air.begin(1e-3)
    for stroke in (0.003, 0.006, 0.0089):
        air.moved_to(stroke)
    assert air.mass == masses
    air.moved_to(0.0095)
    assert air.mass[0] < masses[0]


@pytest.mark.parametrize(("before", "after"), [(0.0085, 0.0092), (0.0118, 0.0108)])
def test_the_port_is_open_over_its_length_on_either_side(before: float, after: float) -> None:
    """Of 2 mm about 10 mm; between 9.3 and 10.7 mm it would be open with a third of them."""
    air = LiveAir(both(), Port(0.010, 2e-3, 3e-6), WALL, SEA, before, Floats())
    closed = air.mass.copy()
    air.begin(1e-3)
    air.moved_to(before)
    assert air.mass == closed
    air.moved_to(after)
    assert air.mass[0] < closed[0]


def test_an_equalised_spring_without_a_port_in_time_follows_its_fast_curve() -> None:
    """Out of 20 mm of stroke, where the air had settled, both chambers along their isentropes."""
    from dataclasses import replace

    charged = charge(replace(BARE_AIR, negative=EQUALISED), 1.2e6 + SEA, SHOP)
    assert charged.negative is not None
    timed = [
        TimedChamber(float(one.area), float(one.volume), float(one.mass), 1e9)
        for one in (charged.positive, charged.negative)
    ]
    stroke = values(np.linspace(0.020, 0.055, 801))
    found = driven(timed, Port(), WALL, SEA, stroke, 1e-4)
    out_of = AtRest(values(0.020), values(WALL))
    fast = charged.fast_force(stroke, charged.isentropes(out_of), Ambient(WALL, SEA))
    assert found.force == pytest.approx(fast.positive + fast.negative, rel=1e-3)
