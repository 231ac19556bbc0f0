"""Damper and tyre of a job file: three ways to know the damper, per wheel, with their faults."""

from __future__ import annotations

from dataclasses import astuple

import pytest

from physics.arrays import values
from physics.case import Air, Damper, DampingShare, DampingSlopes, EqualisedNegative, Tyre
from physics.damper import USUAL as DAMPING
from physics.damper import damper_force
from physics.ride import USUAL_PORT_AREA, USUAL_PORT_LENGTH, USUAL_TYRE
from tests.tui.job.test_reading_record import DEMO, faults, with_all
from tui.job.answer import answer_job
from tui.job.case import case_of
from tui.job.fields import DAMPER, SETUP, TYRE, Choice
from tui.job.files import toml_text
from tui.job.job import Job, parse, unconfirmed_setups
from tui.job.panels import panels
from tui.job.quantities import in_si
from tui.job.reading import look, read
from tui.job.tree import Raw, Tree, TreePath
from tui.job.wheels import wheel_job, with_wheel_job

SLOPES: dict[str, Raw] = {
    "rebound_low": "1800 N s/m",
    "rebound_knee": "0.3 m/s",
    "rebound_high": "5 lbf s/in",
    "compression_low": "900 N s/m",
    "compression_knee": "250 mm/s",
    "compression_high": "400 Ns/m",
}
TESTED: dict[str, Raw] = {"speed_m_per_s": (-0.5, 0.0, 0.5), "force_n": (-900.0, 0.0, 450)}
SHARES: dict[str, Raw] = {"rebound_share": "45 %", "compression_share": 0.15}
ROUGH: dict[TreePath, Raw] = {
    ("damper",): SLOPES,
    ("tyre",): {"stiffness": "95 N/mm", "damping": "150 N s/m", "radius": "14.5 in"},
}


def test_every_key_is_read_with_its_unit_and_goes_through_the_file() -> None:
    job = with_all(DEMO, ROUGH).with_value(("front", "damper"), TESTED)
    found = read(job)
    assert found.damper["rebound_low"] == 1800.0
    assert found.damper["rebound_high"] == pytest.approx(875.634, abs=1e-3)
    assert found.damper["compression_knee"] == pytest.approx(0.25)
    assert found.tyre == {
        "stiffness": pytest.approx(95e3), "damping": 150.0, "radius": pytest.approx(0.3683)
    }  # fmt: skip
    assert found.front is not None
    assert found.front.damper == {"speed_m_per_s": (-0.5, 0.0, 0.5), "force_n": (-900.0, 0.0, 450.0)}
    assert found.front.tyre == {}
    assert read(DEMO.with_value(("damper",), SHARES)).damper == {
        "rebound_share": pytest.approx(0.45), "compression_share": 0.15
    }  # fmt: skip
    assert {*SLOPES, *TESTED, *SHARES} == set(DAMPER)
    assert set(TYRE) == {"stiffness", "damping", "radius"}
    assert parse(toml_text(job, None)) == job


@pytest.mark.parametrize(
    ("table", "where", "told"),
    [
        ({**SLOPES, "rebound_share": "40 %"}, "damper.rebound_share", "given together with rebound_low"),
        ({**SLOPES, **TESTED}, "damper.rebound_low", "given together with speed_m_per_s"),
        (
            {"rebound_knee": "0.3 m/s", "rebound_high": "700 N s/m"},
            "damper.rebound_low",
            '"rebound, high" needs it',
        ),
        (
            {"rebound_low": "900 N s/m", "rebound_knee": "0.3 m/s"},
            "damper.rebound_high",
            '"rebound knee" needs it',
        ),
        ({"rebound_low": "900 N/m"}, "damper.rebound_low", "use a damping with its unit"),
        ({"rebound_low": 900}, "damper.rebound_low", "900 has no unit"),
        ({"rebound_share": "4000 %"}, "damper.rebound_share", "out of range"),
        ({"speed_m_per_s": (-0.5, 0.0, 0.5)}, "damper.force_n", '"shaft speeds" needs it'),
        ({**TESTED, "force_n": (-900.0, 0.0)}, "damper", "differ in length"),
        ({**TESTED, "speed_m_per_s": (-0.5, 0.5, 0.0)}, "damper.speed_m_per_s.2", "not above the previous"),
        ({**TESTED, "speed_m_per_s": (0.1, 0.2, 0.5)}, "damper.speed_m_per_s", "no rebound"),
        ({**TESTED, "speed_m_per_s": (-0.5, -0.2, 0.0)}, "damper.speed_m_per_s", "no compression"),
        ({**TESTED, "force_n": (900.0, 0.0, 450.0)}, "damper.force_n.0", "above 0 in rebound"),
        ({"rebound_lo": "900 N s/m"}, "damper.rebound_lo", "the nearest known key is rebound_low"),
    ],
)
def test_a_damper_that_cannot_be_used_is_a_fault(table: dict[str, Raw], where: str, told: str) -> None:
    assert told in faults(DEMO.with_value(("damper",), table))[where]


def test_a_tyre_out_of_range_is_a_fault_at_its_wheel() -> None:
    found = faults(DEMO.with_value(("front", "tyre"), {"stiffness": "1 N/m", "radius": "350"}))
    assert set(found) == {"front.tyre.stiffness", "front.tyre.radius"}


