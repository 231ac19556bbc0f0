"""What can be taken with Enter where it is ordered: it meets the target once it is on the bench."""

from __future__ import annotations

import pytest

from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.wheels import wheel_job
from tui.shop_units import USUAL
from tui.subjects.ordering import order_takes

JOB = wheel_job(demo_job(), "rear")
COIL, AIR = 0, 1


@pytest.mark.parametrize("setup", [COIL, AIR])
def test_each_line_meets_the_target_once_it_is_taken(setup: int) -> None:
    found = order_takes(answer_job(JOB, spacers=True).answer, setup, USUAL, JOB.setups[setup])
    assert len(found) > 1
    for take in found:
        answer = answer_job(take.into(JOB)).answer
        # A collar is turned by tenths and a gauge is read to the psi.
        assert float(answer.setups[setup].sag.wheel_fraction) == pytest.approx(answer.target.sag, abs=0.003)


def test_what_is_taken_is_what_stands_there() -> None:
    answer = answer_job(JOB, spacers=True).answer
    spring = order_takes(answer, COIL, USUAL, JOB.setups[COIL])[-1]
    job = spring.into(JOB)
    rate = str(job.get(("setup", COIL, "rate")))
    assert spring.text.startswith(rate)
    assert not job.is_unconfirmed(("setup", COIL, "rate"))


def test_no_count_is_offered_whose_peak_is_beyond_the_gas_law_or_the_label() -> None:
    counts = [
        dict(take.values)["setup", AIR, "positive_spacers"]
        for take in order_takes(answer_job(JOB, spacers=True).answer, AIR, USUAL, JOB.setups[AIR])
    ]
    assert counts == [0, 1, 2, 3]
    tight = JOB.with_value(("setup", AIR, "max_pressure"), "202 psi")
    offered = order_takes(answer_job(tight, spacers=True).answer, AIR, USUAL, tight.setups[AIR])
    assert [dict(take.values)["setup", AIR, "positive_spacers"] for take in offered] == [2, 3]
