"""A coil's wire in the JSON answer and in the plain report, and what the springs weigh."""

import json
import re
from typing import Any

import pytest

from tests.tui.job.wired import wired
from tests.tui.sheet.sheets import sheet
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.job import Job
from tui.sheet.text import plain
from tui.subjects.answers import answer_object
from tui.subjects.report import report


def setups(job: Job) -> list[dict[str, Any]]:
    found: dict[str, Any] = json.loads(json.dumps(answer_object(answer_job(job)), allow_nan=False))
    return list(found["setups"])


def test_the_wire_is_an_object_of_its_own() -> None:
    wire = setups(wired(solid_length=None))[0]["wire"]
    assert wire["rate_n_per_mm"] == pytest.approx(79.5 * 8.4**4 / (8 * 44.4**3 * 7.5) * 1e3, rel=1e-9)
    assert wire["solid_length_mm"] == pytest.approx(79.8)
    assert wire["gap_mm"] == pytest.approx(152 - 79.8 - 60 - 1.875)
    assert 0 < wire["limit_as_wound_mpa"] < wire["limit_set_mpa"] < wire["tensile_strength_mpa"]
    assert wire["beyond_table"] is False
    assert "wire" not in setups(demo_job())[0]
    assert "wire" not in setups(demo_job())[1]
    assert setups(wired(free_length=None))[0]["wire"]["gap_mm"] is None


@pytest.mark.slow
def test_every_spring_has_a_weight_or_null() -> None:
    coil, air = setups(wired(mass=None))
    assert coil["mass_kg"] == coil["wire"]["mass_kg"] == pytest.approx(0.58, abs=0.005)
    assert air["mass_kg"] == pytest.approx(0.12)
    assert setups(wired())[0]["mass_kg"] == 0.46
    bare = setups(wired(mass=None, wire_diameter=None).without(("setup", 1, "mass")))
    assert [setup["mass_kg"] for setup in bare] == [None, None]


@pytest.mark.slow
def test_wires_to_order_come_with_a_known_inner_diameter() -> None:
    orders = setups(wired())[0]["wire_to_order"]
    assert [order["material"] for order in orders] == ["chrome_silicon", "titanium"]
    for order in orders:
        assert order["found"]
        assert order["mean_diameter_mm"] - order["wire_diameter_mm"] == pytest.approx(36)
        assert order["stress_mpa"] <= order["limit_set_mpa"]
        # Closed it carries what it has left to be pressed, and says so where that is beyond its limit.
        pressed = order["free_length_mm"] - order["solid_length_mm"]
        assert order["solid_stress_mpa"] == pytest.approx(order["stress_mpa"] * pressed / (60 + 1.875))
        assert order["solid_beyond_limit"] is (order["solid_stress_mpa"] > order["limit_set_mpa"]) is True
        assert "solid_beyond_limit" in [caution["code"] for caution in order["cautions"]]
    assert orders[1]["mass_kg"] < orders[0]["mass_kg"]
    assert setups(wired(material="music"))[0]["wire_to_order"][0]["material"] == "music"
    assert "wire_to_order" not in setups(demo_job())[0]
    stiff = setups(wired(rate="300 N/mm"))[0]["wire_to_order"][0]
    assert (stiff["found"], stiff["limit"], stiff["mass_kg"]) == (False, "stress", None)


def test_a_spring_that_does_not_go_on_the_shock_is_flagged() -> None:
    short = wired(free_length="120 mm", solid_length="60 mm").without(("frame", "eye_to_eye"))
    orders = setups(short)[0]["wire_to_order"]
    told = {order["material"]: {one["code"]: one["text"] for one in order["cautions"]} for order in orders}
    for order in orders:
        is_long = order["free_length_mm"] - 1.875 > 120
        assert ("too_long_for_shock" in told[order["material"]]) == is_long
    assert any("too_long_for_shock" in each for each in told.values())
    said = next(each["too_long_for_shock"] for each in told.values() if "too_long_for_shock" in each)
    assert re.fullmatch(
        r"This coil does not go on the shock: too long, free [\d.]+ mm less 1.9 mm preload; the shock takes "
        r"120.0 mm \(present coil\)\. Do not fit it\.",
        said,
    )
    unknown = wired(free_length=None, solid_length=None).without(("frame", "eye_to_eye"))
    codes = [one["code"] for one in setups(unknown)[0]["wire_to_order"][0]["cautions"]]
    assert codes[0] == "room_unknown"
    long = setups(demo_job().with_value(("setup", 0, "free_length"), "235 mm"))[0]
    assert "too_long_for_shock" in [one["code"] for one in long["cautions"]]
    assert "too_long_for_shock" not in [one["code"] for one in setups(demo_job())[0]["cautions"]]


def test_a_rate_to_buy_that_binds_says_so() -> None:
    job = demo_job().with_value(("setup", 0, "solid_length"), "91 mm")
    assert {one["code"] for one in setups(job)[0]["buyable"][0]["cautions"]} == {"coil_bind"}
    assert setups(demo_job())[0]["buyable"][0]["cautions"] == []


@pytest.mark.slow
def test_the_report_says_what_the_wire_makes_carries_and_weighs() -> None:
    text = report(answer_job(wired(solid_length=None, mass=None)))
    assert "From wire: 430 lbf/in ± 8.0 %; 580 g; surge frequency 203 Hz" in text
    assert "Stress at full stroke: 1135 MPa; limit 784 MPa as wound, 1020 MPa pre-set" in text
    assert "Stress at solid: 1324 MPa" in text
    assert "77.2 GPa (handbook), also in use, is within the rate tolerance" in text
    ordered = r"Wire to order, chrome-silicon: diameter 8.5 mm.* 1006 MPa at full stroke, 1255 MPa at solid"
    assert re.search(ordered, text)
    assert "At solid the chrome-silicon is at 1255 MPa, above the 1018 MPa" in text
    assert "Wire to order" not in report(answer_job(demo_job()))
    assert "Solid length 79.8 mm, coil-bind clearance 10.3 mm at full stroke, minimum 13.4 mm" in text
    assert "Caution: Wire measurements give 430 lbf/in (± 8.0 %), not 393 lbf/in: " in text
    assert "recount coils and re-measure the wire, or type the wire's rate." in text
    assert "spring weight: coil 580 g; air 120 g (-460)" in text
    thick = report(answer_job(wired(wire_diameter="10 mm", free_length=None, solid_length=None)))
    assert "Wire above the strength table's range" in thick
    assert "Solid length 95.0 mm\n" in thick
    assert "From wire" not in report(answer_job(demo_job()))


@pytest.mark.slow
def test_the_sheet_says_the_same_of_a_measured_coil_and_nothing_of_one_that_is_not() -> None:
    page = " ".join(plain(sheet(wired(), workings=True)).split())
    assert "Stress at solid: 1324 MPa." in page
    assert "At solid the chrome-silicon is at 1255 MPa, above the 1018 MPa of a pre-set coil" in page
    assert "Wire to order" not in plain(sheet(demo_job(), workings=True))
