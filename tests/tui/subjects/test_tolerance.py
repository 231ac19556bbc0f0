"""The tools' errors in the job file, and what comes of them and of other air without a screen."""

import json
import re
from typing import Any

import pytest

from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.job import Job
from tui.job.tree import Raw
from tui.job.wheels import wheel_job
from tui.shop_units import METRIC
from tui.subjects.answers import answer_object
from tui.subjects.report import report

BOTH = demo_job()
DEMO = wheel_job(BOTH, "rear")
_NOTHING_OFF: Raw = {"scale": "0 kg", "share": 0, "gauge": "0 psi", "rate": "0 %", "volume": "0 cm3"}
EXACT = DEMO.with_value(("tolerance",), _NOTHING_OFF)
for _index in (0, 1):
    EXACT = EXACT.with_value(("setup", _index, "friction"), "0 N")


def answered(job: Job) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(json.dumps(answer_object(answer_job(job)), allow_nan=False))
    return found


def faults(key: str, raw: Raw) -> list[str]:
    with pytest.raises(UnusableJob) as caught:
        answer_job(DEMO.with_value(("tolerance", key), raw))
    return [str(fault) for fault in caught.value.faults]


def test_a_job_that_says_nothing_has_the_usual_tools() -> None:
    usual = {
        "scale_kg": 0.5,
        "gauge_psi": 2.0,
        "rate_fraction": 0.05,
        "volume_cm3": 1.0,
        "share_fraction": 0.02,
    }
    assert answered(DEMO)["tolerance"] == pytest.approx(usual)
    typed = DEMO.with_value(("tolerance",), {"scale": "1 lb", "rate": 0.02, "share": "1 %"})
    assert answered(typed)["tolerance"] == pytest.approx(
        usual | {"scale_kg": 0.45359237, "rate_fraction": 0.02, "share_fraction": 0.01}
    )


@pytest.mark.parametrize(
    ("key", "raw", "said"),
    [
        ("scale", "60 kg", 'tolerance.scale: "60 kg" is out of range; use a mass from 0 kg to 50 kg'),
        ("gauge", 2, "tolerance.gauge: 2 has no unit"),
        ("rate", "5 psi", "tolerance.rate: "),
        ("volume", "-1 cm3", "tolerance.volume: "),
        ("share", 0.5, "tolerance.share: 0.5 is out of range"),
        ("scales", "1 kg", "tolerance.scales: unknown key; the nearest known key is scale"),
    ],
)
def test_what_a_tool_cannot_be_off_by_is_told(key: str, raw: Raw, said: str) -> None:
    (fault,) = faults(key, raw)
    assert fault.startswith(said)


def test_a_slip_of_the_tables_name_is_told() -> None:
    with pytest.raises(UnusableJob, match="tolerences: unknown key; the nearest known key is tolerance"):
        answer_job(DEMO.with_value(("tolerences", "scale"), "1 kg"))


def test_bands_of_every_setup() -> None:
    for setup in answered(DEMO)["setups"]:
        band = setup["tolerance"]
        for key, figure in (
            ("sag_fraction", setup["sag"]["wheel_fraction"]),
            ("sag_wheel_mm", setup["sag"]["wheel_mm"]),
            ("bottom_ratio", setup["riding"]["bottom_ratio"]),
        ):
            assert band[key]["low"] < figure < band[key]["high"]
            assert band[key]["median"] == pytest.approx(figure, rel=3e-3)
        assert (band["topped_out_share"], band["bottomed_out_share"]) == (0.0, 0.0)
        errors = {"scale", "share", "gauge", "rate", "volume", "friction", "leverage"}
        assert set(band["sag_fraction_alone"]) == errors


@pytest.mark.slow
def test_the_front_wheel_has_its_own_bands_from_the_same_tools() -> None:
    fine: Raw = {"scale": "0.1 kg", "share": 0.002, "gauge": "0.2 psi", "volume": "0.1 cm3"}
    slick = BOTH.with_value(("front", "setup", 0, "friction"), "0 N")
    usual, better = (
        answered(job)["front"]["setups"][0] for job in (slick, slick.with_value(("tolerance",), fine))
    )
    widths = [
        band["high"] - band["low"] for band in (end["tolerance"]["sag_fraction"] for end in (usual, better))
    ]
    assert 0 < widths[1] < 0.5 * widths[0]
    assert usual["conditions"]["temperature"]["state"][0] == "ok"


def test_the_band_is_in_the_measure_of_the_target() -> None:
    air = answered(DEMO.with_value(("target",), {"sag": "25 %", "of": "stroke"}))["setups"][1]
    assert air["tolerance"]["sag_fraction"]["median"] == pytest.approx(
        air["sag"]["stroke_fraction"], rel=2e-3
    )


def test_exact_tools_leave_no_band() -> None:
    for setup in answered(EXACT)["setups"]:
        edges = list(setup["tolerance"]["sag_fraction"].values())
        assert edges == pytest.approx([setup["sag"]["wheel_fraction"]] * 3)


def test_a_setup_that_never_settles_has_shares_and_no_sag() -> None:
    soft = DEMO.with_value(("setup", 0, "rate"), "12 N/mm").without(("setup", 0, "bumper_length"))
    band = answered(soft.without(("setup", 0, "bumper_force")))["setups"][0]["tolerance"]
    assert band["sag_fraction"] == {"low": None, "median": None, "high": None}
    assert band["bottomed_out_share"] == 1.0
    assert band["bottom_ratio"]["median"] is not None


