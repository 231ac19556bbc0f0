"""`springwright chart`: the form from the ending, setups by name, and every refusal in words."""

from __future__ import annotations

import csv
import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from tests.confirmed import confirmed_demo
from tui.charts.views import BY_NAME
from tui.cli import main
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.wheels import wheel_job

XML = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    path = tmp_path / "job.toml"
    path.write_text(toml_text(confirmed_demo(), None))
    return path


def words(path: Path) -> list[str]:
    return [element.text or "" for element in ET.parse(path).getroot().iter(f"{XML}text")]


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("view", BY_NAME)
def test_every_view_is_drawn(
    job: Path, tmp_path: Path, view: str, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "chart.svg"
    assert main(["chart", str(job), "--view", view, "-o", str(target)]) == 0
    shown = capsys.readouterr()
    assert (shown.out, shown.err) == ("", "")
    titles = {
        "chamber-forces": "Chamber forces of air",
        "difference-to-the-baseline": "Wheel force, difference to coil",
    }
    title = titles.get(view, BY_NAME[view].value)
    assert any(text.startswith(f"{title} over ") for text in words(target))


@pytest.mark.slow
def test_the_form_is_that_of_the_ending(job: Path, tmp_path: Path) -> None:
    for ending, begins in (
        (".svg", b"<?xml"),
        (".PNG", b"\x89PNG"),
        (".pdf", b"%PDF-1."),
        (".csv", b"\xef\xbb\xbfwheel travel (mm),"),
    ):
        target = tmp_path / f"chart{ending}"
        assert main(["chart", str(job), "-o", str(target)]) == 0
        assert target.read_bytes().startswith(begins)


def test_the_points_are_those_of_the_wheel_in_the_units_asked_for(job: Path, tmp_path: Path) -> None:
    target = tmp_path / "chart.csv"
    command = ["chart", str(job), "--wheel", "front", "--units", "imperial", "-o", str(target)]
    assert main(command) == 0
    with target.open(encoding="utf-8-sig", newline="") as file:
        head, *rows = csv.reader(file, strict=True)
    front = answer_job(confirmed_demo()).at("front")
    assert front is not None
    curve = front.answer.setups[0].curve
    assert head == ["wheel travel (in)", "fork: Wheel force (lbf)", "static load (lbf)"]
    assert float(rows[-1][0]) == pytest.approx(float(curve.wheel_travel[-1]) / 0.0254, rel=1e-12)
    assert float(rows[-1][1]) == pytest.approx(
        float(curve.riding_wheel_force[-1]) / 4.4482216152605, rel=1e-12
    )
    assert len(rows) == curve.stroke.size


@pytest.mark.slow
def test_values_nobody_confirmed_are_told_on_it(job: Path, tmp_path: Path) -> None:
    target = tmp_path / "chart.svg"
    assert main(["chart", str(job), "-o", str(target)]) == 0
    assert {"coil", "air"} <= set(words(target))
    assert "unverified" not in target.read_text("utf-8")
    job.write_text(toml_text(demo_job(), None))
    assert main(["chart", str(job), "-o", str(target), "--replace"]) == 0
    assert {"coil (unverified)", "air (unverified)"} <= set(words(target))
    assert any("values are unverified" in text for text in words(target))


def test_slow_curves_are_drawn_where_asked(job: Path, tmp_path: Path) -> None:
    target = tmp_path / "chart.svg"
    assert main(["chart", str(job), "--slow", "-o", str(target)]) == 0
    assert any(text.endswith("dotted: slow") for text in words(target))


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (
            ["-o", "a.gif"],
            'output: "a.gif": unknown ending; use .svg, .png, .pdf, .csv',
        ),
        (["-o", "none/a.svg"], "output: no such file or directory; use a folder that you may write to"),
        (
            ["-o", "a.svg", "--setup", "other"],
            'no setup is named "other"; use --setup with one of "coil"',
        ),
        (
            ["-o", "a.svg", "--view", "chamber-forces", "--setup", "coil"],
            "view: coil is a coil and has no chambers. Select an air setup; use another view",
        ),
    ],
)
def test_what_cannot_be_drawn_says_why(
    job: Path,
    monkeypatch: pytest.MonkeyPatch,
    options: list[str],
    said: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(job.parent)
    assert main(["chart", str(job), *options]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert said in shown.err
    assert not Path("a.svg").exists()


def test_a_job_of_one_wheel_has_no_other(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:

    job.write_text(toml_text(wheel_job(confirmed_demo(), "rear"), None))
    assert main(["chart", str(job), "--wheel", "front", "-o", str(tmp_path / "a.svg")]) == 2
    assert "wheel: this job has no front; use rear" in capsys.readouterr().err


@pytest.mark.slow
@pytest.mark.parametrize(
    "words", [["chart", "-o", "o.svg"], ["chart", "-o", "o.png"], ["sheet", "-o", "o.html"]]
)
def test_no_library_speaks_where_letters_are_in_no_font(words: list[str], tmp_path: Path) -> None:
    job = demo_job().with_value(("title",), "\u16a0 \u540d \U0001f600")
    job = job.with_value(("setup", 0, "name"), "\u540d\u524d \U0001d4b3")
    (tmp_path / "job.toml").write_text(toml_text(job, None), "utf-8")
    command, *options = words
    done = subprocess.run(
        [sys.executable, "-m", "tui", command, "job.toml", *options],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[3]), "XDG_CONFIG_HOME": str(tmp_path)},
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
