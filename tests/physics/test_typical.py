"""Springs of every common size: they fit, they answer, and what they need is what a shop would pump."""

from __future__ import annotations

import math
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.air import positive_area
from physics.bench import answer
from physics.case import (
    Air,
    Case,
    Coil,
    EqualisedNegative,
    Fork,
    Frame,
    LeverageEnds,
    RiderAndBike,
    Setup,
    Target,
)
from physics.typical import (
    FORK_SIZES,
    MOST_SPACERS,
    SHOCK_SIZES,
    ForkSize,
    ShockSize,
    Size,
    shock_size,
    typical_air,
    typical_coil,
)
from tests.physics.examples import PSI, SEA, SHOP

LABEL = {ShockSize: 350 * PSI, ForkSize: 150 * PSI}
"""Common limits on labels [Pa gauge], from memory."""
RIDERS = (60.0, 80.0, 100.0)
LEVERAGES = (2.3, 2.5, 2.7)
"""Mean leverage of common frames. Common practice, no source."""
OF_ANY = {"pressurised", "preloaded_coil", "gas_not_typed", "bumper_not_typed", "legs_not_typed"}
"""Cautions that every solved spring has whose damper is not known."""


def shock_case(size: ShockSize, rider: float, leverage: float, *setups: Setup) -> Case:
    frame = Frame(leverage * size.stroke, size.stroke, LeverageEnds(1.12 * leverage, 0.88 * leverage))
    return Case(RiderAndBike(rider, 0.62, 15.0, 0.5, 4.2), frame, Target(0.30, "travel"), SHOP, setups)


def fork_case(size: ForkSize, rider: float, *setups: Setup) -> Case:
    angle = math.radians(65.0)
    frame = Frame(size.travel * math.sin(angle), size.travel, Fork(angle))
    return Case(RiderAndBike(rider, 0.38, 15.0, 0.5, 2.1), frame, Target(0.20, "travel"), SHOP, setups)


def cases(size: Size, *setups: Setup) -> list[Case]:
    if isinstance(size, ForkSize):
        return [fork_case(size, rider, *setups) for rider in RIDERS]
    return [shock_case(size, rider, leverage, *setups) for rider, leverage in product(RIDERS, LEVERAGES)]


@pytest.mark.fast_cases(5)
@pytest.mark.parametrize("size", [*SHOCK_SIZES, *FORK_SIZES], ids=str)
def test_every_size_answers_within_common_labels_and_without_a_fault(size: Size) -> None:
    air, coil = Setup("air", typical_air(size), 30.0), Setup("coil", typical_coil(size), 12.0)
    for case in cases(size, air, coil):
        blown, wound = answer(case).setups
        assert blown.state == wound.state == "ok"
        assert {caution.code for setup in (blown, wound) for caution in setup.cautions} <= OF_ANY
        assert blown.air is not None
        assert wound.coil is not None
        assert 20 * PSI < float(blown.air.set_pressure) - SEA < LABEL[type(size)]
        assert 2.0 <= float(blown.air.compression_ratio) <= 5.0
        assert float(blown.air.rest_stroke) == 0.0
        assert float(wound.coil.rate) > 0


@pytest.mark.parametrize("size", [*SHOCK_SIZES, *FORK_SIZES], ids=str)
def test_all_spacers_go_in_and_halve_the_room_left_at_full_stroke(size: Size) -> None:
    bare = typical_air(size)
    longest = size.travel if isinstance(size, ForkSize) else size.longest
    left = bare.positive_volume - float(positive_area(bare)) * longest
    taken = MOST_SPACERS * float(bare.positive_spacer_volume)
    assert taken == pytest.approx(left / 2)
    assert 2e-6 < float(bare.positive_spacer_volume) < 15e-6