def test_other_air_is_there_in_columns() -> None:
    coil, air = answered(DEMO)["setups"]
    warm, high = air["conditions"]["temperature"], air["conditions"]["altitude"]
    assert (warm["temperatures_c"][0], warm["temperatures_c"][-1]) == pytest.approx((-15.0, 45.0))
    assert (high["altitudes_m"][0], high["altitudes_m"][-1]) == (0.0, 4000.0)
    for columns in (warm, high):
        assert len({len(column) for column in columns.values()}) == 1
        # The hose takes something out of the chamber.
        assert all(
            on < held for on, held in zip(columns["pump_shows_psi"], columns["set_pressure_psi"], strict=True)
        )
    assert warm["set_pressure_psi"] == sorted(warm["set_pressure_psi"])
    assert warm["sag_wheel_fraction"] == sorted(warm["sag_wheel_fraction"], reverse=True)
    assert set(coil["conditions"]["temperature"]["set_pressure_psi"]) == {None}


def test_the_shops_own_altitude_is_the_answer_itself() -> None:
    at_500 = DEMO.with_value(("ambient", "altitude"), "500 m")
    air = answered(at_500)["setups"][1]
    there = air["conditions"]["altitude"]
    place = there["altitudes_m"].index(500.0)
    assert there["sag_wheel_fraction"][place] == pytest.approx(air["sag"]["wheel_fraction"])
    assert there["set_pressure_psi"][place] == pytest.approx(air["set_pressure_psi"])
    assert there["bottom_ratio"][place] == pytest.approx(air["riding"]["bottom_ratio"])


def lines(job: Job, begin: str) -> list[str]:
    told = report(answer_job(job)).splitlines()
    return [line.strip() for line in told if line.strip().startswith(begin)]


@pytest.mark.slow
def test_the_report_says_the_band_and_what_it_comes_from() -> None:
    coil, air = lines(DEMO, "Tool errors, each uniform within its ±: ")
    assert coil.endswith(
        "scale ±0.5 kg for each weighing; rider share ±2.0 % of the rider's mass; "
        "spring rate ±5.0 %; seal friction ±14 N: the wheel stops anywhere within it"
    )
    assert (
        "gauge ±2 psi, one gauge for both chambers; air volumes ±1.0 cm3, each chamber independently" in air
    )
    sag, end = r"sag \d\d\.\d to \d\d\.\d % of travel", r"bottom-out \d\.\d\d to \d\.\d\d x static load"
    said = f"Tolerance, 90 % of cases: {sag}, {end}"
    assert [bool(re.fullmatch(said, line)) for line in lines(DEMO, "Tolerance, ")] == [True, True]
    alone = "Sag from each error alone, % of travel: "
    assert lines(DEMO, alone) == [
        f"{alone}spring rate ±1.3 %, rider share ±0.9 %, seal friction ±0.3 %, scale ±0.2 %",
        f"{alone}rider share ±1.1 %, seal friction ±0.9 %, gauge ±0.3 %, scale ±0.3 %, air volumes ±0.2 %",
    ]


def measured(stroke: list[float]) -> Job:
    travel = [0.0, 25.0, 50.0, 75.0, 100.0, 125.0, 148.0]
    pairs: Raw = {"kind": "measured", "travel_mm": list(travel), "stroke_mm": list(stroke)}
    return DEMO.with_value(("frame", "leverage"), pairs)


@pytest.mark.slow
def test_pairs_that_scatter_widen_the_band_and_say_by_how_much() -> None:
    job = measured([0.0, 9.5, 19.2, 29.7, 39.7, 50.6, 60.1])
    found = answered(job)
    pairs = found["frame"]["pairs"]
    squares = [off**2 for off in pairs["residual_mm"]]
    assert pairs["degrees_of_freedom"] == 3
    assert pairs["standard_deviation_mm"] == pytest.approx((sum(squares) / 3) ** 0.5)
    assert found["frame"]["residual_mm"] == pytest.approx((sum(squares) / 7) ** 0.5)
    band = found["setups"][0]["tolerance"]["sag_fraction_alone"]["leverage"]
    assert band["high"] - band["low"] > 0.002
    deviation = f"{pairs['standard_deviation_mm']:.2f} mm"
    assert lines(job, "Measured pairs") == [
        f"Measured pairs scatter about the curve by {deviation} (standard deviation)"
    ]
    assert "measured pairs by their scatter about the curve" in lines(job, "Tool errors, ")[0]
    assert "measured pairs ±" in lines(job, "Sag from each error alone, % of travel: ")[0]


def test_the_report_says_how_often_it_does_not_settle() -> None:
    stiff = DEMO.with_value(("setup", 0, "rate"), "400 N/mm").with_value(("setup", 0, "preload_turns"), 6)
    (beyond,) = lines(stiff, "Within tool errors")
    assert beyond == "Within tool errors, 100.0 % top out under the rider."
    heavy = DEMO.with_value(("load", "rider_mass"), "450 kg").with_value(("setup", 1, "bore"), "20 mm")
    assert len(lines(heavy.with_value(("setup", 1, "body"), "15 mm"), "Tolerance, 90 %")) == 1


@pytest.mark.slow
def test_the_report_has_other_air_for_an_air_spring() -> None:
    assert len(lines(DEMO, "Riding conditions")) == 1
    (cold,) = lines(DEMO, "at -15 degC")
    starts = r"breakaway at the shaft \d+ N"
    said = r"at -15 degC: the gauge reads \d+ psi, sag \d\d\.\d % of travel, " + starts
    assert re.fullmatch(said, cold)
    assert len(lines(DEMO, "at 4000 m")) == 1
    assert "the gauge reads 12." in report(answer_job(DEMO), METRIC)
