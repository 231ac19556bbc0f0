"""Damper and tyre of a job file: three ways to know the damper, per wheel, with their faults."""

from __future__ import annotations

import pytest

from tests.tui.job.test_reading_record import DEMO, faults, with_all
from tui.job.answer import answer_job
from tui.job.fields import DAMPER, TYRE, Choice
from tui.job.files import toml_text
from tui.job.job import Job, parse, unconfirmed_setups
from tui.job.panels import panels
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
            "rebound_high needs it",
        ),
        (
            {"rebound_low": "900 N s/m", "rebound_knee": "0.3 m/s"},
            "damper.rebound_high",
            "rebound_knee needs it",
        ),
        ({"rebound_low": "900 N/m"}, "damper.rebound_low", "use a damping with its unit"),
        ({"rebound_low": 900}, "damper.rebound_low", "900 has no unit"),
        ({"rebound_share": "4000 %"}, "damper.rebound_share", "out of range"),
        ({"speed_m_per_s": (-0.5, 0.0, 0.5)}, "damper.force_n", "speed_m_per_s needs it"),
        ({**TESTED, "force_n": (-900.0, 0.0)}, "damper", "differ in length"),
        ({**TESTED, "speed_m_per_s": (-0.5, 0.5, 0.0)}, "damper.speed_m_per_s.2", "not above the one before"),
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


def rows(job: Job) -> list[TreePath]:
    return [row.path for row in panels(job)[-1].rows if row.path[0] == "damper"]


def test_the_damper_is_known_one_way_at_a_time() -> None:
    job = wheel_job(DEMO, "rear")
    by = next(row for row in panels(job)[-1].rows if row.path == ("damper", "by"))
    assert isinstance(by.kind, Choice)
    assert rows(job)[1:] == [("damper", "rebound_share"), ("damper", "compression_share")]
    slopes = by.kind.select(job, by.path, 1)
    assert by.kind.chosen(slopes, by.path) == 1
    assert rows(slopes)[1:] == [("damper", key) for key in SLOPES]
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
