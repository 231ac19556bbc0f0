"""Every fault of a case at once, each with its place and the values its code promises."""

from dataclasses import replace

import numpy as np
import pytest

from physics.arrays import values
from physics.bench import answer
from physics.case import (
    Bumper,
    Case,
    Coil,
    Fork,
    Frame,
    GasCharge,
    LeverageEnds,
    LowerLegs,
    MassCentre,
    Measured,
    RiderAndBike,
    ScaleReading,
    Setup,
    Table,
    Wire,
)
from physics.faults import FAULTS, Fault, Refused
from physics.limits import STANDARD_GRAVITY
from physics.stand import axle_share, stand, wheel_load
from tests.physics.examples import BARE_AIR, EQUALISED, LEVERAGES, SETUPS, case_of
from tests.physics.linkages_broken import BROKEN

COIL = Coil(None, 0.001, 4378.0)
SMALL = Setup("small", replace(BARE_AIR, positive_volume=60e-6))
ROWS = ("frame", "leverage", "travel_mm")


def table(travel: list[float]) -> Table:
    return Table(values(travel), values(np.linspace(2.8, 2.25, len(travel))))


def pairs(travel: list[float], stroke: list[float]) -> Measured:
    return Measured(values(travel), values(stroke))


def wired(diameter: float = 0.009, active: float = 8.0, total: float = 10.0) -> Case:
    wire = Wire("chrome_silicon", diameter, 0.045, active, total, "closed_ground", 2)
    return case_of(Setup("c", replace(COIL, free_length=0.160, wire=wire)))


BAD: list[tuple[tuple[str | int, ...], str, Case]] = [
    (
        ("load", "unsprung_mass"),
        "nothing_left",
        replace(case_of(Setup("coil", COIL)), load=ScaleReading(4.0, 4.2)),
    ),
    (("frame", "stroke"), "does_not_close", case_of(leverage=LeverageEnds(3.2, 2.6))),
    (("frame", "leverage"), "ratio_not_positive", case_of(leverage=LeverageEnds(2.8, -0.1))),
    (("frame", "leverage"), "ratio_not_positive", case_of(leverage=Fork(-1.1))),
    (ROWS, "not_increasing", case_of(leverage=table([0.0, 0.08, 0.08, 0.15]))),
    (ROWS, "not_covered", case_of(leverage=table([0.0, 0.07, 0.14]))),
    (ROWS, "not_covered", case_of(leverage=table([0.01, 0.07, 0.15]))),
    (ROWS, "too_few_pairs", case_of(leverage=pairs([0.05, 0.1, 0.15], [0.018, 0.038, 0.06]))),
    (ROWS, "too_few_pairs", case_of(leverage=pairs([0.15] * 7, [0.06] * 7))),
    (ROWS, "too_few_pairs", case_of(leverage=pairs([0.0] * 4, [0.0] * 4))),
    (ROWS, "pairs_end", case_of(leverage=pairs([0.0, 0.02, 0.04, 0.06], [0.0, 0.009, 0.018, 0.027]))),
    (ROWS, "pairs_end", case_of(leverage=pairs([0.0, 0.02, 0.04, 0.06], [0.0, 0.011, 0.0195, 0.026]))),
    (
        ROWS,
        "stroke_turns_back",
        case_of(leverage=pairs([0.02, 0.05, 0.1, 0.15], [0.02, 0.04, 0.05, 0.04])),
    ),
    (
        ("setup", 0, "positive_volume"),
        "chamber_used_up",
        case_of(Setup("a", replace(BARE_AIR, positive_volume=60e-6))),
    ),
    (("setup", 0, "rod"), "wider_than_bore", case_of(Setup("a", replace(BARE_AIR, rod=0.041)))),
    (
        ("setup", 0, "negative_volume"),
        "chamber_used_up",
        case_of(Setup("a", replace(BARE_AIR, negative=replace(EQUALISED, spacers=5.0)))),
    ),
    (
        ("setup", 0, "port"),
        "longer_than_stroke",
        case_of(Setup("a", replace(BARE_AIR, negative=replace(EQUALISED, port=0.07)))),
    ),
    (
        ("setup", 0, "gas_volume"),
        "gas_used_up",
        case_of(Setup("c", COIL, gas=GasCharge(15e5, 3e-6, 0.009))),
    ),
    (
        ("setup", 0, "bumper_length"),
        "longer_than_stroke",
        case_of(Setup("c", COIL, bumper=Bumper(0.07, 1800.0))),
    ),
    (
        ("setup", 0, "lower_leg_volume"),
        "legs_used_up",
        case_of(Setup("c", COIL, lower_legs=LowerLegs(55e-6, 0.035))),
    ),
    (("setup", 0, "wire_diameter"), "no_hole", wired(0.050, active=2.5, total=3.0)),
    (("setup", 0, "total_coils"), "no_working_coils", wired(active=-0.5, total=1.5)),
    (("setup", 0, "total_coils"), "fewer_than_working", wired(active=11.0)),
    (("setup", 0, "free_length"), "below_solid", wired(total=20.0)),
    (("setup", 0, "preload"), "negative_preload", case_of(Setup("c", replace(COIL, preload=-0.001)))),
    (
        ("setup", 0, "stages", "compression_mm"),
        "not_increasing",
        case_of(Setup("c", replace(COIL, stage_start=values([0.0, 0.0]), stage_rate=values([80e3, 90e3])))),
    ),
]


