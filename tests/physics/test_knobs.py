"""What can be turned: between which ends, in which steps, and how a setting is written."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.arrays import values
from physics.case import Air, Coil, Setup
from physics.knobs import Bound, Grain, Hardware, Knob, every, hardware, most_preload
from physics.shock import air_of
from physics.solve import solved_case
from physics.stand import stand
from tests.physics.examples import EQUALISED, LBF_IN, PSI, SEA, SETUPS, TARGET, case_of

STEPS = Grain({"pressure": 2.0, "preload": 0.5e-3, "rate": 25.0}, {"pressure": 1.0})


def of(setup: Setup, *, volumes: bool = False) -> Hardware:
    case = solved_case(case_of(setup))
    return hardware(case.setups[0], stand(case), TARGET, volumes=volumes)


def ends(found: Hardware) -> dict[str, tuple[float, float]]:
    return {knob.name: (knob.low, knob.high) for knob in found.knobs}


def test_spacers_reach_from_none_to_what_leaves_air() -> None:
    # 105 cm³ less 6 cm³ each, and 60 mm of stroke on π/4 (40² − 9²) mm² take 71.6 cm³; 20 cm³ less 4 each.
    found = of(SETUPS["equalised"])
    assert ends(found) == {"positive_spacers": (0.0, 5.0), "negative_spacers": (0.0, 4.0)}
    assert all(knob.whole for knob in found.knobs)
    bare = replace(air_of(SETUPS["equalised"]), positive_spacer_volume=0.0)
    assert set(ends(of(replace(SETUPS["equalised"], spring=bare)))) == {"negative_spacers"}
    small = replace(air_of(SETUPS["none"]), positive_spacer_volume=1e-6)
    assert ends(of(replace(SETUPS["none"], spring=small))) == {"positive_spacers": (0.0, 8.0)}
    # More than are looked at stay where somebody has fitted them.
    many = replace(small, positive_spacers=11)
    assert ends(of(replace(SETUPS["none"], spring=many))) == {"positive_spacers": (0.0, 11.0)}


def test_chambers_to_be_had_reach_as_far_as_assumed() -> None:
    found = ends(of(SETUPS["equalised"], volumes=True))
    assert found["positive_volume"] == pytest.approx((0.7 * 105e-6, 1.3 * 105e-6))
    assert found["negative_volume"] == pytest.approx((0.3 * 20e-6, 2.0 * 20e-6))
    assert found["port"] == pytest.approx((0.02 * 0.060, 0.35 * 0.060))
    spring = replace(air_of(SETUPS["equalised"]), negative=replace(EQUALISED, port=0.025))
    late = ends(of(replace(SETUPS["equalised"], spring=spring), volumes=True))
    assert late["port"] == (0.0012, 0.025)


def test_a_valve_reaches_from_no_gauge_pressure_to_the_label_or_common_pumps() -> None:
    assert ends(of(SETUPS["separate"]))["negative_pressure"] == pytest.approx((SEA, 400 * PSI + SEA))
    label = replace(air_of(SETUPS["separate"]), max_pressure=250 * PSI + SEA)
    assert ends(of(replace(SETUPS["separate"], spring=label)))["negative_pressure"][1] == 250 * PSI + SEA


def test_a_coil_reaches_from_all_preload_to_none() -> None:
    found = of(SETUPS["coil"])
    (low, high) = ends(found)["rate"]
    bike = stand(case_of(SETUPS["coil"]))
    there = bike.lever.at(values([0.30 * 0.150]))
    force = float(bike.load.static_wheel_force * there.ratio[0])
    assert high == pytest.approx(force / float(there.stroke[0]))
    # Four millimetres where neither pitch nor turns are known, else the maker's turns.
    assert low == pytest.approx(force / (float(there.stroke[0]) + 0.004))
    coil = Coil(80e3, 0.0, 25 * LBF_IN, thread_pitch=0.0015, max_preload_turns=2.0)
    assert most_preload(coil) == pytest.approx(0.003)
    assert most_preload(replace(coil, max_preload_turns=None)) == 0.004


def test_where_a_knob_stands_is_held_within_its_ends() -> None:
    setup = SETUPS["equalised"]
    assert Knob("positive_spacers", 0.0, 5.0).now(setup) == 1.0
    assert Knob("positive_spacers", 2.0, 5.0).now(setup) == 2.0
    assert Knob("pressure", 1e5, 3e5).now(setup) == 2e5  # still to be solved: the middle
    assert of(setup).now().tolist() == [[1.0], [0.0]]


@given(st.floats(-50.0, 50.0))
def test_written_numbers_are_whole_steps_from_where_they_count(number: float) -> None:
    near, below = STEPS.nearest("pressure", number), STEPS.below("pressure", number)
    for written in (near, below):
        assert (float(written) - 1.0) % 2.0 == pytest.approx(0.0, abs=1e-9)
    assert abs(float(near) - number) <= 1.0 + 1e-9
    assert -1e-5 <= number - float(below) < 2.0


def test_numbers_beside_one_are_within_the_ends_nearest_first() -> None:
    assert STEPS.beside("rate", 110.0, 0.0, 1e3).tolist() == [100.0, 125.0, 75.0, 150.0]
    assert STEPS.beside("rate", 110.0, 100.0, 125.0).tolist() == [100.0, 125.0]
    assert STEPS.beside("rate", 110.0, 101.0, 124.0).tolist() == [110.0]
    # A hair below a step counts as that step, and the ends themselves are within.
    assert STEPS.below("rate", 100.0 - 1e-6).tolist() == 100.0
    assert STEPS.below("rate", 100.0 - 1e-3).tolist() == 75.0
    assert STEPS.beside("rate", 99.0, 75.0, 100.0).tolist() == [100.0, 75.0]


def test_what_leaves_no_air_is_not_possible() -> None:
    found = of(SETUPS["equalised"])
    numbers = values([[0.0, 5.0, 6.0, 5.0], [0.0, 4.0, 0.0, 5.0]])
    assert found.possible(numbers).tolist() == [True, True, False, False]
    assert of(SETUPS["coil"]).possible(values([[80e3, 90e3]])).tolist() == [True, True]


def test_a_setting_at_an_end_says_which() -> None:
    found = of(SETUPS["equalised"])
    on = {
        bound.name: bound.on for bound in found.bounds(found.picked(found.at_sag(values([[0.0], [4.0]])), 0))
    }
    assert (on["positive_spacers"], on["negative_spacers"], on["pressure"]) == ("low", "high", "")
    inside = found.picked(found.at_sag(values([[2.0], [1.0]])), 0)
    assert {bound.on for bound in found.bounds(inside)} == {""}
    # What is written counts as at the end within half a step of it.
    coil = of(SETUPS["coil"])

    def bound(preload: float, grain: Grain | None) -> Bound:
        spring = Coil(80e3, preload, 25 * LBF_IN)
        return coil.bounds(replace(SETUPS["coil"], spring=spring), grain)[0]

    assert (bound(0.0002, None).on, bound(0.0002, STEPS).on, bound(0.0003, STEPS).on) == ("", "low", "")
    assert (bound(0.0038, None).on, bound(0.0038, STEPS).on, bound(0.0037, STEPS).on) == ("", "high", "")
    assert (bound(0.0038, STEPS).low, bound(0.0038, STEPS).high) == (0.0, 0.004)


def test_settings_written_have_the_sag_to_within_a_step() -> None:
    grain = Grain({"pressure": 1 * PSI, "positive_spacers": 1.0, "negative_spacers": 1.0}, {"pressure": SEA})
    found = of(SETUPS["equalised"])
    exact = found.at_sag(values([[1.0], [0.0]])).spring
    written = found.written(values([1.0, 0.0]), grain).spring
    assert isinstance(exact, Air)
    assert isinstance(written, Air)
    assert exact.pressure is not None
    assert written.pressure is not None
    steps = (values(written.pressure) - SEA) / PSI
    assert steps == pytest.approx(np.round(steps), abs=1e-9)
    off = values(written.pressure) - float(values(exact.pressure)[0])
    assert np.all(np.abs(off) <= PSI)
    assert np.all(off[1:] <= 0)
    assert abs(off[0]) <= PSI / 2


def test_every_combination_the_last_axis_fastest() -> None:
    assert every([]).shape == (0, 1)
    assert every([values([1.0, 2.0]), values([3.0])]).tolist() == [[1.0, 2.0], [3.0, 3.0]]
