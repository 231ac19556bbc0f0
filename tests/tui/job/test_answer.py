"""One door from a job as typed to its answer or to every fault in words."""

import pytest

from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.job import Job


def faults(job: Job) -> list[str]:
    with pytest.raises(UnusableJob) as caught:
        answer_job(job)
    return [str(fault) for fault in caught.value.faults]


def test_the_demo_job_answers_alive_and_solved() -> None:
    answered = answer_job(demo_job())
    assert answered.job == demo_job()
    assert answered.answer.cautions == ()
    assert [setup.state for setup in answered.answer.setups] == ["ok", "ok"]
    for setup in answered.answer.setups:
        assert float(setup.sag.wheel_fraction) == pytest.approx(0.29)


def test_strokes_that_do_not_close_are_both_named_with_units() -> None:
    (line,) = faults(demo_job().with_value(("frame", "stroke"), "75 mm"))
    assert line.startswith("frame.stroke: ")
    assert "75.0 mm" in line
    assert "60.1 mm" in line
    assert "19.9 % off" in line
    # An end ratio that would fit is one that no frame has.
    assert line.endswith("check the stroke; it fits with ratio at middle 1.76 or wheel travel 184.7 mm")


def test_a_physical_fault_bears_the_path_of_the_job_file() -> None:
    (line,) = faults(demo_job().with_value(("setup", 1, "positive_volume"), "60 cm3"))
    assert line.startswith("setup.1.positive_volume: ")
    assert "cm3" in line
