"""Each caution comes up where it belongs and only there, with the values its code promises."""

from dataclasses import replace

import numpy as np
import pytest

from physics.answer import Answer
from physics.arrays import values
from physics.bench import answer
from physics.case import (
    Air,
    Ambient,
    Bumper,
    Case,
    Coil,
    Fork,
    Frame,
    GasCharge,
    LeverageEnds,
    LowerLegs,
    Measured,
    Setup,
    Table,
    Wire,
)
from physics.faults import CAUTIONS, Caution
from physics.linkage import eye_to_eye, move
from physics.offered import highest_pressure
from tests.physics.examples import (
    BARE_AIR,
    EQUALISED,
    GAS,
    LEVERAGES,
    LOAD,
    PSI,
    SEA,
    SEPARATE,
    SETUPS,
    case_of,
)
from tests.physics.linkages import SINGLE

COIL = Coil(None, 0.001, 4378.0)
WIRE = Wire("chrome_silicon", 0.0090, 0.0450, 8.9, 10.9, "closed_ground", 2)
AIRED = replace(BARE_AIR, negative=EQUALISED)


def cautions(found: Answer) -> dict[str, Caution]:
    return {caution.code: caution for caution in (*found.setups[0].cautions, *found.cautions)}


def of(setup: Setup) -> dict[str, Caution]:
    return cautions(answer(case_of(setup)))


def coil(spring: Coil = COIL) -> Setup:
    return Setup("coil", spring)


def air(spring: Air) -> Setup:
    return Setup("air", spring)


def falling() -> Case:
    travel = values([0.0, 0.030, 0.060, 0.075, 0.090, 0.150])
    table = Table(travel, values([2.2, 2.2, 2.2, 2.9, 2.9, 2.9]))
    return case_of(coil(replace(COIL, preload=0.010)), leverage=table)


def short_pairs() -> Case:
    pairs = LEVERAGES["measured"]
    assert isinstance(pairs, Measured)
    return case_of(coil(), leverage=Measured(pairs.travel[:6], pairs.stroke[:6]))


def drawn_with(eyes: float) -> Case:
    """Return a case whose linkage was drawn with a shock that many times as long as the typed one."""
    full = float(move(SINGLE, 0.060).wheel[-1])
    return replace(case_of(coil()), frame=Frame(full, 0.060, SINGLE, eye_to_eye(SINGLE) / eyes))


def slipped_pairs() -> Case:
    pairs = LEVERAGES["measured"]
    assert isinstance(pairs, Measured)
    slip = values([0.0, 0.0, 0.0, 0.002, 0.0, 0.0, 0.0])
    return case_of(coil(), leverage=Measured(pairs.travel, pairs.stroke + slip))


def pairs_with(last: float) -> Case:
    """Return a case whose last pair has that much [m] more stroke than was measured."""
    pairs = LEVERAGES["measured"]
    assert isinstance(pairs, Measured)
    more = np.zeros(len(pairs.stroke))
    more[-1] = last
    return case_of(coil(), leverage=Measured(pairs.travel, values(pairs.stroke + more)))


def on_eyes(free_length: float) -> Case:
    """Return a case with a coil of that free length [m], preloaded by 1 mm, on a shock of 230 mm."""
    case = case_of(coil(replace(COIL, preload=0.001, free_length=free_length)))
    return replace(case, frame=replace(case.frame, eye_to_eye=0.230))


