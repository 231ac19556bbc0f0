"""The JSON object of an answer: keys of the contract, gauge pressures, null for what does not exist."""

import json
from dataclasses import replace

import pytest

from physics.bench import answer
from physics.case import RiderAndBike
from tests.physics.test_bench import CASE
from tui.jobs.answer_json import answer_object
from tui.jobs.answering import JobAnswer
from tui.jobs.job import parse

NAMED = parse('title = "Invented trail bike"')


def test_keys_units_and_plain_json() -> None:
    found = answer_object(JobAnswer(NAMED, answer(CASE)))
    again = json.loads(json.dumps(found, allow_nan=False))
    coil, air = again["setups"]
    assert again["load"]["static_wheel_force_n"] == pytest.approx(551.62406, rel=1e-3)
    assert coil["rate_lbf_per_in"] == pytest.approx(467.08269, rel=2e-3)
    assert coil["sag"]["wheel_mm"] == pytest.approx(45.0, rel=2e-3)
    assert "set_pressure_psi" not in coil
    assert air["set_pressure_psi"] == pytest.approx(240.1546, rel=4e-3)
    assert air["peak_pressure_psi"] == pytest.approx(898.5425, rel=1e-2)
    assert air["fill"]["readings_psi"][:3] == pytest.approx([184.39396, 227.41678, 237.24315], rel=4e-3)
    assert air["figures"]["drop_height_mm"] == pytest.approx(143.38346, rel=1e-2)


def test_what_does_not_exist_is_null() -> None:
    out = answer_object(JobAnswer(NAMED, answer(replace(CASE, load=RiderAndBike(10.0, 0.62, 9.0, 0.5, 4.2)))))
    air = out["setups"][1]
    assert out["frame"]["residual_mm"] is None
    assert out["setups"][0]["curve"]["positive_n"][0] is None
    typed = replace(CASE, load=RiderAndBike(900.0, 0.62, 15.5, 0.5, 4.2))
    stuck = answer_object(JobAnswer(NAMED, answer(typed)))["setups"][1]
    assert stuck["state"] == "unsolved"
    assert stuck["set_pressure_psi"] is None
    assert stuck["sag"]["wheel_mm"] is None
    assert air["kind"] == "air"
