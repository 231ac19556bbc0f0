"""Damper gas, bumper and lower legs in a job file: two keys or neither, or "none" at the first."""

import re

import pytest

from physics.case import LowerLegs
from tests.tui.job.test_every_fault import faults
from tests.tui.sheet.sheets import sheet
from tui.job.answer import answer_job
from tui.job.case import case_of
from tui.job.demo import demo_job
from tui.job.fields import EVERY_SETUP, EXTRAS, Field
from tui.job.job import Job
from tui.job.panels import panels
from tui.job.reading import read
from tui.job.tree import Raw, TreePath
from tui.job.typed import field_text, typed_into
from tui.job.wheels import wheel_job
from tui.sheet.build import setup_inputs
from tui.sheet.text import plain
from tui.shop_units import USUAL
from tui.subjects.answers import answer_object
from tui.subjects.report import report

KEYS = [key for keys in EXTRAS.values() for key in keys]
REAR, FORK = wheel_job(demo_job(), "rear"), wheel_job(demo_job(), "front")


def bare(job: Job, setup: int = 0) -> Job:
    for key in KEYS:
        job = job.without(("setup", setup, key))
    return job


def with_keys(job: Job, **values: Raw) -> Job:
    for key, raw in values.items():
        job = job.with_value(("setup", 0, key), raw)
    return job


def codes(job: Job) -> list[str]:
    return [caution.code for caution in answer_job(job).answer.setups[0].cautions]


def test_the_demo_has_them_all_and_needs_no_caution() -> None:
    answered = answer_job(demo_job())
    assert answered.front is not None
    for wheel in (answered, answered.front):
        for setup in wheel.answer.setups:
            assert not [caution.code for caution in setup.cautions if caution.code.endswith("not_typed")]


def test_lower_legs_are_read_in_any_unit() -> None:
    job = with_keys(bare(FORK), lower_leg_volume="0.25 l", stanchion_diameter="3.6 cm")
    (setup,) = case_of(read(job)).setups
    assert setup.lower_legs is not None
    assert setup.lower_legs.volume == pytest.approx(250e-6)
    assert setup.lower_legs.stanchion == pytest.approx(0.036)
    assert setup.lower_legs.legs == LowerLegs(1.0, 1.0).legs == 2
    assert setup.lacks == ()
    assert "legs_not_typed" not in codes(job)


@pytest.mark.parametrize(
    ("job", "key", "code"),
    [
        (REAR, "gas_pressure", "gas_not_typed"),
        (REAR, "bumper_length", "bumper_not_typed"),
        (FORK, "lower_leg_volume", "legs_not_typed"),
    ],
)
def test_left_out_is_told_and_none_answers_it(job: Job, key: str, code: str) -> None:
    left_out = bare(job)
    assert code in codes(left_out)
    none = left_out.with_value(("setup", 0, key), "none")
    assert code not in codes(none)
    # It changes nothing but that: what is not there was not reckoned with.
    before, after = (answer_job(one).answer.setups[0] for one in (left_out, none))
    assert after.curve.shaft_force == pytest.approx(before.curve.shaft_force)


@pytest.mark.parametrize(("first", "second"), EXTRAS.values())
def test_one_key_without_the_other_and_a_none_beside_a_value_are_faults(first: str, second: str) -> None:
    job = FORK if first == "lower_leg_volume" else REAR
    typed = {key: job.get(("setup", 0, key)) for key in (first, second)}
    for there, absent in ((first, second), (second, first)):
        said = faults(bare(job).with_value(("setup", 0, there), typed[there]))
        label = EVERY_SETUP[there].label
        assert said.keys() == {f"setup.0.{absent}"}
        assert re.fullmatch(f'missing; use an? .*; "{label}" needs it', said[f"setup.0.{absent}"])
    both = bare(job).with_value(("setup", 0, first), "none").with_value(("setup", 0, second), typed[second])
    assert set(faults(both)) == {f"setup.0.{second}"}
    assert "none" in faults(both)[f"setup.0.{second}"]
    assert set(faults(bare(job).with_value(("setup", 0, second), "none"))) >= {f"setup.0.{second}"}
    assert '"none"' in faults(job.with_value(("setup", 0, first), "nought"))[f"setup.0.{first}"]