FORKED = replace(
    case_of(coil()), frame=Frame(0.160, 0.160, Fork(np.pi / 2)), load=replace(LOAD, rider_share=0.38)
)
UP: dict[str, Case] = {
    "closure": case_of(coil()),
    "pairs_stop_short": short_pairs(),
    "odd_pair": slipped_pairs(),
    "pair_beyond": pairs_with(last=0.0025),
    "eyes_differ": drawn_with(1.03),
    "topped_out": case_of(coil(replace(COIL, rate=200e3, preload=0.020))),
    "bottomed_out": case_of(coil(replace(COIL, rate=10e3))),
    "unsolved": case_of(air(replace(BARE_AIR, bore=0.010, rod=0.0, positive_volume=30e-6))),
    "falling_force": falling(),
    "bumper_at_sag": case_of(replace(coil(), bumper=Bumper(0.050, 1800.0))),
    "port_past_sag": case_of(air(replace(AIRED, negative=replace(EQUALISED, port=0.020)))),
    "preloaded_coil": case_of(coil()),
    "no_preload": case_of(coil(replace(COIL, preload=0.0))),
    "coil_bind": case_of(coil(replace(COIL, free_length=0.130, solid_length=0.070))),
    "rated_stroke": case_of(coil(replace(COIL, rated_stroke=0.060))),
    "preload_turns": case_of(coil(replace(COIL, preload=0.004, thread_pitch=0.001, max_preload_turns=3.0))),
    "too_long_for_shock": on_eyes(0.2315),
    "wire_stress": case_of(coil(replace(COIL, wire=replace(WIRE, active_coils=5.0, total_coils=7.0)))),
    "wire_not_set": case_of(coil(replace(COIL, wire=WIRE))),
    "wire_rate": case_of(coil(replace(COIL, rate=120e3, wire=WIRE))),
    "buckling": case_of(coil(replace(COIL, free_length=0.250, wire=WIRE))),
    "surge": case_of(coil(replace(COIL, wire=replace(WIRE, total_coils=30.0, active_coils=28.0)))),
    "pressurised": case_of(air(AIRED)),
    "no_pressure": case_of(air(replace(BARE_AIR, bore=0.010, rod=0.0, positive_volume=30e-6))),
    "beyond_pumps": case_of(air(replace(BARE_AIR, bore=0.020, rod=0.0))),
    "over_label": case_of(air(replace(AIRED, max_pressure=200 * PSI + SEA))),
    "negative_over_label": case_of(air(replace(BARE_AIR, negative=SEPARATE, max_pressure=140 * PSI + SEA))),
    "single_fill_over_label": case_of(air(replace(AIRED, max_pressure=260 * PSI + SEA))),
    "never_holds": case_of(air(replace(AIRED, negative=replace(EQUALISED, volume=2500e-6)))),
    "drawn_in": case_of(
        air(
            replace(
                BARE_AIR,
                pressure=150 * PSI + SEA,
                body=0.012,
                negative=replace(EQUALISED, volume=8e-6, port=0.016),
            )
        )
    ),
    "gas_range": replace(case_of(air(AIRED)), shop=Ambient(250.0, SEA)),
    "sag_gas_range": case_of(air(replace(BARE_AIR, bore=0.012, rod=0.0, positive_volume=20e-6))),
    "gas_not_typed": case_of(coil()),
    "bumper_not_typed": case_of(air(AIRED)),
    "legs_not_typed": FORKED,
}
QUIET: dict[str, Case] = {
    "wire_stress": case_of(coil(replace(COIL, wire=WIRE))),
    "wire_not_set": case_of(coil(replace(COIL, wire=replace(WIRE, active_coils=14.0, total_coils=16.0)))),
    "wire_rate": case_of(coil(replace(COIL, rate=80e3, wire=WIRE))),
    "buckling": case_of(coil(replace(COIL, free_length=0.170, wire=WIRE))),
    "surge": case_of(coil(replace(COIL, wire=WIRE))),
    "closure": case_of(coil(), leverage=LeverageEnds(2.80, 2.25, 2.495)),
    "pairs_stop_short": case_of(coil(), leverage=LEVERAGES["measured"]),
    "eyes_differ": drawn_with(1.009),
    "pair_beyond": pairs_with(last=0.0005),
    "bumper_at_sag": case_of(SETUPS["coil with gas and bumper"]),
    "port_past_sag": case_of(air(AIRED)),
    "no_preload": case_of(coil()),
    "coil_bind": case_of(coil(replace(COIL, free_length=0.140, solid_length=0.070))),
    "rated_stroke": case_of(coil(replace(COIL, rated_stroke=0.062))),
    "preload_turns": case_of(coil(replace(COIL, preload=0.002, thread_pitch=0.001, max_preload_turns=3.0))),
    "too_long_for_shock": on_eyes(0.2305),
    "over_label": case_of(air(replace(AIRED, max_pressure=300 * PSI + SEA))),
    "single_fill_over_label": case_of(air(replace(AIRED, max_pressure=400 * PSI + SEA))),
    "never_holds": case_of(air(AIRED)),
    "drawn_in": case_of(air(AIRED)),
    "no_pressure": case_of(air(AIRED)),
    "beyond_pumps": case_of(air(AIRED)),
    "gas_range": case_of(air(replace(BARE_AIR, positive_spacers=0.0))),
    "sag_gas_range": case_of(air(AIRED)),
    "falling_force": case_of(coil()),
    "target_missed": case_of(coil()),
    "gas_not_typed": case_of(replace(coil(), gas=GAS)),
    "bumper_not_typed": case_of(replace(air(AIRED), lacks=("bumper",))),
    "legs_not_typed": replace(FORKED, setups=(replace(coil(), lower_legs=LowerLegs(230e-6, 0.035)),)),
}