def test_the_case_has_the_damper_at_every_setup_and_what_is_not_typed_is_left_open() -> None:
    rough = case_of(read(wheel_job(with_all(DEMO, ROUGH), "rear")))
    assert [setup.damper for setup in rough.setups] == [rough.setups[0].damper] * 2
    damper = rough.setups[0].damper
    assert damper.compression == DampingSlopes(900.0, 0.25, 400.0)
    assert isinstance(damper.rebound, DampingSlopes)
    assert astuple(damper.rebound) == pytest.approx((1800.0, 0.3, 875.634), abs=1e-3)
    assert astuple(rough.tyre) == pytest.approx((95e3, 150.0, 0.3683))
    bare = case_of(read(wheel_job(DEMO, "rear")))
    assert (bare.setups[0].damper, bare.tyre) == (Damper(), Tyre())
    one = wheel_job(DEMO, "rear").with_value(("damper",), {"rebound_low": "1500 N s/m"})
    assert case_of(read(one)).setups[0].damper == Damper(None, DampingSlopes(1500.0, 1.0, 1500.0))
    shares = wheel_job(DEMO, "rear").with_value(("damper",), SHARES)
    assert case_of(read(shares)).setups[0].damper == Damper(DampingShare(0.15), DampingShare(0.45))


def test_a_testers_table_gives_each_direction_its_own() -> None:
    table: dict[str, Raw] = {"speed_m_per_s": (-0.5, -0.1, 0.0, 0.4), "force_n": (-900.0, -300.0, 0.0, 450.0)}
    damper = case_of(read(wheel_job(DEMO, "rear").with_value(("damper",), table))).setups[0].damper
    speeds = values([-0.5, -0.3, -0.1, 0.0, 0.2, 0.4])
    assert damper_force(damper, speeds, 0.0).tolist() == pytest.approx([-900, -600, -300, 0, 225, 450])


def test_what_a_file_means_that_says_nothing_is_what_the_physics_takes() -> None:
    every = [*DAMPER.values(), *TYRE.values()]
    usual = {field.key: in_si(field.usual, field.measure) for field in every if field.measure}
    shares = (usual[f"{way}_share"] for way in ("compression", "rebound"))
    assert Damper(*(DampingShare(share) for share in shares if share)) == DAMPING
    assert Tyre(*(usual[key] for key in TYRE)) == USUAL_TYRE
    port = [SETUP["air"][key] for key in ("port_length", "port_area")]
    assert [in_si(field.usual, field.measure) for field in port if field.measure] == pytest.approx(
        [USUAL_PORT_LENGTH, USUAL_PORT_AREA]
    )


def test_port_and_heat_of_an_air_spring_reach_the_case() -> None:
    job, air = wheel_job(DEMO, "rear"), ("setup", 1)
    for key, raw in (("port_length", "3 mm"), ("port_area", "5 mm2"), ("time_constant", "4 s")):
        job = job.with_value((*air, key), raw)
    spring = case_of(read(job)).setups[1].spring
    assert isinstance(spring, Air)
    assert isinstance(spring.negative, EqualisedNegative)
    port = spring.negative.port_length, spring.negative.port_area
    assert (spring.time_constant, *port) == pytest.approx((4.0, 3e-3, 5e-6))


def rows(job: Job) -> list[TreePath]:
    return [row.path for row in panels(job)[-1].rows if row.path[0] == "damper"]


def test_the_damper_is_known_one_way_at_a_time() -> None:
    job = wheel_job(DEMO, "rear")
    by = next(row for row in panels(job)[-1].rows if row.path == ("damper", "by"))
    assert isinstance(by.kind, Choice)
    assert rows(job)[:2] == [("damper", "rebound_share"), ("damper", "compression_share")]
    slopes = by.kind.select(job, by.path, 1)
    assert by.kind.chosen(slopes, by.path) == 1
    assert rows(slopes)[:-1] == [("damper", key) for key in SLOPES]
    tested = by.kind.select(slopes, by.path, 2)
    assert {key for key in tested.tree["damper"] if key != "unconfirmed"} == set(TESTED)
    assert rows(tested)[1:] == [("damper", "speed_m_per_s", place) for place in range(4)]
    assert by.kind.chosen(by.kind.select(tested, by.path, 0), by.path) == 0


def test_a_guessed_damper_marks_no_setup_as_unverified() -> None:
    job = parse(toml_text(DEMO, None))
    for path in job.unconfirmed:
        job = job.confirmed(path)
    guessed = job.with_invented(("damper", "rebound_low"), "1800 N s/m")
    assert unconfirmed_setups(wheel_job(guessed, "rear")) == frozenset()
    assert guessed.unconfirmed == (("damper", "rebound_low"),)


def test_each_wheel_has_its_own_damper_and_tyre() -> None:
    job = with_all(DEMO, ROUGH)
    front = wheel_job(job, "front")
    assert front.get(("damper",)) is None
    edited = with_wheel_job(job, "front", front.with_value(("tyre", "stiffness"), "80 N/mm"))
    assert edited.get(("front", "tyre")) == Tree({"stiffness": "80 N/mm"})
    assert edited.get(("tyre", "stiffness")) == "95 N/mm"
    assert look(edited)[1] == ()
    assert answer_job(edited).job == edited