def test_a_damper_without_gas_needs_no_rod() -> None:
    job = with_keys(bare(REAR), gas_pressure="none").without(("setup", 0, "rod"))
    assert answer_job(job).answer.setups[0].state == "ok"


def test_a_rod_that_is_known_counts_for_the_gas_that_is_not() -> None:
    def told(job: Job) -> str:
        return next(line for line in report(answer_job(job)).splitlines() if "No damper gas" in line)

    assert "200 psi on a 12.0 mm rod" in told(bare(REAR))
    assert "200 psi on a 12.7 mm rod" in told(bare(REAR).without(("setup", 0, "rod")))


def test_lower_legs_of_a_shock_are_a_fault_whatever_they_hold() -> None:
    for volume in ("230 cm3", "none", "1 cm3"):
        job = REAR.with_value(("setup", 0, "lower_leg_volume"), volume)
        said = faults(job)
        assert set(said) == {"setup.0.lower_leg_volume"}
        assert "only a fork" in said["setup.0.lower_leg_volume"]
    unreadable = REAR.with_value(("setup", 0, "stanchion_diameter"), "35")
    assert "no unit" in faults(unreadable)["setup.0.stanchion_diameter"]
    # Of a leverage that is not known nobody can tell.
    unknown = with_keys(FORK).with_value(("frame", "leverage", "kind"), "forc")
    assert not {key for key in faults(unknown) if key.startswith("setup")}


def test_legs_used_up_are_told_with_what_they_need() -> None:
    said = faults(FORK.with_value(("setup", 0, "lower_leg_volume"), "150 cm3"))
    assert set(said) == {"setup.0.lower_leg_volume"}
    assert "stanchion" in said["setup.0.lower_leg_volume"]
    assert "181.5 cm3" in said["setup.0.lower_leg_volume"]


def test_cautions_reach_the_report_the_json_and_the_sheet_after_those_of_the_hand() -> None:
    job = bare(FORK)
    text = report(answer_job(job))
    assert text.index("Never pump above") < text.index("No lower-leg air entered")
    (setup,) = answer_object(answer_job(job))["setups"]
    assert setup["cautions"][-1]["code"] == "legs_not_typed"
    assert "two legs of 230" in setup["cautions"][-1]["text"]
    page = plain(sheet(job))
    assert page.index("Never pump above") < page.index("Pump and cycle") < page.index("No lower-leg air")
    assert page.index("No lower-leg air") < page.index("Expected sag")


def row_at(job: Job, path: TreePath) -> Field:
    return next(row for panel in panels(job) for row in panel.rows if row.path == path)


def test_rows_of_the_lower_legs_are_there_for_a_fork_or_where_they_are_typed() -> None:
    def keys(job: Job) -> set[str]:
        return {str(row.path[-1]) for panel in panels(job) for row in panel.rows}

    legs = set(EXTRAS["lower_legs"])
    assert legs <= keys(bare(FORK))
    assert not legs & keys(REAR)
    assert legs <= keys(REAR.with_value(("setup", 0, "lower_leg_volume"), "230 cm3"))


@pytest.mark.parametrize("text", ["none", "None", " NONE "])
def test_none_is_typed_at_the_bench_and_stands_on_the_sheet(text: str) -> None:
    path: TreePath = ("setup", 0, "gas_pressure")
    job = bare(REAR)
    job = typed_into(job, row_at(job, path), text, USUAL)
    assert job.get(path) == "none"
    assert field_text(job, row_at(job, path)) == "none"
    assert {line.label: line.text for line in setup_inputs(job, 0, USUAL)}["gas charge"] == "none"
    # Where a value cannot be left out the word is no value.
    rate: TreePath = ("setup", 0, "rate")
    assert faults(typed_into(job, row_at(job, rate), text, USUAL))