def faults_of(case: Case) -> tuple[Fault, ...]:
    with pytest.raises(Refused) as refusal:
        answer(case)
    return refusal.value.faults


@pytest.mark.parametrize(("field", "code", "case"), BAD)
def test_a_fault_has_its_place_and_its_values(field: tuple[str | int, ...], code: str, case: Case) -> None:
    (fault,) = faults_of(case)
    assert (fault.field, fault.code) == (field, code)
    assert set(fault.values) <= set(FAULTS[code])
    assert all(np.isfinite(number) for number in fault.values.values())


def test_every_listed_fault_is_shown_here() -> None:
    assert {code for _, code, _ in BAD} | {broken.code for broken in BROKEN} == set(FAULTS)


def test_all_of_them_at_once() -> None:
    thick = Setup("a", replace(BARE_AIR, rod=0.041))
    setups = (Setup("c", replace(COIL, preload=-0.001)), thick, SMALL)
    frame = Frame(0.150, 0.050, LEVERAGES["ends"])
    case = replace(case_of(*setups), load=ScaleReading(4.0, 4.2), frame=frame)
    assert [fault.field for fault in faults_of(case)] == [
        ("load", "unsprung_mass"),
        ("frame", "stroke"),
        ("setup", 0, "preload"),
        ("setup", 1, "rod"),
        ("setup", 2, "positive_volume"),
    ]


def test_a_sound_case_stands() -> None:
    case = case_of(*SETUPS.values())
    found = stand(case)
    assert found.case is case
    assert found.load.static_wheel_force == pytest.approx(551.62406, rel=1e-7)
    assert found.lever.stroke == 0.060


def test_rider_and_bike_of_the_worked_case() -> None:
    load = wheel_load(RiderAndBike(85.0, 0.62, 15.5, 0.5, 4.2))
    assert load.static_wheel_force == pytest.approx(551.62406, rel=1e-7)


def test_scale_reading_replaces_the_bracket() -> None:
    by_scale = wheel_load(ScaleReading(60.45, 4.2))
    by_share = wheel_load(RiderAndBike(85.0, 0.62, 15.5, 0.5, 4.2))
    assert by_scale.static_wheel_force == pytest.approx(by_share.static_wheel_force)


def test_shares_on_a_slope_add_up_to_its_cosine() -> None:
    slope = np.array([-0.2, 0.0, 0.3])
    rear, front = (MassCentre(100.0, 1.2, 0.7, 1.1, slope, wheel, 4.0) for wheel in ("rear", "front"))
    assert axle_share(rear) + axle_share(front) == pytest.approx(np.cos(slope))
    assert axle_share(rear)[1] == pytest.approx(0.7 / 1.2)
    assert np.all(np.diff(axle_share(rear)) < 0)


def test_leading_axis_of_cases() -> None:
    load = wheel_load(RiderAndBike(np.array([60.0, 85.0]), 0.62, 15.5, 0.5, 4.2))
    assert load.static_wheel_force.shape == (2,)
    assert load.ground_reaction[0] == pytest.approx(STANDARD_GRAVITY * (37.2 + 7.75))


def test_nothing_left_for_the_spring_is_refused() -> None:
    for scale_mass in (4.0, 4.2):  # nothing at all is not enough either
        with pytest.raises(Refused, match="unsprung_mass"):
            wheel_load(ScaleReading(scale_mass, 4.2))
    assert wheel_load(ScaleReading(4.2001, 4.2)).static_wheel_force > 0


def test_nose_down_the_weight_moves_to_the_front() -> None:
    # Hand statics: moments about the front contact, b N_r = m g (a cos θ − h sin θ).
    on_slope = MassCentre(100.0, 1.2, 0.7, 1.1, 0.2, "rear", 4.0)
    expected = 9.80665 * 100.0 * (0.7 * np.cos(0.2) - 1.1 * np.sin(0.2)) / 1.2
    load = wheel_load(on_slope)
    assert load.ground_reaction == pytest.approx(expected)
    # Across the slope the wheel's own weight counts with its cosine.
    assert load.static_wheel_force == pytest.approx(expected - 9.80665 * 4.0 * np.cos(0.2))


def test_a_wheel_that_lifts_is_refused() -> None:
    with pytest.raises(Refused) as refusal:
        wheel_load(MassCentre(100.0, 1.2, 0.7, 1.1, 0.7, "rear", 4.0))
    assert refusal.value.faults[0].values["carried"] < 0
