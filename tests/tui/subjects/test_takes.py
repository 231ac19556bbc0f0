"""What can be taken with Enter where it is ordered: it meets the target once it is on the bench."""

from __future__ import annotations

import re

import pytest

from physics.faults import NOT_TO_BE_FITTED
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.job import Job
from tui.job.wheels import wheel_job
from tui.kit.document import Take
from tui.shop_units import USUAL
from tui.subjects.ordering import order_takes

JOB = wheel_job(demo_job(), "rear")
COIL, AIR = 0, 1


@pytest.mark.parametrize("setup", [COIL, AIR])
def test_each_line_meets_the_target_once_it_is_taken(setup: int) -> None:
    found = order_takes(answer_job(JOB, spacers=True), setup, USUAL)
    assert len(found) > 1
    for take in found:
        answer = answer_job(take.into(JOB)).answer
        # A collar is turned by tenths and a gauge is read to the psi.
        assert float(answer.setups[setup].sag.wheel_fraction) == pytest.approx(answer.target.sag, abs=0.003)


def test_what_is_taken_is_what_stands_there() -> None:
    spring = order_takes(answer_job(JOB, spacers=True), COIL, USUAL)[-1]
    job = spring.into(JOB)
    rate = str(job.get(("setup", COIL, "rate")))
    assert spring.text.startswith(rate)
    assert not job.is_unconfirmed(("setup", COIL, "rate"))


def test_no_count_is_offered_whose_peak_is_beyond_the_gas_law_or_the_label() -> None:
    counts = [
        dict(take.values)["setup", AIR, "positive_spacers"]
        for take in order_takes(answer_job(JOB, spacers=True), AIR, USUAL)
    ]
    assert counts == [0, 1, 2, 3]
    tight = JOB.with_value(("setup", AIR, "max_pressure"), "202 psi")
    offered = order_takes(answer_job(tight, spacers=True), AIR, USUAL)
    assert [dict(take.values)["setup", AIR, "positive_spacers"] for take in offered] == [2, 3]


def coil_job(preload: str, **typed: str) -> Job:
    job = JOB.without(("setup", COIL, "preload_turns")).with_value(("setup", COIL, "preload"), preload)
    for key, value in typed.items():
        job = job.with_value(("setup", COIL, key), value)
    return job


def order(job: Job, setup: int = COIL) -> tuple[Take, ...]:
    return order_takes(answer_job(job, spacers=True), setup, USUAL)


@pytest.mark.parametrize("rate", ["solve", "475 lbf/in"])
def test_a_spring_that_binds_is_marked_last_and_not_to_be_taken(rate: str) -> None:
    # So much preload asks for a spring so soft that it goes solid before the stroke ends.
    job = coil_job("14 mm", rate=rate)
    first, *others = order(job)
    assert first.values
    answer = answer_job(first.into(job)).answer
    assert float(answer.setups[COIL].sag.wheel_fraction) == pytest.approx(answer.target.sag, abs=0.003)
    assert not {one.code for one in answer.setups[COIL].cautions} & set(NOT_TO_BE_FITTED)
    assert len(others) == 2
    for take in others:
        assert re.fullmatch(
            r"! \d+ lbf/in, preload \d+\.\d mm: coil bind at \d+\.\d mm of the 60\.0 mm stroke", take.text
        )
        assert not take.values
        assert take.told.partition(", ")[2].startswith("coil bind at ")


def test_where_no_spring_may_be_fitted_the_first_line_says_so() -> None:
    offered = order(coil_job("14 mm", solid_length="100 mm"))
    assert len(offered) == 2
    assert all(take.head == "None of these may be fitted" and not take.values for take in offered)


def test_a_rate_too_stiff_is_listed_with_the_reason() -> None:
    offered = order(coil_job("0 mm"))
    assert [bool(take.values) for take in offered] == [True, False]
    assert re.fullmatch(r"! \d+ lbf/in: too stiff for 29\.0 % sag even without preload", offered[1].text)


def test_now_is_what_is_on_the_bench() -> None:
    texts = {key: [take.text for take in order(job, AIR)] for key, job in (
        ("solved", JOB), ("typed", JOB.with_value(("setup", AIR, "pressure"), "210 psi"))
    )}  # fmt: skip
    (solved,) = [text for text in texts["solved"] if "now" in text]
    assert solved.endswith("(now)")
    (typed,) = [text for text in texts["typed"] if "now" in text]
    assert typed.startswith("1 spacer: 205 psi")
    assert typed.endswith("(fitted now, at 210 psi)")
    assert {take.head for take in order(JOB, AIR)} == {"Pressure for 29.0 % sag"}
