"""Sweeps and maps as a person or a script asks for them: numbers, units, faults."""

import csv
import io
import json
import re
from pathlib import Path
from typing import Any

import pytest

from physics.inputs import BY_NAME
from physics.ride_search import RIDE_INPUTS
from physics.sweep import FIGURES
from tui.cli import main
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.fields import INPUTS
from tui.job.figures import SWEPT, figure_named
from tui.job.files import toml_text
from tui.job.wheels import Wheel
from tui.subjects.asked import Unanswered
from tui.subjects.sweep import SweepAsked, command

RIDERS = "rider_mass=50kg..120kg:3"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.toml"
    path.write_text(toml_text(demo_job(), None))
    return path


def asked(
    job: Path, over: list[str], figures: list[str], wheel: Wheel = "rear", *, as_json: bool = True
) -> str:
    return command(str(job), SweepAsked(over, figures, wheel), as_json=as_json)


def refused(job: Path, over: list[str], figures: list[str], wheel: Wheel = "rear") -> str:
    with pytest.raises(Unanswered) as unanswered:
        asked(job, over, figures, wheel)
    return "\n".join(unanswered.value.lines)


def test_every_input_and_figure_has_its_words() -> None:
    known = set(BY_NAME) | {one.name for one in RIDE_INPUTS}
    assert set(INPUTS) == known, (
        "fields that are `swept` are in physics/inputs.py too, those with `rides` in physics/ride_search.py"
    )
    assert set(SWEPT) < set(FIGURES)
    assert all(figure_named(name).label for name in SWEPT)
    assert len(set(SWEPT)) == len(SWEPT) > 50


def test_a_sweep_is_what_the_job_answers_with_each_number_typed(job: Path) -> None:
    found = json.loads(asked(job, [RIDERS], ["bottom_ratio", "set_pressure"]))
    assert found["over"] == [{"rider_mass_kg": [50.0, 85.0, 120.0]}]
    for place, mass in enumerate((50, 85, 120)):
        typed = demo_job().with_value(("load", "rider_mass"), f"{mass} kg")
        there = answer_job(typed).at("rear")
        assert there is not None
        for row, setup in zip(found["setups"], there.answer.setups, strict=True):
            assert row["bottom_ratio"][place] == pytest.approx(float(setup.riding.bottom_ratio))
            assert row["state"][place] == setup.state
            if setup.air is None:
                assert row["set_pressure_psi"][place] is None
            else:
                gauge = float(setup.air.set_pressure) - float(there.answer.shop.pressure)
                assert row["set_pressure_psi"][place] == pytest.approx(gauge / 6894.757293168)


def test_gauge_pressures_are_typed_and_told_as_gauge(job: Path) -> None:
    found = json.loads(asked(job, ["pressure=200psi..220psi:2", "altitude=0m..2000m:2"], ["set_pressure"]))
    air = found["setups"][1]["set_pressure_psi"]
    assert found["over"][0]["pressure_psi"] == pytest.approx([200, 220])
    assert air[0] == pytest.approx([200, 200])
    assert air[1] == pytest.approx([220, 220])


def test_a_map_in_lines(job: Path) -> None:
    text = asked(job, [RIDERS, "positive_spacers=0..2"], ["bottom_ratio"], as_json=False)
    lines = [line for line in text.splitlines() if " kg, " in line]
    assert len(lines) == 9
    assert lines[0].startswith("  50.0 kg, 0: coil ")


def test_what_cannot_be_is_null_and_said(job: Path) -> None:
    # 41 mm of bore less 9.5 mm of rod over 60 mm take 75.0 cm3, and one spacer of 5 leaves 65 of the 70.
    found = json.loads(asked(job, ["positive_volume=70cm3..110cm3:2"], ["end_ramp"]))
    assert found["setups"][1]["end_ramp"][0] is None
    assert found["setups"][1]["state"][0] == "impossible"
    assert found["impossible"] == ["1 of 2 not possible: chamber too small by 10.0 cm3."]


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize(
    ("older", "name", "span"),
    [
        ("start", "leverage_start", "2.7..2.9"),
        ("end", "leverage_end", "2.2..2.25"),
        ("rod", "damper_rod", "9mm..10mm"),
        ("body", "damper_body", "27mm..29mm"),
        ("port", "port_position", "2mm..4mm"),
    ],
)
def test_an_input_of_a_sub_table_has_a_name_that_says_what_it_is(
    job: Path, older: str, name: str, span: str
) -> None:
    found = [asked(job, [f"{said}={span}:2"], ["sag_wheel"]) for said in (older, name)]
    assert found[0] == found[1]
    [key] = json.loads(found[1])["over"][0]
    assert key.startswith(name)
    assert name in refused(job, ["x=1..2"], ["sag_wheel"])
    assert f"over.{name}: " in refused(job, [f"{name}=3..2"], ["sag_wheel"])


def test_a_figure_is_named_as_in_the_answer_with_its_unit_or_without(job: Path) -> None:
    names = ("natural_frequency", "natural_frequency_hz", "riding.natural_frequency_hz")
    assert len({asked(job, [RIDERS], [name]) for name in names}) == 1


def test_the_front_has_its_own_inputs(job: Path) -> None:
    found = json.loads(asked(job, ["head_angle=62deg..66deg:2"], ["sag_wheel"], "front"))
    assert [setup["name"] for setup in found["setups"]] == ["fork"]
    assert found["over"] == [{"head_angle_deg": [pytest.approx(62), pytest.approx(66)]}]


