"""Two saved jobs as setups beside each other."""

from __future__ import annotations

import pytest

from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.job import Job
from tui.shop_units import USUAL
from tui.subjects.differences import Named, compared

DEMO = demo_job()


def pair(older: Job, newer: Job) -> tuple[Job, tuple[str, ...]]:
    found = compared(Named(older, "rev 1"), Named(newer, "rev 2"), USUAL)
    return found.job, found.left_out


def names(job: Job) -> list[object]:
    return [setup["name"] for setup in job.setups]


def test_what_changed_stands_beside_what_it_was_and_what_is_the_same_stands_once() -> None:
    newer = DEMO.with_value(("setup", 1, "positive_spacers"), 2)
    job, left_out = pair(DEMO, newer)
    assert names(job) == ["both coil", "rev 1 air", "rev 2 air"]
    assert left_out == ()
    assert job.get(("front", "setup", 0, "name")) == "both fork"
    assert job.get(("setup", 1, "pressure")) == "solve"


def test_the_older_one_keeps_what_it_had_solved_for_its_own_load() -> None:
    newer = DEMO.with_value(("load", "rider_mass"), "95 kg")
    job, left_out = pair(DEMO, newer)
    assert names(job) == ["rev 1 coil", "rev 1 air", "rev 2 coil", "rev 2 air"]
    assert left_out == ("rider mass 82 → 95 kg",)
    found = answer_job(job)
    was = answer_job(DEMO)
    assert [setup.get("pressure", setup.get("rate")) == "solve" for setup in job.setups] == [
        False,
        False,
        True,
        True,
    ]
    frozen, solved = found.answer.setups[1].air, found.answer.setups[3].air
    before = was.answer.setups[1].air
    assert frozen is not None
    assert solved is not None
    assert before is not None
    assert float(frozen.set_pressure) == pytest.approx(float(before.set_pressure), abs=0.6 * 6894.76)
    assert float(solved.set_pressure) > float(frozen.set_pressure)
    assert float(found.answer.setups[1].sag.wheel_fraction) > float(was.answer.setups[1].sag.wheel_fraction)
    front = [setup["name"] for setup in job.tree["front"]["setup"]]
    assert front == ["rev 1 fork", "rev 2 fork"]


def test_load_frame_and_record_are_those_of_the_newer_one() -> None:
    older = DEMO.with_value(("frame", "stroke"), "62.5 mm").with_value(("record", "customer"), "Ann")
    newer = DEMO.with_value(("record", "customer"), "Ben").with_value(("measured", "sag"), "44 mm")
    newer = newer.with_value(("front", "measured", "sag"), "30 mm").with_value(
        ("ridden", "symptom"), "wallows"
    )
    job, left_out = pair(older, newer)
    assert job.get(("frame", "stroke")) == "60 mm"
    assert job.get(("record", "customer")) == "Ben"
    assert [job.get(path) for path in (("measured",), ("front", "measured"), ("ridden",))] == [None] * 3
    assert left_out == ("shock stroke 62.5 → 60 mm",)
    assert "rev 1 against rev 2" in job.title


def test_a_name_of_the_frame_freezes_nothing() -> None:
    job, left_out = pair(DEMO, DEMO.with_value(("frame", "name"), "Trail M"))
    assert names(job) == ["both coil", "both air"]
    assert left_out == ("frame nothing → Trail M",)


@pytest.mark.parametrize("swapped", [False, True])
def test_a_wheel_that_one_of_them_has_not_is_compared_with_nothing(swapped: bool) -> None:
    one, two = DEMO.without(("front",)), DEMO
    job, _left_out = pair(two, one) if swapped else pair(one, two)
    assert names(job) == ["both coil", "both air"]
    assert job.get(("front", "setup", 0, "name")) == (None if swapped else "rev 2 fork")
    assert answer_job(job).job == job


def test_the_same_name_twice_gets_a_number() -> None:
    twins = DEMO.with_value(("setup", 0, "name"), "air")
    job, _left_out = pair(twins, twins.with_value(("load", "rider_mass"), "90 kg"))
    assert names(job) == ["rev 1 air", "rev 1 air 2", "rev 2 air", "rev 2 air 2"]


def test_setups_that_differ_by_nothing_but_what_is_confirmed_stand_there_once() -> None:
    confirmed = DEMO.confirmed(("setup", 1, "bore")).confirmed(("load", "rider_mass"))
    found = compared(Named(DEMO, "rev 1"), Named(confirmed, "rev 2"), USUAL)
    assert [setup["name"] for setup in found.job.setups] == ["both coil", "both air"]


def test_of_two_long_jobs_the_newer_one_is_kept_whole_and_what_is_left_out_is_told() -> None:
    def many(rate: int) -> Job:
        coil = DEMO.setups[0]
        each = [{**coil, "name": f"s{one}", "rate": f"{rate + one} lbf/in"} for one in range(15)]
        return DEMO.without(("front",)).with_value(("setup",), each)

    job, left_out = pair(many(300), many(500))
    assert names(job) == [f"rev 1 s{one}" for one in range(10, 15)] + [f"rev 2 s{one}" for one in range(15)]
    assert left_out == tuple(f"the setup rev 1 s{one}" for one in range(10))
    assert len(answer_job(job).answer.setups) == 20
