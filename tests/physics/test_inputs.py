"""Every input is read, put in and swept over a span of its own."""

from dataclasses import replace

import numpy as np
import pytest

from physics.arrays import values
from physics.case import Case, LeverageEnds, MassCentre, ScaleReading
from physics.gas import standard_altitude, standard_pressure
from physics.inputs import BY_NAME, INPUTS, inputs_of
from physics.solve import solved_case
from tests.physics.examples import GAS, PSI, SEA, SETUPS, case_of, forks

EVERY = tuple(SETUPS.values())
MASS_CENTRE = MassCentre(100.0, 1.25, 0.70, 1.1, 0.0, "rear", 4.2)
CASES = {
    "rear": case_of(*EVERY, leverage=LeverageEnds(2.80, 2.25, 2.48)),
    "fork": forks(values(64.0)),
    "scale": replace(case_of(*EVERY), load=ScaleReading(60.0, 4.2)),
    "slope": replace(case_of(*EVERY), load=MASS_CENTRE),
}


def test_names_are_unique_and_all_of_them_occur() -> None:
    assert len(BY_NAME) == len(INPUTS)
    assert {one.name for case in CASES.values() for one in inputs_of(solved_case(case))} == set(BY_NAME)


@pytest.mark.parametrize("name", CASES)
def test_what_is_put_in_is_read_again(name: str) -> None:
    case = solved_case(CASES[name])
    for one in inputs_of(case):
        low, high = one.reach(case)
        assert low < high
        for number in (low, high):
            assert values(one.read(one.put(case, number)) or 0.0) == pytest.approx(number, abs=1e-6), one.name


@pytest.mark.parametrize("name", CASES)
def test_putting_back_what_stands_there_changes_nothing(name: str) -> None:
    case = solved_case(replace(CASES[name], setups=CASES[name].setups[:1]))
    for one in inputs_of(case):
        again = one.put(case, one.read(case) or 0.0)
        assert again.load == case.load
        assert float(values(again.frame.wheel_travel)) == pytest.approx(
            float(values(case.frame.wheel_travel))
        )
        assert float(values(again.shop.pressure)) == pytest.approx(SEA)


def test_gauge_readings_stay_when_the_shop_goes_up() -> None:
    case = case_of(SETUPS["separate"])
    high: Case = BY_NAME["altitude"].put(case, 2000.0)
    gone = SEA - float(standard_pressure(2000.0))
    pressure = BY_NAME["negative_pressure"].read(high)
    assert pressure == pytest.approx(150 * PSI + SEA - gone)
    assert high.setups[0].gas is not None
    assert high.setups[0].gas.pressure == pytest.approx(GAS.pressure - gone)


def test_a_head_angle_moves_the_wheel_and_not_the_fork() -> None:
    case = forks(values(64.0))
    steep = BY_NAME["head_angle"].put(case, np.radians(70.0))
    assert float(values(steep.frame.stroke)) == 0.150
    assert float(values(steep.frame.wheel_travel)) == pytest.approx(0.150 * np.sin(np.radians(70.0)))
    longer = BY_NAME["stroke"].put(case, 0.160)
    assert float(values(longer.frame.wheel_travel)) == pytest.approx(0.160 * np.sin(np.radians(64.0)))


def test_counts_are_whole_and_the_rest_is_even() -> None:
    assert list(BY_NAME["positive_spacers"].along(0, 3, 71)) == [0, 1, 2, 3]
    assert list(BY_NAME["rider_mass"].along(50, 60, 3)) == [50, 55, 60]


def test_a_span_of_what_is_not_there_is_refused() -> None:
    with pytest.raises(ValueError, match="head_angle"):
        replace(BY_NAME["head_angle"], share=True).reach(case_of(*EVERY))


def test_altitude_and_pressure_are_each_others_inverse() -> None:
    altitudes = values(np.linspace(-500.0, 9000.0, 39))
    assert standard_altitude(standard_pressure(altitudes)) == pytest.approx(altitudes, abs=1e-6)


def test_what_a_sweep_covers_where_nobody_says() -> None:
    """Assumed ranges: what is common on a bike, and a share of what stands there for hardware."""
    known = solved_case(CASES["rear"])

    def span(name: str) -> tuple[float, float]:
        return BY_NAME[name].reach(known)

    assert span("rider_mass") == (50.0, 120.0)
    assert span("sag") == (0.10, 0.40)
    assert span("temperature") == pytest.approx((258.15, 318.15))  # −15 to 45 °C
    assert span("altitude") == (0.0, 4000.0)
    assert span("start") == pytest.approx((0.9 * 2.80, 1.1 * 2.80))
    assert span("stroke") == pytest.approx((0.95 * 0.060, 1.05 * 0.060))
    assert span("bore") == pytest.approx((0.7 * 0.040, 1.3 * 0.040))
    assert (span("positive_spacers"), span("preload"), span("friction")) == (
        (0.0, 8.0),
        (0.0, 0.010),
        (0.0, 100.0),
    )
    fork = solved_case(CASES["fork"])
    assert np.degrees(BY_NAME["head_angle"].reach(fork)) == pytest.approx([60.0, 70.0])
    slope = BY_NAME["slope"].reach(solved_case(CASES["slope"]))
    assert np.degrees(slope) == pytest.approx([-20.0, 20.0])
    with pytest.raises(ValueError, match="scale_mass"):
        BY_NAME["scale_mass"].reach(known)
