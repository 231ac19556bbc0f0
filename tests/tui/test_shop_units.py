"""SI numbers in the three habits of a shop."""

import math

import numpy as np
import pytest

from physics.limits import PSI
from physics.units import Dimension, parse
from tui.shop_units import (
    ALL,
    IMPERIAL,
    KEY_UNITS,
    METRIC,
    USUAL,
    Measure,
    ShopUnits,
    following,
    gauge,
    keyed,
)


@pytest.mark.parametrize(
    ("measure", "si", "metric", "imperial", "usual"),
    [
        (Measure.MASS, 85.0, "85.0 kg", "187.4 lb", "85.0 kg"),
        (Measure.TRAVEL, 0.1524, "152.4 mm", "6.00 in", "152.4 mm"),
        (Measure.FORCE, 4.4482216152605, "4 N", "1 lbf", "4 N"),
        (Measure.SPRING_RATE, 500 * 175.126835246, "87.6 N/mm", "500 lbf/in", "500 lbf/in"),
        (Measure.WHEEL_RATE, 17512.6835246, "17.5 N/mm", "100.0 lbf/in", "17.5 N/mm"),
        (Measure.PRESSURE, 200 * 6894.757293168, "13.8 bar", "200 psi", "200 psi"),
        (Measure.VOLUME, 16.387064e-6, "16.4 cm3", "1.00 in3", "16.4 cm3"),
        (Measure.TEMPERATURE, 293.15, "20 degC", "68 degF", "20 degC"),
        (Measure.ENERGY, 1.3558179483314, "1 J", "1 ft lbf", "1 J"),
        (Measure.DAMPING, 900.0, "900 N s/m", "5.1 lbf s/in", "900 N s/m"),
        (Measure.SPEED, 7.0, "7.0 m/s", "15.7 mph", "7.0 m/s"),
        (Measure.SHAFT_SPEED, 0.3, "0.30 m/s", "11.8 in/s", "0.30 m/s"),
        (Measure.TIME, 1.25, "1.25 s", "1.25 s", "1.25 s"),
        (Measure.AREA, 3e-6, "3.0 mm2", "0.0047 in2", "3.0 mm2"),
        (Measure.FRACTION, 0.3, "30.0 %", "30.0 %", "30.0 %"),
        (Measure.RATIO, 2.805, "2.81", "2.81", "2.81"),
    ],
)
def test_each_habit_writes_its_unit(
    measure: Measure, si: float, metric: str, imperial: str, usual: str
) -> None:
    assert [units.show(si, measure) for units in (METRIC, IMPERIAL, USUAL)] == [metric, imperial, usual]


def test_what_does_not_exist_is_a_dash_and_nothing_is_minus_zero() -> None:
    assert USUAL.show(math.nan, Measure.FORCE) == USUAL.plain(math.inf, Measure.FORCE) == "-"
    assert USUAL.show(-0.001, Measure.FORCE) == "0 N"


def test_charts_get_the_same_numbers_as_text() -> None:
    for units in ALL:
        for measure in Measure:
            (scaled,) = units.scale(np.array([300.0]), measure)
            assert units.plain(300.0, measure) == f"{scaled:.{units.writings[measure].digits}f}"


def test_the_round_of_habits_comes_home() -> None:
    assert following(following(following(USUAL))) is USUAL
    assert len({following(units).name for units in ALL}) == 3


def test_gauge_is_what_is_left_above_the_surroundings() -> None:
    assert gauge(301325.0, 101325.0) == 200000.0


def test_a_key_of_the_json_ends_in_its_unit() -> None:
    found = keyed(a_mm=0.0425, a_n_per_mm=np.array([80e3, np.nan]), count=3, ok=True, none=None, at_s=2.5)
    assert found == {
        "a_mm": 42.5,
        "a_n_per_mm": [80.0, None],
        "count": 3,
        "ok": True,
        "none": None,
        "at_s": 2.5,
    }
    assert isinstance(found["count"], int)


@pytest.mark.parametrize(
    ("measure", "end", "units"),
    [(measure, end, units) for measure, ends in KEY_UNITS.items() for end, units in ends.items()],
)
def test_the_units_of_keys_are_those_of_the_shop(measure: Measure, end: str, units: ShopUnits) -> None:
    if measure is not Measure.TEMPERATURE:  # offsets are taken off before
        assert keyed(**{f"x{end}": 1.0})[f"x{end}"] == pytest.approx(units.scale(1.0, measure), rel=1e-12)


def test_a_pressure_that_is_typed_in_psi_is_the_same_number_in_the_json() -> None:
    typed, _ = parse("184 psi", Dimension.PRESSURE)
    assert typed == pytest.approx(184 * PSI, rel=1e-15)
    assert keyed(set_pressure_psi=184 * PSI) == {"set_pressure_psi": 184.0}
    assert USUAL.si(184.0, Measure.PRESSURE) == 184 * PSI


@pytest.mark.parametrize(("number", "told"), [(0.1, "0"), (0.1032, "+3.2"), (0.0968, "-3.2"), (np.nan, "")])
def test_a_difference_is_that_of_the_numbers_shown(number: float, told: str) -> None:
    assert METRIC.difference(number, 0.1, Measure.TRAVEL) == told
