"""Measured against expected in words, in the report and in JSON; outside, they say where to look first."""

from __future__ import annotations

import pytest

from physics.carried import Carried
from tests.tui.sheet.sheets import sheet
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.job import Job
from tui.job.tree import Raw
from tui.kit.document import plain_lines
from tui.sheet.text import plain
from tui.shop_units import IMPERIAL, USUAL
from tui.subjects.advice import AdviceAsked, best_text
from tui.subjects.answers import answer_object
from tui.subjects.asked import Seat
from tui.subjects.measurements import compared_text, document, look_first, measured_rows
from tui.subjects.readings import finding, taken_into
from tui.subjects.report import report
from tui.tables.source import SagRead

DEMO = demo_job()
PSI = 6894.757293168
NOW = "Set it now. If it was set when read:"
ADVICE_FIRST = "See advice first: the measured sag does not fit the load."


def measuring(**measured: Raw) -> Job:
    return DEMO.with_value(("measured",), {"setup": "air", **measured})


def told(job: Job) -> dict[str, tuple[str, str]]:
    rows = measured_rows(answer_job(job))
    return {row.key: (compared_text(row, USUAL), look_first(row)) for row in rows}


def lines(job: Job) -> list[str]:
    return [line.strip() for line in report(answer_job(job)).splitlines()]


def test_a_number_stands_beside_what_is_expected_and_its_band() -> None:
    (row,) = measured_rows(answer_job(measuring(sag="43 mm")))
    assert compared_text(row, USUAL) == ("43.0 mm, expected 42.9 mm, 36.6 mm at once (34.3 to 45.2 mm): OK")
    assert compared_text(row, IMPERIAL) == (
        "1.69 in, expected 1.69 in, 1.44 in at once (1.35 to 1.78 in): OK"
    )
    assert look_first(row) == ""


def test_the_document_is_that_of_the_setup_on_the_bike_alone() -> None:
    answered = answer_job(measuring(sag="43 mm", gauge="260 psi", rebound_clicks=8))
    sag, load, gauge, first, clicks = plain_lines(document(answered, 1, USUAL), "")
    assert sag.startswith("Sag at the wheel: 43.0 mm, expected 30.8 mm at 260 psi (")
    assert load.startswith("  Check load and posture first")
    assert gauge.startswith("Gauge: 260 psi")
    assert first == f"  {ADVICE_FIRST}"
    assert clicks == "Rebound, clicks from fully closed: 8"
    assert document(answered, 0, USUAL).blocks == ()


@pytest.mark.parametrize(
    ("measured", "key", "verdict", "first"),
    [
        (
            {"sag": "60 mm"},
            "sag",
            "too much sag",
            "load and posture first (more weight here?), then friction",
        ),
        (
            {"sag": "30 mm"},
            "sag",
            "too little sag",
            "load and posture first (less weight here?), then friction",
        ),
        ({"gauge": "150 psi"}, "gauge", "below the set pressure", f"{NOW} leak, colder air"),
        ({"gauge": "260 psi"}, "gauge", "above the set pressure", f"{NOW} warmer air"),
        ({"scale": "70 kg"}, "scale", "more weight than expected", "More weight here than calculated"),
        ({"scale": "50 kg"}, "scale", "less weight than expected", "Less weight here than calculated"),
    ],
)
def test_what_lies_outside_says_where_to_look_first(
    measured: dict[str, Raw], key: str, verdict: str, first: str
) -> None:
    compared, look = told(measuring(**measured))[key]
    assert compared.endswith(verdict)
    assert first in look


def test_a_gauge_is_not_to_be_set_now_where_advice_sets_another_pressure() -> None:
    """The sag gives a load, and the load another pressure; once it is in the job, that is the one to set."""
    job = measuring(sag="52 mm", gauge="185 psi").with_value(("ridden", "symptom"), "packs-down")
    bike = answer_job(job)
    seat = Seat("rear", bike, 1)
    asked = AdviceAsked(bike, seat, ("packs_down",))
    assert asked.found is not None
    assert "first set 217 psi (gauge read 185 psi)" in best_text(asked, asked.found)
    compared, look = told(job)["gauge"]
    assert "expected 205 psi" in compared
    assert look == ADVICE_FIRST
    applied = taken_into(job, 1, finding(bike, 1, SagRead(0.052, is_share=False)), USUAL)
    assert applied is not None
    compared, look = told(applied)["gauge"]
    assert "expected 217 psi" in compared
    assert look.startswith(NOW)
    # Above the label the air comes out first, whatever the sag says.
    assert told(measuring(sag="52 mm", gauge="330 psi"))["gauge"][1].startswith("Let air out first")