def test_the_sizes_are_common_ones_each_once_and_the_longest_of_its_length_is_named() -> None:
    named = {(size.eye_to_eye, size.stroke) for size in SHOCK_SIZES}
    assert len(named) == len(SHOCK_SIZES)
    assert {(0.230, 0.065), (0.210, 0.055), (0.190, 0.045), (0.205, 0.065), (0.2159, 0.0635)} <= named
    for size in SHOCK_SIZES:
        alike = [one for one in SHOCK_SIZES if one.eye_to_eye == size.eye_to_eye]
        assert size.longest == max(one.stroke for one in alike)
        assert shock_size(size.eye_to_eye, size.stroke) == size
    assert [size.travel for size in FORK_SIZES] == sorted({size.travel for size in FORK_SIZES})


def test_a_shock_stopped_earlier_is_the_same_one_inside() -> None:
    assert typical_air(shock_size(0.230, 0.0575)) == typical_air(shock_size(0.230, 0.065))
    assert typical_coil(shock_size(0.230, 0.0575)) == typical_coil(shock_size(0.230, 0.065))


def test_a_trunnion_saves_an_eye_and_holds_the_same_air() -> None:
    eyes, trunnion = shock_size(0.230, 0.065), shock_size(0.205, 0.065)
    assert (eyes.trunnion, trunnion.trunnion) == (False, True)
    first, second = typical_air(eyes), typical_air(trunnion)
    assert second.positive_volume == pytest.approx(first.positive_volume)
    assert typical_coil(trunnion).free_length == pytest.approx(typical_coil(eyes).free_length)


def test_a_size_as_it_is_printed_is_the_common_one_inside() -> None:
    common = shock_size(0.2159, 0.0635)
    assert common in SHOCK_SIZES
    assert shock_size(8.5 * 0.0254, 2.5 * 0.0254).longest == pytest.approx(common.longest)
    printed = shock_size(0.200, 0.057)
    assert (printed.eye_to_eye, printed.stroke, printed.longest) == (0.200, 0.057, 0.0572)
    assert shock_size(0.230, 0.0605).longest == 0.065
    assert shock_size(0.220, 0.060) == ShockSize(0.220, 0.060, 0.060)
    assert shock_size(None, 0.065) == shock_size(0.230, 0.065)
    assert shock_size(0.200, 0.065) == ShockSize(0.200, 0.065, 0.065, trunnion=True)


def check_room(air: Air, coil: Coil, stroke: float) -> None:
    assert isinstance(air.negative, EqualisedNegative)
    assert 0 < float(air.rod) + float(air.body) < 2 * float(air.bore)
    assert float(air.positive_volume) > float(positive_area(air)) * stroke
    assert float(air.negative.volume) > 0
    assert 0 < float(air.negative.port) < stroke
    assert coil.free_length is not None
    assert coil.solid_length is not None
    assert coil.rated_stroke is not None
    assert coil.free_length - coil.solid_length - float(coil.preload) > coil.rated_stroke - 1e-9
    assert coil.rated_stroke > stroke + float(coil.preload)


@given(st.floats(0.030, 0.100), st.floats(2.6, 5.0))
def test_a_shock_of_any_size_has_chambers_and_room_for_its_stroke(stroke: float, times: float) -> None:
    size = shock_size(times * stroke, stroke)
    check_room(typical_air(size), typical_coil(size), size.stroke)
    assert 1.2 < ratio(typical_air(size), size.stroke) < 5.0


@given(st.floats(0.080, 0.250))
def test_a_fork_of_any_travel_has_chambers_and_room_for_it(travel: float) -> None:
    air = typical_air(ForkSize(travel))
    check_room(air, typical_coil(ForkSize(travel)), travel)
    assert air.rod == 0.0
    assert 2.0 < ratio(air, travel) < 5.0


def ratio(air: Air, stroke: float) -> float:
    full = float(air.positive_volume)
    return full / (full - float(positive_area(air)) * stroke)


def test_coils_are_ordered_in_steps_of_25_pounds_an_inch_and_those_of_forks_in_steps_of_5() -> None:
    """Common practice, no source."""
    assert typical_coil(shock_size(0.230, 0.065)).ladder_step == pytest.approx(25 * 175.12684, rel=1e-6)
    assert typical_coil(ForkSize(0.150)).ladder_step == pytest.approx(5 * 175.12684, rel=1e-6)
