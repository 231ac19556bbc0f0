"""The curve of a setup is its laws at even strokes, fast out of the sag point."""

from dataclasses import fields

import numpy as np
import pytest

from physics.arrays import NONE, values
from physics.bench import answer
from physics.leverage import leverage_curve
from physics.shock import shock_of, with_pressure
from physics.walk import POINTS, curve, even_strokes
from tests.physics.examples import LEVERAGES, SETUPS, SHOP, case_of


@pytest.mark.parametrize("leverage", LEVERAGES)
def test_even_in_stroke_with_the_travel_that_belongs_to_it(leverage: str) -> None:
    case = case_of(leverage=LEVERAGES[leverage])
    places = even_strokes(leverage_curve(case.frame))
    assert places.stroke == pytest.approx(np.linspace(0.0, 0.060, POINTS), abs=1e-12)
    assert places.wheel[[0, -1]] == pytest.approx([0.0, 0.150])
    assert np.all(np.diff(places.wheel) > 0)


@pytest.mark.parametrize("name", SETUPS)
def test_columns_agree_with_each_other(name: str) -> None:
    found = answer(case_of(SETUPS[name])).setups[0]
    drawn = found.curve
    # dw/dx = L, so shaft and wheel do the same work.
    ratio = np.gradient(drawn.wheel_travel, drawn.stroke)
    middle = slice(2, -2)
    assert drawn.shaft_force[middle] / drawn.wheel_force[middle] == pytest.approx(ratio[middle], rel=1e-4)
    at_sag = np.interp(found.sag.stroke, drawn.stroke, drawn.riding_shaft_force)
    assert at_sag == pytest.approx(float(found.sag.shaft_force), rel=2e-3)
    above = drawn.stroke < found.sag.stroke
    assert np.isnan(drawn.fast_shaft_force[above]).all()
    assert np.isfinite(drawn.fast_shaft_force[~above]).all()
    for name in ("shaft_force", "rate", "wheel_force", "wheel_rate"):
        slow, fast, ridden = (getattr(drawn, f"{kind}{name}") for kind in ("", "fast_", "riding_"))
        assert np.array_equal(ridden, np.where(above, slow, fast)), name
    if found.air is not None:
        assert drawn.fast_wheel_force[-1] > drawn.wheel_force[-1]
        area = drawn.positive[-1] / (found.air.peak_pressure - SHOP.pressure)
        fast_peak = drawn.fast_positive[-1] / area + SHOP.pressure
        assert fast_peak == pytest.approx(float(found.air.fast_peak_pressure), rel=1e-9)
    else:
        assert drawn.riding_shaft_force == pytest.approx(drawn.shaft_force)


def test_without_a_sag_point_there_is_no_fast_curve() -> None:
    lever = leverage_curve(case_of().frame)
    shock, places = shock_of(with_pressure(SETUPS["mechanical"], 15e5), lever, SHOP), even_strokes(lever)
    drawn = curve(shock, places, NONE)
    for field in fields(drawn):
        column = values(getattr(drawn, field.name))
        assert np.isnan(column).all() == field.name.startswith(("fast_", "riding_")), field.name