@pytest.mark.parametrize("code", UP)
def test_comes_up_with_its_values(code: str) -> None:
    found = cautions(answer(UP[code]))
    assert code in found
    assert set(found[code].values) == set(CAUTIONS[code])


@pytest.mark.parametrize("code", QUIET)
def test_stays_away(code: str) -> None:
    assert code not in cautions(answer(QUIET[code]))


def test_every_listed_caution_is_shown_here() -> None:
    assert set(UP) | {"target_missed"} == set(CAUTIONS)


@pytest.mark.parametrize(("psi", "told"), [(199, False), (201, True), (390, True)])
def test_a_fork_is_beyond_common_labels_at_half_the_pressure_of_a_shock(psi: int, told: bool) -> None:
    spring = replace(BARE_AIR, pressure=psi * PSI + SEA, max_pressure=None)
    long = air(replace(spring, positive_volume=400e-6))
    fork, shock = replace(FORKED, setups=(long,)), case_of(air(spring))
    assert ("beyond_pumps" in {one.code for one in answer(fork).setups[0].cautions}) == told
    assert "beyond_pumps" not in {one.code for one in answer(shock).setups[0].cautions}
    assert highest_pressure(spring, fork) == pytest.approx(200 * PSI + SEA)
    assert highest_pressure(spring, shock) == pytest.approx(400 * PSI + SEA)


def test_a_target_beyond_a_hump_is_missed_and_says_where_it_went() -> None:
    # Solved for a point that the wheel force passes a second time: it settles at the first.
    case = falling()
    case = replace(case, target=replace(case.target, sag=0.505))
    found = answer(case).setups[0]
    missed = cautions(answer(case))["target_missed"]
    assert missed.values["asked"] == 0.505
    assert missed.values["found"] == pytest.approx(float(found.sag.wheel_fraction))
    assert found.sag.wheel_fraction < 0.5
    assert set(missed.values) == set(CAUTIONS["target_missed"])


@pytest.mark.parametrize(("ratio", "falls"), [(2.6, False), (2.7, True)])
def test_force_that_falls_only_when_air_is_moved_slowly_is_no_drop_through(ratio: float, falls: bool) -> None:
    travel = values([0.0, 0.030, 0.060, 0.075, 0.090, 0.150])
    table = Table(travel, values([2.2, 2.2, 2.2, ratio, ratio, ratio]))
    answered = answer(case_of(air(AIRED), leverage=table))
    found = answered.setups[0]
    assert found.figures.softest_wheel_rate < 0
    assert (found.riding.softest_wheel_rate < 0) == falls
    assert ("falling_force" in cautions(answered)) == falls
    if falls:
        at = cautions(answered)["falling_force"].values["wheel"]
        assert at == pytest.approx(float(found.riding.softest_at_wheel))


def test_values_are_the_numbers_of_the_answer() -> None:
    found = answer(UP["drawn_in"]).setups[0]
    assert found.air is not None
    drawn = cautions(answer(UP["drawn_in"]))["drawn_in"]
    assert drawn.values["rest_stroke"] == pytest.approx(float(found.air.rest_stroke))
    assert drawn.values["rest_pressure"] > float(found.air.set_pressure)
    over = of(air(replace(AIRED, max_pressure=200 * PSI + SEA)))["over_label"]
    assert over.values["limit"] == pytest.approx(200 * PSI + SEA)
    assert over.values["pressure"] > over.values["limit"]


NOT_TYPED = {"gas_not_typed", "bumper_not_typed", "legs_not_typed"}
BARE: dict[str, Case] = {"coil": case_of(coil()), "air": case_of(air(AIRED)), "fork": FORKED}


@pytest.mark.parametrize("name", BARE)
def test_what_is_not_typed_comes_last_and_only_where_such_a_thing_can_be(name: str) -> None:
    codes = [caution.code for caution in answer(BARE[name]).setups[0].cautions]
    told = [code for code in codes if code in NOT_TYPED]
    assert told == (["legs_not_typed"] if name == "fork" else ["gas_not_typed", "bumper_not_typed"])
    assert codes[-len(told) :] == told
    assert codes[0] in {"preloaded_coil", "pressurised"}