@pytest.mark.fast_cases(4)
@pytest.mark.parametrize(
    ("over", "said"),
    [
        ("rider_mass", 'over: "rider_mass" cannot be read; use NAME=FROM..TO'),
        ("rider_mas=50kg..60kg", "over.rider_mas: not an input of this job; use one of rider_mass,"),
        ("head_angle=62deg..66deg", "over.head_angle: not an input of this job"),
        ("sag=0.2..0.3", "over.sag: "),
        ("sag=0.2..0.3", "write 20 %"),
        ("rider_mass=50psi..60psi", "over.rider_mass: "),
        ("rider_mass=-5kg..60kg", "out of range"),
        ("rider_mass=60kg..50kg", "60kg is not below 50kg"),
        ("rider_mass=50kg..60kg:1", "1 is out of range; use 2 to 1000"),
        ("positive_spacers=0.5..2", "use a whole number"),
    ],
)
def test_ranges_that_cannot_be_used(job: Path, over: str, said: str) -> None:
    assert said in refused(job, [over], ["bottom_ratio"])


def test_other_faults(job: Path) -> None:
    assert "use bottom_ratio, the nearest" in refused(job, [RIDERS], ["botom_ratio"])
    assert "one or two different inputs" in refused(job, [RIDERS, RIDERS], ["bottom_ratio"])
    assert "at most 250000" in refused(job, ["rider_mass=50kg..60kg:1000", "sag=20%..30%:1000"], ["rate"])
    assert "no such file" in refused(job.with_name("none.toml"), [RIDERS], ["rate"])


@pytest.mark.parametrize(
    ("bare", "typed"),
    [
        ("rider_mass=60..90:3", "rider_mass=60kg..90kg:3"),
        ("sag=25..30:3", "sag=25%..30%:3"),
        ("pressure=180..220:3", "pressure=180psi..220psi:3"),
        ("port=5,5..7:3", "port=5.5mm..7mm:3"),
    ],
)
def test_a_bare_number_is_in_the_unit_that_help_names(job: Path, bare: str, typed: str) -> None:
    names = ["natural_frequency_hz"]
    found = [command(str(job), SweepAsked([over], names), as_json=True) for over in (bare, typed)]
    assert found[0] == found[1]
    assert '"natural_frequency_hz": [' in found[0]


@pytest.mark.parametrize(
    "over", [[RIDERS], ["rider_mass=50kg..120kg:3", "altitude=0m..2000m:2"]], ids=["sweep", "map"]
)
def test_as_csv_every_case_is_a_row_with_the_numbers_of_the_json(job: Path, over: list[str]) -> None:
    figures = ["bottom_ratio", "set_pressure"]
    text = command(str(job), SweepAsked(over, figures), as_csv=True)
    head, *rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    ends = ["altitude (m)"] if len(over) > 1 else []
    assert head == [
        "rider mass (kg)",
        *ends,
        "coil: bottom-out ratio (x static)",
        "air: bottom-out ratio (x static)",
        "coil: set pressure (psi)",
        "air: set pressure (psi)",
    ]
    found = json.loads(asked(job, over, figures))
    masses = found["over"][0]["rider_mass_kg"]
    heights = found["over"][1]["altitude_m"] if ends else [None]
    assert len(rows) == len(masses) * len(heights) == 3 * len(heights)
    cases = [(one, other) for one in range(len(masses)) for other in range(len(heights))]
    for (one, other), row in zip(cases, rows, strict=True):
        at = (one, other) if ends else (one,)
        expected = [masses[one], *([heights[other]] if ends else [])]
        expected += [_at(setup["bottom_ratio"], at) for setup in found["setups"]]
        expected += [_at(setup["set_pressure_psi"], at) for setup in found["setups"]]
        assert [float(cell) if cell else None for cell in row] == [
            None if number is None else pytest.approx(number, rel=1e-12) for number in expected
        ]


def _at(numbers: list[Any], place: tuple[int, ...]) -> float | None:
    found: Any = numbers
    for step in place:
        found = found[step]
    return None if found is None else float(found)


def test_as_csv_a_case_that_cannot_be_says_so(job: Path) -> None:
    text = command(str(job), SweepAsked(["positive_spacers=0..40:3"], ["bottom_ratio"]), as_csv=True)
    _, *rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    assert rows[-1][-1] == "not possible"
    assert float(rows[0][-1]) > 1


def test_the_wheel_is_named_as_such_and_as_scripts_have_it(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["sweep", str(job), "--over", RIDERS, "--figure", "bottom_ratio", "--json"]
    told = []
    for wheel in (["--wheel", "front"], ["--end", "front"], ["--wheel", "rear"], []):
        assert main([*words, *wheel]) == 0
        told.append(capsys.readouterr().out)
    front, as_before, rear, usual = told
    assert front == as_before != rear == usual
    assert main(["sweep", "--help"]) == 0
    said = capsys.readouterr().out
    assert "--wheel {rear,front}" in said
    assert "--end" not in said


def test_the_lines_of_a_sweep_have_no_number_far_beyond_the_air_model(job: Path) -> None:
    over, names = ["positive_spacers=0..7:8"], ["fast_peak_pressure", "bottom_ratio", "support_50"]
    said = asked(job, over, names, as_json=False)
    assert ">3467 psi" in said
    assert "air ?" in said
    assert "Peak above 3467 psi, far outside the tested air model: no estimate is shown" in said
    assert not re.search(r"\d{5,} psi", said)
    # The data for other programs have every number, and only what was asked for.
    found = json.loads(asked(job, over, names))["setups"][1]
    assert max(found["fast_peak_pressure_psi"]) > 3467
    assert "peak_pressure_psi" not in found
