"""A leverage table on the command line: the frame of a job on standard output, faults on standard error."""

import json
import tomllib
from pathlib import Path

import pytest

from tui.cli import main
from tui.job.demo import demo_job
from tui.job.files import toml_text

Printed = pytest.CaptureFixture[str]
TABLE = "shock stroke [mm];leverage ratio\n0;2,8\n30;2,5\n60;2,2\n"
"""An invented frame."""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "curve.csv"
    path.write_text(TABLE)
    return path


@pytest.mark.slow
def test_what_is_printed_is_the_frame_of_a_job(file: Path, capsys: Printed) -> None:
    assert main(["table", str(file)]) == 0
    shown = capsys.readouterr()
    assert shown.err == ""
    assert shown.out.startswith(
        "# Shock stroke [mm] in column 1, leverage ratio in column 2: 3 rows to 150 mm"
    )
    frame = tomllib.loads(shown.out)["frame"]
    assert (frame["wheel_travel"], frame["stroke"], frame["leverage"]["kind"]) == ("150 mm", "60 mm", "table")
    job = file.with_name("job.toml")
    job.write_text(toml_text(demo_job().without(("frame",)), None) + "\n" + shown.out)
    assert main(["solve", str(job), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)["frame"]
    assert answer["leverage_start"] == pytest.approx(2.8, rel=1e-3)
    assert answer["leverage_end"] == pytest.approx(2.2, rel=1e-3)
    assert abs(answer["closure_error"]) < 1e-3


def test_columns_and_units_may_be_told(file: Path, capsys: Printed) -> None:
    file.write_text("0 2.8\n5 2.2\n")
    assert main(["table", str(file), "--columns", "travel 1, ratio 2", "--units", "in"]) == 0
    frame = tomllib.loads(capsys.readouterr().out)["frame"]
    assert frame["wheel_travel"] == "127 mm"
    assert "stroke" not in frame
    assert frame["leverage"] == {"kind": "table", "travel_mm": [0.0, 127.0], "ratio": [2.8, 2.2]}


@pytest.mark.parametrize(
    ("text", "words", "said"),
    [
        ("1 2\n3 4", [], "is unclear: columns are 1, 2; add a header such as wheel travel [mm], "),
        ("1 2\n3 4", [], 'or --columns "travel 1, ratio 2"'),
        ("travel;ratio\n0;2\n9;1", [], "the unit of the wheel travel is not given"),
        ("travel;ratio\n0;2\n9;1", [], "or --units mm,mm"),
        ("travel;ratio\n0;2\n9;1", ["--units", "kg"], '"kg" is not a unit of wheel travel'),
        ("travel;ratio\n0;2\n9;1", ["--columns", "x"], '"x" cannot be read; give the numbers of'),
        ("travel mm;ratio\n0;2\n9;\x1b[1m", [], 'line 3: "[1m" is not a number'),
        ("", [], "no line with two numbers"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_line_on_standard_error(
    text: str, words: list[str], said: str, file: Path, capsys: Printed
) -> None:
    file.write_text(text)
    assert main(["table", str(file), *words]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    (line,) = shown.err.splitlines()
    assert line.startswith(f"{file}: ")
    assert said in line


def test_a_file_that_is_not_there(tmp_path: Path, capsys: Printed) -> None:
    assert main(["table", str(tmp_path / "none.csv")]) == 2
    assert "no such file or directory; use a table saved as CSV" in capsys.readouterr().err
