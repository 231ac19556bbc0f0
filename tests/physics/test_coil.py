"""The coil as a force law against hand calculation.

Coil bind, rated stroke and preload turns at their limits, and what is unknown left alone.
"""

from dataclasses import replace

import numpy as np
import pytest

from physics.arrays import values
from physics.case import Coil
from physics.coil import coil_faults, coil_force, coil_kinks, fit_cautions
from tests.physics.examples import STAGES


def test_rate_and_preload() -> None:
    force, rate = coil_force(Coil(80e3, 0.002, 4378.0), values([0.0, 0.010, 0.050]))
    assert force == pytest.approx([160.0, 960.0, 4160.0])
    assert rate == pytest.approx([80e3] * 3)


def test_stages_count_compression_with_preload_and_keep_the_force_continuous() -> None:
    # 2 mm of preload: the second stage starts at 28 mm of stroke.
    force, rate = coil_force(STAGES, values([0.0, 0.028 - 1e-9, 0.028 + 1e-9, 0.048]))
    assert force[0] == pytest.approx(160.0)
    assert force[1] == pytest.approx(force[2], abs=1e-3)
    assert force[3] == pytest.approx(80e3 * 0.030 + 95e3 * 0.020)
    assert rate == pytest.approx([80e3, 80e3, 95e3, 95e3])
    assert coil_kinks(STAGES) == pytest.approx([-0.002, 0.028])


def test_a_progressive_coil_is_many_stages() -> None:
    # k rising linearly from 60 to 100 N/mm over 40 mm: F = ∫ k dx = 60 x + x²/2 N with x in mm.
    starts = np.linspace(0.0, 0.040, 401)
    coil = Coil(None, 0.0, 4378.0, stage_start=starts, stage_rate=60e3 + 1e6 * starts)
    assert coil_force(coil, values([0.025]))[0] == pytest.approx(60 * 25 + 25**2 / 2, rel=1e-3)


def test_leading_axis_of_cases() -> None:
    rates, preloads = values([70e3, 90e3]), values([0.0, 0.003])
    force, _ = coil_force(Coil(rates, preloads, 4378.0), values([0.010, 0.020]))
    assert force.shape == (2, 2)
    assert force[1] == pytest.approx(coil_force(Coil(90e3, 0.003, 4378.0), values([0.010, 0.020]))[0])


def test_a_rate_still_to_be_solved_has_no_force() -> None:
    with pytest.raises(ValueError, match="still to be solved"):
        coil_force(Coil(None, 0.0, 4378.0), values([0.0]))


def test_slack_and_stages_out_of_order_are_faults() -> None:
    slack = Coil(80e3, -0.001, 4378.0)
    assert [fault.code for fault in coil_faults(slack)] == ["negative_preload"]
    muddled = Coil(None, 0.0, 4378.0, stage_start=values([0.03, 0.0]), stage_rate=values([80e3, 95e3]))
    assert [(fault.field, fault.code) for fault in coil_faults(muddled)] == [
        (("stages", "compression_mm"), "not_increasing")
    ]
    assert coil_faults(STAGES) == ()


COIL = Coil(80e3, 0.002, 4378.0)


def codes(coil: Coil) -> list[str]:
    return [caution.code for caution in fit_cautions(coil, 0.060)]


def test_nothing_known_nothing_judged() -> None:
    assert codes(COIL) == []
    assert codes(replace(COIL, free_length=0.1)) == []
    assert codes(replace(COIL, max_preload_turns=1.0)) == []


def test_bind_room_must_exceed_the_stroke() -> None:
    # Free − solid − preload > stroke: 62 mm of free run is exactly too little.
    assert codes(replace(COIL, free_length=0.1325, solid_length=0.0700)) == []
    assert codes(replace(COIL, free_length=0.1315, solid_length=0.0700)) == ["coil_bind"]
    (bind,) = fit_cautions(replace(COIL, free_length=0.1315, solid_length=0.0700), 0.060)
    assert bind.values["room"] == pytest.approx(0.0595)
    assert bind.values["stroke"] == 0.060


def test_rated_stroke_covers_stroke_and_preload() -> None:
    assert codes(replace(COIL, rated_stroke=0.0621)) == []
    assert codes(replace(COIL, rated_stroke=0.062)) == []
    (rated,) = fit_cautions(replace(COIL, rated_stroke=0.0615), 0.060)
    assert rated.code == "rated_stroke"
    assert rated.values["needed"] == pytest.approx(0.062)


def test_preload_turns_stay_within_the_makers() -> None:
    assert codes(replace(COIL, thread_pitch=0.001, max_preload_turns=2.0)) == []
    for count in range(1, 60):
        wound = replace(COIL, preload=count * 0.00125, thread_pitch=0.00125, max_preload_turns=float(count))
        assert codes(wound) == []
    (turns,) = fit_cautions(replace(COIL, thread_pitch=0.001, max_preload_turns=1.5), 0.060)
    assert turns.values["turns"] == pytest.approx(2.0)
    assert turns.values["most"] == 1.5