@pytest.mark.parametrize("pressure", ["solve", "205 psi"])
def test_a_sag_is_compared_at_the_pressure_it_was_measured_at(pressure: str) -> None:
    """At 150 psi a sag far from the target is what the spring makes, and no leak is claimed."""
    job = measuring(sag="60 mm", gauge="150 psi").with_value(("setup", 1, "pressure"), pressure)
    off = told(job)
    assert ", expected 61.1 mm at 150 psi, " in off["sag"][0]
    assert off["sag"][0].endswith(": OK")
    assert off["sag"][1] == ""
    assert off["gauge"][1].startswith(NOW)
    (there,) = (row for row in measured_rows(answer_job(job)) if row.key == "sag")
    set_there = DEMO.with_value(("setup", 1, "pressure"), "150 psi")
    sag = answer_job(set_there).answer.setups[1].sag.wheel
    assert there.expected == pytest.approx(float(sag), rel=1e-6)
    # As much as is to be set, or nothing read: at that.
    right = told(measuring(sag="60 mm", gauge="203 psi"))
    assert right["sag"][0].startswith("60.0 mm, expected 42.9 mm (")
    assert right["sag"][1].startswith("Check load and posture first")
    beyond = told(measuring(sag="30 mm", gauge="150 psi"))
    assert "at 150 psi" in beyond["sag"][0]
    assert beyond["sag"][0].endswith("too little sag")


def test_what_was_measured_stays_right_when_its_load_has_been_applied() -> None:
    """A sag read at one pressure gives the load, the load another pressure; the readings still agree."""
    job = measuring(sag="48 mm", gauge="205 psi")
    answered = answer_job(job)
    found = finding(answered, 1, SagRead(0.048, is_share=False))
    applied = taken_into(job, 1, found, USUAL)
    assert applied is not None
    air = answer_job(applied).answer.setups[1].air
    assert air is not None
    assert float(air.set_pressure) / PSI - 14.7 > 215.0
    said = told(applied)
    assert said["sag"][0].startswith("48.0 mm, expected 48.0 mm at 205 psi, ")
    assert said["sag"][0].endswith(": OK")
    assert said["gauge"][0].endswith("below the set pressure")
    # The pressure typed as solved: the sag still speaks of the one on the gauge.
    typed = applied.with_value(("setup", 1, "pressure"), "230 psi")
    again = finding(answer_job(typed), 1, SagRead(0.048, is_share=False))
    assert isinstance(again, Carried)
    assert isinstance(found, Carried)
    assert again.load == pytest.approx(found.load, rel=1e-9)


def test_a_gauge_has_nothing_to_say_of_a_coil() -> None:
    said = told(DEMO.with_value(("measured", "gauge"), "200 psi"))["gauge"]
    assert said == ("200 psi, nothing to compare it with", "")


@pytest.mark.slow
def test_the_report_tells_it_with_the_setup_that_was_on_the_bike() -> None:
    job = measuring(sag="60 mm", rebound_clicks=7, tyre="1.6 bar")
    job = job.with_value(("front", "measured"), {"sag": "34 mm", "of": "stroke"})
    said = lines(job)
    place = said.index("Measured on the bike")
    assert said[place + 1].startswith("Sag at the wheel: 60.0 mm, expected 42.9 mm")
    assert said[place + 2].startswith("Check load and posture first")
    assert said[place + 3 : place + 5] == ["Rebound, clicks from fully closed: 7", "Tyre: 23 psi"]
    assert said.index("Setup 2 of 2: air, air spring") < place < said.index("Front wheel")
    assert any(
        line.startswith("Sag at the fork: 34.0 mm, expected 33.6 mm, 23.4 mm at once") for line in said
    )
    assert said.count("Measured on the bike") == 2


