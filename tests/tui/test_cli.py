"""The headless command, as a person or a script starts it. Invented job."""

import json
from pathlib import Path

import pytest

from tui.cli import main

JOB = """
format = 1
title = "Invented trail bike"
[load]
scale_mass = "60.45 kg"
unsprung_mass = "4.2 kg"
[frame]
wheel_travel = "150 mm"
stroke = "60 mm"
[frame.leverage]
kind = "ends"
start = 2.80
end = 2.25
[target]
sag = "30 %"
of = "travel"
[[setup]]
name = "coil"
kind = "coil"
rate = "solve"
preload = "1 mm"
friction = "12 N"
"""


def test_json_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.toml"
    job.write_text(JOB)
    assert main(["solve", str(job), "--json"]) == 0
    shown = capsys.readouterr()
    assert json.loads(shown.out)["setups"][0]["rate_lbf_per_in"] == pytest.approx(467.08269, rel=2e-3)
    assert shown.err == ""


def test_every_fault_at_once_and_nothing_on_standard_output(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job.toml"
    job.write_text(JOB.replace('"60 mm"', "60").replace("friction =", "frction ="))
    assert main(["solve", str(job), "--json"]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "frame.stroke" in shown.err
    assert "frction" in shown.err
    assert "friction" in shown.err


def test_missing_file_and_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["solve", "/nowhere/job.toml", "--json"]) == 2
    assert capsys.readouterr().out == ""
    assert main(["--version"]) == 0
    assert capsys.readouterr().out.startswith("springwright ")


def test_plain_report_has_units(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.toml"
    job.write_text(JOB)
    assert main(["solve", str(job)]) == 0
    shown = capsys.readouterr().out
    assert "rate: 467.1 lbf/in" in shown
    assert "wheel: 45 mm" in shown
