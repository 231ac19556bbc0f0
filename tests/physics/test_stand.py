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
    Measured,
    ScaleReading,
    Setup,
    Table,
    Wire,
)
from physics.faults import FAULTS, Fault, Refused
from physics.stand import stand
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
