"""Values outside of what is usual: a range for every number of the file, a caution wherever they show."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.cli import main
from tui.job.demo import demo_job
from tui.job.fields import every_field
from tui.job.files import save
from tui.job.quantities import (
    LIKELY,
    dimension_of,
    doubt_at,
    doubts,
    fraction_unseen,
    in_si,
    is_bare,
    is_fraction,
    is_number,
    number,
    plain,
    sag_length,
    split,
    unlikely,
    whole_mass,
    with_unit,
)
from tui.job.tree import TreePath as Place
from tui.job.wheels import wheel_job
from tui.shop_units import IMPERIAL, USUAL, Measure

Printed = pytest.CaptureFixture[str]
DEMO = wheel_job(demo_job(), "rear")
ABSURD = (
    DEMO.with_value(("load", "rider_mass"), "8.7 kg")
    .with_value(("target", "sag"), "75 %")
    .with_value(("setup", 1, "mass"), "9 kg")
    .with_value(("measured", "tyre"), "9 bar")
)
GRADE = "setup.grade"
"""A name of a grade of wire in digits: it measures nothing."""


def test_every_number_of_the_file_has_a_usual_range_within_what_is_accepted() -> None:
    known = {".".join(map(str, field.path)) for field in every_field() if field.measure is not None} - {GRADE}
    assert known == set(LIKELY)
    assert all(one.low < one.high for one in LIKELY.values())


def test_the_demo_is_usual_at_both_ends() -> None:
    assert doubts(DEMO) == doubts(wheel_job(demo_job(), "front")) == ()


@pytest.mark.parametrize(
    ("path", "raw", "text"),
    [
        (("load", "rider_mass"), "8.7 kg", "8.7 kg for a rider: 20.0 to 160.0 kg is usual"),
        (("load", "rider_mass"), "19 lb", "19 lb (8.6 kg) for a rider: "),
        (("target", "sag"), "95 %", "95 % for a sag: 5.0 to 50.0 % is usual"),
        (("target", "sag"), 0.95, "95 % for a sag: "),
        (("setup", 1, "bore"), "150 mm", "150 mm for a bore: 15.0 to 80.0 mm is usual"),
        (("setup", 1, "pressure"), "3 psi", "3 psi for a set pressure: 12 to 420 psi is usual"),
        (("measured", "rebound_clicks"), 90, "90 for rebound clicks: 0 to 40 is usual"),
    ],
)
def test_what_is_absurd_is_doubted(path: Place, raw: str | float, text: str) -> None:
    doubt = doubt_at(DEMO.with_value(path, raw), path)
    assert doubt is not None
    assert doubt.text(USUAL).startswith(text)
    assert doubt.text(USUAL).endswith("(rule of thumb). Check it.")


@pytest.mark.parametrize(("key", "most"), [("pressure", 200), ("max_pressure", 300)])
def test_a_fork_has_lower_pressures_than_a_shock(key: str, most: int) -> None:
    front = wheel_job(demo_job(), "front")
    place = next(at for at, setup in enumerate(front.setups) if setup["kind"] == "air")
    path = ("setup", place, key)
    assert doubt_at(front.with_value(path, f"{most} psi"), path) is None
    doubt = doubt_at(front.with_value(path, f"{most + 1} psi"), path)
    assert doubt is not None
    assert doubt.text(USUAL).startswith(f"{most + 1} psi for a fork's ")
    path = ("setup", 1, key)
    assert doubt_at(DEMO.with_value(path, f"{most + 1} psi"), path) is None


@pytest.mark.parametrize(
    ("reading", "doubted"),
    [("19 kg", True), ("20 kg", False), ("60 kg", False), ("82 kg", False), ("83 kg", True), ("95 kg", True)],
)
def test_a_scale_reads_a_part_of_rider_and_bike(reading: str, doubted: bool) -> None:
    path = ("measured", "scale")
    assert whole_mass(DEMO) == 97.0
    doubt = doubt_at(DEMO.with_value(path, reading), path)
    assert (doubt is not None) == doubted
    if doubt is not None:
        assert doubt.text(USUAL) == (
            f"{reading} for one wheel of 97.0 kg in all: 19.4 to 82.5 kg is usual (rule of thumb). Check it."
        )
        assert doubt.question(IMPERIAL).endswith(" for one wheel of 213.8 lb in all?")
    assert [doubt.path for doubt in doubts(DEMO.with_value(path, reading))] == [path] * doubted


def test_a_scale_without_masses_is_doubted_by_those_that_are_known() -> None:
    path = ("load", "scale_mass")
    job = DEMO.without(("load", "rider_mass")).without(("load", "bike_mass")).with_value(path, "90 kg")
    assert whole_mass(job) is None
    assert doubt_at(job, path) is None
    known = doubt_at(job, path, 97.0)
    assert known is not None
    assert known.question(USUAL) == "90 kg for one wheel of 97.0 kg in all?"
    assert doubt_at(job, ("load", "unsprung_mass"), 97.0) is None


def test_a_doubt_is_in_the_shops_unit() -> None:
    doubt = doubt_at(DEMO.with_value(("load", "rider_mass"), "8.7 kg"), ("load", "rider_mass"))
    assert doubt is not None
    assert doubt.text(IMPERIAL).startswith("8.7 kg (19.2 lb) for a rider: 44.1 to 352.7 lb is usual")


@given(key=st.sampled_from(sorted(LIKELY)), share=st.floats(0, 1))
def test_both_ends_of_a_range_and_all_between_are_usual(key: str, share: float) -> None:
    likely = LIKELY[key]
    writing = USUAL.writings[likely.measure]
    number = likely.low + share * (likely.high - likely.low)
    assert likely.holds((number - writing.offset) * writing.factor)
    above = likely.high + 0.01 * (likely.high - likely.low)
    assert not likely.holds((above - writing.offset) * writing.factor)


@pytest.mark.parametrize("raw", ["solve", "none", "", "much", "8 psi", True, float("nan")])
def test_what_is_no_number_of_its_kind_is_not_doubted(raw: str | float) -> None:
    job = DEMO.with_value(("setup", 1, "bore"), raw)
    assert doubt_at(job, ("setup", 1, "bore")) is None
    assert doubts(job) == ()


def test_a_file_is_answered_with_cautions_in_report_json_and_sheet(tmp_path: Path, capsys: Printed) -> None:
    file = tmp_path / "job.toml"
    save(ABSURD, file, None)
    assert main(["solve", str(file)]) == 0
    report = capsys.readouterr().out.splitlines()
    assert "Caution: 8.7 kg for a rider: 20.0 to 160.0 kg is usual (rule of thumb). Check it." in report
    assert sum(line.startswith("Caution: ") for line in report) == len(doubts(ABSURD)) == 4
    assert main(["solve", str(file), "--json"]) == 0
    coil, air = json.loads(capsys.readouterr().out)["setups"]
    told = [[one["text"] for one in setup["cautions"] if one["code"] == "unlikely"] for setup in (coil, air)]
    assert [len(texts) for texts in told] == [3, 4]
    assert told[1][-2:] != told[0][-2:]
    assert main(["sheet", str(file), "--date", date(2026, 3, 2).isoformat()]) == 0
    assert "8.7 kg for a rider: 20.0 to 160.0 kg is usual" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("text", "parts", "bare"),
    [
        ("85", ("85", ""), True),
        (" 85 kg ", ("85", "kg"), False),
        ("85kg", ("85", "kg"), False),
        ("-8,5", ("-8,5", ""), True),
        ("−8.5 mm", ("-8.5", "mm"), False),
        ("+.5", ("+.5", ""), True),
        ("5.", ("5.", ""), True),
        ("2.9 : 1", ("2.9", ": 1"), False),
        (".", None, False),
        ("kg", None, False),
        ("", None, False),
        (85, None, False),
        (None, None, False),
    ],
)
def test_a_quantity_is_a_number_and_what_stands_behind_it(
    text: object, parts: tuple[str, str] | None, bare: bool
) -> None:
    assert split(text) == parts
    if isinstance(text, str):
        assert is_bare(text) is bare
        assert with_unit(text, "kg") == (f"{text.strip()} kg" if bare else text)


@pytest.mark.parametrize(
    ("text", "fraction", "share"),
    [
        ("0.3", True, "30 %"),
        ("-0,25", True, "-25 %"),
        (".999", True, "99.9 %"),
        ("0.0005", True, "0.05 %"),
        ("0", False, "0 %"),
        ("1", False, "100 %"),
        ("-1", False, "-100 %"),
        ("1.5", False, "150 %"),
    ],
)
def test_a_number_between_nothing_and_one_may_be_a_share(text: str, fraction: bool, share: str) -> None:
    assert is_fraction(text) is fraction
    assert not is_fraction(f"{text} mm")
    told = f'"{text}" may be a share of the whole: write {share}'
    assert fraction_unseen(text) == told
    assert fraction_unseen(f" {text} ", "45 mm") == f"{told} or 45 mm"


def test_a_quantity_in_si_and_what_has_no_dimension() -> None:
    assert in_si("2 in", Measure.TRAVEL) == pytest.approx(0.0508)
    assert in_si("1000 ft", Measure.ALTITUDE) == pytest.approx(304.8)
    assert in_si("30 %", Measure.FRACTION) == pytest.approx(0.3)
    for text, measure in (
        ("2 kg", Measure.TRAVEL),
        ("2", Measure.MASS),
        ("x", Measure.MASS),
        ("2", Measure.TURNS),
    ):
        assert in_si(text, measure) is None
    assert dimension_of(Measure.TURNS) is None
    assert dimension_of(Measure.TRAVEL) == dimension_of(Measure.ALTITUDE)
    assert (sag_length("mm"), sag_length("in"), sag_length("cm")) == ("45 mm", "1.8 in", "45 cm")
    assert str(number("2,50")) == "2.50"


def test_a_raw_value_is_a_number_or_a_line_of_text() -> None:
    assert [is_number(raw) for raw in (1, 1.5, True, "1", None)] == [True, True, False, False, False]
    assert [plain(raw) for raw in (None, "a", 1, 1.5, (1, 2), "")] == ["", "a", "1", "1.5", "(1, 2)", ""]


def test_the_ends_of_a_range_are_usual_and_what_is_beyond_is_not_by_any_more_than_rounding() -> None:
    mass = LIKELY["load.rider_mass"]
    assert (mass.low, mass.high) == (20.0, 160.0)
    kept = {si: mass.holds(si) for si in (20.0, 160.0, 20 - 1e-8, 160 + 1e-8, 19.99, 160.01, -20.0)}
    assert kept == {
        20.0: True, 160.0: True, 20 - 1e-8: True, 160 + 1e-8: True, 19.99: False, 160.01: False, -20.0: False,
    }  # fmt: skip
    assert mass.span(IMPERIAL) == "44.1 to 352.7 lb"


def test_doubts_are_those_of_one_wheel_in_the_order_of_the_file() -> None:
    assert [doubt.path for doubt in doubts(ABSURD)] == [
        ("load", "rider_mass"), ("target", "sag"), ("setup", 1, "mass"), ("measured", "tyre"),
    ]  # fmt: skip
    bike = demo_job().with_value(("front", "target", "sag"), "75 %")
    assert doubts(bike) == ()
    assert [doubt.path for doubt in doubts(wheel_job(bike, "front"))] == [("target", "sag")]
    # Numbers in a list are judged by the law they are given to, not one by one.
    table = {"kind": "table", "travel_mm": (0.0, 9e9), "ratio": (2.8, 2.2)}
    assert doubts(DEMO.with_value(("frame", "leverage"), table)) == ()
    assert doubt_at(DEMO, ("load", "nothing")) is None
    assert doubt_at(DEMO.without(("load", "rider_mass")), ("load", "rider_mass")) is None


def test_a_doubt_says_the_value_as_it_was_typed() -> None:
    for path, raw, told in (
        (("load", "bike_share"), 0.995, "99.5 %"),
        (("load", "bike_share"), "99 %", "99 %"),
        (("setup", 0, "preload_turns"), 90, "90 turns"),
        (("load", "rider_mass"), "500 kg", "500 kg"),
        (("load", "rider_mass"), "1200 lb", "1200 lb (544.3 kg)"),
    ):
        doubt = doubt_at(DEMO.with_value(path, raw), path)
        assert doubt is not None
        assert doubt.value(USUAL) == told
    other = unlikely("load.rider_mass", 8.0, "8 kg")
    assert other is not None
    assert (other.path, other.si, other.value(USUAL)) == (("load.rider_mass",), 8.0, "8 kg")
    assert unlikely("load.rider_mass", 80.0, "80 kg") is None