def test_the_report_says_whose_bike_it_is_and_how_it_rode() -> None:
    job = DEMO.with_value(("record",), {"customer": "Customer 12", "ticket": "0417"})
    job = job.with_value(("ridden",), {"symptom": "packs-down", "words": "gets lower and lower"})
    assert lines(job)[1:5] == [
        "Customer: Customer 12",
        "Ticket: 0417",
        "Complaint: packs down over bumps",
        "Ride feedback: gets lower and lower",
    ]
    assert "Measured on the bike" not in lines(job)


def test_the_json_has_it_beside_the_setup_and_null_beside_the_others() -> None:
    coil, air = answer_object(answer_job(measuring(sag="60 mm", gauge="15 bar", rebound_clicks=7)))["setups"]
    assert coil["measured"] is None
    found = air["measured"]
    assert (found["sag_of"], found["rebound_clicks"], found["compression_clicks"]) == ("travel", 7, None)
    assert found["sag_mm"]["measured"] == pytest.approx(60)
    assert found["sag_mm"]["verdict"] == "above"
    assert found["sag_mm"]["at_gauge_psi"] == pytest.approx(217.56, abs=0.01)
    assert found["sag_mm"]["expected"] == pytest.approx(39.697, abs=0.001)
    (as_set,) = (
        one["measured"]["sag_mm"]
        for one in answer_object(answer_job(measuring(sag="60 mm", gauge="205 psi")))["setups"]
        if one["measured"] is not None
    )
    assert as_set["at_gauge_psi"] is None
    assert as_set["expected"] == pytest.approx(air["sag"]["wheel_mm"])
    assert found["gauge_psi"]["measured"] == pytest.approx(217.557, abs=1e-3)
    assert found["gauge_psi"]["expected"] == pytest.approx(air["set_pressure_psi"])
    assert (found["scale_kg"], found["tyre_psi"]) == (None, None)
    nothing = answer_object(answer_job(DEMO))["setups"]
    assert [setup["measured"] for setup in nothing] == [None, None]


def test_a_sag_read_before_the_air_has_cooled_says_so_and_blames_nobody() -> None:
    (early,) = measured_rows(answer_job(measuring(sag="37 mm")))
    assert early.verdict == "within"
    assert compared_text(early, USUAL).endswith("OK, measured at once: sit still, measure again")
    assert look_first(early) == ""
    (settled,) = measured_rows(answer_job(measuring(sag="42 mm")))
    assert not settled.is_early
    coil = DEMO.with_value(("measured", "sag"), "42.5 mm")
    (of_coil,) = measured_rows(answer_job(coil))
    assert not of_coil.is_early


@pytest.mark.slow
def test_a_gauge_above_the_label_says_so_first_in_report_sheet_and_json() -> None:
    job = measuring(gauge="350 psi").with_value(("setup", 1, "max_pressure"), "320 psi")
    compared, look = told(job)["gauge"]
    assert compared.startswith("350 psi, above the max pressure of 320 psi, expected 205 psi")
    assert look.startswith("Let air out first: eye protection on")
    said = lines(job)
    place = next(at for at, line in enumerate(said) if line.startswith("Gauge: 350 psi, above the max"))
    assert said[place + 1].startswith("Caution: Let air out first")
    page = " ".join(plain(sheet(job)).split())
    assert "Gauge: measured 350 psi, above the max pressure of 320 psi with air" in page
    assert "Caution: Let air out first" in page
    coil, air = answer_object(answer_job(job))["setups"]
    assert air["cautions"][0]["code"] == "measured_over_label"
    assert "350 psi, above the max pressure of 320 psi" in air["cautions"][0]["text"]
    assert air["measured"]["gauge_psi"]["over_label"] is True
    assert air["measured"]["gauge_psi"]["limit"] == pytest.approx(320)
    assert "measured_over_label" not in {caution["code"] for caution in coil["cautions"]}
    # Nobody has read the demo's limit off a label.
    assert "above the max pressure of 320 psi (unverified)" in told(measuring(gauge="350 psi"))["gauge"][0]
    assert not any("max pressure of" in line for line in lines(measuring(gauge="203 psi")))
