"""Readings on the command line: what they say, and every way they can be refused."""

import json
import math
from pathlib import Path
from typing import Any

import pytest

from physics.bench import answer
from physics.case import Air
from tests.tui.job.two_ends import BIKE
from tests.tui.tables.testers import bent, csv_of, csv_of_demo, demo_set, one_way, spring_alone
from tui.cli import main
from tui.job.answer import answer_job
from tui.job.files import toml_text
from tui.job.job import Job

Printed = pytest.CaptureFixture[str]


def file_of(job: Job, folder: Path) -> str:
    path = folder / "job.toml"
    path.write_text(toml_text(job, None))
    return str(path)


@pytest.fixture
def job(tmp_path: Path) -> str:
    return file_of(demo_set(), tmp_path)


@pytest.fixture
def names() -> list[str]:
    return [str(setup["name"]) for setup in demo_set().setups]


def test_a_testers_file_gives_the_air_spring_back(
    job: str, names: list[str], tmp_path: Path, capsys: Printed
) -> None:
    file = tmp_path / "loop.csv"
    file.write_text(csv_of_demo(1))
    words = ["fit", job, "--setup", names[1], "--readings", str(file)]
    assert main([*words, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["setup"] == names[1]
    assert found["readings"] == len(found["residual_n"]) == 40
    spring = answer_job(demo_set()).case.setups[1].spring
    assert isinstance(spring, Air)
    volume = found["parameters"]["positive_volume_cm3"]
    assert volume["value"] == pytest.approx(
        float(spring.positive_volume) * 1e6, abs=3 * volume["standard_error"]
    )
    assert main(words) == 0
    shown = capsys.readouterr()
    assert f"positive volume: {volume['value']:.2f} ± {volume['standard_error']:.2f} cm3" in shown.out
    assert shown.err == ""


def said(words: list[str], capsys: Printed) -> tuple[str, dict[str, Any]]:
    """Return the report and the JSON."""
    assert main(words) == 0
    report = capsys.readouterr().out
    assert main([*words, "--json"]) == 0
    return report, json.loads(capsys.readouterr().out)


def test_a_spring_alone_is_said_with_an_option(
    job: str, names: list[str], tmp_path: Path, capsys: Printed
) -> None:
    file = tmp_path / "spring.csv"
    file.write_text(csv_of(spring_alone()))
    words = ["fit", job, "--setup", names[0], "--readings", str(file)]
    report, found = said(words, capsys)
    assert "this looks like the spring alone" in report
    assert (found["measured"], found["seems_otherwise"]) == ("shock", True)
    assert found["force_at_extension_n"] < 0.5 * found["gas_at_extension_n"]
    report, found = said([*words, "--spring-alone"], capsys)
    assert "rate: 450.2 ± " in report
    assert "preload" not in report
    assert (found["measured"], found["seems_otherwise"]) == ("spring", False)
    assert main(["fit", job, "--setup", names[0], "--sag", "45mm", "--spring-alone"]) == 2
    assert "--spring-alone is for --readings" in capsys.readouterr().err


@pytest.mark.slow
def test_friction_that_is_not_told_is_said_on_both(
    job: str, names: list[str], tmp_path: Path, capsys: Printed
) -> None:
    file = tmp_path / "in.csv"
    file.write_text(csv_of(one_way(0)))
    words = ["fit", job, "--setup", names[0], "--readings", str(file)]
    report, found = said(words, capsys)
    assert "cannot separate friction: assumed 30 N, the middle of 0 to 60 N (rule of thumb)" in report
    assert "Enter it with --friction 15N" in report
    assert "preload -0.127 mm" in report
    assert found["friction"] == {"from": "unknown", "n": 30.0, "off_n": 30.0}
    preload = found["parameters"]["preload_mm"]
    assert preload["per_n_of_friction"] == pytest.approx(-0.0127, rel=1e-2)
    assert preload["error_of_tool"]["friction"] == pytest.approx(0.220, rel=1e-2)
    report, found = said([*words, "--friction", "3 lbf"], capsys)
    assert "cannot separate friction: 13 N as typed" in report
    assert found["friction"] == {"from": "typed", "n": pytest.approx(13.345, rel=1e-4), "off_n": 0.0}
    less = found["parameters"]["preload_mm"]
    assert less["value"] == pytest.approx(preload["value"] + (30 - 13.345) * 0.0127, rel=1e-2)
    assert less["standard_error"] < preload["standard_error"] / 2
    report, found = said([*words, "--friction", "setup"], capsys)
    assert "14 N from the setup" in report
    assert found["friction"]["from"] == "setup"


def test_errors_bends_and_what_is_left_out_are_said_on_both(
    job: str, names: list[str], tmp_path: Path, capsys: Printed
) -> None:
    file = tmp_path / "bent.csv"
    file.write_text(csv_of(bent(0)))
    report, found = said(["fit", job, "--setup", names[0], "--readings", str(file)], capsys)
    measured = "  Measured: the whole shock; damper gas (133 N at full extension) and bumper from the setup"
    assert report.splitlines()[1].startswith(measured)
    assert report.splitlines()[1].endswith("If it was the spring alone, add --spring-alone.")
    assert report.splitlines()[2].startswith("  rate: ")
    assert "do not fit a linear coil" in report
    assert found["shape"]["verdict"] == "bent"
    assert found["shape"]["said"][0] in report
    assert [side["way"] for side in found["shape"]["sides"]] == ["in", "out"]
    assert max(side["chance"] for side in found["shape"]["sides"]) < 0.01
    assert "Left out: 1 reading past full stroke, at 60.40 mm." in report
    assert found["left_out"] == {"past_stroke_mm": [pytest.approx(60.4)], "turning_points": 0}
    assert found["friction"]["from"] == "fitted"
    assert found["friction"]["n"] == found["parameters"]["friction_n"]["value"]
    file.write_text(csv_of_demo(1))
    report, found = said(["fit", job, "--setup", names[1], "--readings", str(file)], capsys)
    assert "The residuals are random" in report
    assert "1 reading at a turning point" in report
    assert (found["shape"]["verdict"], found["shape"]["said"]) == ("chance", [])
    assert found["left_out"] == {"past_stroke_mm": [], "turning_points": 1}
    assert found["tools"]["gauge_psi"] == pytest.approx(2.0)
    for one in found["parameters"].values():
        parts = math.hypot(one["scatter_error"], one["tool_error"])
        assert one["standard_error"] == pytest.approx(parts)
        assert one["tool_error"] == pytest.approx(math.hypot(*one["error_of_tool"].values()))
        assert one["per_n_of_friction"] is None
    volume = found["parameters"]["positive_volume_cm3"]["error_of_tool"]
    assert f"positive volume ± in cm3: diameters {volume['diameters']:.2f}" in report


@pytest.mark.slow
def test_pressures_and_a_sag(job: str, names: list[str], capsys: Printed) -> None:
    assert main(["fit", job, "--setup", names[1], "--before", "200psi", "--after", "165 psi", "--json"]) == 0
    assert 0 < json.loads(capsys.readouterr().out)["negative_over_positive"] < 1
    sag = answer(answer_job(demo_set()).case).setups[1].sag
    words = ["fit", job, "--setup", names[1], "--sag", f"{float(sag.wheel) * 1e3} mm", "--json"]
    assert main(words) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["static_wheel_force_n"] == pytest.approx(found["entered_n"], rel=1e-6)
    # To stand there at once, the air still warm, it takes more than to sink there.
    assert found["at_once_n"] > found["static_wheel_force_n"] * 1.05
    bare = ["fit", job, "--setup", names[1], "--sag", f"{float(sag.wheel) * 1e3}", "--json"]
    assert main(bare) == 0
    assert json.loads(capsys.readouterr().out) == found
    printed = []
    for before, after, pressure in (("200", "165", "190"), ("200 psi", "165psi", "190 psi")):
        told = ["--before", before, "--after", after, "--pressure", pressure]
        assert main(["fit", job, "--setup", names[1], *told]) == 0
        printed.append(capsys.readouterr().out)
    assert printed[0] == printed[1]
    assert main([*words, "--pressure", "250 psi"]) == 0
    assert json.loads(capsys.readouterr().out)["static_wheel_force_n"] > 1.2 * found["entered_n"]


def test_the_front_is_found_by_name(tmp_path: Path, capsys: Printed) -> None:
    words = ["fit", file_of(BIKE, tmp_path), "--setup", "fork air", "--pressure", "70psi", "--sag", "20 %"]
    assert main(words) == 0
    assert capsys.readouterr().out.startswith("fork air\n")


@pytest.mark.fast_cases(5)
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--sag", "45mm"], "setup: the job has more than one setup; use --setup with one of"),
        (
            ["--setup", "no\x1b", "--sag", "45mm"],
            'setup: no setup is named "no\\x1b"; use --setup with one of',
        ),
        (["--setup", "{air}"], "readings: give one of: --readings FILE;"),
        (["--setup", "{air}", "--before", "200psi"], "readings: give one of"),
        (["--setup", "{air}", "--sag", "0.3"], "write 30 % or 45 mm"),
        (["--setup", "{air}", "--sag", "900mm"], "readings: A sag of 900.0 mm is not between 0 and"),
        (["--setup", "{air}", "--readings", "none.csv"], "readings: none.csv: no such file or directory"),
        (["--setup", "{air}", "--readings", "{bad}"], 'line 2: "x" is not a number; use a number'),
        (["--setup", "{air}", "--readings", "{bare}"], "the units of stroke and force are not given"),
        (
            ["--setup", "{air}", "--readings", "{bare}", "--units", "mm"],
            '"mm" is not units of stroke and force',
        ),
        (["--setup", "{air}", "--readings", "{bare}", "--units", "mm,N"], "are too few"),
        (["--setup", "{air}", "--sag", "45mm", "--pressure", "9 mm"], "setup.1.pressure: "),
        (["--setup", "{air}", "--sag", "45mm", "--friction", "9N"], "use --friction with --readings FILE"),
        (["--setup", "{air}", "--readings", "{loop}", "--friction", "9 mm"], "is not a unit of force; use a"),
        (
            ["--setup", "{air}", "--readings", "{loop}", "--friction", "9N"],
            "leave out the friction entered with",
        ),
    ],
)
def test_what_cannot_be_is_one_line_on_standard_error(
    words: list[str], said: str, job: str, names: list[str], tmp_path: Path, capsys: Printed
) -> None:
    files = {"bad": "mm;N\nx;1\n1;2", "bare": "0;100\n10;900", "loop": csv_of_demo(1)}
    for name, text in files.items():
        (tmp_path / name).write_text(text)
    places = {name: str(tmp_path / name) for name in files} | {"air": names[1]}
    assert main(["fit", job, *(word.format(**places) for word in words)]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    (line,) = shown.err.splitlines()
    assert line.startswith(f"{job}: ")
    assert said in line


def test_an_unlikely_reading_is_a_caution(job: str, names: list[str], capsys: Printed) -> None:
    words = ["fit", job, "--setup", names[1], "--sag", "95 %", "--pressure", "10"]
    assert main(words) == 0
    printed = capsys.readouterr().out
    assert "  Caution: 95.0 % for a sag: 5.0 to 50.0 % is usual (rule of thumb). Check it." in printed
    assert (
        "  Caution: 10 psi for a set pressure: 12 to 420 psi is usual (rule of thumb). Check it." in printed
    )
    assert main([*words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["cautions"]
    assert [caution["code"] for caution in told] == ["unlikely", "unlikely"]
    assert main(["fit", job, "--setup", names[1], "--sag", "30 %", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["cautions"] == []


def test_a_solved_pressure_names_the_option_that_says_it(
    tmp_path: Path, names: list[str], capsys: Printed
) -> None:
    bike = demo_set().with_value(("setup", 1, "pressure"), "solve")
    words = ["fit", file_of(bike, tmp_path), "--setup", names[1], "--sag", "45mm"]
    assert main(words) == 2
    assert (
        "Enter the pressure at which these readings were taken with --pressure 190psi."
        in capsys.readouterr().err
    )
    assert main([*words, "--pressure", "190psi", "--json"]) == 0
    known = json.loads(capsys.readouterr().out)
    assert known["gauge_of_record_psi"] is None
    there = bike.with_value(("measured", "setup"), names[1]).with_value(("measured", "gauge"), "190 psi")
    words[1] = file_of(there, tmp_path)
    assert main([*words, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["gauge_of_record_psi"] == pytest.approx(190)
    assert found["static_wheel_force_n"] == pytest.approx(known["static_wheel_force_n"])