@pytest.mark.parametrize("name", BARE)
def test_what_is_known_to_be_missing_needs_no_caution_and_changes_nothing(name: str) -> None:
    case = BARE[name]
    without = replace(case.setups[0], lacks=("gas", "bumper", "lower_legs"))
    found, bare = answer(replace(case, setups=(without,))).setups[0], answer(case).setups[0]
    assert not NOT_TYPED & {caution.code for caution in found.cautions}
    assert found.curve.shaft_force == pytest.approx(bare.curve.shaft_force)


def test_the_size_of_what_is_not_typed_is_what_typing_it_changes() -> None:
    # A charge in a large chamber pushes alike all the way: the solved rate falls by the share told.
    bare = answer(BARE["coil"]).setups[0]
    told = of(coil())["gas_not_typed"].values
    assert told["push"] == pytest.approx(174.7, abs=0.1)
    typed = answer(case_of(replace(coil(), gas=GasCharge(told["charge"], 1.0, told["rod"])))).setups[0]
    assert bare.coil is not None
    assert typed.coil is not None
    assert float(typed.coil.rate / bare.coil.rate) == pytest.approx(1 - told["share"], rel=1e-5)

    told = of(coil())["bumper_not_typed"].values
    typed = answer(case_of(replace(coil(), bumper=Bumper(told["length"], told["push"])))).setups[0]
    added = float(typed.curve.shaft_force[-1] / bare.curve.shaft_force[-1]) - 1
    assert added == pytest.approx(told["share"], rel=1e-6)

    # Of air the force of a hard hit is higher, and the bumper adds less of it.
    (spring,) = BARE["air"].setups
    bare = answer(BARE["air"]).setups[0]
    told = of(spring)["bumper_not_typed"].values
    bumper = Bumper(told["length"], told["push"])
    typed = answer(case_of(replace(bare.setup, bumper=bumper))).setups[0]
    slow = float(typed.curve.shaft_force[-1] / bare.curve.shaft_force[-1])
    fast = float(typed.figures.fast_bottom_shaft / bare.figures.fast_bottom_shaft)
    assert slow - 1 == pytest.approx(told["share"], rel=1e-6)
    assert fast - 1 == pytest.approx(told["fast_share"], rel=1e-6)
    assert told["fast_share"] < told["share"]

    told = cautions(answer(FORKED))["legs_not_typed"].values
    assert told["push"] == pytest.approx(394, abs=1.5)
    assert told["volume"] == pytest.approx(230e-6)
    assert told["stanchion"] == 0.035
    plain = answer(FORKED).setups[0].setup
    legs = replace(plain, lower_legs=LowerLegs(230e-6, 0.035))
    ends = [
        float(answer(replace(FORKED, setups=(setup,))).setups[0].curve.shaft_force[-1])
        for setup in (plain, legs)
    ]
    assert ends[1] - ends[0] == pytest.approx(told["push"], rel=1e-6)
    assert told["share"] == pytest.approx(ends[1] / ends[0] - 1, rel=1e-6)


def test_an_air_shock_has_its_own_rod_and_a_long_fork_more_room() -> None:
    told = of(air(AIRED))["gas_not_typed"].values
    assert told["rod"] == AIRED.rod
    assert told["push"] == pytest.approx(np.pi / 4 * AIRED.rod**2 * 200 * PSI)
    longer = replace(FORKED, frame=Frame(0.200, 0.200, Fork(np.pi / 2)))
    room = cautions(answer(longer))["legs_not_typed"].values
    assert room["volume"] == pytest.approx(230e-6 * 200 / 160)


@pytest.mark.parametrize("code", ["topped_out", "bottomed_out"])
def test_a_shock_that_does_not_settle_still_tells_the_size_at_the_target(code: str) -> None:
    told = cautions(answer(UP[code]))
    assert told[code].values == {}
    assert 0.05 < told["gas_not_typed"].values["share"] < 0.3


@pytest.mark.parametrize(("kelvin", "warned"), [(254.0, True), (256.0, False), (344.0, False), (346.0, True)])
def test_air_colder_or_warmer_than_the_gas_law_was_checked_at_is_named(kelvin: float, warned: bool) -> None:
    spring = replace(AIRED, pressure=150 * PSI + SEA)
    found = cautions(answer(replace(case_of(air(spring)), shop=Ambient(kelvin, SEA))))
    assert ("gas_range" in found) == warned


def test_a_shock_drawn_more_than_one_per_cent_off_is_named() -> None:
    for eyes, warned in ((1.012, True), (0.988, True), (1.008, False), (0.992, False)):
        assert ("eyes_differ" in cautions(answer(drawn_with(eyes)))) == warned
