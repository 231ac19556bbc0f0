"""Measured against expected: each thing beside the setup that was on the bike, in the way it was read."""

from __future__ import annotations

import pytest

from tests.tui.job.two_ends import BIKE
from tui.job.answer import JobAnswer, answer_job
from tui.job.demo import demo_job
from tui.job.job import Job
from tui.job.tree import Raw
from tui.shop_units import Measure
from tui.subjects.measurements import MeasuredRow, measured_rows

DEMO = demo_job().without(("front",))


def answered(measured: dict[str, Raw], job: Job = DEMO) -> JobAnswer:
    return answer_job(job.with_value(("measured",), measured))


def rows(measured: dict[str, Raw], job: Job = DEMO) -> dict[str, MeasuredRow]:
    return {row.key: row for row in measured_rows(answered(measured, job))}


def test_nothing_measured_is_nothing_to_compare() -> None:
    assert measured_rows(answer_job(DEMO)) == ()
    assert rows({"setup": "air", "of": "stroke", "tyre": "1.6 bar", "rebound_clicks": 5}) == {}


def test_what_was_measured_stands_beside_what_is_expected_in_its_own_measure() -> None:
    found = rows({"setup": "air", "sag": "43 mm", "gauge": "214 psi", "scale": "135 lb"})
    assert [(row.key, row.measure) for row in found.values()] == [
        ("sag", Measure.TRAVEL),
        ("gauge", Measure.PRESSURE),
        ("scale", Measure.MASS),
    ]
    assert found["sag"].measured == pytest.approx(0.043)
    # The gauge read more than is to be set: the sag is that at what it read.
    assert found["sag"].at_gauge == found["gauge"].measured
    assert found["sag"].expected == pytest.approx(0.040568, abs=1e-6)
    assert rows({"setup": "air", "sag": "43 mm"})["sag"].expected == pytest.approx(0.29 * 0.148)
    air = answer_job(DEMO).answer.setups[1].air
    assert air is not None
    shop = float(answer_job(DEMO).answer.shop.pressure)
    assert found["gauge"].measured == pytest.approx(214 * 6894.757293168)
    assert found["gauge"].expected == pytest.approx(float(air.set_pressure) - shop)
    assert found["scale"].measured == pytest.approx(135 * 0.45359237)
    assert found["scale"].expected == pytest.approx(0.62 * 82 + 0.52 * 15)
    assert all(row.low < row.expected < row.high and row.setup == 1 for row in found.values())


@pytest.mark.parametrize(("sag", "verdict"), [("30 mm", "below"), ("43 mm", "within"), ("60 mm", "above")])
def test_a_sag_lies_within_its_band_or_to_one_side(sag: str, verdict: str) -> None:
    assert rows({"sag": sag})["sag"].verdict == verdict


def test_the_sag_is_read_as_the_target_counts_it_unless_it_says_otherwise() -> None:
    at_wheel = rows({"sag": "43 mm"})["sag"]
    at_shock = rows({"sag": "16 mm", "of": "stroke"})["sag"]
    assert (at_wheel.of, at_shock.of) == ("travel", "stroke")
    sag = answer_job(DEMO).answer.setups[0].sag
    assert (at_wheel.expected, at_shock.expected) == (float(sag.wheel), float(sag.stroke))
    by_stroke = DEMO.with_value(("target", "of"), "stroke")
    assert rows({"sag": "16 mm"}, by_stroke)["sag"].of == "stroke"


def test_the_first_setup_was_on_the_bike_where_none_is_named() -> None:
    assert rows({"sag": "43 mm"})["sag"].setup == 0
    assert rows({"sag": "43 mm", "setup": "air"})["sag"].setup == 1
    coil = rows({"gauge": "200 psi"})["gauge"]
    assert coil.verdict == "unknown"


def test_a_wheel_that_tops_out_has_nothing_to_hold_a_sag_against() -> None:
    hard = DEMO.with_value(("setup", 1, "pressure"), "900 psi")
    assert rows({"setup": "air", "sag": "3 mm"}, hard)["sag"].verdict == "unknown"


def test_each_wheel_has_its_own() -> None:
    bike = BIKE.with_value(("measured",), {"sag": "43 mm"})
    bike = bike.with_value(("front", "measured"), {"setup": "fork coil", "sag": "33 mm", "scale": "38 kg"})
    both = answer_job(bike)
    assert both.front is not None
    assert [(row.key, row.setup) for row in measured_rows(both)] == [("sag", 0)]
    assert [(row.key, row.setup) for row in measured_rows(both.front)] == [("sag", 1), ("scale", 1)]


def test_a_gauge_above_the_label_is_known_as_such_whatever_its_band() -> None:
    over = rows({"setup": "air", "gauge": "350 psi"})["gauge"]
    assert over.over_label
    assert over.limit == pytest.approx(320 * 6894.757293168)
    assert over.limit_doubted
    assert not rows({"setup": "air", "gauge": "319 psi"})["gauge"].over_label
    # A band that reaches beyond the label does not make it right.
    high = DEMO.with_value(("setup", 1, "pressure"), "319 psi")
    within = rows({"setup": "air", "gauge": "320.5 psi"}, high)["gauge"]
    assert within.verdict == "within"
    assert within.over_label
    typed = high.with_value(("setup", 1, "max_pressure"), "318 psi")
    assert not rows({"setup": "air", "gauge": "320.5 psi"}, typed)["gauge"].limit_doubted
    unknown = rows({"setup": "air", "gauge": "350 psi"}, DEMO.without(("setup", 1, "max_pressure")))
    assert not unknown["gauge"].over_label
    assert not rows({"setup": "air", "sag": "43 mm"})["sag"].over_label
    assert not rows({"setup": "coil", "gauge": "350 psi"})["gauge"].over_label
