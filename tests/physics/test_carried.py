"""The load from a sag that was measured: the bench's own sag, asked backwards."""

from dataclasses import replace
from typing import Literal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.bench import answer
from physics.carried import carried
from physics.case import Air, ScaleReading
from physics.faults import Unfit
from physics.solve import solved_case
from tests.physics.examples import LOAD, SETUPS, case_of

KINDS = [name for name in SETUPS if name != "none"]


@given(name=st.sampled_from(KINDS), share=st.floats(0.5, 0.75), of=st.sampled_from(["travel", "stroke"]))
def test_the_sag_of_a_rider_gives_the_rider_back(
    name: str, share: float, of: Literal["travel", "stroke"]
) -> None:
    set_up = solved_case(case_of(SETUPS[name]))
    truth = replace(set_up, load=replace(LOAD, rider_share=share))
    stood = answer(truth).setups[0]
    if stood.state != "ok":
        return
    target = replace(set_up.target, of=of)
    sag = float(stood.sag.wheel if of == "travel" else stood.sag.stroke)
    found = carried(replace(set_up, target=target), 0, sag)
    assert found.share == pytest.approx(share, rel=1e-6)
    assert found.load == pytest.approx(float(answer(truth).load.static_wheel_force), rel=1e-6)
    assert found.wheel == pytest.approx(float(stood.sag.wheel), rel=1e-6)
    assert found.entered == pytest.approx(float(answer(set_up).load.static_wheel_force))
    held = float(set_up.setups[0].friction) / float(stood.sag.ratio)
    assert (found.low, found.high) == pytest.approx((found.load - held, found.load + held))


@given(name=st.sampled_from(KINDS), rider=st.floats(60.0, 110.0))
def test_a_sag_read_at_once_gives_the_rider_back_too(name: str, rider: float) -> None:
    truth = replace(solved_case(case_of(SETUPS[name])), load=replace(LOAD, rider_mass=rider))
    stood = answer(truth).setups[0]
    if stood.state != "ok":
        return
    static = float(answer(truth).load.static_wheel_force)
    found = carried(truth, 0, float(stood.at_once.wheel))
    assert found.at_once == pytest.approx(static, rel=1e-6)
    if stood.kind == "coil":
        assert found.at_once == pytest.approx(found.load, rel=1e-12)
    else:
        assert found.load < static


def test_a_scale_would_show_what_is_found() -> None:
    case = replace(solved_case(case_of(SETUPS["equalised"])), load=ScaleReading(60.45, 4.2))
    sag = float(answer(case).setups[0].sag.wheel)
    found = carried(case, 0, sag)
    assert found.scale_mass == pytest.approx(60.45, rel=1e-6)
    assert np.isnan(found.share)


def test_friction_that_nobody_typed_is_not_none() -> None:
    coil = SETUPS["coil"]
    case = solved_case(case_of(coil, replace(coil, friction=0.0)))
    typed, untyped = (carried(case, index, 0.04) for index in (0, 1))
    assert (typed.friction_known, untyped.friction_known) == (True, False)
    assert (untyped.high - untyped.low) / (typed.high - typed.low) == pytest.approx(60.0 / 12.0)


def test_a_gauge_reading_stands_for_a_pressure_still_to_be_solved() -> None:
    asked = case_of(SETUPS["coil"], SETUPS["equalised"])
    typed = solved_case(asked)
    spring = typed.setups[1].spring
    assert isinstance(spring, Air)
    read = float(spring.pressure or 0.0) - float(asked.shop.pressure)
    found, known = carried(asked, 1, 0.04, read), carried(typed, 1, 0.04, read + 1e5)
    assert found.load == pytest.approx(known.load, rel=1e-12)
    assert found.gauge == read
    # A pressure that is typed is the one: no reading changes it.
    assert np.isnan(known.gauge)
    with pytest.raises(Unfit) as caught:
        carried(asked, 0, 0.04, read)
    assert caught.value.why.code == "no_rate"


def test_what_tells_no_load_is_refused() -> None:
    case = case_of(SETUPS["coil"], SETUPS["equalised"])
    solved = solved_case(case)
    for asked, index, sag, code in (
        (case, 0, 0.04, "no_rate"),
        (case, 1, 0.04, "no_pressure"),
        (solved, 0, 0.0, "no_sag"),
        (solved, 1, 0.151, "no_sag"),
    ):
        with pytest.raises(Unfit) as caught:
            carried(asked, index, sag)
        assert caught.value.why.code == code
