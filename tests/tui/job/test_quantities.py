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
from tui.job.quantities import LIKELY, doubt_at, doubts
from tui.job.tree import TreePath as Place
from tui.job.wheels import wheel_job
from tui.shop_units import IMPERIAL, USUAL

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
