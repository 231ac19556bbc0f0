"""A bike with both ends without a screen: the front and the balance in JSON and in the report."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.tui.job.two_ends import BIKE, REAR
from tui.job.answer import answer_job
from tui.job.figures import figure_named
from tui.job.files import toml_text
from tui.job.wheels import wheel_job
from tui.subjects.answers import answer_object, answer_text
from tui.subjects.report import report, report_text


@pytest.mark.slow
def test_the_front_stands_beside_the_rear_in_the_object() -> None:
    found = answer_object(answer_job(BIKE))
    rear, front = (answer_object(answer_job(wheel_job(BIKE, end))) for end in ("rear", "front"))
    assert {key: found[key] for key in rear} == rear
    assert found["front"] == {key: front[key] for key in ("load", "frame", "setups")} | {"cautions": []}
    assert found.keys() - rear.keys() == {"front", "balance"}


def test_one_wheel_has_neither_front_nor_balance() -> None:
    assert not {"front", "balance"} & answer_object(answer_job(REAR)).keys()
    assert "Front and rear" not in report(answer_job(REAR))
    assert "Rear wheel" not in report(answer_job(REAR))


@pytest.mark.slow
def test_a_caution_of_the_fork_stands_at_the_front() -> None:
    found = answer_object(answer_job(BIKE.with_value(("front", "frame", "wheel_travel"), "150 mm")))
    assert [caution["code"] for caution in found["front"]["cautions"]] == ["closure"]
    assert found["front"]["setups"][0]["cautions"][0]["code"] == "closure"


@pytest.mark.slow
def test_the_balance_holds_every_pair_and_what_to_change() -> None:
    pairs = answer_object(answer_job(BIKE))["balance"]["pairs"]
    assert [(pair["rear"]["name"], pair["front"]["name"]) for pair in pairs] == [
        ("coil", "fork air"),
        ("coil", "fork coil"),
        ("air", "fork air"),
        ("air", "fork coil"),
    ]
    first = pairs[0]
    assert first["rear"]["sag_fraction"] == pytest.approx(0.29)
    assert first["front"]["sag_fraction"] == pytest.approx(0.22)
    assert first["balance"] == "balanced"
    assert first["front_over_rear"]["sag_fraction"] == pytest.approx(0.22 / 0.29)
    change = next(c for c in first["changes"] if (c["end"], c["agree_in"]) == ("front", "sag_fraction"))
    assert change["then"]["sag_fraction"] == pytest.approx(0.29)
    typed = BIKE.with_value(("front", "setup", 0, "pressure"), f"{change['set_pressure_psi']:.4f} psi")
    again = answer_object(answer_job(typed))["balance"]["pairs"][0]
    assert again["front"]["sag_fraction"] == pytest.approx(0.29, abs=1e-5)
    assert {"rate_n_per_mm", "rate_lbf_per_in"} <= pairs[1]["changes"][0].keys()
    json.dumps(pairs, allow_nan=False)


def test_the_report_goes_from_the_rear_to_the_front_to_both() -> None:
    lines = report(answer_job(BIKE)).splitlines()
    places = [lines.index(head) for head in ("Rear wheel", "Front wheel", "Front and rear")]
    assert places == sorted(places)
    both = "\n".join(lines[places[2] :])
    assert "Rear coil, front fork air" in both
    assert "  Stiffness balanced, sag outside the usual range: front natural frequency +26 % (usual" in both
    assert "Sag: rear 29.0 %, front 22.0 %, front over rear 0.76" in both
    assert "To match sag, set the front to " in both
    assert "Caution: Never above max pressure" in both
    assert "nan" not in both


@pytest.mark.slow
def test_a_spacer_count_says_whether_it_agrees() -> None:
    packed = answer_job(BIKE.with_value(("front", "setup", 0, "positive_spacers"), 4))
    pair = answer_object(packed)["balance"]["pairs"][0]
    wanted = pair["rear"]["bottom_ratio"]
    changes = [change for change in pair["changes"] if change["end"] == "front"]
    spaced = next(change for change in changes if change["agree_in"] == "bottom_ratio")
    assert spaced["agrees"] is False
    assert abs(spaced["then"]["bottom_ratio"] - wanted) > 0.02 * wanted
    assert all(change["agrees"] for change in changes if change is not spaced)
    said, label = report(packed), figure_named("bottom_ratio").label
    assert f"Nearest in {label}, no match: set the front to " in said
    assert f"To match {label}, set the front" not in said.split("Rear coil, front fork coil")[0]


@pytest.mark.slow
def test_the_report_refers_to_no_mark() -> None:
    low = BIKE.with_value(("front", "setup", 0, "max_pressure"), "40 psi")
    said = report(answer_job(low))
    assert ", above max pressure:" in said
    assert "Caution: A setting beyond a limit is for comparison only" in said
    assert "mark" not in said


def test_a_file_with_both_ends_is_answered(tmp_path: Path) -> None:
    path = tmp_path / "bike.toml"
    path.write_text(toml_text(BIKE, None))
    assert json.loads(answer_text(str(path)))["front"]["setups"][1]["name"] == "fork coil"
    assert "Front wheel" in report_text(str(path))
